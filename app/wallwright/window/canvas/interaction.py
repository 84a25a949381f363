"""What the pointer can be doing on the canvas: a drag from press to release, or a tool until it is done or given up."""

from __future__ import annotations

from enum import IntEnum

import msgspec
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QKeyEvent, QPainter

from wallwright.window.canvas.context import CanvasContext
from wallwright.window.canvas.snapping import Snap, SnapLine, Snapping, lines_for

Point = tuple[float, float]
"""x and y on the wall, mm."""

SNAP_REACH = 7.0
"""Logical pixels within which something snaps to a line."""


class Keys(msgspec.Struct, frozen=True):
    """The keys held while dragging."""

    shift: bool = False
    """Straight across or down; free proportions; turning by steps."""
    alt: bool = False
    """Nothing snaps."""
    control: bool = False
    """About the middle."""

    @staticmethod
    def of(modifiers: Qt.KeyboardModifier) -> Keys:
        """The keys of a mouse event."""
        shift, alt, control = (
            bool(modifiers & key)
            for key in (
                Qt.KeyboardModifier.ShiftModifier,
                Qt.KeyboardModifier.AltModifier,
                Qt.KeyboardModifier.ControlModifier,
            )
        )
        return Keys(shift, alt, control)


class Content(IntEnum):
    """What the canvas shows; each shows what those before it do."""

    WALL = 0
    """And its photo."""
    INK = 1
    ALL = 2


class Interaction:
    """What is shown over the wall while the pointer is busy."""

    readout = ""
    """Numbers beside the pointer."""
    guides: tuple[SnapLine, ...] = ()
    """The lines that something has snapped to."""
    band: QRectF | None = None
    """A rectangle of the wall that is being drawn, mm."""


class Drag(Interaction):
    """One drag. What it changes is one step of undo."""

    def move(self, to: Point, keys: Keys) -> None:
        """The pointer is at a point of the wall."""
        raise NotImplementedError

    def finish(self, moved: bool) -> None:
        """The button was released; moved: False for a click."""


class Tool(Interaction):
    """One use of a tool."""

    words = ""
    """What to do, shown above the wall."""
    content = Content.ALL
    """What is shown meanwhile."""

    def __init__(self, context: CanvasContext) -> None:
        self.context, self.models = context, context.models

    def press(self, at: Point, keys: Keys) -> None:
        """The left button went down."""

    def move(self, at: Point, keys: Keys) -> None:
        """The pointer moved."""

    def release(self, at: Point, keys: Keys) -> None:
        """The left button went up."""

    def double_click(self, at: Point) -> None:
        """A second click at the same place."""

    def key(self, event: QKeyEvent) -> bool:
        """A key was pressed; False: it is for somebody else."""
        if event.key() == Qt.Key.Key_Escape:
            self.done()
            return True
        return False

    def paint(self, painter: QPainter) -> None:
        """Over everything else."""

    def done(self) -> None:
        """Ends the tool."""
        self.context.end_tool()

    def ended(self) -> None:
        """The canvas does not use the tool any more."""

    def snapped(self, at: Point, keys: Keys) -> Point:
        """The point, moved to lines of the wall that are near; those are then shown."""
        snap = snap_point(self.context, Snapping(lines_for(self.models.project.document)), at, keys)
        self.guides = snap.guides
        return at[0] + snap.dx, at[1] + snap.dy


def snap_point(context: CanvasContext, snapping: Snapping, at: Point, keys: Keys) -> Snap:
    """How a point of the wall, mm, snaps at the present zoom; not at all with Alt."""
    return Snap() if keys.alt else snapping.point(*at, SNAP_REACH / context.view.scale)


def rounded_or_snapped(at: Point, snap: Snap) -> Point:
    """Where a point ends: on the lines that it snaps to, else on whole mm, as a tape measures."""
    x, y = (v + d if d else round(v) for v, d in zip(at, (snap.dx, snap.dy), strict=True))
    return x, y
