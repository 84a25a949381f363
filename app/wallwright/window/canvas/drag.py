"""Which drag a press on the canvas begins."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF

from wallwright.window.canvas.artwork_drag import (
    ArtworkRotation,
    ArtworkScale,
    BandDrag,
    begin_artwork_drag,
)
from wallwright.window.canvas.context import CanvasContext
from wallwright.window.canvas.guide_lines import GuideLineDrag
from wallwright.window.canvas.hanging_drag import AnchorDrag, HandoverDrag, begin_start_pose_drag
from wallwright.window.canvas.hit_testing import Target, TargetKind, target_at
from wallwright.window.canvas.interaction import Drag, Keys
from wallwright.window.canvas.keep_out_drag import begin_corner_drag, begin_keep_out_drag, begin_side_drag
from wallwright.window.model.items import HangingItem

Begin = Callable[[CanvasContext, Target, QPointF, Keys], Drag]
"""Begins the drag of a target at a point of the widget."""


def begin_drag(context: CanvasContext, at: QPointF, keys: Keys) -> Drag:
    """Selects what is under a point of the widget and takes hold of it."""
    context.models.project.close_step()
    target = target_at(context, at)
    return DRAGS[target.kind](context, target, at, keys)


def _wall(context: CanvasContext, target: Target, at: QPointF, keys: Keys) -> Drag:
    return BandDrag(context, context.view.to_wall(at), adds=keys.shift or keys.control)


def _guide_line(context: CanvasContext, target: Target, at: QPointF, keys: Keys) -> Drag:
    number = target.number if target.kind is TargetKind.GUIDE_LINE else None
    return GuideLineDrag(context, number, target.name == "vertical")


def _handle(context: CanvasContext, target: Target, at: QPointF, keys: Keys) -> Drag:
    return ArtworkRotation(context) if target.name == "turn" else ArtworkScale(context, target.name)


def _anchor(context: CanvasContext, target: Target, at: QPointF, keys: Keys) -> Drag:
    context.models.selection.select(HangingItem(target.number))
    return AnchorDrag(context, target.number, "left" if target.name == "left" else "right")


def _start_pose(context: CanvasContext, target: Target, at: QPointF, keys: Keys) -> Drag:
    context.models.selection.select(HangingItem(target.number))
    return begin_start_pose_drag(context, target.number, context.view.to_wall(at))


def _handover(context: CanvasContext, target: Target, at: QPointF, keys: Keys) -> Drag:
    return HandoverDrag(context, target.number, context.view.to_wall(at))


def _placement(context: CanvasContext, target: Target, at: QPointF, keys: Keys) -> Drag:
    return begin_artwork_drag(context, at, target.name, adds=keys.shift or keys.control)


def _keep_out(context: CanvasContext, target: Target, at: QPointF, keys: Keys) -> Drag:
    return begin_keep_out_drag(context, target.number, context.view.to_wall(at))


def _corner(context: CanvasContext, target: Target, at: QPointF, keys: Keys) -> Drag:
    return begin_corner_drag(context, target.number, context.view.to_wall(at))


def _side(context: CanvasContext, target: Target, at: QPointF, keys: Keys) -> Drag:
    return begin_side_drag(context, target.number, context.view.to_wall(at))


DRAGS: dict[TargetKind, Begin] = {
    TargetKind.WALL: _wall,
    TargetKind.RULER: _guide_line,
    TargetKind.GUIDE_LINE: _guide_line,
    TargetKind.HANDLE: _handle,
    TargetKind.ANCHOR: _anchor,
    TargetKind.START_POSE: _start_pose,
    TargetKind.HANDOVER: _handover,
    TargetKind.PLACEMENT: _placement,
    TargetKind.KEEP_OUT: _keep_out,
    TargetKind.CORNER: _corner,
    TargetKind.SIDE: _side,
}
