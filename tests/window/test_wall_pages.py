"""Pages of the inspector about the wall: names offered for keep-outs, and places as a tape measures them."""

import math

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QPushButton

from wallwright.document import edits
from wallwright.document.placing import placement_box
from wallwright.window.model.items import KeepOutItem, PlacementItem
from wallwright.window.widgets.number_field import NumberField


def enter(qtbot, window, name: str, text: str) -> None:
    line = [f for f in window.findChildren(NumberField) if f.accessibleName() == name][-1]
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, text)
    qtbot.keyClick(line, Qt.Key.Key_Return)


def test_artwork_is_put_by_its_left_side_and_its_bottom(qtbot, window):
    """Turned artwork by what is leftmost and lowest of it; one number moves it one way only."""
    models, wall = window.models, window.models.project.document.wall
    models.project.edit("Turn", edits.set_placement(models.project.document, "placement-1", turn=math.radians(30)))
    models.selection.select(PlacementItem("placement-1"))
    before = placement_box(models.project.document.placements[0])
    models.origin.choose("wall")
    enter(qtbot, window, "Left side, from the wall's left edge", "90 cm")
    box = placement_box(models.project.document.placements[0])
    assert box[0] - wall.left == pytest.approx(900) and box[3] == pytest.approx(before[3])
    enter(qtbot, window, "Bottom, above the floor", "2.4 m / 3")
    box = placement_box(models.project.document.placements[0])
    assert wall.floor - box[3] == pytest.approx(800) and box[0] - wall.left == pytest.approx(900)
    assert [title for title, _ in models.project.history.past[-2:]] == [
        "Change: Left side, from the wall's left edge",
        "Change: Bottom, above the floor",
    ]


def test_a_keep_out_takes_an_offered_name_or_any_other(qtbot, window):
    models = window.models
    models.selection.select(KeepOutItem(1))
    box = next(b for b in window.findChildren(QComboBox) if b.accessibleName() == "Name")
    assert box.currentText() == "Socket" and box.findText("Switch") >= 0
    steps = len(models.project.history.past)
    box.lineEdit().setFocus()
    qtbot.keyClick(box.lineEdit(), Qt.Key.Key_Return)
    assert len(models.project.history.past) == steps  # nothing was changed
    box.setCurrentIndex(box.findText("Switch"))
    box.activated.emit(box.currentIndex())
    assert models.project.document.wall.keep_outs[1].name == "Switch"
    box.lineEdit().selectAll()
    qtbot.keyClicks(box.lineEdit(), "Bell of the neighbour")
    qtbot.keyClick(box.lineEdit(), Qt.Key.Key_Return)
    assert models.project.document.wall.keep_outs[1].name == "Bell of the neighbour"
    models.project.undo()
    assert box.currentText() == "Switch"


def test_a_keep_out_says_what_is_inside_the_wall_behind_it(qtbot, window):
    """The kind follows the name until a person chooses another one."""
    models = window.models
    models.selection.select(KeepOutItem(1))
    keep_out = lambda: models.project.document.wall.keep_outs[1]  # noqa: E731
    name, inside = (
        next(b for b in window.findChildren(QComboBox) if b.accessibleName() == title)
        for title in ("Name", "Inside the wall")
    )
    assert [inside.itemText(i) for i in range(inside.count())] == ["Nothing", "Cables", "Pipes"]
    assert keep_out().kind == "electrical" and inside.currentText() == "Cables"
    for text, kind in (("Radiator", "Pipes"), ("Door", "Nothing"), ("Lamp", "Cables")):
        name.setCurrentIndex(name.findText(text))
        name.activated.emit(name.currentIndex())
        assert keep_out().name == text and inside.currentText() == kind
    inside.setCurrentIndex(inside.findText("Pipes"))
    inside.activated.emit(inside.currentIndex())
    assert keep_out().kind == "water"
    name.setCurrentIndex(name.findText("Switch"))
    name.activated.emit(name.currentIndex())
    assert keep_out().name == "Switch" and keep_out().kind == "water"
    models.project.undo()
    assert (keep_out().name, keep_out().kind) == ("Lamp", "water")


def test_artwork_gets_the_size_that_its_file_states(qtbot, window):
    models = window.models
    models.planning.plan_now()
    qtbot.waitUntil(lambda: models.planning.preview_document is models.project.document)
    placement = models.project.document.placements[0]
    stated = models.planning.report_of(placement.id).natural_size
    models.selection.select(PlacementItem(placement.id))
    (button,) = (b for b in window.findChildren(QPushButton) if b.text().startswith("Set to the size in the file"))
    assert f"{stated[0]:.0f} × {stated[1]:.0f} mm" in button.text()
    button.click()
    after = models.project.document.placement(placement.id)
    assert (after.width, after.height) == stated != (placement.width, placement.height)
    assert (after.x, after.y) == (placement.x, placement.y)
