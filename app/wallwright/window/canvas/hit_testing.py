"""What of the wall is under the pointer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from enum import Enum, auto

import msgspec
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPolygonF

from wallwright.document import generated_artwork
from wallwright.document.document import Document
from wallwright.window.canvas.artwork_layer import frame_shown, handle_points
from wallwright.window.canvas.context import CanvasContext
from wallwright.window.canvas.guide_lines import line_at, ruler_at
from wallwright.window.canvas.handles import page_contains
from wallwright.window.canvas.hangings_layer import grip, handover_lines
from wallwright.window.canvas.ink_picking import InkHit, ink_at
from wallwright.window.canvas.keep_out_layer import corner_points, side_points
from wallwright.window.model.items import (
    WALL,
    GuideLineItem,
    HangingItem,
    KeepOutItem,
    PartItem,
    PlacementItem,
)

REACH = 10.0
"""Logical pixels around a point within which the pointer takes hold of it."""
INNER_REACH = 0.25
"""Of a frame's shorter side: as far as a handle reaches into it."""
INK_REACH = 6.0
"""Logical pixels around a stroke in which a click means it."""


class TargetKind(Enum):
    """What can be under the pointer."""

    WALL = auto()
    RULER = auto()
    GUIDE_LINE = auto()
    HANDLE = auto()
    ANCHOR = auto()
    START_POSE = auto()
    HANDOVER = auto()
    PLACEMENT = auto()
    KEEP_OUT = auto()
    CORNER = auto()
    """Of the selected keep-out, as is a side."""
    SIDE = auto()


class Target(msgspec.Struct, frozen=True):
    """One thing under the pointer."""

    kind: TargetKind
    number: int = 0
    """Of the guide line, hanging, keep-out, corner or side."""
    name: str = ""
    """Of the handle; "left" or "right" anchor; id of the placement; "vertical" or "horizontal" of rulers and guide lines."""


CURSORS = {
    TargetKind.HANDLE: Qt.CursorShape.CrossCursor,
    TargetKind.ANCHOR: Qt.CursorShape.PointingHandCursor,
    TargetKind.START_POSE: Qt.CursorShape.PointingHandCursor,
    TargetKind.KEEP_OUT: Qt.CursorShape.SizeAllCursor,
    TargetKind.PLACEMENT: Qt.CursorShape.SizeAllCursor,
    TargetKind.CORNER: Qt.CursorShape.CrossCursor,
    TargetKind.SIDE: Qt.CursorShape.CrossCursor,
    TargetKind.HANDOVER: Qt.CursorShape.SplitHCursor,
}
LINE_CURSORS = {"vertical": Qt.CursorShape.SplitHCursor, "horizontal": Qt.CursorShape.SplitVCursor}


def is_close(a: QPointF, b: QPointF, reach: float = REACH) -> bool:
    """Whether two points of the widget are within reach of each other, logical pixels."""
    return QPointF.dotProduct(a - b, a - b) <= reach * reach


def target_at(context: CanvasContext, at: QPointF) -> Target:
    """What a press at a point of the widget takes hold of: the first that a finder of the table gives."""
    found = (target for find in FINDERS for target in find(context, at))
    return next(found, Target(TargetKind.WALL))


def _rulers(context: CanvasContext, at: QPointF) -> Iterator[Target]:
    if name := ruler_at(at):
        yield Target(TargetKind.RULER, name=name)


def _guide_line(context: CanvasContext, at: QPointF) -> Iterator[Target]:
    document = context.models.project.document
    if (number := line_at(document, context.view, at)) is not None:
        name = "vertical" if document.guide_lines[number].is_vertical else "horizontal"
        yield Target(TargetKind.GUIDE_LINE, number, name)


def _selected_guide_line(context: CanvasContext, at: QPointF) -> Iterator[Target]:
    selected = context.models.selection.item
    return (target for target in _guide_line(context, at) if selected == GuideLineItem(target.number))


def _handles(context: CanvasContext, at: QPointF) -> Iterator[Target]:
    frame, view = frame_shown(context.models), context.view
    if frame is None:
        return
    # Within a small frame the handles leave room to take hold of the whole.
    is_within = page_contains(frame, *view.to_wall(at))
    reach = min(REACH, INNER_REACH * min(frame.width, frame.height) * view.scale) if is_within else REACH
    for name, point in handle_points(view, frame).items():
        if is_close(at, point, reach):
            yield Target(TargetKind.HANDLE, name=name)


def _keep_out_handles(context: CanvasContext, at: QPointF) -> Iterator[Target]:
    models, view = context.models, context.view
    item = models.selection.item
    if not isinstance(item, KeepOutItem):
        return
    keep_out = models.project.document.wall.keep_outs[item.number]
    for handle, points, reach in (
        (TargetKind.CORNER, corner_points(view, keep_out), REACH),
        (TargetKind.SIDE, side_points(view, keep_out), 0.7 * REACH),
    ):
        for place, point in enumerate(points):
            if is_close(at, point, reach):
                yield Target(handle, place)


def _handover_grips(context: CanvasContext, at: QPointF) -> Iterator[Target]:
    for number, x in handover_lines(context.models).items():
        if is_close(at, grip(context.view, context.models.project.document, x)):
            yield Target(TargetKind.HANDOVER, number)


