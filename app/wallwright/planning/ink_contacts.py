"""Places where the ink of one pen touches that of another, and the time between both.

Two strokes touch where they come closer than half the sum of their widths. Each pen draws one block; times within a block
do not depend on the order of the blocks, so the contacts hold for any order of the pens.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from wallwright.document.arrays import Floats, Objects
from wallwright.document.document import Document
from wallwright.document.pen import needs_change
from wallwright.document.wall import Point
from wallwright.motion.plan import Motion
from wallwright.strokes.line_geometries import line_strings
from wallwright.strokes.strokes import Strokes

AT_ONCE = 500
"""Number of strokes tested together: few enough to stop soon, many enough to be fast."""


@dataclass(frozen=True)
class Contact:
    """The pair of strokes of two pens with the least time between them when one pen draws before the other."""

    offset: float
    """Time from the end of the earlier pen's stroke to the beginning of the later pen's stroke, s, both counted from the
    beginning of their own block."""
    point: Point
    """Contact point, mm."""


class InkContacts:
    """Contacts between the blocks of a plan, computed on demand."""

    def __init__(self, document: Document, strokes: Strokes, motion: Motion) -> None:
        self._pens = [document.pens[block.pen] for block in motion.blocks]
        runs = np.flatnonzero(motion.down)
        block = np.searchsorted([b.first_run for b in motion.blocks], runs, side="right") - 1
        self.begin: Floats = np.array([motion.time[motion.runs[b.first_run]] for b in motion.blocks])
        """(b,) s from the start of the job, without the changes between blocks."""
        last = np.array([motion.time[motion.runs[b.last_run] - 1] for b in motion.blocks])
        self.seconds: Floats = last - self.begin
        """(b,) s: duration of each block."""
        self._stroke_begin = motion.time[motion.runs[runs]] - self.begin[block]
        self._stroke_end = motion.time[motion.runs[runs + 1] - 1] - self.begin[block]
        self._rows = [np.flatnonzero(block == number) for number in range(len(motion.blocks))]
        self._strokes, self._number = strokes, motion.stroke[runs]
        self._lines: dict[int, Objects] = {}
        self._trees: dict[int, shapely.STRtree] = {}
        """Trees of all strokes of a block."""
        self._meeting: dict[tuple[int, int], Point | None] = {}

    def meeting_point(self, first: int, second: int) -> Point | None:
        """Returns a point, mm, where the ink of two blocks touches; None if it does not."""
        key = min(first, second), max(first, second)
        if key not in self._meeting:
            self._meeting[key] = next(self._meetings(*key), None)
        return self._meeting[key]

    def _meetings(self, low: int, high: int) -> Iterator[Point]:
        if not len(self._rows[low]) or not len(self._rows[high]):
            return
        if low not in self._trees:
            self._trees[low] = shapely.STRtree(self._lines_of(low))
        for lines in self._chunks(self._lines_of(high)):
            found = self._trees[low].query(lines, predicate="dwithin", distance=self._reach(low, high))
            if found.size:
                yield _meeting(self._lines_of(low)[found[1, 0]], lines[found[0, 0]])

    def closest_in_time(self, earlier: int, later: int, within: float) -> Contact | None:
        """Returns the contact of two blocks with the least time between them, when one is drawn before the other; None if
        they do not touch, or with at least `within` s between them."""
        ends, begins = self._stroke_end[self._rows[earlier]], self._stroke_begin[self._rows[later]]
        old = np.flatnonzero(ends > begins.min(initial=np.inf) - within)
        new = np.flatnonzero(begins < ends.max(initial=-np.inf) + within)
        if not len(old) or not len(new):
            return None
        lines, others = self._lines_of(earlier)[old], self._lines_of(later)[new]
        tree, best, found = shapely.STRtree(lines), within, None
        for first in range(0, len(new), AT_ONCE):
            here = slice(first, first + AT_ONCE)
            if begins[new[first]] - ends[old].max() >= best:
                break  # strokes are in order of time: all others are later still
            b, a = tree.query(others[here], predicate="dwithin", distance=self._reach(earlier, later))
            offset = begins[new[here][b]] - ends[old[a]]
            if len(offset) and (k := int(np.argmin(offset))) >= 0 and offset[k] < best:
                best = float(offset[k])
                found = Contact(best, _meeting(lines[a[k]], others[here][b[k]]))
        return found

    def _reach(self, first: int, second: int) -> float:
        """Returns the distance from line to line within which their ink touches, mm."""
        return (self._pens[first].width + self._pens[second].width) / 2

    def _lines_of(self, block: int) -> Objects:
        """Returns the strokes of a block as lines, in order of time."""
        if block not in self._lines:
            own = self._strokes.take(self._number[self._rows[block]])
            self._lines[block] = line_strings(own.points, own.stroke_of_point)
        return self._lines[block]

    @staticmethod
    def _chunks(lines: Objects) -> Iterator[Objects]:
        for first in range(0, len(lines), AT_ONCE):
            yield lines[first : first + AT_ONCE]


def _meeting(line: shapely.LineString, other: shapely.LineString) -> Point:
    """Returns the point of a line that is nearest to another one, mm."""
    x, y = shapely.shortest_line(line, other).coords[0]
    return float(x), float(y)


def too_early(
    document: Document, contacts: InkContacts, blocks: Sequence[int], earlier: int, later: int, waits: Sequence[float]
) -> tuple[float, Point] | None:
    """Returns how many s too early a block touches another one's wet ink, and where (mm); None if it does not.

    blocks: pen of each block, as an index into Document.pens, in drawing order. waits: s before each block, beyond the pen
    change itself.
    """
    pens, waited = document.pens, waits[earlier + 1 : later + 1]
    if pens[blocks[later]].over == "any" or not needs_change(pens, blocks[earlier], blocks[later]):
        return None
    between = float(contacts.begin[later] - contacts.begin[earlier])
    steps = zip(itertools.pairwise(blocks[earlier : later + 1]), waited, strict=True)
    changes = sum(wait > 0 or needs_change(pens, *step) for step, wait in steps)
    between += document.machine.lift.change_time * changes + sum(waited)
    least = 60 * document.pens[blocks[earlier]].drying - between
    contact = contacts.closest_in_time(earlier, later, least)
    return None if contact is None else (least - contact.offset, contact.point)


def drying_waits(document: Document, strokes: Strokes, motion: Motion) -> tuple[float, ...]:
    """Returns (b,) s to wait before each block, beyond the pen change itself, so that no pen touches wet ink."""
    contacts, blocks = InkContacts(document, strokes, motion), [block.pen for block in motion.blocks]
    waits = [0.0] * len(blocks)
    for earlier, later in sorted(itertools.combinations(range(len(blocks)), 2), key=lambda pair: pair[1]):
        found = too_early(document, contacts, blocks, earlier, later, waits)
        waits[later] += found[0] if found is not None else 0.0
    return tuple(waits)
