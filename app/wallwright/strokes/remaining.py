"""The remaining strokes, in order, from a place along them, and those before it.

A place is a stroke and a length along it. The part before and the remainder make up the whole: a stroke is cut at the
place, and the order is unchanged, so that what the machine drew stays true to the plan it was drawn by.
"""

from __future__ import annotations

import hashlib

import msgspec
import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.continuation import Continuation, StrokePlace
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.wall import Point
from wallwright.strokes import nearest
from wallwright.strokes.strokes import Strokes

FINGERPRINT = 6
"""Number of letters of a fingerprint: one in 16 million other drawings has the same."""
LEAST_LENGTH = 0.05
"""Shortest remainder of a stroke, mm, that is drawn; no pen marks the wall more finely."""
LARGEST_OVERSHOOT = 0.02
"""Largest overshoot past a stroke's end, as a share of its length, of a place found from belts."""


class DrawnBefore(msgspec.Struct, frozen=True):
    """The part of a job that was drawn before its continuation."""

    rest: Continuation
    """Its place is where the first stroke begins; its overlap is already subtracted."""
    drawn: Strokes
    of: int
    """Number of strokes of the whole job."""
    digest: str
    """Digest of the whole job's strokes."""
    start_point: Point
    """Starting point of the whole job, mm."""
    lines_up: tuple[float, float]
    """Expected error between the continuation and what is drawn, mm, typically and at the worst point."""

    @property
    def first(self) -> int:
        """Returns the index, from 0, of the first remaining stroke among those of the whole job."""
        return self.rest.place.stroke


def arc_lengths(line: Points) -> Floats:
    """Returns (n,) mm along a polyline (n, 2) from its first point."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])


def normalize_place(strokes: Strokes, place: StrokePlace) -> StrokePlace:
    """Returns the place, or the next stroke's beginning if almost nothing of its stroke is left.

    Raises BadValue if there is no such stroke, or nothing is left to draw.
    """
    count = len(strokes)
    if not 0 <= place.stroke < count:
        raise BadValue(
            tr("There is no stroke {0}; this job has strokes 1 to {1}", place.stroke + 1, count)
            if count
            else tr("The job has no strokes")
        )
    length = arc_lengths(strokes[place.stroke])[-1]
    if not place.along <= length * (1 + LARGEST_OVERSHOOT) + LEAST_LENGTH:
        raise BadValue(
            tr(
                "Stroke {0} is {1:.1f} mm long; it has no point {2:g} mm along it",
                place.stroke + 1,
                length,
                place.along,
            )
        )
    along = place.along if place.along > LEAST_LENGTH else 0.0
    if along and along > length - LEAST_LENGTH:
        if place.stroke + 1 == count:
            raise BadValue(tr("Nothing is left to draw: stroke {0} is the last one", count))
        return StrokePlace(place.stroke + 1)
    return StrokePlace(place.stroke, along)


def back_by(place: StrokePlace, length: float) -> StrokePlace:
    """Returns the place a length earlier, mm, not before the beginning of its stroke."""
    return StrokePlace(place.stroke, max(place.along - length, 0.0))


def point_at(strokes: Strokes, place: StrokePlace) -> Floats:
    """Returns the position on the wall, (2,) mm."""
    line = strokes[place.stroke]
    way = arc_lengths(line)
    return np.array([np.interp(place.along, way, line[:, axis]) for axis in (0, 1)])


def remaining_strokes(strokes: Strokes, place: StrokePlace, overlap: float = 0.0) -> Strokes:
    """Returns the strokes from a place on; a stroke that was cut begins `overlap` mm before it. Raises BadValue."""
    place = back_by(normalize_place(strokes, place), overlap)
    later = strokes.take(np.arange(place.stroke, len(strokes)))
    return _with_line(later, 0, _cut(strokes[place.stroke], place.along)[1])


def drawn_until(strokes: Strokes, place: StrokePlace) -> Strokes:
    """Returns the strokes before a place. Raises BadValue."""
    place = normalize_place(strokes, place)
    before = strokes.take(np.arange(place.stroke + (1 if place.along else 0)))
    return _with_line(before, -1, _cut(strokes[place.stroke], place.along)[0]) if place.along else before


def place_near(strokes: Strokes, point: tuple[float, float], reach: float = np.inf) -> StrokePlace | None:
    """Returns the place nearest to a point of the wall, if on several strokes the last one; None if none is within reach,
    mm."""
    stroke = nearest.nearest_stroke(strokes, point, reach)
    if stroke is None:
        return None
    line = strokes[stroke]
    share, far = nearest.along(line[:-1], line[1:], point)
    at = int(np.argmin(far))
    return StrokePlace(stroke, float(arc_lengths(line)[at] + share[at] * np.hypot(*(line[at + 1] - line[at]))))


def strokes_digest(strokes: Strokes) -> str:
    """Returns a digest that identifies strokes and their order: from pens and points, to 0.01 mm."""
    found = hashlib.sha256()
    for values in (np.rint(strokes.points * 100).astype(np.int64), strokes.offsets, strokes.pen):
        found.update(np.ascontiguousarray(values).data)
    return found.hexdigest()[:32]


def fingerprint(digest: str) -> str:
    """Returns the part of a digest that people compare, on the sheet and on the screen."""
    return digest[:FINGERPRINT]


def _cut(line: Points, along: float) -> tuple[Floats, Floats]:
    """Returns the two parts of a polyline cut at a length, mm; both have the point of the cut."""
    if along <= 0:
        return line[:1], line
    way = arc_lengths(line)
    at = min(int(np.searchsorted(way, along, side="right")) - 1, len(line) - 2)
    share = min((along - way[at]) / max(way[at + 1] - way[at], 1e-12), 1.0)
    point = line[at] + share * (line[at + 1] - line[at])
    later = line[at + 1 :] if share < 1.0 else line[at + 2 :]
    return np.concatenate([line[: at + 1], point[None]]), np.concatenate([point[None], later])


def _with_line(strokes: Strokes, index: int, line: Points) -> Strokes:
    """Returns the strokes with another polyline in place of the first or the last one."""
    own = Strokes.pack([line], int(strokes.pen[index]), int(strokes.source[index]), bool(strokes.is_fill[index]))
    others = strokes.take(np.arange(1, len(strokes)) if index == 0 else np.arange(len(strokes) - 1))
    return Strokes.join([own, others] if index == 0 else [others, own])
