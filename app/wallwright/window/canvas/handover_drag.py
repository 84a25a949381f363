"""Dragging a line at which two hangings meet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wallwright.document import edits_hangings
from wallwright.document.language import format_number, tr
from wallwright.window.canvas.drag import SNAP_REACH, Drag, Keys, Point
from wallwright.window.canvas.hangings_layer import handover_lines
from wallwright.window.canvas.snapping import Snap, Snapping, lines_for

if TYPE_CHECKING:
    from wallwright.window.canvas.canvas import Canvas


class HandoverDrag(Drag):
    """Moves the line on the right of a hanging across the wall."""

    def __init__(self, canvas: Canvas, number: int, start: Point) -> None:
        self._canvas, self._number = canvas, number
        self._offset = handover_lines(canvas.session)[number] - start[0]
        plumb = [line for line in lines_for(canvas.session.document) if line.plumb]
        self._snapping = Snapping(plumb)

    def move(self, to: Point, keys: Keys) -> None:
        session, x = self._canvas.session, to[0] + self._offset
        snap = Snap() if keys.alt else self._snapping.point(x, to[1], SNAP_REACH / self._canvas.view.scale)
        self.guides = snap.guides
        x = x + snap.dx if snap.dx else round(x)
        session.edit(
            tr("Move a meeting line"),
            edits_hangings.set_handover_line(session.document, self._number, x),
            merge="drag",
        )
        self.readout = tr("{0} right", format_number(x, ".1f"))
