"""Errors for impossible motions: where the machine cannot hang, and where its pen would stand still."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.errors import BadValue, StartUnreachable
from wallwright.document.language import tr
from wallwright.document.origin import Origin
from wallwright.motion.path import Samples
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose import inverse_kinematics

LONGEST_SAMPLE_TIME = 1e6
"""Longest time from one sample to the next, s: eleven days for a few millimetres."""


def check_moves(samples: Samples, time: Floats, origin: Origin) -> None:
    """Checks that the pen moves. Raises BadValue where it stands still. time: (n,) s at the samples."""
    took = np.diff(time, prepend=0.0)
    stuck = ~(took <= LONGEST_SAMPLE_TIME)
    if stuck.any():
        x, y = map(float, samples.points[int(np.argmax(stuck))])
        raise BadValue(
            tr(
                "The machine cannot move its pen {0}. Raise the limits for speed and acceleration, or move the artwork",
                origin.text(x, y),
            )
        )


def refuse_unreachable(rig: CableRobotModel, points: Points, origin: Origin) -> None:
    """Checks that the machine can hang at (n, 2) points, mm. Raises BadValue for the first point where it cannot."""
    lost = np.flatnonzero(~inverse_kinematics(rig, points).converged)
    if len(lost):
        raise unreachable(points[lost[0]], origin)


def refuse_unreachable_start(rig: CableRobotModel, start: Points, origin: Origin) -> None:
    """Raises StartUnreachable when the machine cannot hang at the starting point, (2,) mm."""
    try:
        refuse_unreachable(rig, start[None], origin)
    except BadValue as trouble:
        raise StartUnreachable(str(trouble)) from trouble


def unreachable(where: Points, origin: Origin) -> BadValue:
    """Returns the error for a place, (2,) mm, at which the machine cannot hang."""
    x, y = map(float, where)
    return BadValue(
        tr(
            "The machine cannot hang with its pen {0}, which this job requires. Move the artwork or the starting point",
            origin.text(x, y),
        )
    )
