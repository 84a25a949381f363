"""Tools: what the pointer does on the canvas instead of selecting and dragging, until it is done or given up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QPainter

from wallwright.window.canvas.drag import SNAP_REACH, Keys, Point
from wallwright.window.canvas.snapping import SnapLine, Snapping, lines_for

if TYPE_CHECKING:
    from wallwright.window.canvas.canvas import Canvas


class Tool:
    """One use of a tool. Points are on the wall, mm."""

    words = ""
    """What to do, shown above the wall."""
    bare = False
    """Whether only the wall and its photo are seen meanwhile."""
    readout = ""
    guides: tuple[SnapLine, ...] = ()
    band = None

    def __init__(self, canvas: Canvas) -> None:
        self.canvas, self.session = canvas, canvas.session

    def press(self, at: Point, keys: Keys) -> None:
        """The left button went down."""

    def move(self, at: Point, keys: Keys) -> None:
        """The pointer moved."""

    def release(self, at: Point, keys: Keys) -> None:
        """The left button went up."""

    def double(self, at: Point) -> None:
        """A second click at the same place."""

    def key(self, event: QKeyEvent) -> bool:
        """A key; False: it is for somebody else."""
        if event.key() == Qt.Key.Key_Escape:
            self.done()
            return True
        return False

    def paint(self, painter: QPainter) -> None:
        """Over everything else."""

    def done(self) -> None:
        """Ends the tool."""
        self.canvas.use_tool(None)

    def snapped(self, at: Point, keys: Keys) -> Point:
        """The point on the lines of the wall that are near, which are then shown."""
        self.guides = ()
        if keys.alt:
            return at
        snap = Snapping(lines_for(self.session.document)).point(*at, SNAP_REACH / self.canvas.view.scale)
        self.guides = snap.guides
        return at[0] + snap.dx, at[1] + snap.dy
