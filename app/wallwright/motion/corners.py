"""Speed limits at the corners of a polyline."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.document import Document
from wallwright.motion.constant_feed import runs_of_motion
from wallwright.motion.curvature import SMOOTH_TURN, corner_radius, leg_curvature, legs_of
from wallwright.motion.plan import Motion

ROUNDING = 1e-6
LEAST_CORNER_RADIUS = 2.0
"""Smallest corner radius, in tolerances, for a controller that does not slow down at corners: a pen that reverses at
speed v overshoots by v² / 2 a."""


def corner_speed_limits(
    points: Points,
    runs: Integers,
    curvature: Floats,
    acceleration: Floats,
    tolerance: float,
    one_speed: bool = False,
) -> Floats:
    """(n,) largest v², mm²/s², at each vertex; inf where the path is straight; at both ends of a run 0, or inf with
    one_speed.

    points: (n, 2) vertices; runs: (k + 1,) first vertex of each run; curvature: (n, 2) of each leg, near and far end;
    acceleration: (n,) mm/s²; one_speed: for a controller that does not slow down even at a reversal (LEAST_CORNER_RADIUS).

    A corner that turns by φ is passed as if on the arc that touches both legs and stays within `tolerance` of the vertex: R
    = tolerance cos(φ/2) / (1 - cos(φ/2)); v² = acceleration R (centripetal acceleration). Each vertex of a flattened curve
    turns slightly, and vertices are much closer together than such arcs are long: there the curve's own radius counts.
    """
    _, turn = legs_of(points)
    turn = np.abs(turn)
    radius = corner_radius(turn, tolerance)
    if one_speed:
        radius = np.maximum(radius, LEAST_CORNER_RADIUS * tolerance)
    bend = _bend(curvature)
    with np.errstate(divide="ignore"):
        radius = np.where(turn < SMOOTH_TURN, np.minimum(radius, 1 / bend), radius)
    cap = acceleration * radius
    cap[runs[:-1]] = cap[runs[1:] - 1] = np.inf if one_speed else 0.0
    return cap


def _bend(curvature: Floats) -> Floats:
    """Returns (n,) 1/mm: the larger curvature of both sides of each vertex."""
    result: Floats = np.maximum(np.abs(curvature[:, 0]), np.concatenate([[0.0], np.abs(curvature[:-1, 1])]))
    return result


def corner_error(document: Document, motion: Motion) -> float:
    """Returns the largest deviation, mm, of the pen from its corners on the wall at the motion's speed:
    corner_speed_limits solved for the tolerance."""
    if not motion.down.any():
        return 0.0
    runs = runs_of_motion(motion)
    _, turn = legs_of(runs.points)
    half = np.cos(np.abs(turn) / 2)
    radius = motion.speed[motion.vertex] ** 2 / document.machine.limits.acceleration
    error = radius * np.minimum((1 - half) / np.maximum(half, 1e-9), 1 / LEAST_CORNER_RADIUS)
    # A curve with a large enough radius for its speed has no corners.
    bend, smooth = _bend(leg_curvature(runs.points, runs.runs)), np.abs(turn) < SMOOTH_TURN
    error[smooth & (bend > 0)] = 0.0
    close = smooth & (bend * radius > 1 + ROUNDING)
    error[close] = radius[close] / LEAST_CORNER_RADIUS
    error[runs.runs[:-1]] = error[runs.runs[1:] - 1] = 0.0
    return float(error[np.repeat(runs.down, np.diff(runs.runs))].max(initial=0.0))
