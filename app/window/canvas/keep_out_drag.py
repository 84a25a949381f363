"""Dragging keep-outs, their corners and their sides."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF

from app.document import edits_keep_outs
from app.document.document import Document
from app.document.errors import BadValue
from app.document.language import tr
from app.window.canvas.drag import Drag, Point, PointDrag
from app.window.canvas.snapping import Snapping, lines_for
from app.window.canvas.targets import target_at

if TYPE_CHECKING:
    from app.window.canvas.canvas import Canvas


def begin_keep_out_drag(canvas: Canvas, kind: str, place: int, start: Point) -> Drag:
    """kind: "keep-out" number `place`, or a "corner" or "side" of the selected one.

    A rectangle stays one; with Ctrl its corner moves alone, and its side, like that of a polygon, gets a corner.
    """
    session, first = canvas.session, canvas.session.document
    if kind == "keep-out":
        session.select(f"keepout:{place}")
    number = int(session.selection.partition(":")[2])
    outline = first.wall.keep_outs[number].outline
    snapping = Snapping(lines_for(first, without_keep_out=number))
    if kind == "keep-out":
        corner = outline[0]
        return PointDrag(
            canvas, tr("Move a keep-out"), corner, start,
            lambda to, keys: edits_keep_outs.move_keep_out(first, number, to[0] - corner[0], to[1] - corner[1]),
            snapping,
        )  # fmt: skip
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
