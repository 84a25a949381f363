"""Pauses of a job to refill a pen: at the end of a stroke, if the ink does not last for the next one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.document import Pen
from wallwright.document.pen import numbers_in_holder
from wallwright.strokes.strokes import Strokes

ROUNDING = 1e-9
"""Rounding error, m, allowed in sums over the same strokes."""


@dataclass(frozen=True)
class Refills:
    """Refills along runs."""

    runs: tuple[int, ...]
    """Travels before which a pen is refilled; a pen that is put in at the start of its part is full."""
    left: tuple[float, ...]
    """Ink left in each pen after the job, m; nan if the capacity is unknown."""
    too_long: tuple[int, ...]
    """Strokes that are too long for a full pen."""


def refills(pens: Sequence[Pen], metres: Floats, down: Flags, pen: Integers, stroke: Integers) -> Refills:
    """Returns the refills of k runs: metres (k,) long, with the pen down (k,) bool, by pen (k,), drawing stroke (k,) or
    -1."""
    runs, too_long = [], []
    left = [float("nan")] * len(pens)
    in_holder = np.array(numbers_in_holder(pens), dtype=np.int64)
    for number, own in enumerate(pens):
        if not own.ink or in_holder[number] != number:
            continue
        here = np.flatnonzero(down & (in_holder[pen] == number))
        rest = own.ink - own.used
        for run, length in zip(here.tolist(), metres[here].tolist(), strict=True):
            if length > rest + ROUNDING:
                if rest < own.ink:
                    runs.append(run - 1)
                rest = own.ink
                if length > own.ink:
                    too_long.append(int(stroke[run]))
            rest -= length
        left[number] = rest
    left = [left[number] for number in in_holder]
    return Refills(tuple(sorted(runs)), tuple(left), tuple(too_long))


def with_ink_used(pens: Sequence[Pen], metres: Floats, drawn: Floats, pen: Integers) -> tuple[Pen, ...]:
    """Returns the pens after strokes were drawn in order, refilled where refills() says so.

    metres: (k,) m, full length of each stroke, which decides on a refill before it; drawn: (k,) m, how much of it is drawn;
    pen: (k,) index.
    """
    found: list[Pen] = []
    in_holder = np.array(numbers_in_holder(pens), dtype=np.int64)
    for number, own in enumerate(pens):
        mine = in_holder[pen] == in_holder[number]
        used = own.used
        for whole, part in zip(metres[mine].tolist(), drawn[mine].tolist(), strict=True):
            if own.ink and whole > own.ink - used + ROUNDING:
                used = 0.0
            used += part
        found.append(msgspec.structs.replace(own, used=used))
    return tuple(found)


def with_ink_of(pens: Sequence[Pen], strokes: Strokes) -> tuple[Pen, ...]:
    """Returns the pens after all of these strokes were drawn in order."""
    metres = strokes.lengths() / 1000
    return with_ink_used(pens, metres, metres, strokes.pen)
