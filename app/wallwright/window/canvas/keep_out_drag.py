"""Dragging keep-outs, their corners and their sides."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF

from wallwright.document import edits_keep_outs
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import format_number, tr
from wallwright.window.canvas.drag import SNAP_REACH, Drag, Keys, Point, PointDrag
from wallwright.window.canvas.gaps import things_of
from wallwright.window.canvas.hit_testing import target_at
from wallwright.window.canvas.snapping import Snap, Snapping, lines_for

if TYPE_CHECKING:
    from wallwright.window.canvas.canvas import Canvas


def begin_keep_out_drag(canvas: Canvas, kind: str, place: int, start: Point) -> Drag:
    """kind: "keep-out" number `place`, or a "corner" or "side" of the selected one.

    A rectangle stays one; with Ctrl its corner moves alone, and its side, like that of a polygon, gets a corner.
    """
    session, first = canvas.session, canvas.session.document
    if kind == "keep-out":
        session.select(f"keepout:{place}")
    number = int(session.selection.partition(":")[2])
    outline = first.wall.keep_outs[number].outline
    wall = first.wall
    snapping = Snapping(
        lines_for(first, without_keep_out=number), things=things_of(first, without_keep_out=number),
        wall=(wall.left, wall.top, wall.right, wall.floor),
    )  # fmt: skip
    if kind == "keep-out":
        return KeepOutMove(canvas, number, start, snapping)
    if kind == "corner":
        return PointDrag(
            canvas, tr("Move a corner"), outline[place], start,
            lambda to, keys: edits_keep_outs.move_corner(first, number, place, to, alone=keys.control), snapping,
        )  # fmt: skip
    a, b = outline[place], outline[(place + 1) % len(outline)]

    def change(to: Point, keys) -> Document:
        if edits_keep_outs.is_rectangle(outline) and not keys.control:
            return edits_keep_outs.move_side(first, number, place, to)
        return edits_keep_outs.add_corner(first, number, place, to)

    return PointDrag(
        canvas, tr("Change a keep-out"), ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), start, change, snapping
    )


class KeepOutMove(Drag):
    """Moves a whole keep-out; its box comes to rest like that of an artwork."""

    def __init__(self, canvas: Canvas, number: int, start: Point, snapping: Snapping) -> None:
        self._canvas, self._number, self._start, self._snapping = canvas, number, start, snapping
        self._first = canvas.session.document
        xs, ys = zip(*self._first.wall.keep_outs[number].outline, strict=True)
        self._box = (min(xs), min(ys), max(xs), max(ys))

    def move(self, to: Point, keys: Keys) -> None:
        left, top, right, bottom = self._box
        x, y = left + to[0] - self._start[0], top + to[1] - self._start[1]
        if keys.shift:
            x, y = (x, top) if abs(x - left) > abs(y - top) else (left, y)
        snap = Snap()
        if not keys.alt:
            reach = SNAP_REACH / self._canvas.view.scale
            snap = self._snapping.box((x, y, x + right - left, y + bottom - top), reach)
        # With Shift the straight way is kept: only what lies along it counts.
        self.guides = tuple(g for g in snap.guides if not keys.shift or g.plumb == (y == top))
        moves = {g.plumb for g in self.guides}
        x = x + snap.dx if True in moves else round(x)
        y = y + snap.dy if False in moves else round(y)
        document = edits_keep_outs.move_keep_out(self._first, self._number, x - left, y - top)
        self._canvas.session.edit(tr("Move a keep-out"), document, merge="drag")
        self.readout = tr("{0} right, {1} down", format_number(x, ".1f"), format_number(y, ".1f"))


def remove_corner_at(canvas: Canvas, at: QPointF) -> bool:
    """Takes the corner of the selected keep-out under the pointer away; False: there is none."""
    kind, place = target_at(canvas, at)
    if kind != "corner":
        return False
    session = canvas.session
    try:
        number = int(session.selection.partition(":")[2])
        document = edits_keep_outs.remove_corner(session.document, number, int(place))
    except BadValue as trouble:
        session.trouble.emit(f"{trouble}.")
    else:
        session.edit(tr("Remove a corner"), document)
    return True
