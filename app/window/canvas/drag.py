"""What can be taken hold of on the canvas, and what dragging it does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPolygonF

from app.document import edits
from app.document.language import tr
from app.window.canvas.handles import contains, dragged

if TYPE_CHECKING:
    from app.window.canvas.canvas import Canvas

REACH = 10.0
"""Pixels around a point that take hold of it."""


@dataclass
class Drag:
    """One drag: called with the pointer's place on the wall and whether Shift is held."""

    move: Callable[[tuple[float, float], bool], None]


def _close(a: QPointF, b: QPointF, reach: float = REACH) -> bool:
    return (a - b).manhattanLength() <= 1.5 * reach and QPointF.dotProduct(a - b, a - b) <= reach * reach


def target_at(canvas: Canvas, at: QPointF) -> tuple[str, str]:
    """("handle", name), ("anchor", "0 left"), ("datum", "0"), ("placement", id) or ("wall", "")."""
    session, view = canvas.session, canvas.view
    document = session.document
    if session.placement_id:
        placement = document.placement(session.placement_id)
        if placement.visible and not placement.locked:
            for name, point in canvas.handle_points(placement).items():
                if _close(at, point):
                    return "handle", name
    for number, hanging in enumerate(document.hangings):
        for side in ("left", "right"):
            anchor = getattr(hanging, side)
            if _close(at, view.to_screen(anchor.x, anchor.y), 12):
                return "anchor", f"{number} {side}"
        if _close(at, view.to_screen(*hanging.datum), 11):
            return "datum", str(number)
    x, y = view.to_wall(at)
    for placement in reversed(document.placements):
        if placement.visible and contains(placement, x, y):
            return "placement", placement.id
    for number in reversed(range(len(document.wall.keep_outs))):
        outline = QPolygonF([QPointF(*p) for p in document.wall.keep_outs[number].outline])
        if outline.containsPoint(QPointF(x, y), Qt.FillRule.OddEvenFill):
            return "keep-out", str(number)
    return "wall", ""


def cursor_at(canvas: Canvas, at: QPointF) -> Qt.CursorShape:
    kind, _ = target_at(canvas, at)
    shapes = {
        "handle": Qt.CursorShape.CrossCursor, "anchor": Qt.CursorShape.PointingHandCursor,
        "datum": Qt.CursorShape.PointingHandCursor, "keep-out": Qt.CursorShape.SizeAllCursor,
        "placement": Qt.CursorShape.SizeAllCursor,
    }  # fmt: skip
    return shapes.get(kind, Qt.CursorShape.ArrowCursor)


def begin_drag(canvas: Canvas, at: QPointF) -> Drag | None:
    """Selects what is under the pointer and takes hold of it."""
    session = canvas.session
    kind, name = target_at(canvas, at)
    start = canvas.view.to_wall(at)
    session.history.close_step()
    if kind == "handle":
        placement = session.document.placement(session.placement_id)

        def reshape(to: tuple[float, float], free: bool) -> None:
            new = dragged(placement, name, to, free)
            fields = {"x": new.x, "y": new.y, "width": new.width, "height": new.height, "turn": new.turn}
            title = tr("Turn") if name == "turn" else tr("Scale")
            session.edit(title, edits.set_placement(session.document, placement.id, **fields), merge="drag")

        return Drag(reshape)
    if kind == "anchor":
        number, side = name.split()
        session.select(f"hanging:{number}")
        return Drag(_anchor_mover(canvas, int(number), side))
    if kind == "datum":
        number = int(name)
        session.select(f"hanging:{number}")

        def move_datum(to: tuple[float, float], free: bool) -> None:
            document = edits.set_field(
                session.document, f"hangings.{number}.datum", (round(to[0]), round(to[1]))
            )
            session.edit(tr("Move the starting place"), document, merge="drag")

        return Drag(move_datum)
    if kind == "placement":
        session.select(f"placement:{name}")
        placement = session.document.placement(name)
        if placement.locked:
            return None

        def move(to: tuple[float, float], free: bool) -> None:
            dx, dy = to[0] - start[0], to[1] - start[1]
            if free:  # with Shift only straight across or down
                dx, dy = (dx, 0.0) if abs(dx) > abs(dy) else (0.0, dy)
            document = edits.set_placement(
                session.document, name, x=round(placement.x + dx, 1), y=round(placement.y + dy, 1)
            )
            session.edit(tr("Move"), document, merge="drag")

        return Drag(move)
    if kind == "keep-out":
        number = int(name)
        session.select(f"keepout:{number}")
        first = session.document

        def move_keep_out(to: tuple[float, float], free: bool) -> None:
            document = edits.move_keep_out(first, number, round(to[0] - start[0]), round(to[1] - start[1]))
            session.edit(tr("Move a keep-out"), document, merge="drag")

        return Drag(move_keep_out)
    session.select("wall")
    return None


def _anchor_mover(canvas: Canvas, number: int, side: str) -> Callable[[tuple[float, float], bool], None]:
    session = canvas.session
    view = canvas.view

    def move(to: tuple[float, float], free: bool) -> None:
        document = edits.move_anchor(session.document, number, side, (round(to[0]), round(to[1])))
        before = session.document
        if not session.edit(tr("Move an anchor"), document, merge="drag"):
            return
        # Moving the origin shifts the frame, not the wall: the view goes along so that nothing jumps.
        dx = session.document.wall.left - before.wall.left
        dy = session.document.wall.top - before.wall.top
        if dx or dy:
            canvas.view = type(view)(canvas.view.left + dx, canvas.view.top + dy, canvas.view.scale)

    return move
