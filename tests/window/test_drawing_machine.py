"""A machine that takes drawings, in the window: its page's fields, the proof drawing, what to type."""

import json

import msgspec
import numpy as np
import pytest
from PySide6.QtWidgets import QComboBox, QLabel

from tests.support.drawing_pages import WHAT
from wallwright.document import edits
from wallwright.document.start_answers import StartAnswers
from wallwright.planning.proof_drawing import proof_document, proof_figure_for
from wallwright.window.features.export.dialog import ExportDialog, proposed_folder
from wallwright.window.features.export.typing_dialog import TypingDialog, typing_of_files
from wallwright.window.features.proof.dialog import ProofDialog
from wallwright.window.features.start.guided_start_pages import MachinePage
from wallwright.window.model.items import MachineItem


@pytest.fixture
def machine_page(window):
    window.models.selection.select(MachineItem())
    return window.parts.properties


def fields(page) -> list[str]:
    return [label.text() for label in page.findChildren(QLabel) if label.isVisibleTo(page)]


def takes_box(page) -> QComboBox:
    return next(b for b in page.findChildren(QComboBox) if b.accessibleName() == "What does your machine take?")


def test_fields_of_the_page_are_shown_only_where_they_apply(window, machine_page):
    assert "The page asks for" not in fields(machine_page)
    box = takes_box(machine_page)
    box.setCurrentIndex(box.findData("drawing"))
    box.activated.emit(box.currentIndex())
    controller = window.models.project.document.machine.controller
    assert (controller.takes, controller.pacing) == ("drawing", "constant")
    assert {"The page asks for", "Left and top are measured from"} <= set(fields(machine_page))
    assert "Width of its area" not in fields(machine_page) and "Numbers in the file" not in fields(machine_page)
    window.models.project.set_field("", "machine.controller.page.placing", "area")
    assert "Width of its area" in fields(machine_page)
    window.models.project.undo()
    window.models.project.undo()
    assert window.models.project.document.machine.controller.takes == "belts"
    assert "The page asks for" not in fields(machine_page)


def test_fields_that_went_with_their_part_of_the_page_are_not_refreshed(qtbot, window, machine_page):
    project = window.models.project
    project.edit("", edits.set_field(project.document, "machine.controller.takes", "drawing"))
    for placing in ("area", "centred", "wall"):
        project.set_field("", "machine.controller.page.placing", placing)
        qtbot.wait(1)  # the old fields are gone
        project.set_field("", "machine.controller.page.tolerance", 0.03)
        project.undo()
    shown = [
        box for box in machine_page.findChildren(QComboBox) if box.accessibleName() == "What it does with a drawing"
    ]
    assert [box.currentData() for box in shown] == ["wall"]


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
    assert dialog.apply.isEnabled() and "as it was meant" in dialog._message.text()
    dialog.readings[0].setText("many")
    assert not dialog.apply.isEnabled() and dialog._message.text()
    dialog.readings[0].setText(f"{((x - 150) ** 2 + (y - 100) ** 2) ** 0.5:.1f}")
    notices = []
    window.models.messages.new_message.connect(notices.append)
    dialog.accept()
    (notice,) = notices
    assert "page is corrected. Export again" in notice and "does not decide it" not in notice, "mm are no pixels"
    assert window.models.project.document.machine.controller.page.is_known
    window.models.project.undo()
    assert not window.models.project.document.machine.controller.page.is_known


def test_after_correcting_the_page_it_is_said_that_its_pixels_are_not_decided(qtbot, window):
    """Pixels of 1/96 and 1/90 inch: CSS Values and Units Level 3, 5.2; SVG 1.1, 7.10."""
    taking(window)
    document = window.models.project.document
    page = edits.replace(document.machine.controller.page, placing="typed", asks=("left", "top"), unit="px")
    window.models.project.edit("", edits.set_field(document, "machine.controller.page", page))
    dialog = ProofDialog(window.models, window)
    qtbot.addWidget(dialog)
    figure = proof_figure_for(window.models.project.document, 0)
    d = document.hangings[0].distance
    for field, text in zip(
        dialog.readings,
        [f"{np.hypot(x - ax, y):.1f}" for x, y in (figure.first, figure.second) for ax in (0, d)],
        strict=True,
    ):
        field.setText(text)
    assert dialog.apply.isEnabled()
    notices = []
    window.models.messages.new_message.connect(notices.append)
    dialog.accept()
    assert "pixels of 1/96 inch, or of 1/90 inch" in notices[0] and "7 % too large or too small" in notices[0]


def test_the_export_dialog_names_drawings_only(qtbot, window, tmp_path):
    taking(window)
    dialog = ExportDialog(tmp_path / "job", window.models.project.document.machine.controller, window)
    qtbot.addWidget(dialog)
    texts = " ".join(label.text() for label in dialog.findChildren(QLabel))
    assert "one SVG for each pen" in texts and ".ngc" not in texts


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


def test_what_to_type_takes_clicks_beside_the_dialog_that_exported(qtbot, window, tmp_path):
    """The proof drawing's dialog waits for readings; a window of another parent would be blocked by it."""
    report = tmp_path / "report.json"
    content = {"what_to_type": msgspec.to_builtins(WHAT), "hanging": "Hanging 1"}
    report.write_text(json.dumps(content))
    taking(window)
    dialog = ProofDialog(window.models, window)
    qtbot.addWidget(dialog)
    dialog.open()
    window.models.planning.exported.emit((str(report),))
    (shown,) = dialog.findChildren(TypingDialog)
    assert shown.isVisible()
    shown.close()


def test_a_proof_drawing_does_not_ask_for_itself(window):
    taking(window)
    proof = proof_document(window.models.project.document, 0)
    page = proof.machine.controller.page
    assert page.is_known and page.box == "ink", "ticks make it come out alike on pages of both kinds"
    assert proposed_folder(None, "proof") != proposed_folder(None)


def test_who_does_not_know_what_the_machine_takes_can_say_so(qtbot):
    """The answer is the usual one; what to find out stands below it until another answer is given."""
    page, said = MachinePage(), []
    qtbot.addWidget(page)
    page.answered.connect(said.append)
    page.answered.connect(page.show_answers)
    page.show_answers(StartAnswers())
    box = takes_box(page)

    def choose(text: str) -> bool:
        box.setCurrentIndex(box.findText(text))
        box.activated.emit(box.currentIndex())
        assert box.currentText() == text
        return any("Find out before you export" in label.text() for label in page.findChildren(QLabel))

    assert choose("I do not know")
    assert said[-1].machine.controller == StartAnswers().document().machine.controller
    page.show_answers(said[-1])
    assert box.currentText() == "I do not know", "another page's answer leaves it"
    assert not choose("G-code with x and y") and said[-1].machine.controller.takes == "plane"
    assert choose("I do not know") and said[-1].machine.controller.takes == "belts"
    assert not choose("G-code with belt lengths")
