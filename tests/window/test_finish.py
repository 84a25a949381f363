"""The end of a job: what is shown before it is written, whose folder it goes to, and that nothing stays for the next project."""

import html
import json
from pathlib import Path

import pytest
from PySide6.QtCore import QDir, QPoint, Qt
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QLabel

from tests.support.jobs import SQUARE, document_of
from tests.support.planners import Scripted
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.language import duration, unbroken_units
from wallwright.jobs.checks import Verdict
from wallwright.jobs.file_names import REPORT, SHEET
from wallwright.jobs.job_folder import project_in
from wallwright.window.features.export.dialog import ExportDialog, proposed_folder
from wallwright.window.features.export.sheet_view import SheetView
from wallwright.window.model.planning_client import PlanningClient


def dialog_for(window, folder: Path, **given) -> ExportDialog:
    project = window.models.project
    return ExportDialog(folder, project.document.machine.controller, window, project=project, **given)


def write_report(folder: Path, content: object) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / REPORT).write_text(json.dumps(content))


def test_a_folder_with_the_job_of_another_project_is_only_replaced_on_purpose(qtbot, window, tmp_path):
    folder = tmp_path / "harbour-job"
    window.models.project.mark_saved(tmp_path / "harbour.wallwright")
    write_report(folder, {"project": "mural"})
    dialog = dialog_for(window, folder)
    qtbot.addWidget(dialog)
    dialog.show()
    assert not dialog._export.isEnabled() and "mural" in dialog._replace.text()
    qtbot.mouseClick(dialog._replace, Qt.MouseButton.LeftButton)
    assert dialog._export.isEnabled()
    write_report(tmp_path / "third", {"project": "third"})
    dialog._line.setText(str(tmp_path / "third"))  # what was agreed to counts for one folder
    assert not dialog._export.isEnabled() and "third" in dialog._replace.text()
    dialog._line.setText(str(tmp_path / "empty"))
    assert dialog._export.isEnabled() and not dialog._replace.isVisible()


@pytest.mark.parametrize("content", [{"project": "harbour"}, {}, [], {"project": None}])
def test_own_jobs_are_replaced_and_jobs_of_nobody_known_are_asked_about(qtbot, window, tmp_path, content):
    window.models.project.mark_saved(tmp_path / "harbour.wallwright")
    write_report(tmp_path / "job", content)
    dialog = dialog_for(window, tmp_path / "job")
    qtbot.addWidget(dialog)
    is_ours = content == {"project": "harbour"}
    assert dialog._export.isEnabled() is is_ours


def test_a_project_that_was_never_saved_gets_a_folder_of_its_own(tmp_path, monkeypatch):
    monkeypatch.setattr(QDir, "homePath", lambda: str(tmp_path))
    first = proposed_folder(None)
    write_report(first, {"project": "Untitled"})
    second = proposed_folder(None)
    assert second != first and not second.exists() and second.parent == tmp_path
    assert proposed_folder(Path("/walls/mural.wallwright")) == Path("/walls/mural-job")


def test_the_page_shows_time_ink_and_pens(qtbot, window):
    window.models.project.load(document_of(SQUARE), None)
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: window.models.planning.is_exportable, timeout=60_000)
    estimate = window.models.planning.plan.estimate
    dialog = dialog_for(window, Path("/job"), estimate=estimate)
    qtbot.addWidget(dialog)
    texts = " ".join(label.text() for label in dialog.findChildren(QLabel))
    assert duration(estimate.total_s) in texts and "4.0 m" in texts and "Black" in texts and "belts.ngc" in texts


@pytest.mark.parametrize("rating", [15.0, 1000.0])
def test_what_checks_warn_of_is_said_before_the_export(qtbot, window, rating):
    """A fixing that is rated for twice the pull, which is too little, and one that holds enough."""
    models = window.models
    models.project.load(edits.set_field(models.project.document, "hangings.0.left.rating", rating), None)
    models.planning.plan_now()
    qtbot.waitUntil(lambda: models.planning.is_exportable)
    warned = [c for c in models.planning.plan.checks if c.verdict is Verdict.WARNING]
    assert [c.title for c in warned] == (["Left anchor"] if rating < 20 else [])
    dialog = dialog_for(window, Path("/job"), planning=models.planning)
    qtbot.addWidget(dialog)
    texts = " ".join(html.unescape(label.text()) for label in dialog.findChildren(QLabel))
    assert all(unbroken_units(c.text) in texts for c in warned) and ("Left anchor" in texts) is bool(warned)


