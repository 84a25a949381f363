"""How fast the pen may pass a corner of a polyline."""

from __future__ import annotations

import numpy as np

from app.motion.curvature import SMOOTH, legs_of


def corner_caps(
    points: np.ndarray, runs: np.ndarray, curvature: np.ndarray, acceleration: np.ndarray, tolerance: float
) -> np.ndarray:
    """(n,) largest v², mm²/s², at each vertex; inf where the path is straight, 0 at both ends of a run.

    points: (n, 2) vertices; runs: (k + 1,) first vertex of each run; curvature: (n, 2) of each leg, near and far end;
    acceleration: (n,) mm/s².

    A corner that turns by φ is passed as if on the arc that touches both legs and stays within `tolerance` of the vertex:
    R = tolerance cos(φ/2) / (1 - cos(φ/2)); v² = acceleration R (centre acceleration). The vertices of a flattened curve
    turn a little each and are much closer together than such arcs are long: there the curve's own radius counts.
    """
    _, turn = legs_of(points)
    turn = np.abs(turn)
    with np.errstate(divide="ignore", invalid="ignore"):
        half = np.cos(turn / 2)
        radius = np.where(turn > 1e-9, tolerance * half / (1 - half), np.inf)
    bend = np.maximum(np.abs(curvature[:, 0]), np.concatenate([[0.0], np.abs(curvature[:-1, 1])]))
    with np.errstate(divide="ignore"):
        radius = np.where(turn < SMOOTH, np.minimum(radius, 1 / bend), radius)
    cap = acceleration * np.maximum(np.nan_to_num(radius, nan=0.0, posinf=np.inf), 0.0)
    cap[runs[:-1]] = 0.0
    cap[runs[1:] - 1] = 0.0
    return cap
