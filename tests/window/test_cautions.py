"""Cautions where the risk arises: shown until closed, once for a project; the mark of ignored limits in the window."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QApplication, QLabel, QStatusBar

from tests.support.jobs import SQUARE, document_of
from tests.support.widgets import contrast, cut_off, dark_palette, nameless, out_of_tab_order, unexplained
from wallwright.document import edits
from wallwright.document.continuation import StrokePlace
from wallwright.document.controller import Controller
from wallwright.document.register import RegisterMark
from wallwright.jobs.sheet.cautions import Occasion, Risk, most_urgent
from wallwright.planning.demo import demo_document
from wallwright.window.features.anchor_advice.dialog import AnchorAdviceDialog
from wallwright.window.features.calibration.wizard import CalibrationWizard
from wallwright.window.features.continue_job.dialog import ContinueDialog
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.features.export.feature import ignored_in_files
from wallwright.window.features.pens.measure_dialog import MeasurePensDialog
from wallwright.window.features.proof.dialog import ProofDialog
from wallwright.window.features.register_marks.dialog import LineUpDialog
from wallwright.window.features.start.guided_start import GuidedStart
from wallwright.window.model.caution_memory import dismiss, is_dismissed
from wallwright.window.model.items import HangingItem
from wallwright.window.model.models import Models
from wallwright.window.panels.properties import PropertiesPanel
from wallwright.window.shell.ignored_limits_status import IgnoredLimitsStatus
from wallwright.window.widgets.caution_note import CautionNote


@pytest.fixture
def models(qtbot):
    models = Models.of(demo_document())
    yield models
    models.close()


def notes_in(widget) -> list[CautionNote]:
    """Those that are not hidden, whether or not their window is."""
    return [note for note in widget.findChildren(CautionNote) if not note.isHidden()]


def settle() -> None:
    """Lets layouts pass, one after the other."""
    for _ in range(4):
        QApplication.processEvents()


def start_anchors_page() -> GuidedStart:
    guide = GuidedStart()
    guide.show_page(1)
    return guide


def hanging_page(models) -> PropertiesPanel:
    panel = PropertiesPanel(models)
    models.selection.select(HangingItem(0))
    panel.rebuild()
    return panel


def drawing_machine(models) -> Models:
    models.project.edit("", edits.set_field(models.project.document, "machine.controller.takes", "drawing"))
    return models


MARKS = (RegisterMark("1A", 900.0, 700.0), RegisterMark("1B", 900.0, 900.0))
PLACES = {
    "properties of a hanging": (hanging_page, Occasion.ANCHORS),
    "better anchors": (AnchorAdviceDialog, Occasion.ANCHORS),
    "new wall": (lambda models: start_anchors_page(), Occasion.ANCHORS),
    "calibration": (CalibrationWizard, Occasion.LADDER),
    "line up": (lambda models: LineUpDialog(models, MARKS), Occasion.LADDER),
    "proof drawing": (lambda models: ProofDialog(drawing_machine(models)), Occasion.LADDER),
    "measure pens": (MeasurePensDialog, Occasion.LADDER),
    "export": (
        lambda models: ExportDialog(Path("/job"), Controller(), project=models.project),
        Occasion.RUN,
    ),
    "continue": (lambda models: ContinueDialog(models, StrokePlace(0)), Occasion.CONTINUE),
}
KEEPS = {name: place for name, place in PLACES.items() if name != "new wall"}


@pytest.mark.parametrize(("make", "occasion"), PLACES.values(), ids=PLACES)
def test_each_place_shows_its_cautions(qtbot, models, make, occasion):
    widget = make(models)
    qtbot.addWidget(widget)
    notes = notes_in(widget)
    assert notes
    widget.show()
    settle()
    for note in notes:
        assert most_urgent(occasion) in note.line.text() and note.all.isHidden()
        note.more.click()
        settle()
        assert not note.all.isHidden()
        if note.isVisible():  # not on another page of a wizard
            assert cut_off(note) == [] and note.parentWidget().height() > note.geometry().bottom()
        for risk in occasion.value:
            assert risk.value.split(".")[0] in note.all.text()
        note.more.click()
        assert note.all.isHidden()
    if hasattr(widget, "done"):
        widget.done(0)


def test_cautions_that_are_opened_in_a_dialog_come_into_view(qtbot, models):
    """A page that scrolls hides nothing of what was asked for as long as the screen has room for it."""
    dialog = ExportDialog(Path("/job"), Controller(), project=models.project)
    qtbot.addWidget(dialog)
    dialog.show()
    settle()
    (note,) = notes_in(dialog)
    note.more.click()
    settle()
    assert note.visibleRegion().boundingRect() == note.rect()
    dialog.done(0)


@pytest.mark.parametrize(("make", "occasion"), KEEPS.values(), ids=KEEPS)
def test_once_closed_they_stay_away_from_this_project(qtbot, models, tmp_path, make, occasion):
    models.project.mark_saved(tmp_path / "a.wallwright")
    for number in (1, 2):
        widget = make(models)
        qtbot.addWidget(widget)
        notes = notes_in(widget)
        assert bool(notes) == (number == 1)
        if notes:
            notes[0].close_button.click()
            assert notes[0].isHidden() and is_dismissed(models.project, occasion.name)
        if hasattr(widget, "done"):
            widget.done(0)


def test_another_project_shows_them_again_and_the_next_start_does_not(models, tmp_path):
    project = models.project
    dismiss(project, "RUN")
    assert is_dismissed(project, "RUN") and not is_dismissed(project, "LADDER")
    project.load(demo_document(), None)
    assert not is_dismissed(project, "RUN")
    project.mark_saved(tmp_path / "a.wallwright")
    was_dirty = project.is_dirty
    dismiss(project, "RUN")
    assert project.is_dirty == was_dirty  # nothing to be saved
    again = Models.of(demo_document())
    try:
        again.project.load(demo_document(), tmp_path / "a.wallwright")
        assert is_dismissed(again.project, "RUN") and not is_dismissed(again.project, "ANCHORS")
        again.project.load(demo_document(), tmp_path / "b.wallwright")
        assert not is_dismissed(again.project, "RUN")
    finally:
        again.close()


def test_every_occasion_of_the_window_has_its_line_and_the_sheet_has_all():
    for occasion in Occasion:
        if occasion is not Occasion.SHEET:
            assert len(most_urgent(occasion).split()) <= 16
            assert set(occasion.value) <= set(Occasion.SHEET.value) == set(Risk)


def test_by_keyboard_and_read_aloud(qtbot):
    note = CautionNote("The body can fall.", ["One. Two.", "Three <four> & five."])
    qtbot.addWidget(note)
    note.resize(400, 60)
    note.show()
    qtbot.waitExposed(note)
    for found in (nameless(note), unexplained(note), out_of_tab_order(note), cut_off(note)):
        assert found == []
    assert note.accessibleName() == "Take care" and note.accessibleDescription() == "The body can fall."
    note.more.setFocus()
    qtbot.keyClick(note.more, Qt.Key.Key_Space)
    assert note.all.isVisible() and "Three &lt;four&gt; &amp; five." in note.all.text()
    assert cut_off(note) == []
    assert note.close_button.focusPolicy() & Qt.FocusPolicy.TabFocus
    with qtbot.waitSignal(note.dismissed):
        qtbot.keyClick(note.close_button, Qt.Key.Key_Space)
    assert note.isHidden()


@pytest.mark.parametrize("line", ["The body can fall.", "Cables and pipes may run where you drill. " * 4])
def test_the_sign_stands_on_a_level_with_the_line(qtbot, line):
    note = CautionNote(line, ["One."])
    qtbot.addWidget(note)
    note.resize(400, 60)
    note.show()
    qtbot.waitExposed(note)
    settle()
    sign = note.layout().itemAtPosition(0, 0).geometry()
    assert abs(sign.center().y() - note.line.geometry().center().y()) <= 1


def test_it_is_read_in_light_and_dark(qtbot):
    """WCAG 2.2, 1.4.3: 4.5 to 1."""
    before = QApplication.palette()
    try:
        for palette in (before, dark_palette()):
            QApplication.setPalette(palette)
            note = CautionNote("The body can fall.", ["One."])
            qtbot.addWidget(note)
            note.show()
            for label in (note.line, note.all):
                colours = label.palette()
                text = colours.color(QPalette.ColorRole.WindowText)
                assert contrast(text, colours.color(QPalette.ColorRole.Window)) >= 4.5
    finally:
        QApplication.setPalette(before)


# Limits that are ignored.


def outside_document():
    document = document_of(SQUARE, centre=(1100.0, 1050.0), width=1100.0)
    return edits.set_field(document, "settings.outside", "draw-anyway")


def test_window_and_message_say_that_limits_are_ignored(qtbot, window, tmp_path):
    models = window.models
    status = window.findChild(QStatusBar).findChild(IgnoredLimitsStatus)
    assert status.isHidden()
    models.project.load(outside_document(), None)
    models.planning.plan_now()
    qtbot.waitUntil(lambda: models.planning.fresh_plan is not None, timeout=60_000)
    assert status.isVisible() and status.text() == "LIMITS IGNORED: 1 stroke"
    assert "the body would tilt too far" in status.toolTip()
    messages = []
    models.messages.new_file_message.connect(lambda text, files: messages.append(text))
    with qtbot.waitSignal(models.planning.exported, timeout=60_000):
        models.planning.export(str(tmp_path / "job"))
    (text,) = messages
    assert text.startswith("LIMITS IGNORED: 1 stroke leaves the draw zone: the body would tilt too far.")
    assert text.endswith("Take care: The body can fall. Keep people away from below it.")
    assert text in [label.text() for label in window.bar.findChildren(QLabel)]
    models.project.set_field("Clip", "settings.outside", "clip")
    assert status.isHidden()


def test_each_hanging_of_a_wall_is_named_by_the_message(tmp_path):
    report = '{{"hanging": "{0}", "limits_ignored": {{"strokes": {1}, "limits": {2}, "text": ""}}}}'
    paths = [tmp_path / f"{k}.json" for k in range(3)]
    paths[0].write_text(report.format("Left", 2, '["TILT"]'))
    paths[1].write_text(report.format("Right", 0, "[]"))
    paths[2].write_text("{broken")
    ((name, ignored),) = ignored_in_files(paths)
    assert name == "Left" and "2 strokes leave the draw zone: the body would tilt too far" in ignored.text
