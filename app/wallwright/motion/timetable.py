"""When which stroke is drawn where: places that a person comes back to by the clock, or by looking at the wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.continuation import StrokePlace
from wallwright.motion.plan import Motion
from wallwright.motion.trajectory import block_times, place_at, sample_at, stroke_starts

STEPS = (10, 20, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 4 * 3600, 8 * 3600, 24 * 3600)
"""s between two rows: those that a clock is read by."""
MOST_ROWS = 24
"""Of a timetable: half a page in two columns."""
MOST_STROKES = 200
"""Of which a file tells where they are: enough to look one up between two of them."""


@dataclass(frozen=True)
class TimetableRow:
    """One moment."""

    block: int
    """Which pen's part, from 0: a pen change has no fixed length, so each part is timed by itself."""
    since: float
    """s since that began."""
    stroke: int
    """Number, from 0, of the stroke under way or next."""
    point: tuple[float, float]
    """mm, where the pen is, or where that stroke begins."""


def timetable(motion: Motion, most: int = MOST_ROWS) -> list[TimetableRow]:
    """Rows at equal times within each pen's part, its first stroke first; none after its last stroke."""
    blocks = block_times(motion)
    if not len(blocks):
        return []
    lengths = blocks[:, 1] - blocks[:, 0]
    fitting = (s for s in STEPS if np.ceil(lengths / s).sum() <= most)
    step = next(fitting, STEPS[-1])
    rows: list[TimetableRow] = []
    drawn = np.flatnonzero(motion.down)
    for number, (block, (begin, end)) in enumerate(zip(motion.blocks, blocks.tolist(), strict=True)):
        own = motion.stroke[block.first_run : block.last_run]
        own = own[own >= 0]
        if not len(own):
            continue
        for since in np.arange(0.0, max(end - begin, step / 2), step).tolist():
            place = place_at(motion, begin + since) if since else StrokePlace(int(own[0]))
            if place is None or place.stroke > own[-1]:
                continue  # on its way to the pen change: the next stroke is another pen's
            first = motion.runs[drawn[place.stroke]]
            point = sample_at(motion, np.array([begin + since])).pen_xy[0] if place.along else motion.pen_xy[first]
            rows.append(TimetableRow(number, since, place.stroke, tuple(point.tolist())))
    return rows


def round_numbers(count: int, most: int = MOST_STROKES) -> Integers:
    """(m,) numbers, from 0, of strokes at equal, round distances: 1, 2, 5, 10, 20, ... apart, at most so many of them."""
    each = 1
    for digit in range(12):
        for round_number in (1, 2, 5):
            each = round_number * 10**digit
            if count <= each * most:
                return np.arange(0, count, each)
    return np.arange(0, count, each)


@dataclass(frozen=True)
class StrokeMarks:
    """Where some strokes begin."""

    strokes: Integers
    """(m,) numbers from 0."""
    time: Floats
    """(m,) s."""
    points: Points
    """(m, 2) mm."""
    samples: Integers
    """(m,) first sample of each."""


def stroke_marks(motion: Motion) -> StrokeMarks:
    """Of every so many strokes of a motion."""
    begins = motion.runs[:-1][motion.down]
    strokes = round_numbers(len(begins))
    return StrokeMarks(strokes, stroke_starts(motion)[strokes], motion.pen_xy[begins[strokes]], begins[strokes])
