"""Dragging one point of the document: the start pose, a corner or a side of a keep-out."""

from __future__ import annotations

from collections.abc import Callable

from wallwright.document.document import Document
from wallwright.window.canvas.context import CanvasContext
from wallwright.window.canvas.interaction import Drag, Keys, Point, rounded_or_snapped, snap_point
from wallwright.window.canvas.snapping import Snapping


class PointDrag(Drag):
    """Moves one thing of the document by a function that makes a new document from where it should be."""

    def __init__(
        self,
        context: CanvasContext,
        title: str,
        first: Point,
        start: Point,
        change: Callable[[Point, Keys], Document],
        snapping: Snapping,
    ) -> None:
        """first: where the thing is; start: where the pointer took hold of it; both mm on the wall."""
        self._context, self._title, self._change, self._snapping = context, title, change, snapping
        self._offset = (first[0] - start[0], first[1] - start[1])
        self._first = first

    def move(self, to: Point, keys: Keys) -> None:
        x, y = to[0] + self._offset[0], to[1] + self._offset[1]
        if keys.shift:
            is_across = abs(x - self._first[0]) > abs(y - self._first[1])
            x, y = (x, self._first[1]) if is_across else (self._first[0], y)
        snap = snap_point(self._context, self._snapping, (x, y), keys)
        self.guides = snap.guides
        x, y = rounded_or_snapped((x, y), snap)
        self._context.models.project.edit(self._title, self._change((x, y), keys), merge="drag")
        self.readout = self._context.models.origin.present.text(x, y, ".1f")
