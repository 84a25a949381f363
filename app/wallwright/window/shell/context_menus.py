"""Context menus of the wall, the contents and the time strip."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF
from PySide6.QtWidgets import QLabel, QMenu, QWidgetAction

from wallwright.artwork.colour import name_of
from wallwright.document.language import tr
from wallwright.strokes.remaining import place_near
from wallwright.window.canvas.hit_testing import INK_REACH, artwork_at, select_at
from wallwright.window.canvas.ink_picking import InkHit, parts_at
from wallwright.window.model.items import (
    GuideLineItem,
    HangingItem,
    Item,
    KeepOutItem,
    MachineItem,
    PartItem,
    PenItem,
    PhotoItem,
    PlacementItem,
    WallItem,
    parent_of,
)
from wallwright.window.shell.action_ids import ActionId as Id
from wallwright.window.shell.window_parts import WindowParts

Ids = tuple[Id | None, ...]
"""Ids of a menu; None: a separator."""
ARTWORK: Ids = (
    Id.CUT,
    Id.COPY,
    Id.PASTE,
    Id.DUPLICATE,
    Id.REMOVE,
    None,
    Id.TO_FRONT,
    Id.FORWARD,
    Id.BACKWARD,
    Id.TO_BACK,
    None,
    Id.FILL_ZONE,
    Id.MIRROR_ACROSS,
    Id.MIRROR_DOWN,
    None,
    Id.LOCK,
    Id.HIDE,
    None,
    Id.FIT_SELECTED,
)
MENUS: dict[type[Item], Ids] = {
    PlacementItem: ARTWORK,
    PartItem: (Id.PENS_FOR_COLOURS,),
    GuideLineItem: (Id.REMOVE,),
    KeepOutItem: (Id.REMOVE, Id.DRAW_KEEP_OUT, Id.FIT_SELECTED),
    PenItem: (
        Id.PEN_EARLIER,
        Id.PEN_LATER,
        Id.LIGHT_TO_DARK,
        None,
        Id.MEASURE_PENS,
        Id.REFILL_PEN,
        Id.SAVE_PEN,
        None,
        Id.REMOVE,
    ),
    PhotoItem: (Id.STRAIGHTEN, Id.REMOVE),
    HangingItem: (
        Id.DUPLICATE,
        Id.REMOVE,
        Id.HANG_RIGHT,
        Id.HANG_LEFT,
        Id.COVER_ARTWORK,
        Id.ADVISE_ANCHORS,
        Id.CALIBRATE,
    ),
    MachineItem: (Id.SAVE_MACHINE, Id.EXPORT_MACHINE, Id.IMPORT_MACHINE, None, Id.CONTROLLER_SETTINGS, Id.CALIBRATE),
    WallItem: (
        Id.PASTE,
        Id.SELECT_ALL,
        None,
        Id.ADD_ARTWORK,
        Id.DRAW_KEEP_OUT,
        None,
        Id.FIT,
        Id.ACTUAL_SIZE,
        Id.SAVE_WALL,
    ),
}
"""Menus by the kind of selected item; several artworks have the menu of one."""
MOMENT = (Id.CONTINUE_JOB, Id.PREVIOUS_STROKE, Id.NEXT_STROKE, Id.WHOLE_JOB)
"""Menu of the time strip."""


def menu_of(parts: WindowParts) -> QMenu:
    """Returns the menu of the selection."""
    menu = QMenu(parts.widget)
    selection = parts.models.selection
    if isinstance(selection.item, PartItem):
        whole = menu.addAction(tr("Select the whole artwork"))
        whole.triggered.connect(lambda: selection.select(parent_of(selection.item)))
    for name in MENUS[type(selection.items[0])]:
        if name is None:
            menu.addSeparator()
        else:
            menu.addAction(parts.actions[name])
    menu.aboutToHide.connect(menu.deleteLater)
    return menu


def menu_at(parts: WindowParts, at: QPointF) -> QMenu:
    """Selects the item at a point of the canvas and returns its menu; for ink, with its parts and its moment."""
    select_at(parts.canvas, at)
    menu = menu_of(parts)
    name, hit = artwork_at(parts.canvas, at)
    selection = parts.models.selection
    if hit is not None and (name in selection.placement_ids or isinstance(selection.item, PartItem)):
        _add_ink(parts, menu, hit, at)
    return menu


def _add_ink(parts: WindowParts, menu: QMenu, hit: InkHit, at: QPointF) -> None:
    """Adds at the top the parts that the ink belongs to, and when it is drawn."""
    first = menu.actions()[0]
    models = parts.models
    for part in parts_at(models.planning, hit):
        if part in models.selection.items:
            continue
        if not part.group:
            title = tr("Select its colour: {0}", name_of(part.colour))
        elif part.colour:
            title = tr("Select its colour in {0}: {1}", " / ".join(part.group), name_of(part.colour))
        else:
            title = tr("Select its group: {0}", " / ".join(part.group))
        action = menu.addAction(title.replace("&", "&&"))
        action.triggered.connect(lambda _=False, part=part: models.selection.select(part))
        menu.insertAction(first, action)
    moment = menu.addAction(tr("Show when it is drawn"))
    moment.setEnabled(parts.strip.bar.isEnabled())
    view = parts.canvas.view
    point, reach = view.to_wall(at), INK_REACH / view.scale
    moment.triggered.connect(lambda: parts.strip.seek_point(point, reach))
    menu.insertAction(first, moment)
    plan = models.planning.fresh_plan
    if plan is not None and moment.isEnabled() and models.planning.plan_is_final:
        place = place_near(plan.strokes, point, reach)
        if place is not None:
            go_on = menu.addAction(tr("Continue from stroke {0} of {1}…", place.stroke + 1, len(plan.strokes)))
            go_on.triggered.connect(lambda: parts.continue_job.open_at(point, reach))
            menu.insertAction(first, go_on)
    menu.insertSeparator(first)


def show_on_wall(parts: WindowParts, at: QPoint, by_key: bool) -> None:
    """Shows the menu at a point of the canvas; by key, that of the selection, regardless of the pointer."""
    menu = menu_of(parts) if by_key else menu_at(parts, QPointF(at))
    menu.popup(parts.canvas.mapToGlobal(at))


def show_in_contents(parts: WindowParts, at: QPoint) -> None:
    """Shows the menu of the selection at a point of the screen."""
    menu_of(parts).popup(at)


def show_on_strip(parts: WindowParts, at: QPoint) -> QMenu:
    """Returns the menu of the shown moment. at: on the screen."""
    menu = QMenu(parts.widget)
    menu.setToolTipsVisible(True)
    menu.setAccessibleName(tr("Menu for this moment"))
    if words := parts.continue_job.words():
        title = QLabel(f"<b>{words}</b>")
        title.setContentsMargins(10, 6, 10, 4)
        heading = QWidgetAction(menu)
        heading.setDefaultWidget(title)
        heading.setText(words)
        heading.setEnabled(False)
        menu.addAction(heading)
        menu.addSeparator()
    for name in MOMENT:
        menu.addAction(parts.actions[name])
    menu.aboutToHide.connect(menu.deleteLater)
    menu.popup(at)
    return menu
