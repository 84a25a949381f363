"""Dragging what belongs to a hanging: its anchors, its start pose, and the line where it hands over to the next."""

from __future__ import annotations

import msgspec

from wallwright.document import edits, edits_hangings
from wallwright.document.language import format_number, tr
from wallwright.document.origin import height_text
from wallwright.document.wall import Side
from wallwright.window.canvas.context import CanvasContext
from wallwright.window.canvas.hangings_layer import handover_lines
from wallwright.window.canvas.interaction import Drag, Keys, Point, rounded_or_snapped, snap_point
from wallwright.window.canvas.point_drag import PointDrag
from wallwright.window.canvas.snapping import SnapLine, Snapping, lines_for, lines_for_anchor


class AnchorDrag(Drag):
    """Moves an anchor."""

    def __init__(self, context: CanvasContext, number: int, side: Side) -> None:
        """number: of the hanging."""
        self._context, self._number, self._side = context, number, side

    def move(self, to: Point, keys: Keys) -> None:
        context, project = self._context, self._context.models.project
        before = project.document
        # The frame moves with the left anchor: the lines are those of the document as it is now.
        snap = snap_point(context, Snapping(lines_for_anchor(before, self._number, self._side)), to, keys)
        at = rounded_or_snapped(to, snap)
        document = edits.move_anchor(before, self._number, self._side, at)
        if not project.edit(tr("Move an anchor"), document, merge="drag"):
            return
        # Moving the origin shifts the frame, not the wall: the view goes along so that nothing jumps.
        wall = project.document.wall
        dx, dy = wall.left - before.wall.left, wall.top - before.wall.top
        if dx or dy:
            view = context.view
            context.view = msgspec.structs.replace(view, left=view.left + dx, top=view.top + dy)
        self.guides = tuple(_shifted(line, dx, dy) for line in snap.guides)
        hanging = project.document.hangings[self._number]
        down = hanging.right.y - hanging.left.y
        self.readout = "\n".join(
            (
                anchors_text(hanging.distance, down),
                height_text(project.document, hanging.anchor(self._side).y),
            )
        )


def anchors_text(distance: float, down: float) -> str:
    """How far apart two anchors are, and by how much the right one is lower; mm."""
    apart, by = format_number(distance, ".0f"), format_number(abs(down), ".0f")
    if abs(down) < 0.5:
        return tr("{0} mm apart, at the same height", apart)
    if down < 0:
        return tr("{0} mm apart, the right one {1} mm higher", apart, by)
    return tr("{0} mm apart, the right one {1} mm lower", apart, by)


def _shifted(line: SnapLine, dx: float, dy: float) -> SnapLine:
    across, along = (dx, dy) if line.is_vertical else (dy, dx)
    return msgspec.structs.replace(line, at=line.at + across, low=line.low + along, high=line.high + along)


def begin_start_pose_drag(context: CanvasContext, number: int, start: Point) -> Drag:
    """Moves the start pose of a hanging."""
    project, path = context.models.project, f"hangings.{number}.start_point"
    return PointDrag(
        context,
        tr("Move the starting point"),
        project.document.hangings[number].start_point,
        start,
        lambda to, keys: edits.set_field(project.document, path, to),
        Snapping(lines_for(project.document)),
    )


class HandoverDrag(Drag):
    """Moves the handover line on the right of a hanging across the wall."""

    def __init__(self, context: CanvasContext, number: int, start: Point) -> None:
        self._context, self._number = context, number
        self._offset = handover_lines(context.models)[number] - start[0]
        self._snapping = Snapping(line for line in lines_for(context.models.project.document) if line.is_vertical)

    def move(self, to: Point, keys: Keys) -> None:
        project, at = self._context.models.project, (to[0] + self._offset, to[1])
        snap = snap_point(self._context, self._snapping, at, keys)
        self.guides = snap.guides
        x, _ = rounded_or_snapped(at, snap)
        document = edits_hangings.set_handover_line(project.document, self._number, x)
        project.edit(tr("Move a handover line"), document, merge="drag")
        self.readout = self._context.models.origin.present.across_text(x, ".1f")
