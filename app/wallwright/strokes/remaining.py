"""The rest of strokes in their order from a place along them, and what lies before it.

A place is a stroke and a length along it. What is before and the rest join to the whole: a stroke is cut at the place, and
nothing is put in another order, so that what the machine drew stays true to the plan it was drawn by.
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
"""Letters of a digest: one in 16 million other drawings has the same."""
LEAST = 0.05
"""mm: less than this of a stroke is not left over or drawn again; no pen marks the wall so finely."""
BEYOND = 0.02
"""Of a stroke's length: a place found from belts may lie so far past its end."""


class DrawnBefore(msgspec.Struct, frozen=True):
    """What comes before the strokes of a job that goes on."""

    rest: Continuation
    """Its place is where the first stroke begins, its overlap is already taken off."""
    drawn: Strokes
    of: int
    """Strokes of the whole job."""
    digest: str
    """Of these."""
    start_point: Point
    """Where the whole job started, mm."""
    lines_up: tuple[float, float]
    """mm: how near the rest comes to its place beside what is drawn, typically and at the worst point."""

    @property
    def first(self) -> int:
        """Number, from 0, of the first stroke of the rest among those of the whole job."""
        return self.rest.place.stroke


def arc_lengths(line: Points) -> Floats:
    """(n,) mm along a polyline (n, 2) from its first point."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])


def normalize_place(strokes: Strokes, place: StrokePlace) -> StrokePlace:
    """The place itself, at the next stroke's beginning where hardly anything of its own is left.

    Raises BadValue when there is no such stroke, or nothing is left to draw.
    """
    count = len(strokes)
    if not 0 <= place.stroke < count:
        raise BadValue(
            tr("There is no stroke {0}; this job has strokes 1 to {1}", place.stroke + 1, count)
            if count
            else tr("The job has no strokes")
        )
    length = arc_lengths(strokes[place.stroke])[-1]
    if not place.along <= length * (1 + BEYOND) + LEAST:
        raise BadValue(
            tr(
                "Stroke {0} is {1:.1f} mm long; it has no point {2:g} mm along it",
                place.stroke + 1,
                length,
                place.along,
            )
        )
    along = place.along if place.along > LEAST else 0.0
    if along and along > length - LEAST:
        if place.stroke + 1 == count:
            raise BadValue(tr("Nothing is left to draw: stroke {0} is the last one", count))
        return StrokePlace(place.stroke + 1)
    return StrokePlace(place.stroke, along)


def back_by(place: StrokePlace, length: float) -> StrokePlace:
    """The place so many mm earlier, not before the beginning of its stroke."""
    return StrokePlace(place.stroke, max(place.along - length, 0.0))


def point_at(strokes: Strokes, place: StrokePlace) -> Floats:
    """(2,) mm on the wall."""
    line = strokes[place.stroke]
    way = arc_lengths(line)
    return np.array([np.interp(place.along, way, line[:, axis]) for axis in (0, 1)])


def remaining_strokes(strokes: Strokes, place: StrokePlace, overlap: float = 0.0) -> Strokes:
    """What is drawn from a place on, a stroke that was cut short from `overlap` mm before it. Raises BadValue."""
    place = back_by(normalize_place(strokes, place), overlap)
    later = strokes.take(np.arange(place.stroke, len(strokes)))
    return _with_line(later, 0, _cut(strokes[place.stroke], place.along)[1])


def drawn_until(strokes: Strokes, place: StrokePlace) -> Strokes:
    """What is drawn before a place. Raises BadValue."""
    place = normalize_place(strokes, place)
    before = strokes.take(np.arange(place.stroke + (1 if place.along else 0)))
    return _with_line(before, -1, _cut(strokes[place.stroke], place.along)[0]) if place.along else before


def place_near(strokes: Strokes, point: tuple[float, float], reach: float = np.inf) -> StrokePlace | None:
    """The place nearest to a point of the wall, of several strokes on the last one; None when none is within reach, mm."""
    stroke = nearest.nearest_stroke(strokes, point, reach)
    if stroke is None:
        return None
    line = strokes[stroke]
    share, far = nearest.along(line[:-1], line[1:], point)
    at = int(np.argmin(far))
    return StrokePlace(stroke, float(arc_lengths(line)[at] + share[at] * np.hypot(*(line[at + 1] - line[at]))))


def strokes_digest(strokes: Strokes) -> str:
    """Tells strokes and their order from others: of pens and points, to 0.01 mm."""
    found = hashlib.sha256()
    for values in (np.rint(strokes.points * 100).astype(np.int64), strokes.offsets, strokes.pen):
        found.update(np.ascontiguousarray(values).data)
    return found.hexdigest()[:32]


def fingerprint(digest: str) -> str:
    """The part of a digest that people compare, on the sheet and on the screen."""
    return digest[:FINGERPRINT]


def _cut(line: Points, along: float) -> tuple[Floats, Floats]:
    """The two parts of a polyline at so many mm; both have the point of the cut."""
    if along <= 0:
        return line[:1], line
    way = arc_lengths(line)
    at = min(int(np.searchsorted(way, along, side="right")) - 1, len(line) - 2)
    share = min((along - way[at]) / max(way[at + 1] - way[at], 1e-12), 1.0)
    point = line[at] + share * (line[at + 1] - line[at])
    later = line[at + 1 :] if share < 1.0 else line[at + 2 :]
    return np.concatenate([line[: at + 1], point[None]]), np.concatenate([point[None], later])


def _with_line(strokes: Strokes, index: int, line: Points) -> Strokes:
    """The strokes with another polyline in place of the first or the last one."""
    own = Strokes.pack([line], int(strokes.pen[index]), int(strokes.source[index]), bool(strokes.is_fill[index]))
    others = strokes.take(np.arange(1, len(strokes)) if index == 0 else np.arange(len(strokes) - 1))
    return Strokes.join([own, others] if index == 0 else [others, own])
