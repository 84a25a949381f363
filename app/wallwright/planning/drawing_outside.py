"""Limits that a job ignores if the user decides to draw outside the zone anyway, and whether that can work."""

from __future__ import annotations

import numpy as np

from wallwright.document.document import Document
from wallwright.document.wall import Hanging
from wallwright.jobs.ignored_limits import IgnoredLimits
from wallwright.planning.outside_zone import AT_ONCE, TEST_SPACING, OutsideZone, strokes_outside
from wallwright.planning.plan import Plan
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import IMPOSSIBLE, Limit
from wallwright.statics.motor import available_pull
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.dense_points import densify
from wallwright.strokes.strokes import Strokes

MOVING_TENSION = 1.05
"""Factor on the resting tension that motion.time_parameterization may always use, so that the pen can move at all."""


def limits_ignored(document: Document, outside: OutsideZone, strokes: Strokes) -> IgnoredLimits:
    """Returns the ignored limits of those that strokes violate; none unless the document says to draw outside anyway."""
    if document.settings.outside != "draw-anyway":
        return IgnoredLimits()
    hit = outside.bits != 0
    bits = int(np.bitwise_or.reduce(outside.bits)) if hit.any() else 0
    return IgnoredLimits(len(np.unique(strokes.stroke_of_point[hit])), bits)


def limits_ignored_by(document: Document, plan: Plan) -> IgnoredLimits:
    """Returns the same for a plan: for what is left, if a job is continued."""
    outside, strokes = plan.preview.outside, plan.preview.strokes
    if plan.before is not None and limits_ignored(document, outside, strokes):
        strokes = plan.strokes
        outside = strokes_outside(document, document.hangings[plan.hanging], strokes)
    return limits_ignored(document, outside, strokes)


def can_be_drawn(document: Document, hanging: Hanging, outside: OutsideZone) -> bool:
    """Returns whether the machine could draw outside the zone at all: it can hang there, its belts are long enough, and
    its motors can move it there. Otherwise the checks refuse the job whatever the user decides."""
    if (outside.bits & np.uint16(IMPOSSIBLE | Limit.BELT_LENGTH)).any():
        return False
    if not (outside.bits & np.uint16(Limit.LOST_STEPS)).any():
        return True
    pull = float(available_pull(document.machine))
    points = densify(outside.pieces, TEST_SPACING).points
    rig = CableRobotModel.of(document.machine, hanging)
    return all(
        bool((MOVING_TENSION * inverse_kinematics(rig, points[i : i + AT_ONCE]).exit_tension <= pull).all())
        for i in range(0, len(points), AT_ONCE)
    )
