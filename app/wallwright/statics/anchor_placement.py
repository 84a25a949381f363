"""Where to put the anchors: the level pair that keeps given points in the draw zone with the largest margin.

The margin of a pair is the smallest, over all points, of the remaining share of each limit:

    slack   1 - least tension / lowest tension       skip   1 - highest tension / what the motors can pull
    tilt    1 - tilt / largest tilt                  belt   1 - longest belt / belt on the machine

ERROR_WEIGHT times the excess over 1 mm of the largest pen movement caused by 1 mm of belt error is subtracted: of two pairs
with about the same margin, the more accurate one wins. A pair that breaks any limit, including edges and keep-outs, scores
below zero. Only level pairs are proposed, because they are the easiest to survey.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely

from wallwright.document.arrays import Flags, Floats, Points
from wallwright.document.edits import ANCHOR_FROM_EDGE
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Wall
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import broken
from wallwright.statics.motor import available_pull
from wallwright.statics.obstacles import keep_out_area
from wallwright.statics.pose import Pose, belts_by_pen, inverse_kinematics

ERROR_WEIGHT = 0.05
FIRST_GRID = (14, 12, 9)
"""Number of distances, left anchor positions and heights in the first, coarse search."""
LAST_STEP = 4.0
"""Step at which the search ends, mm: nobody places a nail more accurately."""
NEVER = -10.0


@dataclass(frozen=True)
class AnchorProposal:
    """The best level pair of anchors and the pairs that were evaluated."""

    left: tuple[float, float]
    right: tuple[float, float]
    """Anchor position in the present wall frame, mm."""
    margin: float
    """Smallest remaining share of any limit, at most 1; above 0, all points are inside the zone."""
    evaluated: Floats
    """(n, 4) left x, height, distance, margin of all evaluated pairs, in mm (margin: share), for a plot of the
    trade-off."""


def placement_margins(
    wall: Wall, machine: Machine, hanging: Hanging, points: Points, distance: float, corners: Points
) -> Floats:
    """Returns the (m,) margins of level anchor pairs with a given distance whose left anchors are at corners (m, 2). points:
    (n, 2) mm.

    A pose depends only on the point's position relative to the left anchor, so all pairs are solved together, shifted to
    one anchor.
    """
    rig = dataclasses.replace(CableRobotModel.of(machine, hanging), anchors=((0.0, 0.0), (distance, 0.0)))
    m, n = len(corners), len(points)
    moved = (points[None] - corners[:, None]).reshape(-1, 2)
    pose = inverse_kinematics(rig, moved)
    score = _scores(machine, rig, pose)
    # Edges and keep-outs are fixed to the wall: they are tested with the body shifted back.
    shift = np.repeat(corners, n, axis=0)
    back = dataclasses.replace(pose, pen=pose.pen + shift)
    anchors_far = dataclasses.replace(rig, anchors=((-1e6, -1e6), (1e6, -1e6)))
    outside = broken(wall, machine, anchors_far, back)
    outside |= np.where(np.isfinite(pose.tilt), 0, 1).astype(np.uint16)
    touches = broken(_no_wall(), machine, rig, pose)
    score = np.where((outside | touches) != 0, np.minimum(score, -1e-6), score)
    result: Floats = np.nan_to_num(score, nan=NEVER).reshape(m, n).min(axis=1)
    return result


def hanging_margin(wall: Wall, machine: Machine, hanging: Hanging, points: Points) -> float:
    """Returns the margin of an existing hanging, level or not. points: (n, 2) mm."""
    rig = CableRobotModel.of(machine, hanging)
    pose = inverse_kinematics(rig, points)
    score = _scores(machine, rig, pose)
    outside = broken(wall, machine, rig, pose) != 0
    return float(np.nan_to_num(np.where(outside, np.minimum(score, -1e-6), score), nan=NEVER).min())


def _scores(machine: Machine, rig: CableRobotModel, pose: Pose) -> Floats:
    """Returns the (n,) margin of each pose, ignoring edges and keep-outs."""
    limits = machine.limits
    with np.errstate(invalid="ignore", divide="ignore"):
        low, high = pose.exit_tension.min(axis=1), pose.exit_tension.max(axis=1)
        parts = [
            1 - limits.least_tension / low,
            1 - high / available_pull(machine, limits.belt_speed),
            1 - np.abs(pose.tilt) / limits.tilt,
            1 - pose.belts.max(axis=1) / machine.belt.length,
        ]
        first = belts_by_pen(rig, pose)
        first[~np.isfinite(first).all(axis=(1, 2))] = np.eye(2)
        worst = 1 / np.linalg.svd(first, compute_uv=False)[:, -1]
        score = np.min(parts, axis=0) - ERROR_WEIGHT * (worst - 1)
    score[~pose.converged] = NEVER
    result: Floats = score
    return result


def _no_wall() -> Wall:
    """Returns a wall with remote edges and no keep-outs, so that only the limits of the machine and anchors apply."""
    return Wall(left=-90_000.0, top=-90_000.0, width=100_000.0, height=100_000.0)


def propose_anchors(
    wall: Wall,
    machine: Machine,
    hanging: Hanging,
    points: Points,
    progress: Callable[[float], None] = lambda done: None,
) -> AnchorProposal:
    """Returns the best level pair for points (n, 2), mm. Raises BadValue if no pair on this wall keeps them in the zone."""
    low, high = points.min(axis=0), points.max(axis=0)
    left, right = wall.left + ANCHOR_FROM_EDGE, wall.right - ANCHOR_FROM_EDGE
    top, bottom = wall.top + ANCHOR_FROM_EDGE, low[1]
    widest = right - left
    if widest < 200 or bottom <= top:
        raise BadValue(tr("There is no room for anchors above the artwork. Move the artwork down"))
    narrowest = min(max(high[0] - low[0], 200.0), widest)
    tried: list[Floats] = []

    def look(distances: Floats, lefts: Floats, heights: Floats, done: float) -> None:
        for number, distance in enumerate(distances):
            progress(done + number / len(distances) * 0.5)
            corners = np.array([(x, y) for x in lefts for y in heights])
            corners = corners[(corners[:, 0] >= left) & (corners[:, 0] + distance <= right + 1e-6)]
            corners = corners[(corners[:, 1] >= top) & (corners[:, 1] <= bottom)]
            corners = corners[_free(wall, corners, distance)] if len(corners) else corners
            if len(corners):
                found = placement_margins(wall, machine, hanging, points, float(distance), corners)
                tried.append(np.column_stack([corners, np.full(len(corners), distance), found]))

    spans = (
        np.linspace(narrowest, widest, FIRST_GRID[0]),
        np.linspace(left, right - narrowest, FIRST_GRID[1]),
        np.linspace(top, bottom, FIRST_GRID[2]),
    )
    look(*spans, 0.0)
    if not tried:
        raise BadValue(tr("Keep-outs leave no room for anchors above the artwork"))
    step = np.array([np.ptp(s) / max(len(s) - 1, 1) for s in spans])
    while step.max() > LAST_STEP:
        best = _best(tried)
        around = np.array([-1.0, -0.5, 0.0, 0.5, 1.0])
        distances = np.clip(best[2] + step[0] * around, 100.0, widest)
        lefts = np.clip(best[0] + step[1] * around, left, right)
        # Extending the distance on both sides keeps the pair centred.
        lefts = np.unique(np.concatenate([lefts, best[0] - step[0] * around / 2]))
        look(np.unique(distances), lefts, np.unique(np.clip(best[1] + step[2] * around, top, bottom)), 0.5)
        if np.array_equal(_best(tried), best):
            step = step / 2
    x, y, distance, margin = _best(tried).tolist()
    if margin <= 0:
        raise BadValue(tr("No anchor positions on this wall keep all artwork in the draw zone. Shrink or move it"))
    progress(1.0)
    return AnchorProposal((x, y), (x + distance, y), margin, np.concatenate(tried))


def _best(tried: list[Floats]) -> Floats:
    every = np.concatenate(tried)
    result: Floats = every[np.argmax(every[:, 3])]
    return result


def _free(wall: Wall, corners: Points, distance: float) -> Flags:
    """Returns (m,) bool: neither anchor lies in a keep-out."""
    free = np.ones(len(corners), dtype=bool)
    for keep_out in wall.keep_outs:
        area = keep_out_area(keep_out.outline).buffer(ANCHOR_FROM_EDGE)
        for shift in (0.0, distance):
            free &= ~shapely.contains_xy(area, corners[:, 0] + shift, corners[:, 1])
    return free
