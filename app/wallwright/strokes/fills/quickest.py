"""The fastest fill for the machine: hatch or zigzag, and contour where an area is to be solid.

Each candidate is laid out and its time computed: along its lines at the drawing speed, slower at turns, to the next line at
the travel speed, and a lift for each. A contour fill looks unlike a hatch where the wall shows between its lines, so it is
tried for solid areas only, and only where it can win: its lines are at least as long as the area requires.
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
"""Number of hatch lines up to which a search is not worthwhile: it saves one lift or two."""
SOLID = 99.5
"""Coverage, %, from which a fill is solid."""
FINE = 0.0125
"""Tolerance for simplifying lines, mm: a quarter of the usual curve tolerance, as for strokes."""
CURVE = np.radians(20)
"""Largest turn at a point, rad, that belongs to a curve and not a corner."""


class DrawingPace(NamedTuple):
    """Drawing speeds of a machine."""

    draw_speed: float
    """mm/s."""
    travel_speed: float
    """mm/s."""
    acceleration: float
    """mm/s²."""
    corner_tolerance: float
    """Tolerance of corners, mm."""
    lift: float
    """Time to raise and lower the pen, s."""

    @classmethod
    def of(cls, document: Document) -> DrawingPace:
        """Returns the pace of the document's machine."""
        limits, lift = document.machine.limits, document.machine.lift
        return cls(
            limits.draw_speed,
            limits.travel_speed,
            limits.acceleration,
            limits.corner_tolerance,
            lift.raise_time + lift.lower_time,
        )


USUAL_PACE = DrawingPace.of(Document())
"""Pace of the machine in a new document."""


def quickest(
    region: BaseGeometry,
    fill: Fill,
    pen_width: float,
    progress: Progress = no_progress,
    pace: DrawingPace = USUAL_PACE,
) -> list[Floats]:
    """Returns polylines (n, 2), mm, of the fill that takes the least time in a region."""
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
    """Returns for each region (n,) whether more than a few hatch lines fit into it."""
    left, top, right, bottom = shapely.bounds(regions).reshape(-1, 4).T
    across = (right - left) * abs(np.sin(fill.angle)) + (bottom - top) * abs(np.cos(fill.angle))
    rows = across / flat_spacing_of(fill, pen_width)
    return [bool(enough) for enough in rows > FEWEST_ROWS]  # NaN of empty regions is not


def as_hatch(fill: Fill) -> Fill:
    """Returns the hatch with the same parameters."""
    return replace(fill, kind="hatch")


def drawing_seconds(lines: Sequence[Points], pace: DrawingPace) -> float:
    """Returns the machine's time, s, for polylines (n, 2), mm, one after the other from the first point of the first.

    In curves the speed is limited by the machine's centripetal acceleration; at corners by the corner tolerance.
    """
    if not lines:
        return 0.0
    # Redundant points, frequent on rings, would look like tight curves.
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
    """Returns the time lost at turns, s. move, length: of each segment; of: (n,) its line."""
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
    # Between two corners near each other, the highest speed reachable at half the distance.
    slow = np.minimum(np.maximum(np.maximum(before, after), np.sqrt(pace.acceleration * length)), pace.draw_speed)
    slower = float((length * (1 / np.maximum(slow, 1e-6) - 1 / pace.draw_speed)).sum())
    change = (np.maximum(before, after) - np.minimum(before, after)) ** 2
    return slower + float((change / (2 * pace.acceleration * np.maximum(slow, 1e-6))).sum())
