"""Constraints of the motion along a sampled path: the geometry at every sample and the machine's limits."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.document import Document
from wallwright.motion.corners import LEAST_CORNER_RADIUS, corner_speed_limits
from wallwright.motion.curvature import leg_curvature
from wallwright.motion.path import Runs, Samples
from wallwright.motion.time_parameterization import MotionLimits, PathGrid, speed_limits
from wallwright.statics.belt_field import BeltField
from wallwright.statics.motor import available_pull

MOTION_TENSION_SHARE = 0.5
"""Share of the least tension of a resting belt that is kept in motion; accelerating the body may use the rest."""


LEAST_SPEED = 0.1
"""Lowest pen speed, mm/s: slower, a marker bleeds, and a metre takes hours; the lower end of the range of drawing
speeds. No pen limit, corner or swing of a one-speed controller makes it slower."""
LEAST_TOLERANCE = 0.01
"""Smallest corner tolerance, mm: nothing that hangs on belts is more accurate (a microstep of the usual motors). A
one-speed controller would have to stop for less."""


def motion_limits(document: Document) -> MotionLimits:
    machine = document.machine
    motor, limits = machine.motor, machine.limits
    return MotionLimits(
        belt_acceleration=limits.belt_acceleration,
        mass=machine.body.mass / 1000,
        floor=MOTION_TENSION_SHARE * limits.least_tension,
        pull=float(available_pull(machine)),
        corner_speed=motor.corner_speed * motor.teeth * machine.belt.pitch,
    )


def pen_speed(document: Document, down: Flags, pen: Integers) -> Floats:
    """Returns (k,) mm/s: largest speed of runs with the pen down (k,) bool, pen (k,) index."""
    limits = document.machine.limits
    drawing = np.array([min(limits.draw_speed, p.speed or limits.draw_speed) for p in document.pens])
    return np.maximum(np.where(down, drawing[pen], limits.travel_speed), LEAST_SPEED)


def ramp_lengths(document: Document, runs: Runs) -> Floats:
    """Returns (k,) mm: the shortest distance in which the pen of each run can reach, from rest, the speed that pen or
    belts allow."""
    limits = document.machine.limits
    return np.minimum(pen_speed(document, runs.down, runs.pen), limits.belt_speed) ** 2 / (2 * limits.acceleration)


def path_grid(
    document: Document,
    field: BeltField,
    runs: Runs,
    samples: Samples,
    max_acceleration: Floats,
    first: int,
    last: int,
    more_tension: Floats | None = None,
) -> PathGrid:
    """Returns the grid of runs first .. last - 1 for the speed profile. max_acceleration: (n,) mm/s² at all samples;
    more_tension: (n, 2) N from friction."""
    limits = document.machine.limits
    one_speed = document.machine.controller.pacing == "constant"
    tolerance = max(limits.corner_tolerance, LEAST_TOLERANCE) if one_speed else limits.corner_tolerance
    here = slice(samples.runs[first], samples.runs[last])
    vertices = slice(runs.runs[first], runs.runs[last])
    points, own_runs = runs.points[vertices], runs.runs[first : last + 1] - runs.runs[first]
    bend = leg_curvature(points, own_runs)
    if one_speed:
        # A turn tighter than a corner may be is passed as a corner.
        bend = np.clip(bend, -1 / (LEAST_CORNER_RADIUS * tolerance), 1 / (LEAST_CORNER_RADIUS * tolerance))
    leg, share = samples.leg[here] - runs.runs[first], samples.share[here]
    length = np.zeros(len(points))
    length[:-1] = np.hypot(*np.diff(points, axis=0).T)
    near, far = bend[leg, :1], bend[leg, 1:]
    curvature = near + share * (far - near)
    # Angle between curve and chord: half the chord's turn at either end.
    angle = (near + far) / 2 * length[leg, None] * (share - 0.5)
    d = samples.direction[here][:, None]
    cos, sin = np.cos(angle), np.sin(angle)
    tangent = np.stack([cos * d[..., 0] - sin * d[..., 1], sin * d[..., 0] + cos * d[..., 1]], axis=2)
    slopes = field.slopes(samples.points[here])
    speed = pen_speed(document, runs.down[first:last], runs.pen[first:last])
    cap = np.repeat(speed**2, np.diff(samples.runs[first : last + 1]))
    vertex = samples.vertex[here]
    at = vertex >= 0
    # A corner is passed with what both its legs allow.
    most = max_acceleration[here]
    gentler = np.minimum(most, np.concatenate([most[:1], most[:-1]]))[at]
    corner = corner_speed_limits(
        points,
        own_runs,
        bend,
        gentler,
        tolerance,
        one_speed,
    )
    cap[at] = np.minimum(cap[at], corner[vertex[at] - runs.runs[first]])
    if not one_speed:
        cap[samples.takes_up[here]] = 0.0
    grid = PathGrid(
        samples.runs[first : last + 1] - samples.runs[first],
        samples.step[here],
        cap,
        most,
        tangent,
        curvature,
        slopes.gradient,
        slopes.hessian,
        slopes.tension if more_tension is None else slopes.tension + more_tension[here],
    )
    return grid._replace(max_speed_squared=speed_limits(grid, cap, limits.belt_speed, samples.direction[here]))
