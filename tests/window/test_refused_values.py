"""A value that cannot be springs back wherever it was typed, and is said once, at its field."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel, QLineEdit

from tests.support.windows import scripted_window
from wallwright.document import edits
from wallwright.document.new_wall import NewWall
from wallwright.document.quantity import quantities
from wallwright.jobs.checks import Remedy
from wallwright.planning.demo import demo_document
from wallwright.window.model.items import MACHINE, HangingItem
from wallwright.window.widgets.number_field import NumberField


@pytest.fixture
def project(qtbot, tmp_path):
    window, _ = scripted_window(qtbot, demo_document(), tmp_path)
    window.activateWindow()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is window)
    return window


def enter(qtbot, window, name: str, text: str) -> QLineEdit:
    field = next(f for f in window.properties.findChildren(QLineEdit) if f.accessibleName() == name and f.isVisible())
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)
    return field


@pytest.mark.parametrize(
    ("item", "name", "text"),
    [
        (HangingItem(0), "Right of the left anchor", "-100"),  # the field went on showing -100 mm
        (HangingItem(0), "Distance between anchors", "20 km"),
        (MACHINE, "Right belt exit", "-500, 0"),
        (MACHINE, "Mass", "-3"),
    ],
)
def test_a_value_that_cannot_be_springs_back(qtbot, project, item, name, text):
    project.models.selection.select(item)
    before = project.models.project.document
    field = enter(qtbot, project, name, "")
    shown = field.text()
    enter(qtbot, project, name, text)
    assert project.models.project.document is before and field.text() == shown


def test_the_distance_between_the_anchors_is_typed_and_both_move(qtbot, project):
    project.models.selection.select(HangingItem(0))
    before = project.models.project.document
    enter(qtbot, project, "Distance between anchors", "1.8 m")
    after = project.models.project.document
    assert after == edits.set_anchor_distance(before, 0, 1800.0) and after != before
    project.models.project.undo()
    assert project.models.project.document == before


def test_a_remedy_brings_both_anchors_back_onto_the_wall(qtbot, project):
    models = project.models
    models.project.edit("Off", edits.move_anchor(models.project.document, 0, "right", (9000.0, 0.0)))
    project.apply_remedy(Remedy.ANCHORS_ONTO_WALL)
    hanging, wall = models.project.document.hangings[0], models.project.document.wall
    assert wall.left < hanging.left.x < hanging.right.x < wall.right


def test_what_is_wrong_stands_below_the_field_until_something_else_is_typed(qtbot, project):
    """It stood in a banner as well, and its tool tip hid the next label."""
    said = []
    project.models.messages.new_message.connect(said.append)
    project.models.selection.select(HangingItem(0))
    field = enter(qtbot, project, "Distance between anchors", "-3")
    assert "Distance between anchors" in field.error and said == []
    assert [label.text() for label in project.properties.findChildren(QLabel)].count(field.error) == 1
    below = field.mapTo(project, field.rect().bottomLeft()).y()
    label = next(one for one in project.properties.findChildren(QLabel) if one.text() == field.error)
    qtbot.waitUntil(lambda: label.mapTo(project, label.rect().topLeft()).y() >= below)
    enter(qtbot, project, "Distance between anchors", "-4")
    assert [label.text() for label in project.properties.findChildren(QLabel)].count(field.error) == 1
    enter(qtbot, project, "Distance between anchors", "1.8 m")
    assert field.error == "" and field.text() == "1800 mm"


def test_what_is_wrong_goes_with_an_undo(qtbot, project):
    project.models.selection.select(HangingItem(0))
    enter(qtbot, project, "Distance between anchors", "1.8 m")
    field = enter(qtbot, project, "Distance between anchors", "-3")
    assert field.error
    project.models.project.undo()
    assert field.error == ""


def test_on_the_start_page_no_banner_covers_the_steps(qtbot, project):
    said = []
    project.models.messages.new_message.connect(said.append)
    project.parts.start.show()
    guide = project.parts.start.page.guide
    field = guide.wall.fields["width"]
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "10")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert "Wall width" in field.error and said == [] and field.text() == "3000 mm"
    qtbot.keyClicks(field, "4")
    assert field.error == ""


def test_a_field_out_of_sight_says_it_as_a_message(qtbot):
    field, said = NumberField(quantities(NewWall)["width"], 3000.0), []
    qtbot.addWidget(field)
    field.refused_unseen.connect(said.append)
    field.setText("10")
    field.setModified(True)
    field.editingFinished.emit()
    assert len(said) == 1 and field.error == ""
