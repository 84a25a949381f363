"""Settings of the controller beside the lines that result, and the columns of the CSV."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QComboBox

from wallwright.document import edits
from wallwright.jobs.sample_program import sample_lines
from wallwright.window.features.controller.dialog import ControllerDialog
from wallwright.window.model.items import MACHINE
from wallwright.window.shell.action_ids import ActionId


def control(page, kind, name: str):
    return next(
        w for w in page.findChildren(kind) if name in (w.accessibleName(), w.text() if kind is QCheckBox else "")
    )


def choose(box: QComboBox, value: str) -> None:
    box.setCurrentIndex(box.findData(value))
    box.activated.emit(box.currentIndex())


def test_a_change_shows_and_marks_its_lines(qtbot, window):
    dialog = ControllerDialog(window.models, window)
    qtbot.addWidget(dialog)
    dialog.show()
    document = window.models.project.document
    assert dialog.preview.toPlainText().split("\n") == sample_lines(document) and not dialog.preview.marked_lines()
    choose(control(dialog, QComboBox, "Unit of waits"), "ms")
    marked = dialog.preview.marked_lines()
    assert marked and all(line.startswith("G4 P") for line in marked) and "G4 P250" in marked
    choose(control(dialog, QComboBox, "Pen lift driven by"), "spindle")
    assert any(line.startswith("M3 S") for line in dialog.preview.marked_lines())
    window.parts.actions[ActionId.UNDO].trigger()
    window.parts.actions[ActionId.UNDO].trigger()
    assert window.models.project.document == document
    assert dialog.preview.toPlainText().split("\n") == sample_lines(document)


def test_the_lines_are_of_the_current_hanging(qtbot, window):
    """With another hanging current, they once named the first one."""
    models = window.models
    first = models.project.document.hangings[0]
    other = edits.replace(first, name="Reading room", left=edits.replace(first.left, x=first.left.x + 300.0))
    hangings = (edits.replace(first, name="Hall"), other)
    models.project.edit("Hangings", edits.replace(models.project.document, hangings=hangings))
    models.selection.set_current_hanging(1)
    dialog = ControllerDialog(models, window)
    qtbot.addWidget(dialog)
    text = dialog.preview.toPlainText()
    assert "Reading room" in text and "Hall" not in text


def test_the_lines_name_cautions_and_expected_settings(window):
    text = "\n".join(sample_lines(window.models.project.document))
    assert "(CAUTION" in text and "microsteps per mm of belt)" in text and "(Expects feeds up to" in text


def test_a_machine_that_takes_drawings_has_no_program(window):
    project = window.models.project
    actions = window.parts.actions
    assert actions[ActionId.CONTROLLER_SETTINGS].isEnabled()
    machine = project.document.machine
    project.set_field("takes", "machine.controller", machine.controller.taking("drawing"))
    assert not actions[ActionId.CONTROLLER_SETTINGS].isEnabled()


def test_columns_of_the_csv_are_ticked_and_one_stays(window):
    models = window.models
    models.selection.select(MACHINE)
    models.project.set_field("columns", "machine.controller.table.columns", ("left", "pen"))
    page = window.properties
    control(page, QCheckBox, "x on the wall").click()
    assert models.project.document.machine.controller.table.columns == ("left", "x", "pen")
    control(page, QCheckBox, "x on the wall").click()
    control(page, QCheckBox, "Pen").click()
    assert models.project.document.machine.controller.table.columns == ("left",)
    assert not control(page, QCheckBox, "Left belt").isEnabled()


def test_the_last_calibration_is_shown_with_its_date(window):
    from wallwright.document.calibration import MachineCalibration

    models = window.models
    models.selection.select(MACHINE)
    calibrated = edits.replace(models.project.document.machine, calibration=MachineCalibration("2026-05-01", 14, ()))
    models.project.set_field("machine", "machine", calibrated)
    texts = [w.text() for w in window.properties.findChildren(type(window.properties.add_note("")))]
    assert any("Calibrated 2026-05-01 from 14 readings." in text for text in texts)
