"""The menu at the pointer, on the wall and in the contents: what can be done with what is there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QPointF
from PySide6.QtWidgets import QMenu

from wallwright.artwork.colour import name_of
from wallwright.document.language import tr
from wallwright.strokes.remaining import place_near
from wallwright.window.canvas.hit_testing import INK_REACH, artwork_at, select_at
from wallwright.window.model.ink_picking import parts_at
from wallwright.window.model.selection import PartSelection, around

if TYPE_CHECKING:
    from wallwright.window.model.ink_picking import InkHit
    from wallwright.window.shell.main_window import MainWindow

LINE = ""
"""A line between two actions."""
ARTWORK = (
    "cut", "copy", "paste", "duplicate", "remove", LINE, "to-front", "forward", "backward", "to-back", LINE,
    "fill-zone", "mirror-across", "mirror-down", LINE, "lock", "hide", LINE, "fit-selected",
)  # fmt: skip
MENUS = {
    "placement": ARTWORK,
    "several": ARTWORK,
    "part": ("pens-for-colours",),
    "line": ("remove",),
    "keepout": ("remove", "draw-keep-out", "fit-selected"),
    "pen": ("remove",),
    "photo": ("straighten", "remove"),
    "hanging": ("duplicate", "remove", "hang-right", "hang-left", "hang-as-often", "advise-anchors", "calibrate"),
    "machine": ("keep-machine", "calibrate"),
    "wall": ("paste", "select-all", LINE, "add-artwork", "draw-keep-out", LINE, "fit", "actual-size",
             "keep-wall"),
}  # fmt: skip
"""Ids of actions by the kind of what is selected."""


def menu_of(window: MainWindow) -> QMenu:
    """What can be done with what is selected."""
    menu = QMenu(window)
    part = PartSelection.of(window.session.selection)
    if part is not None:
        whole = menu.addAction(tr("Select the whole artwork"))
        whole.triggered.connect(lambda: window.session.select(around(part.key)))
    for name in MENUS[window.session.selection.partition(":")[0]]:
        if name == LINE:
            menu.addSeparator()
        else:
            menu.addAction(window.actions_by_id[name])
    menu.aboutToHide.connect(menu.deleteLater)
    return menu


def menu_at(window: MainWindow, at: QPointF) -> QMenu:
    """Selects what is at a point of the canvas, and gives its menu; of ink also its parts and its moment."""
    canvas = window.canvas
    select_at(canvas, at)
    menu = menu_of(window)
    name, hit = artwork_at(canvas, at)
    if hit is not None and (
        name in window.session.placement_ids or PartSelection.of(window.session.selection)
    ):
        _add_ink(window, menu, hit, at)
    return menu


def _add_ink(window: MainWindow, menu: QMenu, hit: InkHit, at: QPointF) -> None:
    """Before everything else: the parts that the ink belongs to, and when it is drawn."""
    first = menu.actions()[0]
    for part in parts_at(window.session, hit):
        if part.key in window.session.chosen:
            continue
        if not part.group:
            title = tr("Select its colour: {0}", name_of(part.colour))
        elif part.colour:
            title = tr("Select its colour in {0}: {1}", " / ".join(part.group), name_of(part.colour))
        else:
            title = tr("Select its group: {0}", " / ".join(part.group))
        action = menu.addAction(title.replace("&", "&&"))
        action.triggered.connect(lambda _=False, part=part: window.session.select(part.key))
        menu.insertAction(first, action)
    moment = menu.addAction(tr("Show when it is drawn"))
    moment.setEnabled(window.strip.bar.isEnabled())
    view = window.canvas.view
    point, reach = view.to_wall(at), INK_REACH / view.scale
    moment.triggered.connect(lambda: window.strip.find(point, reach))
    menu.insertAction(first, moment)
    numbered = moment.isEnabled() and window.session.plan_is_final
    place = place_near(window.session.plan.strokes, point, reach) if numbered else None
    if place is not None:
        count = len(window.session.plan.strokes)
        go_on = menu.addAction(tr("Go on from stroke {0} of {1}…", place.stroke + 1, count))
        go_on.triggered.connect(lambda: window.going_on.open_at(point, reach))
        menu.insertAction(first, go_on)
    menu.insertSeparator(first)


def show_on_wall(window: MainWindow, at: QPoint, by_key: bool) -> None:
    """at: on the canvas. Called by a key it speaks of what is selected, wherever the pointer is."""
    menu = menu_of(window) if by_key else menu_at(window, QPointF(at))
    menu.popup(window.canvas.mapToGlobal(at))


def show_in_contents(window: MainWindow, at: QPoint) -> None:
    """at: on the screen; what it was called for is selected by then."""
    menu_of(window).popup(at)
