"""Limits that a pose may violate. Each point outside the draw zone has the bits of its violated limits."""

from __future__ import annotations

from enum import IntFlag

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.columns import row_max, row_min
from wallwright.document.language import N_, tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Wall
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.motor import available_pull
from wallwright.statics.obstacles import body_outline, keep_out_area
from wallwright.statics.pose import Pose
from wallwright.statics.stability import is_stable

TORQUE_RESERVE = 1.3
"""Smallest ratio of available to required motor pull before a dusty wall or a stiff belt may cause lost steps. Common
practice, no source."""


class Limit(IntFlag):
    """Limits of the draw zone, one bit each."""

    UNREACHABLE = 1
    SLACK = 2
    LOST_STEPS = 4
    TILT = 8
    BELT_LENGTH = 16
    EDGE = 32
    ANCHOR = 64
    KEEP_OUT = 128
    UNSTABLE = 256


SENTENCES = {
    Limit.UNREACHABLE: N_("the body cannot hang there"),
    Limit.SLACK: N_("a belt would go slack"),
    Limit.LOST_STEPS: N_("a motor would lose steps"),
    Limit.TILT: N_("the body would tilt too far"),
    Limit.BELT_LENGTH: N_("a belt is too short"),
    Limit.EDGE: N_("the body would leave the wall"),
    Limit.ANCHOR: N_("the body would touch an anchor"),
    Limit.KEEP_OUT: N_("the body would touch a keep-out"),
    Limit.UNSTABLE: N_("the body would turn over"),
}
IMPOSSIBLE = Limit.UNREACHABLE | Limit.UNSTABLE
"""Limits that nobody can override: the machine cannot be there."""


PRIORITY = (
    Limit.UNREACHABLE,
    Limit.UNSTABLE,
    Limit.BELT_LENGTH,
    Limit.KEEP_OUT,
    Limit.ANCHOR,
    Limit.EDGE,
    Limit.LOST_STEPS,
    Limit.SLACK,
    Limit.TILT,
)
"""Order of importance when a point violates several limits: what is impossible, then what the body would hit, which only
moving things fixes, then what a different current, speed or weight could fix."""


def primary_limit(bits: Integers) -> Integers:
    """Returns (n,) uint16: the most important bit of each point's bits, (n,); 0 where there are none."""
    result = np.zeros_like(bits)
    for limit in reversed(PRIORITY):
        result[(bits & np.uint16(limit)) != 0] = np.uint16(limit)
    return result


def limit_name(limit: Limit) -> str:
    """Returns the name of a single limit, as used in reports and projects."""
    assert limit.name is not None, f"{limit!r} is several limits"
    return limit.name


def describe_limits(bits: int) -> str:
    """Returns the limits in words, e.g. "a belt would go slack, the body would tilt too far"."""
    return ", ".join(tr(SENTENCES[limit]) for limit in Limit if limit & bits)


def broken(wall: Wall, machine: Machine, rig: CableRobotModel, pose: Pose) -> Integers:
    """Returns (n,) uint16: bits of the limits that each pose violates, 0 inside the draw zone.

    Torque is evaluated at the belt speed limit: a point is inside only if it can be passed at that speed.
    """
    limits = machine.limits
    bits = np.zeros(len(pose.tilt), dtype=np.uint16)
    with np.errstate(invalid="ignore"):
        low, high = row_min(pose.exit_tension), row_max(pose.exit_tension)
        tests = {
            Limit.SLACK: low < limits.least_tension,
            Limit.LOST_STEPS: high > available_pull(machine, limits.belt_speed),
            Limit.TILT: np.abs(pose.tilt) > limits.tilt,
            Limit.BELT_LENGTH: row_max(pose.belts) > machine.belt.length,
        }
    for limit, hit in tests.items():
        bits[hit] |= np.uint16(limit)
    bits[~is_stable(rig, pose)] |= np.uint16(Limit.UNSTABLE)
    bits |= _touches(wall, machine, rig, pose)
    bits[~pose.converged] = np.uint16(Limit.UNREACHABLE)
    return bits


def body_outlines(machine: Machine, pose: Pose) -> tuple[Floats, Floats]:
    """Returns (n, m) x and y, mm, of the body's corners on the wall, tilted as it hangs; untilted where it cannot hang."""
    tilt = np.where(pose.converged, pose.tilt, 0.0)
    cos, sin = np.cos(tilt)[:, None], np.sin(tilt)[:, None]
    corners = np.array(body_outline(machine.body.outline))
    return (
        pose.pen[:, :1] + cos * corners[:, 0] - sin * corners[:, 1],
        pose.pen[:, 1:] + sin * corners[:, 0] + cos * corners[:, 1],
    )


def _touches(wall: Wall, machine: Machine, rig: CableRobotModel, pose: Pose) -> Integers:
    """Returns the bits for the tilted outline against edges, anchors and keep-outs, each with the edge gap."""
    import shapely  # slow to import: kept out of the window's start

    gap = machine.limits.edge_gap
    bits = np.zeros(len(pose.tilt), dtype=np.uint16)
    x, y = body_outlines(machine, pose)
    # The pen too: it need not lie within the outline.
    left, right = np.minimum(row_min(x), pose.pen[:, 0]), np.maximum(row_max(x), pose.pen[:, 0])
    top, low = np.minimum(row_min(y), pose.pen[:, 1]), np.maximum(row_max(y), pose.pen[:, 1])
    over = (left < wall.left + gap) | (right > wall.right - gap) | (top < wall.top + gap) | (low > wall.floor - gap)
    bits[over] |= np.uint16(Limit.EDGE)
    tilt = np.where(pose.converged, pose.tilt, 0.0)
    cos, sin = np.cos(tilt), np.sin(tilt)
    grown = shapely.Polygon(body_outline(machine.body.outline)).buffer(gap)
    shapely.prepare(grown)
    for anchor in rig.anchors:
        dx, dy = anchor[0] - pose.pen[:, 0], anchor[1] - pose.pen[:, 1]
        hit = shapely.contains_xy(grown, cos * dx + sin * dy, -sin * dx + cos * dy)
        bits[hit] |= np.uint16(Limit.ANCHOR)
    for keep_out in wall.keep_outs:
        area = keep_out_area(keep_out.outline)
        area = area.buffer(gap) if gap > 0 else area  # a buffer of 0 loses lines and points
        shapely.prepare(area)
        a, b, c, d = area.bounds
        near = np.flatnonzero((right >= a) & (left <= c) & (low >= b) & (top <= d))
        if len(near):
            rings = np.stack([x[near], y[near]], axis=2)
            hit = np.asarray(shapely.intersects(area, shapely.polygons(rings)))
            hit |= shapely.contains_xy(area, pose.pen[near])
            bits[near[hit]] |= np.uint16(Limit.KEEP_OUT)
    return bits
