"""Where the ink of one pen touches that of another, and how long lies between both.

Two strokes touch where they come closer than half the width of both lines. Each pen draws one block; the time within a
block does not depend on the order of the blocks, so what is found here holds for any order of the pens.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from wallwright.document.arrays import Floats, Objects
from wallwright.document.document import Document
from wallwright.document.wall import Point
from wallwright.motion.plan import Motion
from wallwright.strokes.line_geometries import line_strings
from wallwright.strokes.strokes import Strokes


@dataclass(frozen=True)
class Contact:
    """Of the strokes of two pens, the pair with the least time between them when one pen draws before the other."""

    offset: float
    """s from the end of the earlier pen's stroke to the begin of the later pen's stroke, both counted from the beginning of
    their own block."""
    point: Point
    """mm, where the two touch."""


class InkContacts:
    """Contacts between the blocks of a plan, found when they are first asked for."""

    def __init__(self, document: Document, strokes: Strokes, motion: Motion) -> None:
        self._pens = [document.pens[block.pen] for block in motion.blocks]
        runs = np.flatnonzero(motion.down)
        block = np.searchsorted([b.first_run for b in motion.blocks], runs, side="right") - 1
        first = np.array([motion.time[motion.runs[b.first_run]] for b in motion.blocks])
        last = np.array([motion.time[motion.runs[b.last_run] - 1] for b in motion.blocks])
        self.begin: Floats = first
        """(b,) s from the start of the job, without the changes between blocks."""
        self.seconds: Floats = last - first
        """(b,) s that each block takes."""
        self._stroke_begin = motion.time[motion.runs[runs]] - first[block]
        self._stroke_end = motion.time[motion.runs[runs + 1] - 1] - first[block]
        self._rows = [np.flatnonzero(block == number) for number in range(len(motion.blocks))]
        self._strokes, self._number = strokes, motion.stroke[runs]
        self._lines: dict[int, Objects] = {}
        self._trees: dict[int, shapely.STRtree] = {}
        self._pairs: dict[tuple[int, int], np.ndarray] = {}

    def closest_in_time(self, earlier: int, later: int) -> Contact | None:
        """The contact of two blocks with the least time between, when one is drawn before the other."""
        low, high = min(earlier, later), max(earlier, later)
        pairs = self._touching(low, high)
        if not pairs.size:
            return None
        of_low, of_high = pairs
        a, b = (of_low, of_high) if earlier == low else (of_high, of_low)
        offset = self._stroke_begin[self._rows[later][b]] - self._stroke_end[self._rows[earlier][a]]
        k = int(np.argmin(offset))
        between = shapely.shortest_line(self._lines_of(earlier)[a[k]], self._lines_of(later)[b[k]])
        x, y = between.coords[0]
        return Contact(float(offset[k]), (float(x), float(y)))

    def _lines_of(self, block: int) -> Objects:
        if block not in self._lines:
            drawn = self._strokes.take(self._number[self._rows[block]])
            owner = np.repeat(np.arange(len(drawn)), np.diff(drawn.offsets))
            self._lines[block] = line_strings(drawn.points, owner)
        return self._lines[block]

    def _touching(self, low: int, high: int) -> np.ndarray:
        """(2, n) strokes of both blocks, by their places in these."""
        if (low, high) not in self._pairs:
            if low not in self._trees:
                self._trees[low] = shapely.STRtree(self._lines_of(low))
            reach = (self._pens[low].width + self._pens[high].width) / 2
            found = self._trees[low].query(self._lines_of(high), predicate="dwithin", distance=reach)
            self._pairs[low, high] = found[::-1]
        return self._pairs[low, high]


def too_early(
    document: Document, contacts: InkContacts, blocks: Sequence[int], earlier: int, later: int, waits: Sequence[float]
) -> tuple[float, Point] | None:
    """By how many s a block touches another one's ink before that is dry, and where (mm); None where it does not.

    blocks: pen of each block, as an index into Document.pens, in drawing order. waits: s before each block, beyond the pen
    change itself.
    """
    if document.pens[blocks[later]].over == "any":
        return None
    contact = contacts.closest_in_time(earlier, later)
    if contact is None:
        return None
    apart = float(contacts.begin[later] - contacts.begin[earlier]) + contact.offset
    apart += document.machine.lift.change_time * (later - earlier) + sum(waits[earlier + 1 : later + 1])
    missing = 60 * document.pens[blocks[earlier]].drying - apart
    return (missing, contact.point) if missing > 0 else None


def drying_waits(document: Document, strokes: Strokes, motion: Motion) -> tuple[float, ...]:
    """(b,) s to wait before each block, beyond the pen change itself, so that no pen touches ink that is not dry."""
    contacts, blocks = InkContacts(document, strokes, motion), [block.pen for block in motion.blocks]
    waits = [0.0] * len(blocks)
    for earlier, later in sorted(itertools.combinations(range(len(blocks)), 2), key=lambda pair: pair[1]):
        found = too_early(document, contacts, blocks, earlier, later, waits)
        waits[later] += found[0] if found is not None else 0.0
    return tuple(waits)