def _anchors_and_start_poses(context: CanvasContext, at: QPointF) -> Iterator[Target]:
    view = context.view
    for number, hanging in enumerate(context.models.project.document.hangings):
        for side, anchor in (("left", hanging.left), ("right", hanging.right)):
            if is_close(at, view.to_screen(anchor.x, anchor.y), 12):
                yield Target(TargetKind.ANCHOR, number, side)
        if is_close(at, view.to_screen(*hanging.start_point), 11):
            yield Target(TargetKind.START_POSE, number)


def _placements(context: CanvasContext, at: QPointF) -> Iterator[Target]:
    models, view = context.models, context.view
    # A keep-out under the pointer comes before an artwork that is only near.
    room = 0.0 if any(_keep_outs(context, at)) else INK_REACH / view.scale
    pages = pages_at(models.project.document, *view.to_wall(at), room)
    # What is selected is taken hold of before what lies over it.
    for page in sorted(pages, key=lambda page: page not in models.selection.placement_ids):
        yield Target(TargetKind.PLACEMENT, name=page)


def _keep_outs(context: CanvasContext, at: QPointF) -> Iterator[Target]:
    point = QPointF(*context.view.to_wall(at))
    for number, keep_out in reversed(list(enumerate(context.models.project.document.wall.keep_outs))):
        outline = QPolygonF([QPointF(*p) for p in keep_out.outline])
        if outline.containsPoint(point, Qt.FillRule.OddEvenFill):
            yield Target(TargetKind.KEEP_OUT, number)


def _handover_lines(context: CanvasContext, at: QPointF) -> Iterator[Target]:
    wall = context.models.project.document.wall
    x, y = context.view.to_wall(at)
    for number, line in handover_lines(context.models).items():
        if abs(x - line) * context.view.scale <= 0.5 * REACH and wall.top <= y <= wall.floor:
            yield Target(TargetKind.HANDOVER, number)


FINDERS: tuple[Callable[[CanvasContext, QPointF], Iterator[Target]], ...] = (
    _rulers,
    _selected_guide_line,
    _handles,
    _keep_out_handles,
    _handover_grips,
    _anchors_and_start_poses,
    _placements,
    _guide_line,
    _keep_outs,
    _handover_lines,
)
"""What takes a press before what."""


def pages_at(document: Document, x: float, y: float, room: float) -> list[str]:
    """Artworks whose page a point of the wall lies on, or no further than room, mm, from, where ink at its edge reaches.

    The smallest first, so that a frame leaves free what it goes around; those beside the point last.
    """
    pages = [p for p in reversed(document.placements) if p.visible and page_contains(p, x, y, room)]
    return [p.id for p in sorted(pages, key=lambda p: (not page_contains(p, x, y), p.width * p.height))]


def artwork_at(context: CanvasContext, at: QPointF) -> tuple[str, InkHit | None]:
    """What a click means among artworks that lie over each other: the one whose ink is there, else the smallest page;
    and its ink there. "": there is no artwork."""
    models, point, reach = context.models, context.view.to_wall(at), INK_REACH / context.view.scale
    pages = pages_at(models.project.document, *point, reach)
    hit = ink_at(models, point, reach, pages)
    if hit is None and len(pages) > 1:
        hit = ink_at(models, point, reach, pages[:1])
    return (hit.placement, hit) if hit is not None else (pages[0] if pages else "", None)


def text_at(context: CanvasContext, at: QPointF) -> str:
    """Id of the text made in the program that is under the pointer; "": there is none."""
    if target_at(context, at).kind is not TargetKind.PLACEMENT:
        return ""
    document, name = context.models.project.document, artwork_at(context, at)[0]
    media = document.artwork(document.placement(name).artwork).media if name else ""
    return name if media == generated_artwork.MEDIA[generated_artwork.TextArtwork] else ""


def select_at(context: CanvasContext, at: QPointF) -> None:
    """Selects what a menu at the pointer is about; what is selected there already stays."""
    models, target = context.models, target_at(context, at)
    match target.kind:
        case TargetKind.PLACEMENT:
            name, hit = artwork_at(context, at)
            part = models.selection.item
            is_of_part = (
                isinstance(part, PartItem)
                and part.placement == name
                and hit is not None
                and hit.part is not None
                and part.holds(hit.part)
            )
            if name not in models.selection.placement_ids and not is_of_part:
                models.selection.select(PlacementItem(name))
        case TargetKind.ANCHOR | TargetKind.START_POSE:
            models.selection.select(HangingItem(target.number))
        case TargetKind.KEEP_OUT:
            models.selection.select(KeepOutItem(target.number))
        case TargetKind.GUIDE_LINE:
            models.selection.select(GuideLineItem(target.number))
        case TargetKind.WALL:
            models.selection.select(WALL)


def cursor_at(context: CanvasContext, at: QPointF) -> Qt.CursorShape:
    """The cursor that shows what a press would take hold of."""
    target = target_at(context, at)
    if target.kind in (TargetKind.RULER, TargetKind.GUIDE_LINE):
        return LINE_CURSORS[target.name]
    return CURSORS.get(target.kind, Qt.CursorShape.ArrowCursor)
