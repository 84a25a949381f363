"""Partial display of a drawing while it is played."""

from __future__ import annotations

import msgspec
import numpy as np
from PySide6.QtGui import QBrush, QPainter

from wallwright.strokes.strokes import Strokes
from wallwright.window.ink.frame import ViewFrame
from wallwright.window.ink.tile import InkStyle, draw_pen

_TAIL_POINTS = 4000
"""Largest number of points of the newest ink drawn directly, 2 ms; older ink waits for its tile."""
_THINNED_POINTS = 256
"""Points of the current stroke that are always drawn directly: tiles show a thinned segment only once its end is reached."""


class Reveal(msgspec.Struct, frozen=True):
    """A position along the strokes."""

    last: int
    """Index of the last point reached, -1 before the first."""
    part: float
    """Fraction of the next segment that is drawn, 0 to 1."""

    @staticmethod
    def at(strokes: Strokes, stroke: int, fraction: float) -> Reveal:
        """Returns the position after a fraction (0 to 1) of a stroke's length."""
        if len(strokes) == 0 or stroke < 0:
            return Reveal(-1, 0.0)
        if stroke >= len(strokes):
            return Reveal(len(strokes.points) - 1, 0.0)
        start, points = int(strokes.offsets[stroke]), strokes[stroke]
        if fraction <= 0.0 or len(points) == 0:
            return Reveal(start - 1, 0.0)
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        want = min(fraction, 1.0) * along[-1]
        i = int(np.searchsorted(along, want, side="right")) - 1
        if i >= len(points) - 1:
            return Reveal(start + len(points) - 1, 0.0)
        return Reveal(start + i, float((want - along[i]) / (along[i + 1] - along[i])))

    def paint_newest(self, painter: QPainter, frame: ViewFrame, strokes: Strokes, style: InkStyle, after: int) -> None:
        """Draws the ink after moment `after` directly, painter in device pixels."""
        stop = self.last + (2 if self.part > 0 else 1)
        if stop < 1:
            return
        current = int(strokes.offsets[np.searchsorted(strokes.offsets, stop - 1, side="right") - 1])
        start = max(0, stop - _TAIL_POINTS, min(after, max(current, self.last - _THINNED_POINTS)))
        of = np.searchsorted(strokes.offsets, np.arange(start, stop), side="right") - 1
        points = strokes.points[start:stop].copy()
        if self.part > 0:
            points[-1] = points[-2] + self.part * (points[-1] - points[-2])
        points = points * frame.scale + (frame.origin.x(), frame.origin.y())
        joined = of[1:] == of[:-1]
        lines, pens = np.hstack([points[:-1], points[1:]])[joined].T, strokes.pen[of[1:]][joined]
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for pen in np.unique(pens).tolist():
            draw_pen(painter, lines[:, pens == pen], QBrush(style.colour(pen)), style.width_px(pen, frame.scale))
        painter.restore()
