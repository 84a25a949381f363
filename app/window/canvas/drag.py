"""Dragging on the canvas: what a drag is, and which one a press begins."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt

from app.document import edits
from app.document.language import tr
from app.document.placing import placement_box
from app.window import selection
from app.window.canvas.targets import target_at

if TYPE_CHECKING:
    from app.window.canvas.canvas import Canvas

Point = tuple[float, float]


@dataclass(frozen=True)
class Keys:
    """The keys held while dragging."""

    shift: bool = False
    """Straight across or down; free proportions; turning by steps."""
    alt: bool = False
    """Nothing snaps."""
    control: bool = False
    """About the middle."""

    @staticmethod
    def of(modifiers: Qt.KeyboardModifier) -> Keys:
        Modifier = Qt.KeyboardModifier
        return Keys(
            bool(modifiers & Modifier.ShiftModifier), bool(modifiers & Modifier.AltModifier),
            bool(modifiers & Modifier.ControlModifier),
        )  # fmt: skip


class Drag:
    """One drag. What it changes is one step of undo."""

    readout = ""
    """Numbers shown beside the pointer."""
    band: QRectF | None = None
    """A rectangle of the wall that is being drawn, mm."""

    def move(self, to: Point, keys: Keys) -> None:
        """The pointer is at a point of the wall."""
        raise NotImplementedError

    def finish(self, moved: bool) -> None:
        """The button was let go; moved: False for a click."""


class FieldDrag(Drag):
    """Moves one thing of the document by a function that makes a new document from where the pointer is."""

    def __init__(self, canvas: Canvas, title: str, change: Callable[[Point], edits.Document]) -> None:
        self._session, self._title, self._change = canvas.session, title, change

    def move(self, to: Point, keys: Keys) -> None:
        self._session.edit(self._title, self._change(to), merge="drag")
        self.readout = f"{to[0]:.0f}, {to[1]:.0f} mm"


class AnchorDrag(Drag):
    """Moves an anchor."""

    def __init__(self, canvas: Canvas, number: int, side: str) -> None:
        self._canvas, self._number, self._side = canvas, number, side

    def move(self, to: Point, keys: Keys) -> None:
        canvas, session = self._canvas, self._canvas.session
        before = session.document
        document = edits.move_anchor(before, self._number, self._side, (round(to[0]), round(to[1])))
        if not session.edit(tr("Move an anchor"), document, merge="drag"):
            return
        # Moving the origin shifts the frame, not the wall: the view goes along so that nothing jumps.
        wall = session.document.wall
        dx, dy = wall.left - before.wall.left, wall.top - before.wall.top
        if dx or dy:
            canvas.view = type(canvas.view)(canvas.view.left + dx, canvas.view.top + dy, canvas.view.scale)


class BandDrag(Drag):
    """Draws a rectangle on the empty wall; the artworks it touches are selected."""

    def __init__(self, canvas: Canvas, start: Point, adds: bool) -> None:
        self._session, self._start = canvas.session, start
        self._before = self._session.chosen if adds else ()
        if not adds:
            self._session.select(selection.WALL)

    def move(self, to: Point, keys: Keys) -> None:
        self.band = QRectF(QPointF(*self._start), QPointF(*to)).normalized()
        left, top, right, bottom = self.band.getCoords()
        touched = []
        for placement in self._session.document.placements:
            box = placement_box(placement)
            apart = box[0] > right or box[2] < left or box[1] > bottom or box[3] < top
            if placement.visible and not placement.locked and not apart:
                touched.append(f"placement:{placement.id}")
        self._session.select(*self._before, *touched)


def begin_drag(canvas: Canvas, at: QPointF, keys: Keys) -> Drag | None:
    """Selects what is under the pointer and takes hold of it."""
    from app.window.canvas.artwork_drag import Move, Reshape, Turn

    session = canvas.session
    kind, name = target_at(canvas, at)
    start = canvas.view.to_wall(at)
    session.history.close_step()
    if kind == "handle":
        return Turn(canvas) if name == "turn" else Reshape(canvas, name)
    if kind == "placement":
        return Move(canvas, name, start, adds=keys.shift or keys.control)
    if kind == "anchor":
        number, side = name.split()
        session.select(f"hanging:{number}")
        return AnchorDrag(canvas, int(number), side)
    if kind == "datum":
        session.select(f"hanging:{name}")
        path = f"hangings.{name}.datum"
        return FieldDrag(
            canvas, tr("Move the starting place"),
            lambda to: edits.set_field(session.document, path, (round(to[0]), round(to[1]))),
        )  # fmt: skip
    if kind == "keep-out":
        session.select(f"keepout:{name}")
        first, number = session.document, int(name)
        return FieldDrag(
            canvas, tr("Move a keep-out"),
            lambda to: edits.move_keep_out(first, number, round(to[0] - start[0]), round(to[1] - start[1])),
        )  # fmt: skip
    return BandDrag(canvas, start, adds=keys.shift or keys.control)
