"""A machine that takes drawings, in the window: its page's fields, the proof drawing, what to type."""

import json

import msgspec
import pytest
from PySide6.QtWidgets import QComboBox, QLabel

from wallwright.document import edits
from wallwright.jobs.what_to_type import FileToDraw, StartPosition, TypedNumber, WhatToType
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.features.export.typing_dialog import TypingDialog, typing_of_files
from wallwright.window.features.proof.dialog import ProofDialog
from wallwright.window.model.items import MachineItem

WHAT = WhatToType(
    True,
    (TypedNumber("distance", 2000.0), TypedNumber("left", 481.0)),
    "anchor",
    "corner",
    False,
    ("fill",),
    (),
    (FileToDraw("1-black.svg", "Black", "#202020", 1, 1, 4, 3.2, 120.0, 30.0),),
    "",
    "",
    StartPosition("own", 1000.0, 800.0, 1280.6, 1280.6, 1000.0, 722.0),
    (481.0, 204.0, 1519.0, 1358.0),
    (500.0, 400.0, 1500.0, 1400.0),
    (),
)


@pytest.fixture
def machine_page(window):
    window.models.selection.select(MachineItem())
    return window.parts.properties


def fields(page) -> list[str]:
    return [label.text() for label in page.findChildren(QLabel) if label.isVisibleTo(page)]


def takes_box(page) -> QComboBox:
    return next(b for b in page.findChildren(QComboBox) if b.accessibleName() == "What does your machine take?")


def test_fields_of_the_page_are_shown_only_where_they_apply(window, machine_page):
    assert "It asks" not in fields(machine_page)
    box = takes_box(machine_page)
    box.setCurrentIndex(box.findData("drawing"))
    box.activated.emit(box.currentIndex())
    controller = window.models.project.document.machine.controller
    assert (controller.takes, controller.pacing) == ("drawing", "constant")
    assert {"It asks", "Left and top from"} <= set(fields(machine_page))
    assert "Width of its area" not in fields(machine_page) and "It reads" not in fields(machine_page)
    window.models.project.set_field("", "machine.controller.page.placing", "area")
    assert "Width of its area" in fields(machine_page)
    window.models.project.undo()
    window.models.project.undo()
    assert window.models.project.document.machine.controller.takes == "belts"
    assert "It asks" not in fields(machine_page)


def taking(window):
    document = edits.set_field(window.models.project.document, "machine.controller.takes", "drawing")
    window.models.project.edit("", edits.set_field(document, "machine.controller.page.is_known", False))


def test_the_proof_drawing_corrects_the_page_in_one_step(qtbot, window):
    assert not window.parts.proof.makes_sense
    taking(window)
    assert window.parts.proof.makes_sense
    dialog = ProofDialog(window.models, window)
    qtbot.addWidget(dialog)
    assert not dialog.apply.isEnabled()
    document = window.models.project.document
    place = document.hangings[0]
    (x, y), d = place.start_point, place.distance
    for field, (px, py, ax) in zip(
        dialog.readings,
        [(x - 150, y - 100, 0), (x - 150, y - 100, d), (x + 150, y + 100, 0), (x + 150, y + 100, d)],
        strict=True,
    ):
        field.setText(f"{((px - ax) ** 2 + py**2) ** 0.5:.1f}")
    assert dialog.apply.isEnabled() and "as it was meant" in dialog._said.text()
    dialog.readings[0].setText("many")
    assert not dialog.apply.isEnabled() and dialog._said.text()
    dialog.readings[0].setText(f"{((x - 150) ** 2 + (y - 100) ** 2) ** 0.5:.1f}")
    dialog.accept()
    assert window.models.project.document.machine.controller.page.is_known
    window.models.project.undo()
    assert not window.models.project.document.machine.controller.page.is_known


def test_the_export_dialog_names_drawings_only(qtbot, window, tmp_path):
    taking(window)
    dialog = ExportDialog(tmp_path / "job", window.models.project.document.machine.controller, window)
    qtbot.addWidget(dialog)
    said = dialog._note.text()
    assert "one SVG for each pen" in said and ".ngc" not in said


def test_what_to_type_is_shown_from_the_report(qtbot, window, tmp_path):
    report = tmp_path / "report.json"
    report.write_text(json.dumps({"what_to_type": msgspec.to_builtins(WHAT)}))
    assert typing_of_files([tmp_path / "1-black.svg", report]) == WHAT
    report.write_text(json.dumps({"form": "other"}))
    assert typing_of_files([report]) is None
    dialog = TypingDialog(WHAT, window)
    qtbot.addWidget(dialog)
    text = dialog.text.toPlainText()
    order = [
        "Distance between the anchors",
        "2000 mm",
        "481 mm",
        "1-black.svg",
        "30 mm/s",
        "must stand",
        "switch off",
    ]
    assert [text.index(piece) for piece in order] == sorted(text.index(piece) for piece in order)
