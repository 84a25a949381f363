"""What is seldom changed is folded under "More"; nothing is lost by folding, and the keyboard reaches everything."""

import msgspec
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QComboBox, QLabel, QWidget

from wallwright.document import edits
from wallwright.document.quantity import quantities
from wallwright.jobs.checks import Remedy
from wallwright.planning.demo import demo_document
from wallwright.window.model.items import MACHINE, WALL, PenItem
from wallwright.window.model.models import Models
from wallwright.window.panels.machine_page import ON_DRAWING
from wallwright.window.panels.properties import PropertiesPanel
from wallwright.window.shell.remedy_actions import apply_remedy
from wallwright.window.widgets.more_fold import MoreFold
from wallwright.window.widgets.number_field import NumberField


@pytest.fixture
def panel(qtbot):
    models = Models.of(demo_document())
    panel = PropertiesPanel(models)
    qtbot.addWidget(panel)
    panel.resize(400, 600)
    panel.show()
    panel.activateWindow()
    qtbot.waitActive(panel)
    yield panel
    models.close()


def shown(panel, item):
    """The page of an item, selected."""
    panel.models.selection.select(item)
    return panel.widget()


def folds(page):
    return {fold.button.accessibleName(): fold for fold in page.findChildren(MoreFold)}


def field(page, path):
    return page.findChild(QWidget, path)


def test_more_stands_in_line_with_the_titles(panel):
    """Its arrow, which is as wide as a letter, stands below their first letter (own choice, no source)."""
    page = shown(panel, MACHINE)
    title = next(label for label in page.findChildren(QLabel) if label.text() == "Belt on the machine")
    for fold in (fold for fold in page.findChildren(MoreFold) if fold.isVisible()):
        picture = fold.button.grab().toImage()
        ground = picture.pixelColor(picture.width() - 1, 0)
        inked = [
            x
            for x in range(picture.width())
            for y in range(4, picture.height() - 4)
            if picture.pixelColor(x, y) != ground
        ]
        left = fold.button.mapTo(page, QPoint(min(inked), 0)).x() / picture.devicePixelRatio()
        assert abs(left - title.mapTo(page, QPoint(0, 0)).x()) <= 8


def test_basic_numbers_are_seen_and_the_rest_is_there(panel):
    page = shown(panel, MACHINE)
    for path in ("machine.belt.length", "machine.motor.set_current", "machine.limits.draw_speed", "machine.lift.kind"):
        assert field(page, path).isVisible(), path
    for path in ("machine.belt.stiffness", "machine.motor.usable", "machine.limits.tilt", "machine.controller.curves"):
        assert not field(page, path).isVisible(), path
    page = shown(panel, PenItem("black"))
    assert all(field(page, f"pens.3.{name}").isVisible() for name in ("width", "speed", "ink", "drying", "over"))
    assert not any(field(page, f"pens.3.{name}").isVisible() for name in ("opacity", "tip_right", "drag"))


def test_no_number_of_machine_or_pen_is_left_out(panel):
    page, machine = shown(panel, MACHINE), panel.models.project.document.machine
    for part in ("body", "belt", "motor", "lift", "controller", "limits"):
        for name in quantities(type(getattr(machine, part))):
            if f"{part}.{name}" not in ON_DRAWING:
                assert isinstance(field(page, f"machine.{part}.{name}"), NumberField), (part, name)
    page, pen = shown(panel, PenItem("black")), panel.models.project.document.pens[3]
    assert all(isinstance(field(page, f"pens.3.{name}"), NumberField) for name in quantities(type(pen)))


def test_what_is_folded_keeps_its_value_and_goes_with_the_document(qtbot, panel):
    page = shown(panel, MACHINE)
    fold, stiffness = folds(page)["More: Belts"], field(page, "machine.belt.stiffness")
    fold.button.click()
    stiffness.selectAll()
    qtbot.keyClicks(stiffness, "12000")
    qtbot.keyClick(stiffness, Qt.Key.Key_Return)
    document = panel.models.project.document
    assert document.machine.belt.stiffness == 12_000
    fold.button.click()
    assert not stiffness.isVisible() and panel.models.project.document is document
    belt = msgspec.structs.replace(document.machine.belt, stiffness=9000.0)
    panel.models.project.edit("Another", edits.with_field(document, "machine.belt", belt))
    fold.button.click()
    assert stiffness.text().replace("\u202f", "").replace(" ", "").startswith("9000")


def test_state_is_remembered_for_each_fold(panel):
    folds(shown(panel, MACHINE))["More: Belts"].button.click()
    shown(panel, WALL)
    page = shown(panel, MACHINE)
    assert field(page, "machine.belt.stiffness").isVisible()
    assert not field(page, "machine.motor.usable").isVisible()
    panel.models.project.set_field("Takes", "machine.controller.takes", "drawing")  # builds some parts anew
    assert field(page, "machine.belt.stiffness").isVisible()


def test_keys_open_a_fold_and_walk_through_it(qtbot, panel):
    page = shown(panel, PenItem("black"))
    (fold,) = folds(page).values()
    fold.button.setFocus()
    qtbot.keyClick(fold.button, Qt.Key.Key_Tab)
    assert not fold.isAncestorOf(panel.window().focusWidget())  # closed, it has nothing to stop at
    fold.button.setFocus()
    qtbot.keyClick(fold.button, Qt.Key.Key_Space)
    qtbot.waitUntil(field(page, "pens.3.opacity").isVisible)
    qtbot.keyClick(fold.button, Qt.Key.Key_Tab)
    assert panel.window().focusWidget() is field(page, "pens.3.opacity")


@pytest.mark.parametrize("path", ["machine.belt.stiffness", "machine.controller.curves", "machine.limits.draw_speed"])
def test_a_field_that_is_opened_is_unfolded_seen_and_has_the_keys(qtbot, panel, path):
    page = shown(panel, MACHINE)
    panel.show_field(path)
    wanted = field(page, path)
    assert wanted.isVisible() and isinstance(wanted, NumberField | QComboBox)
    assert panel.window().focusWidget() is wanted
    qtbot.waitUntil(lambda: not wanted.visibleRegion().isEmpty())


def test_the_check_of_an_anchor_opens_the_rating_that_is_missing(window):
    window.models.project.set_field("Rating", "hangings.0.left.rating", 80.0)
    apply_remedy(window.parts, Remedy.ENTER_RATING)
    assert window.focusWidget() is field(window.properties.widget(), "hangings.0.right.rating")
