"""No letter is lost whenever a plan arrives: at each moment there is between two keys, with another window active, and
while the page is made anew for another reason. The property page stands alone in a window; plans are handed to it.
"""

import dataclasses
import math
from types import SimpleNamespace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QComboBox, QDialog, QLineEdit, QVBoxLayout, QWidget
from shiboken6 import isValid

from tests.support.drawings import yard_document
from tests.support.experienced import ExperiencedRunner
from wallwright.document import edits
from wallwright.document.document import Fill
from wallwright.planning.plan import Goal, Request
from wallwright.window.model.items import MACHINE, WALL, PartItem, PenItem, PlacementItem
from wallwright.window.model.models import Models
from wallwright.window.panels.properties import PropertiesPanel

HOUSE = PartItem("placement-1", "", ("house",))
MOMENTS = ("8", "Tab", "3", "0")
"""What was typed last when a plan arrives, of 8, Tab, 3, 0, Return."""


@pytest.fixture(scope="module")
def preview():
    return ExperiencedRunner().run(Request(1, yard_document(), Goal.PREVIEW)).preview


@pytest.fixture
def page(qtbot, preview):
    """A window with the property page and another field, another window, and ways to change between them."""
    idle = SimpleNamespace(
        busy=False, deadline=None, notify=None, submit=lambda _: None, poll=lambda: [], close=lambda: None
    )
    models = Models.of(yard_document(), idle)
    window, other, beside = QWidget(), QWidget(), QLineEdit()
    panel = PropertiesPanel(models)
    column = QVBoxLayout(window)
    column.addWidget(panel)
    column.addWidget(beside)
    for shown in (other, window):
        qtbot.addWidget(shown)
        shown.resize(400, 700)
        shown.show()
    models.planning.preview = preview
    count = [0]

    def arrive() -> None:
        """Another plan, with other lengths, so that nothing on the page is as it was."""
        count[0] += 1
        reports = []
        for report in preview.reports:
            colours = tuple(dataclasses.replace(use, length=use.length + count[0]) for use in report.colours)
            reports.append(dataclasses.replace(report, colours=colours))
        models.planning.preview = dataclasses.replace(preview, reports=tuple(reports))
        models.planning.preview_changed.emit()
        QApplication.processEvents()

    def activate(window) -> None:
        window.activateWindow()
        qtbot.waitUntil(lambda: QApplication.activeWindow() is window)

    activate(window)
    yield SimpleNamespace(
        models=models,
        panel=panel,
        beside=beside,
        arrive=arrive,
        leave=lambda: activate(other),
        come_back=lambda: activate(window),
        type=lambda text: qtbot.keyClicks(QApplication.focusWidget(), text),
        press=lambda key: qtbot.keyClick(QApplication.focusWidget(), key),
    )
    models.close()


def go_to(page, name: str) -> QLineEdit:
    """Into a field, as by Tab."""
    fields = page.panel.findChildren(QLineEdit)
    field = next(f for f in fields if f.accessibleName() == name and f.isVisible())
    field.setFocus(Qt.FocusReason.TabFocusReason)
    assert field.hasSelectedText()
    return field


@pytest.mark.parametrize("is_away", [False, True], ids=["active", "behind another window"])
@pytest.mark.parametrize("moment", MOMENTS)
def test_a_part_made_anew_takes_no_letter_away(page, moment, is_away):
    """Twice, as a provisional plan and then the whole one come."""

    def may_arrive(now: str) -> None:
        if now != moment:
            return
        if is_away:
            page.leave()
        page.arrive()
        page.arrive()
        if is_away:
            page.come_back()

    page.models.selection.select(HOUSE)
    go_to(page, "Spacing")
    for key in MOMENTS:
        if key == "Tab":
            page.press(Qt.Key.Key_Tab)
            assert QApplication.focusWidget().accessibleName() == "Angle"
        else:
            page.type(key)
        may_arrive(key)
    page.press(Qt.Key.Key_Return)
    own = [ink for ink in page.models.project.document.placements[0].inks if ink.group == HOUSE.group]
    assert [ink.fill for ink in own] == [Fill("quickest", 8.0, pytest.approx(math.radians(30)))]


def test_a_plan_takes_the_keys_from_nothing_else(page):
    """Something beside the page has the keys after a field of the page had them."""
    page.models.selection.select(HOUSE)
    go_to(page, "Spacing")
    page.beside.setFocus()
    page.arrive()
    assert QApplication.focusWidget() is page.beside


@pytest.mark.parametrize(
    ("name", "letters", "path", "meanwhile", "typed"),
    [
        ("Mass", "0.81 kg", "machine.body.mass", 0.7, pytest.approx(0.81)),
        ("Left belt exit", "-50, 4", "machine.body.left_exit", (-61.0, 1.0), (-50.0, 4.0)),
        ("Name", "Carla", "machine.name", "Bert", "Carla"),
    ],
)
def test_half_typed_text_stays_while_another_window_is_used(page, name, letters, path, meanwhile, typed):
    page.models.selection.select(MACHINE)
    field = go_to(page, name)
    page.type(letters)
    page.leave()
    page.models.project.set_field("", path, meanwhile)  # as a remedy that was chosen before would
    assert field.text() == letters
    page.come_back()
    page.press(Qt.Key.Key_Return)
    value = page.models.project.document
    for part in path.split("."):
        value = getattr(value, part)
    assert value == typed


def test_a_page_made_anew_by_its_own_field_goes_on_in_the_next_one(page):
    """A pen's name makes the page anew, for lists of pens show it."""
    models = page.models
    models.selection.select(PenItem(models.project.document.pens[0].id))
    go_to(page, "Name")
    page.type("Chisel tip")
    passed = []
    while (name := QApplication.focusWidget().accessibleName()) != "Line width":
        passed.append(name)
        assert len(passed) < 6, passed
        page.press(Qt.Key.Key_Tab)
    page.type("2.5")
    page.press(Qt.Key.Key_Return)
    assert (models.project.document.pens[0].name, models.project.document.pens[0].width) == ("Chisel tip", 2.5)


def test_half_typed_text_counts_as_entered_when_another_item_is_selected(page):
    models = page.models
    models.selection.select(MACHINE)
    go_to(page, "Mass")
    page.type("0.83")
    models.selection.select(WALL)
    assert models.project.document.machine.body.mass == pytest.approx(0.83)
    models.selection.select(PlacementItem("placement-1"))
    go_to(page, "Width")
    page.type("333")
    models.project.edit("", edits.replace(models.project.document, placements=()))
    assert models.selection.items == (WALL,), "the field of what is gone takes nothing"


def test_an_open_list_stays_open_when_a_plan_arrives(qtbot, page):
    page.models.selection.select(HOUSE)
    pens = next(b for b in page.panel.findChildren(QComboBox) if b.accessibleName() == "Pen")
    pens.setFocus()
    pens.showPopup()
    page.arrive()
    assert pens.isVisible() and pens.view().isVisible()
    pens.hidePopup()
    qtbot.waitUntil(lambda: not isValid(pens) or not pens.isVisible())  # the page waits for it to be made anew
    assert QApplication.focusWidget().accessibleName() == "Pen"


def test_a_dialog_of_the_window_finishes_what_is_half_typed(qtbot, page):
    """What the dialog does is done with what was typed."""
    page.models.selection.select(MACHINE)
    go_to(page, "Mass")
    page.type("0.84")
    dialog = QDialog(page.panel)
    dialog.show()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is dialog)
    assert page.models.project.document.machine.body.mass == pytest.approx(0.84)
    dialog.close()
