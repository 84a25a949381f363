"""Arc fitting: replaces many short lines by arcs, for controllers that take G2 and G3 in corrected coordinates.

The correction bends the path a little, so that a circle on the wall is not one in the controller's plane; yet pieces of
it, and of most curves, lie within a few hundredths of a millimetre of circular arcs. The fit is greedy: each arc ends at
the farthest possible point. It passes through its two end points exactly; its centre lies on their perpendicular
bisector, where it fits the points between best (least squares, linear in the centre's position on the bisector).

Deviation is measured from the true correction, at every point of the path and halfway between. Between the vertices of a
flattened curve it is measured from the curve, not its chord (motion/curvature.py), where their distance is within the
flattening tolerance: arcs through the vertices lie on the original curve. A sharper turn is a corner and is kept.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.compiled import compiled
from wallwright.document.document import Document
from wallwright.document.wall import Hanging
from wallwright.jobs.coordinates import PLANE_STRAIN, ControllerPath, move_seconds
from wallwright.motion.curvature import leg_curvature, legs_of
from wallwright.motion.plan import Motion
from wallwright.statics.controller_kinematics import belts_to_controller
from wallwright.statics.drag_field import LOAD_COLUMNS, DraggedBelts

SIMPLIFICATION_FACTOR = 1.25
"""Factor on the curve tolerance that includes simplification."""
LARGEST_SPEED_RATIO = 1.1
"""Largest speed ratio of the moves that one arc replaces, since it has a single feed."""
LEAST_MOVES = 2
"""Fewest moves that an arc replaces: its line of code is as long as two of theirs."""
MOST_TURN = 0.95 * np.pi
"""Largest angle of an arc, rad: near a half turn the centre no longer determines the direction, and beyond it, the centre
is ill-conditioned where the ends are close together."""
LARGEST_RADIUS = 1e5
"""Largest radius, mm: beyond it a line is as good, and the centre loses precision."""
STRAIGHT = 1e-6
"""Largest turn at points that divide a straight leg, rad."""


def with_arcs(
    document: Document, hanging: Hanging, motion: Motion, path: ControllerPath, belts: DraggedBelts
) -> ControllerPath:
    """Returns a path in the controller's plane with arcs in its strokes; the pen stays within the path tolerance."""
    if not len(path.points):
        return path
    settings = document.settings

    load = np.zeros((len(path.points), LOAD_COLUMNS)) if path.load is None else path.load

    def values_of(places: Points, load: Floats) -> Floats:
        return belts_to_controller(document.machine, hanging, "plane", belts.at(places, load))

    seconds = move_seconds(document, motion, path)
    # The pen rests where belts are taken up: an arc must not span that point.
    pieces = np.union1d(path.runs, np.flatnonzero(path.takes_up))
    down = path.down[np.searchsorted(path.runs, pieces[:-1], side="right") - 1]
    points, middles = _curve_points(path, pieces, SIMPLIFICATION_FACTOR * settings.flatness)
    after = np.minimum(np.arange(len(load)) + 1, len(load) - 1)
    values, middles = values_of(points, load), values_of(middles, (load + load[after]) / 2)
    ends = np.zeros(len(points), dtype=bool)
    ends[pieces[:-1]] = ends[pieces[1:] - 1] = True
    values[ends] = path.values[ends]
    keep, centre = _fit(values, middles, seconds, pieces, down, settings.path_tolerance / PLANE_STRAIN)
    arc = ~np.isnan(centre[:, 0])
    # An arc's two ends lie on the curve; other points stay as they are.
    touched = arc.copy()
    kept = np.flatnonzero(keep)
    touched[kept[:-1]] |= arc[kept[1:]]
    new_values = np.where(touched[:, None], values, path.values)
    new_points = np.where(touched[:, None], points, path.points)
    took = np.add.reduceat(np.nan_to_num(seconds), np.concatenate([[0], kept[:-1] + 1]))
    first = np.concatenate([[0], np.cumsum(keep)])[path.runs]
    return replace(
        path,
        points=new_points[keep],
        values=new_values[keep],
        belts=path.belts[keep],
        runs=first,
        time=None if path.time is None else path.time[keep],
        centre=centre[keep],
        took=took,
        load=None if path.load is None else path.load[keep],
    )


