"""Forward kinematics: where the pen hangs for given belt lengths."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.columns import row_all, row_max
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.outer_force import no_force
from wallwright.statics.pose import CHUNK, Pose, belts_by_pen, inverse, inverse_kinematics
from wallwright.statics.straight_belts import pen_from_straight_belts

STEPS = 40
LONGEST_STEP = 200.0
"""Longest Newton step, mm."""
FOUND_WITHIN = 1e-6
"""Belt length error at which a pen counts as found, mm; the last step leaves far less."""
GRID = 32
"""Number of poses per side of the grid that provides a start when two straight belts do not meet."""


def forward_kinematics(
    rig: CableRobotModel, belts: Floats, start: Points | None = None, outer: Floats | None = None
) -> Pose:
    """Returns the pose at which the belts have the given lengths. belts: (n, 2) mm, left and right, unstretched; outer: (n,
    4), other forces on the body, as outer_force gives them.

    Newton on the pen with the exact derivative. It starts from start, (n, 2) mm, or else from the crossing of two straight
    belts; if that fails, from the nearest of a grid of poses. Belt lengths with which nothing can hang, such as belts cut
    too short, give nan and converged False.
    """
    belts = np.asarray(belts, dtype=np.float64).reshape(-1, 2)
    if start is None:
        spacing = rig.exits[1][0] - rig.exits[0][0]
        rise = -(rig.exits[0][1] + rig.exits[1][1]) / 2
        start = pen_from_straight_belts(rig.anchors, belts, spacing, rise)
    outer = no_force(len(belts)) if outer is None else outer.copy()
    pen = _newton(rig, belts, start, outer)
    left = np.flatnonzero(np.isnan(pen[:, 0]) & row_all(np.isfinite(belts)))
    if len(left):
        pen[left] = _newton(rig, belts[left], _nearest_start(rig, belts[left]), outer[left])
    pose = inverse_kinematics(rig, pen, outer)
    close = pose.converged & (row_max(np.abs(pose.belts - belts)) < FOUND_WITHIN)
    fields = {f: getattr(pose, f) for f in Pose.__dataclass_fields__ if f != "converged"}
    for values in fields.values():
        values[~close] = np.nan
    return Pose(**fields, converged=close)


def _newton(rig: CableRobotModel, belts: Floats, start: Points, outer: Floats) -> Floats:
    """Returns (n, 2) mm pens; nan where none was found. A step to where nothing hangs is halved until something does."""
    pen, found = np.array(start, dtype=np.float64), np.full_like(belts, np.nan)
    known = np.full_like(belts, np.nan)
    at = np.flatnonzero(row_all(np.isfinite(pen)))
    with np.errstate(all="ignore"):
        for _ in range(STEPS):
            pose = inverse_kinematics(rig, pen[at], outer[at])
            step = np.einsum("nij,nj->ni", inverse(belts_by_pen(rig, pose)), belts[at] - pose.belts)
            size = np.hypot(*step.T)
            good = np.isfinite(size)
            step *= np.minimum(1.0, LONGEST_STEP / np.maximum(size, 1e-300))[:, None]
            here, lost = at[good], at[~good]
            known[here] = pen[here]
            pen[here] += step[good]
            done = at[good & (size < 1e-9)]
            found[done] = pen[done]
            pen[lost] = (pen[lost] + known[lost]) / 2
            at = at[~(good & (size < 1e-9)) & np.isfinite(pen[at, 0])]
            if not len(at):
                break
    return found


def _nearest_start(rig: CableRobotModel, belts: Floats) -> Floats:
    """Returns (n, 2) mm: the pens of a grid of poses between the anchors whose belts are nearest; nan if none hangs."""
    (left, high), (right, low) = rig.anchors
    across = left + (right - left) * (np.arange(GRID) + 0.5) / GRID
    down = max(float(belts.max()), right - left) * np.linspace(0.0, 1.0, GRID) ** 2
    # From the line between the anchors downwards, denser close below it, where belt lengths change most.
    line = high + (low - high) * (across - left) / (right - left)
    grid = np.stack([np.tile(across, (GRID, 1)), line + down[:, None]], axis=2).reshape(-1, 2)
    pose = inverse_kinematics(rig, grid)
    if not pose.converged.any():
        return np.full_like(belts, np.nan)
    pens, theirs = pose.pen[pose.converged], pose.belts[pose.converged]
    parts = [belts[i : i + CHUNK // 8] for i in range(0, len(belts), CHUNK // 8)]
    return np.concatenate([pens[np.argmin(((p[:, None] - theirs) ** 2).sum(axis=2), axis=1)] for p in parts])