def test_the_sheet_is_shown_as_pages_and_a_click_enlarges_it(qtbot, window):
    window.models.project.load(document_of(SQUARE), None)
    planning = window.models.planning
    planning.plan_now()
    qtbot.waitUntil(lambda: planning.is_exportable and planning.plan_is_final and not planning.is_planning)
    plan = planning.plan
    dialog = dialog_for(window, Path("/job"), planning=planning)
    qtbot.addWidget(dialog)
    dialog.show()
    sheet = dialog.findChild(SheetView)
    assert sheet.message.isVisible() and not planning.is_planning, "making it is no planning"
    qtbot.waitUntil(lambda: sheet.message.isHidden())
    pages = sheet.area.widget()
    assert planning.plan is plan and "pages" in sheet.title.text()
    assert pages.width() <= sheet.area.viewport().width() and pages.height() > 2 * pages.width()
    before = pages.size()
    qtbot.mouseClick(pages, Qt.MouseButton.LeftButton, pos=QPoint(200, 300))
    assert pages.width() > 1.5 * before.width() and sheet.area.verticalScrollBar().value() > 0
    qtbot.mouseClick(pages, Qt.MouseButton.LeftButton, pos=QPoint(400, 600))
    assert pages.size() == before


def test_why_there_is_no_sheet_is_said_in_its_place(qtbot, window):
    planner = Scripted()
    planning = PlanningClient(window.models.project, window.models.selection, window.models.messages, planner)
    view = SheetView(planning)
    qtbot.addWidget(view)
    view.show()
    planning.sheet_painted.emit((), "The sheet needs more memory.")
    assert view.message.text() == "The sheet needs more memory." and view.message.isVisible()
    planning.close()


def test_the_report_says_whose_job_it_is(tmp_path):
    assert project_in(tmp_path) is None and project_in(tmp_path / "missing") is None
    write_report(tmp_path / "hanging-1", {"project": "mural"})
    assert project_in(tmp_path / "hanging-1") == "mural"
    (tmp_path / "hanging-1" / REPORT).write_text("{")
    assert project_in(tmp_path / "hanging-1") == ""


def test_of_several_hangings_the_sheet_to_open_is_chosen_by_name(qtbot, window, tmp_path, monkeypatch):
    """The button once opened the first hanging's sheet, whatever was exported with it."""
    opened, files = [], []
    monkeypatch.setattr(QDesktopServices, "openUrl", lambda url: opened.append(Path(url.toLocalFile())))
    for number, name in ((1, "Hall"), (2, "Reading room")):
        folder = tmp_path / f"hanging-{number}"
        folder.mkdir()
        (folder / REPORT).write_text(f'{{"hanging": "{name}"}}')
        files += [folder / SHEET, folder / REPORT]
    bar = window.bar
    window.models.messages.say_files("The wall is in a folder.", files)
    menu = bar.choose_sheet.menu()
    assert not bar.open_sheet.isVisible()
    assert [action.text() for action in menu.actions()] == ["hanging-1: Hall", "hanging-2: Reading room"]
    menu.actions()[1].trigger()
    bar.open_folder.click()
    assert opened == [tmp_path / "hanging-2" / SHEET, tmp_path]
    window.models.messages.say_files("The job is in a folder.", files[:2])
    assert not bar.choose_sheet.isVisible()
    bar.open_sheet.click()
    assert opened[-1] == tmp_path / "hanging-1" / SHEET


def test_after_new_nothing_of_the_last_project_is_on_screen(qtbot, window, tmp_path):
    models = window.models
    models.planning.plan_now()
    qtbot.waitUntil(lambda: models.planning.is_exportable, timeout=60_000)
    window.strip.player.seek(60.0)
    models.messages.say_files("The job is in a folder.", [tmp_path / "hanging-sheet.pdf"])
    models.messages.remark("Something about it.", 60_000)
    window.canvas.point_out((0.0, 0.0, 10.0, 10.0))
    far = window.canvas.view
    window.files.begin(Document(), (), False)
    assert not window.bar.isVisible() and window.statusBar().currentMessage() == ""
    assert window.canvas.pointed.box is None and window.canvas.view != far
    assert models.planning.plan is None and not window.checks.rows()
    assert "min" not in window.strip.estimate.text() and not window.strip.number.isVisible()
    assert window.windowTitle().startswith("Untitled")
