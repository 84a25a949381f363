"""The menu at the pointer: it selects what is there and offers what can be done with it."""

import typing

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtWidgets import QApplication, QMenu

from tests.support.hands import double_click, on_screen
from wallwright.window.model.items import WALL, HangingItem, Item, PartItem, PenItem, PlacementItem
from wallwright.window.panels.contents import KEY, Contents
from wallwright.window.shell import context_menus


def titles(menu: QMenu) -> list[str]:
    return [a.text().replace("&", "") for a in menu.actions() if not a.isSeparator()]


def pick(menu: QMenu, title: str) -> None:
    next(a for a in menu.actions() if a.text().replace("&", "") == title).trigger()
    menu.deleteLater()


def at(window, x: float, y: float) -> QMenu:
    return context_menus.menu_at(window.parts, QPointF(on_screen(window, x, y)))


def test_it_selects_what_is_under_the_pointer(yard):
    models = yard.models
    hanging = models.project.document.hangings[0]
    for point, chosen, has in (
        ((850, 750), PlacementItem("placement-1"), "Duplicate"),
        ((hanging.left.x, hanging.left.y), HangingItem(0), "Calibrate…"),
        ((1700, 1500), WALL, "Paste"),
    ):
        menu = at(yard, *point)
        assert models.selection.item == chosen and has in titles(menu)
        menu.deleteLater()


def test_several_stay_selected_when_it_is_asked_for_on_one_of_them(yard):
    yard.parts.actions["select-all"].trigger()
    yard.parts.actions["duplicate"].trigger()
    yard.parts.actions["select-all"].trigger()
    before = yard.models.selection.items
    pick(at(yard, 850, 750), "Lock or unlock")
    assert yard.models.selection.items == before and all(p.locked for p in yard.models.project.document.placements)


def test_of_ink_it_offers_the_parts_and_the_moment(qtbot, yard):
    models, player = yard.models, yard.strip.player
    qtbot.waitUntil(lambda: not models.planning.plan_is_stale, timeout=60_000)
    menu = at(yard, 950, 750)
    assert titles(menu)[:4] == [
        "Select its colour: Red",
        "Select its group: house",
        "Select its group: house / roof",
        "Show when it is drawn",
    ]
    pick(menu, "Select its group: house / roof")
    assert models.selection.item == PartItem("placement-1", "", ("house", "roof"))
    pick(at(yard, 950, 750), "Show when it is drawn")
    assert player.at_moment and models.selection.item.group == ("house", "roof")
    pick(at(yard, 950, 750), "Select the whole artwork")
    assert models.selection.item == PlacementItem("placement-1")
    double_click(qtbot, yard, on_screen(yard, 1150, 750))
    at(yard, 850, 750).deleteLater()  # other ink of the artwork, which is not of the chosen part
    assert models.selection.item == PlacementItem("placement-1")


def shown_menus() -> list[QMenu]:
    return [w for w in QApplication.topLevelWidgets() if isinstance(w, QMenu) and w.isVisible()]


def ask(widget, reason, point: QPoint) -> None:
    QApplication.sendEvent(widget, QContextMenuEvent(reason, point, widget.mapToGlobal(point)))


def test_mouse_and_key_ask_for_it_on_the_wall_and_in_the_contents(qtbot, yard):
    Reason = QContextMenuEvent.Reason
    tree = yard.findChild(Contents)
    item = next(i for i in tree._items() if i.data(0, KEY) == PenItem("red"))
    tree.scrollToItem(item)
    spot = tree.visualItemRect(item).center()
    qtbot.mousePress(tree.viewport(), Qt.MouseButton.RightButton, pos=spot)
    ask(tree.viewport(), Reason.Mouse, spot)
    (menu,) = shown_menus()
    assert (
        yard.models.selection.item == PenItem("red") and titles(menu)[-1] == "Remove" and "Draw earlier" in titles(menu)
    )
    menu.close()
    qtbot.mouseRelease(tree.viewport(), Qt.MouseButton.RightButton, pos=spot)
    # By key it is about what is selected, wherever the pointer is.
    ask(yard.canvas, Reason.Keyboard, QPoint(5, 5))
    (menu,) = shown_menus()
    assert (
        yard.models.selection.item == PenItem("red") and titles(menu)[-1] == "Remove" and "Draw earlier" in titles(menu)
    )
    menu.close()
    ask(yard.canvas, Reason.Mouse, on_screen(yard, 850, 750))
    (menu,) = shown_menus()
    assert "Duplicate" in titles(menu)
    menu.close()


def test_while_drawing_or_dragging_there_is_none(qtbot, yard):
    yard.parts.actions["draw-keep-out"].trigger()
    ask(yard.canvas, QContextMenuEvent.Reason.Mouse, on_screen(yard, 850, 750))
    assert shown_menus() == []


def test_every_kind_of_selection_has_actions_that_exist(yard):
    kinds = set(typing.get_args(Item))
    listed = {type(row[0]) for row in yard.findChild(Contents).rows() if row[0] is not None}
    assert len(listed) > 4 and listed <= kinds
    assert kinds == set(context_menus.MENUS)
    for names in context_menus.MENUS.values():
        assert [n for n in names if n and n not in yard.parts.actions] == []
