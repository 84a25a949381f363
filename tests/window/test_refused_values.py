"""A value that cannot be springs back wherever it was typed, and is said once, at its field."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLineEdit

from tests.support.windows import scripted_window
from wallwright.document import edits
from wallwright.jobs.checks import Remedy
from wallwright.planning.demo import demo_document
from wallwright.window.model.items import MACHINE, HangingItem


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
        (MACHINE, "Right exit", "-500, 0"),
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