def _curve_points(path: ControllerPath, pieces: Integers, deepest: float) -> tuple[Floats, Floats]:
    """Returns (n, 2) mm, points on the curve that was flattened to the path, and (n, 2) points halfway to the next ones.
    pieces: (m + 1,) first point of each piece of the path."""
    points, n = path.points, len(path.points)
    _, turn = legs_of(points)
    corner = np.abs(turn) > STRAIGHT
    corner[pieces[:-1]] = corner[pieces[1:] - 1] = True
    vertex = np.flatnonzero(corner)
    runs = np.append(np.searchsorted(vertex, pieces[:-1]), len(vertex))
    place = points[vertex]
    bend = leg_curvature(place, runs).mean(axis=1)
    step = np.zeros_like(place)
    step[:-1] = np.diff(place, axis=0)
    length = np.hypot(*step.T)
    bend[np.abs(bend) * length**2 / 8 > deepest] = 0.0
    along = step / np.maximum(length, 1e-12)[:, None]
    leg = np.searchsorted(vertex, np.arange(n), side="right") - 1

    def lifted(at: Points) -> Floats:
        s = ((at - place[leg]) * along[leg]).sum(axis=1)
        aside = bend[leg] * s * (length[leg] - s) / 2  # a shallow arc over its chord
        curved: Points = at + aside[:, None] * np.column_stack([along[leg, 1], -along[leg, 0]])
        return curved

    middle = points.copy()
    middle[:-1] = (points[1:] + points[:-1]) / 2
    return lifted(points), lifted(middle)


@compiled
def _fit(
    values: Points, middles: Points, seconds: Floats, runs: Integers, down: Flags, tolerance: float
) -> tuple[Flags, Points]:
    """Returns (n,) bool, points at which moves end, and (n, 2) centres of the arcs that end at points, nan for lines."""
    n = len(values)
    keep = np.ones(n, dtype=np.bool_)
    centre = np.full((n, 2), np.nan)
    for run in range(len(runs) - 1):
        if not down[run]:
            continue
        first, last = runs[run], runs[run + 1] - 1
        while first < last:
            end = first + 1
            while end < last:
                fits, x, y = _arc(values, middles, seconds, first, end + 1, tolerance)
                # Two points always fit; from there the first failure ends the arc.
                if not fits:
                    break
                end += 1
                centre[end, 0], centre[end, 1] = x, y
            if end - first >= LEAST_MOVES:
                for k in range(first + 1, end):
                    keep[k] = False
                    centre[k, 0] = centre[k, 1] = np.nan
            else:
                centre[end, 0] = centre[end, 1] = np.nan
            first = end
    return keep, centre


@compiled
def _arc(
    values: Points, middles: Points, seconds: Floats, first: int, last: int, tolerance: float
) -> tuple[bool, float, float]:
    """Returns whether an arc fits from point first to point last, and its centre."""
    x, y = values[first]
    dx, dy = values[last, 0] - x, values[last, 1] - y
    chord = np.hypot(dx, dy)
    if chord < 1e-6:
        return False, 0.0, 0.0
    dx, dy, half = dx / chord, dy / chord, chord / 2
    x, y = x + half * dx, y + half * dy
    # u along the chord, v across it: a circle about (0, h) through both ends is u² + v² - half² = 2 h v.
    above = below = 0.0
    for k in range(first, last):
        for part in range(2):
            if part == 0 and k == first:
                continue
            px = (values[k, 0] if part == 0 else middles[k, 0]) - x
            py = (values[k, 1] if part == 0 else middles[k, 1]) - y
            u, v = px * dx + py * dy, py * dx - px * dy
            above += v * (u * u + v * v - half * half)
            below += 2 * v * v
    if below < 1e-12 or abs(above) > LARGEST_RADIUS * below:
        return False, 0.0, 0.0
    height = above / below
    radius = np.hypot(half, height)
    x, y = x - dy * height, y + dx * height
    before = np.arctan2(values[first, 1] - y, values[first, 0] - x)
    total, slowest, fastest = 0.0, 1e300, 0.0
    for k in range(first, last):
        if abs(np.hypot(middles[k, 0] - x, middles[k, 1] - y) - radius) > tolerance:
            return False, 0.0, 0.0
        if k > first and abs(np.hypot(values[k, 0] - x, values[k, 1] - y) - radius) > tolerance:
            return False, 0.0, 0.0
        after = np.arctan2(values[k + 1, 1] - y, values[k + 1, 0] - x)
        turn = (after - before + np.pi) % (2 * np.pi) - np.pi
        if turn * total < 0.0 or turn == 0.0:
            return False, 0.0, 0.0
        before, total = after, total + turn
        pace = abs(turn) * radius / max(seconds[k + 1], 1e-9)
        slowest, fastest = min(slowest, pace), max(fastest, pace)
    if abs(total) > MOST_TURN or fastest > LARGEST_SPEED_RATIO * slowest:
        return False, 0.0, 0.0
    return True, x, y
