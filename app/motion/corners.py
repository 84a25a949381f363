"""How fast the pen may pass a corner of a polyline."""

from __future__ import annotations

import numpy as np

SMOOTH = np.radians(20)
"""A vertex that turns less may belong to a flattened curve."""


def leg_curvature(points: np.ndarray, runs: np.ndarray) -> np.ndarray:
    """(n,) signed curvature, 1/mm, of the curve that each leg is a chord of; 0 for legs of real polylines.

    A vertex of a flattened circle turns by the length of its chords over the radius. A leg gets the smaller curvature of
    its two ends, so that a line that runs into an arc stays straight.
    """
    length, turn = _legs(points)
    before = np.concatenate([length[:1], length[:-1]])
    mean = (length + before) / 2
    even = np.minimum(length, before) > 0.25 * np.maximum(length, before)
    with np.errstate(divide="ignore", invalid="ignore"):
        at_vertex = np.where((np.abs(turn) < SMOOTH) & even & (mean > 0), turn / mean, 0.0)
    at_vertex = np.nan_to_num(at_vertex)
    first, last = runs[:-1], runs[1:] - 1
    # At an end of a run only one side is known: it counts as the other end of its leg does.
    at_vertex[first] = at_vertex[np.minimum(first + 1, last)]
    at_vertex[last] = at_vertex[np.maximum(last - 1, first)]
    following = np.concatenate([at_vertex[1:], [0.0]])
    same = np.sign(at_vertex) == np.sign(following)
    curvature = np.where(same, np.sign(at_vertex) * np.minimum(np.abs(at_vertex), np.abs(following)), 0.0)
    curvature[last] = 0.0
    return curvature


def _legs(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(n,) length of the leg that begins at each vertex, and (n,) signed turn at it, rad, clockwise."""
    leg = np.zeros((len(points), 2))
    leg[:-1] = np.diff(points, axis=0)
    direction = np.arctan2(leg[:, 1], leg[:, 0])
    turn = np.zeros(len(points))
    turn[1:] = (np.diff(direction) + np.pi) % (2 * np.pi) - np.pi
    return np.hypot(*leg.T), turn


def corner_caps(points: np.ndarray, runs: np.ndarray, acceleration: float, tolerance: float) -> np.ndarray:
    """(n,) largest v², mm²/s², at each vertex; inf where the path is straight, 0 at both ends of a run.

    points: (n, 2) vertices; runs: (k + 1,) first vertex of each run. A corner that turns by φ is passed as if on the
    arc that touches both legs and stays within `tolerance` of the vertex: R = tolerance cos(φ/2) / (1 - cos(φ/2)). The
    vertices of a flattened curve turn a little each and are much closer together than such arcs are long: there the
    curve's own radius counts, chord length over turn. v² = acceleration R (centre acceleration).
    """
    length, turn = _legs(points)
    turn = np.abs(turn)
    shorter = np.minimum(length, np.concatenate([length[:1], length[:-1]]))
    with np.errstate(divide="ignore", invalid="ignore"):
        half = np.cos(turn / 2)
        radius = tolerance * half / (1 - half)
        radius = np.where(turn > 1e-9, np.minimum(radius, shorter / turn), np.inf)
    cap = acceleration * np.maximum(np.nan_to_num(radius, nan=0.0, posinf=np.inf), 0.0)
    cap[runs[:-1]] = 0.0
    cap[runs[1:] - 1] = 0.0
    return cap
