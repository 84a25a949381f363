"""Timetable of strokes: when which stroke is drawn where, to find a place by the clock or by looking at the wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.continuation import StrokePlace
from wallwright.motion.plan import Motion
from wallwright.motion.trajectory import block_times, place_at, sample_at, stroke_starts

STEPS = (10, 20, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 4 * 3600, 8 * 3600, 24 * 3600)
"""Possible intervals between two rows, s: round numbers on a clock."""
MOST_ROWS = 24
"""Largest number of rows of a timetable: half a page in two columns."""
MOST_STROKES = 200
"""Largest number of strokes whose positions are written to a file: enough to look up a stroke between two of them."""


@dataclass(frozen=True)
class TimetableRow:
    """One row of the timetable."""

    block: int
    """Index of the pen's block, from 0: a pen change has no fixed length, so each block is timed by itself."""
    since: float
    """Time since the block began, s."""
    stroke: int
    """Index, from 0, of the stroke in progress or next."""
    point: tuple[float, float]
    """Pen position, or the start of that stroke, mm."""


def timetable(motion: Motion, most: int = MOST_ROWS) -> list[TimetableRow]:
    """Returns rows at equal intervals within each pen's block, beginning with its first stroke; none after its last
    stroke."""
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
                continue  # on its way to the pen change: the next stroke belongs to another pen
            first = motion.runs[drawn[place.stroke]]
            point = sample_at(motion, np.array([begin + since])).pen_xy[0] if place.along else motion.pen_xy[first]
            rows.append(TimetableRow(number, since, place.stroke, tuple(point.tolist())))
    return rows


def round_numbers(count: int, most: int = MOST_STROKES) -> Integers:
    """Returns (m,) indices, from 0, of strokes at a round spacing (1, 2, 5, 10, 20, ...), at most `most` of them."""
    each = 1
    for digit in range(12):
        for round_number in (1, 2, 5):
            each = round_number * 10**digit
            if count <= each * most:
                return np.arange(0, count, each)
    return np.arange(0, count, each)


@dataclass(frozen=True)
class StrokeMarks:
    """Starts of some strokes."""

    strokes: Integers
    """(m,) indices from 0."""
    time: Floats
    """(m,) s."""
    points: Points
    """(m, 2) mm: start of each."""
    samples: Integers
    """(m,) first sample of each."""


def stroke_marks(motion: Motion) -> StrokeMarks:
    """Returns the marks of regularly spaced strokes of a motion."""
    begins = motion.runs[:-1][motion.down]
    strokes = round_numbers(len(begins))
    return StrokeMarks(strokes, stroke_starts(motion)[strokes], motion.pen_xy[begins[strokes]], begins[strokes])
