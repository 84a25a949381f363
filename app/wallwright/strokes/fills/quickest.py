"""The fill that takes the machine the least time: hatch or zigzag, and contour where an area is to be solid.

Each is laid, and its time computed: along its lines at the drawing speed, slower where they turn, to the next line at the
travel speed, and with a lift for each. A contour fill looks unlike a hatch where wall shows between its lines, so it is
tried for solid areas only, and only where it can win: it has no fewer mm of line than the area has room for.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.document.arrays import Floats, Integers, Objects, Points
from wallwright.document.document import Document, Fill
from wallwright.document.edits import replace
from wallwright.strokes.fills.contour import contour
from wallwright.strokes.fills.hatch import hatch
from wallwright.strokes.fills.progress import Progress, no_progress
from wallwright.strokes.fills.spacing import flat_spacing_of
from wallwright.strokes.fills.zigzag import zigzag
from wallwright.strokes.line_geometries import line_strings

FEWEST_ROWS = 4.0
"""Hatch lines up to which nothing is to be won worth the search: one lift or two."""
SOLID = 99.5
"""% of coverage from which a fill leaves no wall between its lines."""
FINE = 0.0125
"""mm that points may be off a line: a quarter of the usual curve tolerance, as strokes are simplified."""
CURVE = np.radians(20)
"""Turn at a point up to which a line counts as curved there, not as having a corner."""


class DrawingPace(NamedTuple):
    """How fast a machine draws."""

    draw_speed: float
    """mm/s."""
    travel_speed: float
    """mm/s."""
    acceleration: float
    """mm/s²."""
    corner_tolerance: float
    """mm that a corner may be cut."""
    lift: float
    """s to raise and lower the pen."""

    @classmethod
    def of(cls, document: Document) -> DrawingPace:
        """Of the document's machine."""
        limits, lift = document.machine.limits, document.machine.lift
        return cls(
            limits.draw_speed,
            limits.travel_speed,
            limits.acceleration,
            limits.corner_tolerance,
            lift.raise_time + lift.lower_time,
        )


USUAL_PACE = DrawingPace.of(Document())
"""Of the machine that a new document has."""


def quickest(
    region: BaseGeometry,
    fill: Fill,
    pen_width: float,
    progress: Progress = no_progress,
    pace: DrawingPace = USUAL_PACE,
) -> list[Floats]:
    """Polylines (n, 2), mm, of the kind of fill that takes the least time in a region."""
    lines = hatch(region, fill, pen_width)
    if len(lines) < 2:
        return lines
    joined = zigzag(region, fill, pen_width, lambda done: progress(0.4 * done))
    found = min((lines, joined), key=lambda some: drawing_seconds(some, pace))
    least = region.area / flat_spacing_of(fill, pen_width) / pace.draw_speed + pace.lift
    if fill.coverage < SOLID or drawing_seconds(found, pace) <= least:
        return found
    rings = contour(region, fill, pen_width, lambda done: progress(0.4 + 0.6 * done))
    return min((found, rings), key=lambda some: drawing_seconds(some, pace)) if rings else found


def are_worth_a_search(regions: Objects, fill: Fill, pen_width: float) -> list[bool]:
    """For each region (n,) whether more than a few hatch lines fit into it."""
    left, top, right, bottom = shapely.bounds(regions).reshape(-1, 4).T
    across = (right - left) * abs(np.sin(fill.angle)) + (bottom - top) * abs(np.cos(fill.angle))
    rows = across / flat_spacing_of(fill, pen_width)
    return [bool(enough) for enough in rows > FEWEST_ROWS]  # NaN of empty regions is not


def as_hatch(fill: Fill) -> Fill:
    """The hatch with the same numbers."""
    return replace(fill, kind="hatch")


def drawing_seconds(lines: Sequence[Points], pace: DrawingPace) -> float:
    """s that a machine takes for polylines (n, 2), mm, one after the other from the first point of the first.

    In curves the speed is that at which the acceleration across is the machine's; at corners that at which it keeps the
    corner's tolerance.
    """
    if not lines:
        return 0.0
    # Points that are hardly off the line, of which rings have many, would pass for narrow curves.
    owner = np.repeat(np.arange(len(lines)), [len(one) for one in lines])
    simple = shapely.simplify(line_strings(np.concatenate(list(lines)), owner), FINE)
    points, line = shapely.get_coordinates(simple, return_index=True)
    move = np.diff(points, axis=0)
    length = np.hypot(*move.T)
    same = line[1:] == line[:-1]
    gaps = length[~same]
    move, length, of = move[same], length[same], line[1:][same]
    seconds = float(length.sum()) / pace.draw_speed + _turning_seconds(move, length, of, pace)
    ramps = pace.draw_speed / pace.acceleration * len(lines)
    ramp = pace.travel_speed**2 / pace.acceleration
    travels = np.where(
        gaps >= ramp,
        gaps / pace.travel_speed + pace.travel_speed / pace.acceleration,
        2 * np.sqrt(gaps / pace.acceleration),
    )
    return seconds + ramps + float(travels.sum()) + pace.lift * len(lines)


def _turning_seconds(move: Points, length: Floats, of: Integers, pace: DrawingPace) -> float:
    """s lost where lines turn. move, length: of each segment; of: (n,) the line it is on."""
    if len(move) < 2:
        return 0.0
    way = move / np.maximum(length, 1e-12)[:, None]
    turn = np.arccos(np.clip((way[1:] * way[:-1]).sum(axis=1), -1, 1))
    turn = np.where(of[1:] == of[:-1], turn, 0.0)
    half = np.maximum(turn / 2, 1e-9)
    radius = (length[1:] + length[:-1]) / 4 / np.tan(np.minimum(half, np.pi / 2 - 1e-6))
    open_ = np.cos(half)
    corner = pace.corner_tolerance * open_ / np.maximum(1 - open_, 1e-12)
    speed = np.sqrt(pace.acceleration * np.where(turn < CURVE, radius, corner))
    at = np.minimum(speed, pace.draw_speed)
    before, after = np.append(pace.draw_speed, at), np.append(at, pace.draw_speed)
    # Between two corners near each other, as fast as can be reached on half of the way.
    slow = np.minimum(np.maximum(np.maximum(before, after), np.sqrt(pace.acceleration * length)), pace.draw_speed)
    slower = float((length * (1 / np.maximum(slow, 1e-6) - 1 / pace.draw_speed)).sum())
    change = (np.maximum(before, after) - np.minimum(before, after)) ** 2
    return slower + float((change / (2 * pace.acceleration * np.maximum(slow, 1e-6))).sum())
