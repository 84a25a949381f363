"""Dragging on the canvas: what a drag is, and which one a press begins."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt

from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.language import format_number, tr
from wallwright.document.placing import placement_box
from wallwright.window.canvas.hit_testing import target_at
from wallwright.window.canvas.snapping import Snap, SnapLine, Snapping, lines_for, lines_for_anchor
from wallwright.window.model import selection

if TYPE_CHECKING:
    from wallwright.window.canvas.canvas import Canvas

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
    guides: tuple[SnapLine, ...] = ()
    """The lines of the wall that it came to rest on."""
    band: QRectF | None = None
    """A rectangle of the wall that is being drawn, mm."""

    def move(self, to: Point, keys: Keys) -> None:
        """The pointer is at a point of the wall."""
        raise NotImplementedError

    def finish(self, moved: bool) -> None:
        """The button was let go; moved: False for a click."""


SNAP_REACH = 7.0
"""Pixels within which something comes to rest on a line."""


class PointDrag(Drag):
    """Moves one thing of the document by a function that makes a new document from where it should be."""

    def __init__(
        self, canvas: Canvas, title: str, first: Point, start: Point,
        change: Callable[[Point, Keys], Document],
        snapping: Snapping,
    ) -> None:  # fmt: skip
        """first: where the thing is; start: where it was taken hold of."""
        self._canvas, self._title, self._change, self._snapping = canvas, title, change, snapping
        self._offset = (first[0] - start[0], first[1] - start[1])
        self._first = first

    def move(self, to: Point, keys: Keys) -> None:
        x, y = to[0] + self._offset[0], to[1] + self._offset[1]
        if keys.shift:
            across = abs(x - self._first[0]) > abs(y - self._first[1])
            x, y = (x, self._first[1]) if across else (self._first[0], y)
        snap = Snap() if keys.alt else self._snapping.point(x, y, SNAP_REACH / self._canvas.view.scale)
        self.guides = snap.guides
        x, y = (v + d if d else round(v) for v, d in ((x, snap.dx), (y, snap.dy)))
        self._canvas.session.edit(self._title, self._change((x, y), keys), merge="drag")
        self.readout = tr("{0} right, {1} down", format_number(x, ".1f"), format_number(y, ".1f"))


class AnchorDrag(Drag):
    """Moves an anchor."""

    def __init__(self, canvas: Canvas, number: int, side: str) -> None:
        self._canvas, self._number, self._side = canvas, number, side

    def move(self, to: Point, keys: Keys) -> None:
        canvas, session = self._canvas, self._canvas.session
        before = session.document
        # The frame moves with the left anchor: the lines are those of the document as it is now.
        snapping = Snapping(lines_for_anchor(before, self._number, self._side))
        snap = Snap() if keys.alt else snapping.point(*to, SNAP_REACH / canvas.view.scale)
        x, y = (v + d if d else round(v) for v, d in zip(to, (snap.dx, snap.dy), strict=True))
        document = edits.move_anchor(before, self._number, self._side, (x, y))
        if not session.edit(tr("Move an anchor"), document, merge="drag"):
            return
        # Moving the origin shifts the frame, not the wall: the view goes along so that nothing jumps.
        wall = session.document.wall
        dx, dy = wall.left - before.wall.left, wall.top - before.wall.top
        if dx or dy:
            canvas.view = type(canvas.view)(canvas.view.left + dx, canvas.view.top + dy, canvas.view.scale)
        self.guides = tuple(
            replace(g, at=g.at + (dx if g.plumb else dy), low=g.low + (dy if g.plumb else dx),
                    high=g.high + (dy if g.plumb else dx)) for g in snap.guides
        )  # fmt: skip
        hanging = session.document.hangings[self._number]
        down = hanging.right.y - hanging.left.y
        self.readout = tr("{0} mm apart, the right one {1} lower",
                          format_number(hanging.distance, ".0f"), format_number(down, ".0f"))  # fmt: skip


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
    from wallwright.window.canvas.artwork_drag import ArtworkRotation, ArtworkScale, begin_artwork_drag
    from wallwright.window.canvas.guide_line_drag import GuideLineDrag
    from wallwright.window.canvas.handover_drag import HandoverDrag
    from wallwright.window.canvas.keep_out_drag import begin_keep_out_drag

    session = canvas.session
    kind, name = target_at(canvas, at)
    start = canvas.view.to_wall(at)
    session.history.close_step()
    if kind == "handle":
        return ArtworkRotation(canvas) if name == "turn" else ArtworkScale(canvas, name)
    if kind == "placement":
        return begin_artwork_drag(canvas, at, name, adds=keys.shift or keys.control)
    if kind == "anchor":
        number, side = name.split()
        session.select(f"hanging:{number}")
        return AnchorDrag(canvas, int(number), side)
    if kind == "datum":
        session.select(f"hanging:{name}")
        path = f"hangings.{name}.datum"
        return PointDrag(
            canvas, tr("Move the starting place"), session.document.hangings[int(name)].datum, start,
            lambda to, keys: edits.set_field(session.document, path, to), Snapping(lines_for(session.document)),
        )  # fmt: skip
    if kind == "meeting":
        return HandoverDrag(canvas, int(name), start)
    if kind in ("line", "ruler"):
        number = int(name) if kind == "line" else None
        plumb = name == "plumb" if number is None else session.document.guide_lines[number].plumb
        return GuideLineDrag(canvas, number, plumb)
    if kind in ("keep-out", "corner", "side"):
        return begin_keep_out_drag(canvas, kind, int(name), start)
    return BandDrag(canvas, start, adds=keys.shift or keys.control)
