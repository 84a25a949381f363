"""Pulling plumb and level lines out of the rulers, moving them, and putting them back there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wallwright.document import edits_guide_lines as edits
from wallwright.document.language import tr
from wallwright.window.canvas.drag import SNAP_REACH, Drag, Keys, Point
from wallwright.window.canvas.guide_lines import line_words
from wallwright.window.canvas.snapping import Snapping, lines_for
from wallwright.window.canvas.wall_layer import RULER

if TYPE_CHECKING:
    from wallwright.window.canvas.canvas import Canvas


class GuideLineDrag(Drag):
    """Moves a line, or pulls a new one out of a ruler; let go on a ruler it is gone."""

    def __init__(self, canvas: Canvas, number: int | None, plumb: bool) -> None:
        """number: None for a new line, which is there once the pointer has left the ruler."""
        self._canvas, self._session, self._number, self._plumb = canvas, canvas.session, number, plumb
        self._is_new = number is None
        self._first = canvas.session.document
        lines = [line for line in lines_for(self._first, without_guide_line=number) if line.plumb == plumb]
        self._snapping = Snapping(lines)
        if number is not None:
            self._session.select(f"line:{number}")

    def move(self, to: Point, keys: Keys) -> None:
        view, wall = self._canvas.view, self._first.wall
        snapped = self._snapping.point(*to, SNAP_REACH / view.scale) if not keys.alt else None
        self.guides = snapped.guides if snapped is not None else ()
        at = to[0] if self._plumb else to[1]
        by = (snapped.dx if self._plumb else snapped.dy) if snapped is not None else 0.0
        at = at + by if self.guides else round(at)
        if self._number is None:
            self._number = len(self._first.guide_lines)
        if self._is_new:
            title, changed = tr("Add a guide line"), edits.add_guide_line(self._first, self._plumb, at)
        else:
            title, changed = tr("Move a guide line"), edits.move_guide_line(self._first, self._number, at)
        if self._session.edit(title, changed, merge="drag"):
            self.readout = line_words(wall, changed.guide_lines[self._number])

    def finish(self, moved: bool) -> None:
        if not moved or self._number is None:
            return
        at = self._canvas.pointer.at
        if (at.x() if self._plumb else at.y()) < RULER:
            self._session.abandon_step()
            if not self._is_new:
                removed = edits.remove_guide_line(self._first, self._number)
                self._session.edit(tr("Remove a guide line"), removed)
        elif self._is_new:
            self._session.select(f"line:{self._number}")
