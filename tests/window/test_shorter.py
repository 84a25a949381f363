"""A shorter job: asked for at the estimate or on the page of the finished job, chosen from a list, undone like any edit."""

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QApplication

from tests.support.experienced import ExperiencedRunner
from tests.support.jobs import SQUARE, document_of
from tests.support.windows import scripted_window, show_plan
from wallwright.document.edits import replace, set_field
from wallwright.document.language import duration
from wallwright.planning.plan import Goal, Request, ShorterOption
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.features.export.job_summary import JobSummary
from wallwright.window.features.shorter.dialog import ShorterDialog

DOCUMENT = document_of(SQUARE)
FASTER = set_field(replace(DOCUMENT, artworks=()), "machine.limits.draw_speed", 60.0)
SMALLER = set_field(replace(DOCUMENT, artworks=()), "placements.0.width", 800.0)
LONGER_SEARCH = set_field(replace(DOCUMENT, artworks=()), "settings.order.effort", "best")
PENDING = ShorterOption("Smaller", "All of it.", None, SMALLER, is_pending=True)
OPTIONS = (
    ShorterOption("Faster pen", "60 mm/s.", 0.9, FASTER),
    ShorterOption("Search longer", "Nobody knows.", None, LONGER_SEARCH),
    ShorterOption("Smaller", "All of it.", 0.5, SMALLER),
)


@pytest.fixture(scope="module")
def plan():
    return ExperiencedRunner().run(Request(1, DOCUMENT, Goal.PLAN)).plan


@pytest.fixture
def window(qtbot, tmp_path, plan):
    window, planner = scripted_window(qtbot, DOCUMENT, tmp_path)
    window.planner = planner
    return window


def answer(window, *options):
    for option in options:
        window.planner.answer(final=False, shorter=option)
    window.planner.answer()
    window.models.planning.receive()


def in_dialog(kind, act):
    """Has something done in the dialog of a kind that opens next."""

    def look():
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, kind):
            act(dialog)
        else:
            QTimer.singleShot(20, look)

    QTimer.singleShot(0, look)


def test_there_is_nothing_to_shorten_before_the_job_is_planned(window, plan):
    assert not window.strip.shorter.isEnabled() and not window.parts.actions["shorter"].isEnabled()
    show_plan(window, plan)
    assert window.strip.shorter.isEnabled() and window.parts.actions["shorter"].isEnabled()


def test_the_change_chosen_is_one_step_of_undo_and_keeps_the_artwork(qtbot, window, plan):
    show_plan(window, plan)
    seen = []

    def choose(dialog):
        assert window.planner.requests[-1].goal is Goal.SHORTER and dialog.busy.isVisible()
        answer(window, *OPTIONS)
        seen.extend(row.option.title for row in dialog.rows)
        seen.extend((dialog.busy.isVisible(), dialog.apply.isEnabled()))
        qtbot.mouseClick(dialog.rows[0].choice, Qt.MouseButton.LeftButton)
        qtbot.mouseClick(dialog.apply, Qt.MouseButton.LeftButton)

    in_dialog(ShorterDialog, choose)
    qtbot.mouseClick(window.strip.shorter, Qt.MouseButton.LeftButton)
    assert seen == ["Faster pen", "Search longer", "Smaller", False, False]
    project = window.models.project
    assert project.document == set_field(DOCUMENT, "machine.limits.draw_speed", 60.0)
    assert project.document.artworks == DOCUMENT.artworks
    assert window.bar.sentence.text().startswith("Faster pen: about ")
    faster = ExperiencedRunner().run(Request(1, project.document, Goal.PLAN)).plan
    show_plan(window, faster)
    now, before = duration(faster.estimate.total_s), duration(plan.estimate.total_s)
    assert window.bar.sentence.text().startswith(f"Faster pen: {now} now, {before} before.")
    window.parts.actions["undo"].trigger()
    assert project.document == DOCUMENT
    show_plan(window, plan)
    assert not window.bar.isVisible(), "nobody waits for it any more"


def test_the_page_of_the_finished_job_leads_there(qtbot, window, plan):
    show_plan(window, plan)
    in_dialog(ExportDialog, lambda dialog: shorten(qtbot, window, dialog))
    window.parts.actions["export"].trigger()
    qtbot.waitUntil(lambda: window.models.project.document != DOCUMENT)
    assert window.models.project.document == set_field(DOCUMENT, "placements.0.width", 800.0)
    assert all(request.goal is not Goal.EXPORT for request in window.planner.requests)


def shorten(qtbot, window, dialog):
    def choose(shorter):
        answer(window, *OPTIONS)
        shorter.rows[2].choice.click()
        shorter.apply.click()

    in_dialog(ShorterDialog, choose)
    button = dialog.findChild(JobSummary).shorter
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def test_what_cannot_be_shortened_and_what_fails_is_said(qtbot, window, plan):
    show_plan(window, plan)
    dialog = ShorterDialog(window.models, window)
    qtbot.addWidget(dialog)
    dialog.show()
    answer(window)
    assert "No change was found" in dialog.message.text() and not dialog.busy.isVisible()
    again = ShorterDialog(window.models, window)
    qtbot.addWidget(again)
    again.show()
    window.planner.answer(trouble="It needs more memory.")
    window.models.planning.receive()
    assert again.message.text() == "It needs more memory." and not again.busy.isVisible()


def test_rows_keep_their_places_while_times_arrive_and_react_as_a_whole(qtbot, window, plan):
    """A row that came later once pushed others away from under the pointer."""
    show_plan(window, plan)
    dialog = ShorterDialog(window.models, window)
    qtbot.addWidget(dialog)
    dialog.show()
    for option in (PENDING, replace(PENDING, title="Paler"), *OPTIONS[:2]):
        window.planner.answer(final=False, shorter=option)
    window.models.planning.receive()
    qtbot.waitExposed(dialog)
    QApplication.processEvents()
    places = [row.geometry() for row in dialog.rows]
    smaller, paler = dialog.rows[0], dialog.rows[1]
    qtbot.mouseClick(smaller, Qt.MouseButton.LeftButton, pos=smaller.saved.geometry().center())
    assert not dialog.apply.isEnabled(), "nothing is known of it yet"
    answer(window, OPTIONS[2], replace(PENDING, title="Paler", is_pending=False, share=1.0))
    QApplication.processEvents()
    assert [row.geometry() for row in dialog.rows] == places
    assert smaller.left.text().startswith("about ") and paler.left.text() == "no shorter"
    qtbot.mouseClick(paler, Qt.MouseButton.LeftButton, pos=paler.rect().center())
    assert dialog.chosen is None
    qtbot.mouseClick(smaller, Qt.MouseButton.LeftButton, pos=smaller.saved.geometry().center())
    assert dialog.chosen == OPTIONS[2] and dialog.apply.isEnabled()


def test_it_waits_for_the_plan(qtbot, window, plan):
    window.models.planning.plan_now()
    dialog = ShorterDialog(window.models, window)
    qtbot.addWidget(dialog)
    dialog.show()
    assert "planned" in dialog.message.text()
    window.planner.answer(plan=plan)
    window.models.planning.receive()
    assert window.planner.requests[-1].goal is Goal.SHORTER and "tried" in dialog.message.text()
