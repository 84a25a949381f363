"""Dragging keep-outs, their corners and their sides."""

from __future__ import annotations

from wallwright.document import edits_keep_outs
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.window.canvas.context import CanvasContext
from wallwright.window.canvas.gaps import things_of
from wallwright.window.canvas.interaction import SNAP_REACH, Drag, Keys, Point
from wallwright.window.canvas.point_drag import PointDrag
from wallwright.window.canvas.snapping import Snap, Snapping, lines_for
from wallwright.window.model.items import KeepOutItem
from wallwright.window.model.models import Models


def begin_keep_out_drag(context: CanvasContext, number: int, start: Point) -> Drag:
    """Selects a keep-out and moves it; start: where the pointer took hold of it, mm."""
    context.models.selection.select(KeepOutItem(number))
    return KeepOutMove(context, number, start, _snapping(context.models.project.document, number))


def begin_corner_drag(context: CanvasContext, place: int, start: Point) -> Drag:
    """Moves a corner of the selected keep-out. A rectangle stays one; with Ctrl the corner moves alone."""
    first, number = context.models.project.document, _selected(context.models)
    return PointDrag(
        context,
        tr("Move a corner"),
        first.wall.keep_outs[number].outline[place],
        start,
        lambda to, keys: edits_keep_outs.move_corner(first, number, place, to, alone=keys.control),
        _snapping(first, number),
    )


def begin_side_drag(context: CanvasContext, place: int, start: Point) -> Drag:
    """Moves the side after a corner of the selected keep-out: of a rectangle the whole side; of a polygon, and with Ctrl,
    it gets a corner in its middle."""
    first, number = context.models.project.document, _selected(context.models)
    outline = first.wall.keep_outs[number].outline
    a, b = outline[place], outline[(place + 1) % len(outline)]

    def change(to: Point, keys: Keys) -> Document:
        if edits_keep_outs.is_rectangle(outline) and not keys.control:
            return edits_keep_outs.move_side(first, number, place, to)
        return edits_keep_outs.add_corner(first, number, place, to)

    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    return PointDrag(context, tr("Change a keep-out"), middle, start, change, _snapping(first, number))


def _selected(models: Models) -> int:
    """Number of the selected keep-out."""
    item = models.selection.item
    if not isinstance(item, KeepOutItem):
        raise ValueError("no keep-out is selected")
    return item.number


def _snapping(document: Document, number: int) -> Snapping:
    wall = document.wall
    return Snapping(
        lines_for(document, without_keep_out=number),
        things=things_of(document, without_keep_out=number),
        wall=(wall.left, wall.top, wall.right, wall.floor),
    )


class KeepOutMove(Drag):
    """Moves a whole keep-out; its box snaps like that of an artwork."""

    def __init__(self, context: CanvasContext, number: int, start: Point, snapping: Snapping) -> None:
        self._context, self._number, self._start, self._snapping = context, number, start, snapping
        self._first = context.models.project.document
        xs, ys = zip(*self._first.wall.keep_outs[number].outline, strict=True)
        self._box = (min(xs), min(ys), max(xs), max(ys))

    def move(self, to: Point, keys: Keys) -> None:
        left, top, right, bottom = self._box
        x, y = left + to[0] - self._start[0], top + to[1] - self._start[1]
        if keys.shift:
            x, y = (x, top) if abs(x - left) > abs(y - top) else (left, y)
        snap = Snap()
        if not keys.alt:
            reach = SNAP_REACH / self._context.view.scale
            snap = self._snapping.box((x, y, x + right - left, y + bottom - top), reach)
        # With Shift the way stays straight: only lines across it count.
        self.guides = tuple(g for g in snap.guides if not keys.shift or g.is_vertical == (y == top))
        axes = {g.is_vertical for g in self.guides}
        x = x + snap.dx if True in axes else round(x)
        y = y + snap.dy if False in axes else round(y)
        document = edits_keep_outs.move_keep_out(self._first, self._number, x - left, y - top)
        self._context.models.project.edit(tr("Move a keep-out"), document, merge="drag")
        place = self._context.models.origin.present.text(x, y, ".1f")
        self.readout = tr("Upper left corner: {0}", place)


def remove_corner(models: Models, place: int) -> None:
    """Removes a corner of the selected keep-out; says why when it has too few."""
    try:
        document = edits_keep_outs.remove_corner(models.project.document, _selected(models), place)
    except BadValue as error:
        models.messages.say(f"{error}.")
    else:
        models.project.edit(tr("Remove a corner"), document)
