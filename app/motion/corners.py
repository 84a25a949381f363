"""How fast the pen may pass a corner of a polyline."""

from __future__ import annotations

import numpy as np


def corner_caps(points: np.ndarray, runs: np.ndarray, acceleration: float, tolerance: float) -> np.ndarray:
    """(n,) largest v², mm²/s², at each vertex; inf where the path is straight, 0 at both ends of a run.

    points: (n, 2) vertices; runs: (k + 1,) first vertex of each run. A corner that turns by φ is passed as if on the
    arc that touches both legs and stays within `tolerance` of the vertex: R = tolerance cos(φ/2) / (1 - cos(φ/2)). The
    vertices of a flattened curve turn a little each and are much closer together than such arcs are long: there the
    curve's own radius counts, chord length over turn. v² = acceleration R (centre acceleration).
    """
    leg = np.zeros((len(points), 2))
    leg[:-1] = np.diff(points, axis=0)
    length = np.hypot(*leg.T)
    # Zero-length legs carry the direction of the one before, so that they turn nothing.
    direction = np.arctan2(leg[:, 1], leg[:, 0])
    turn = np.zeros(len(points))
    turn[1:] = np.abs((np.diff(direction, prepend=direction[:1])[1:] + np.pi) % (2 * np.pi) - np.pi)
    shorter = np.minimum(length, np.concatenate([length[:1], length[:-1]]))
    with np.errstate(divide="ignore", invalid="ignore"):
        half = np.cos(turn / 2)
        radius = tolerance * half / (1 - half)
        radius = np.where(turn > 1e-9, np.minimum(radius, shorter / turn), np.inf)
    cap = acceleration * np.maximum(np.nan_to_num(radius, nan=0.0, posinf=np.inf), 0.0)
    cap[runs[:-1]] = 0.0
    cap[runs[1:] - 1] = 0.0
    return cap
