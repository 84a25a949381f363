"""Where a job pauses to refill a pen: at the end of a stroke, before the ink does not reach for the next one."""

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
"""m by which sums of the same strokes may differ."""


@dataclass(frozen=True)
class Refills:
    """Refills along runs."""

    runs: tuple[int, ...]
    """Travels before which a pen is refilled; where one begins a pen's part, it is filled as it is put in."""
    left: tuple[float, ...]
    """m of ink that is left in each pen after the job; nan where nobody knows what a full one holds."""
    too_long: tuple[int, ...]
    """Strokes for which a full pen does not reach."""


def refills(pens: Sequence[Pen], metres: Floats, down: Flags, pen: Integers, stroke: Integers) -> Refills:
    """Of k runs: metres (k,) long, with the pen down (k,) bool, by pen (k,), drawing stroke (k,) or -1."""
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
    """The pens after strokes were drawn in order, refilled where refills() has it.

    metres: (k,) m, whole length of each stroke, by which a refill before it is decided; drawn: (k,) m, how much of it is
    drawn; pen: (k,) index.
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
    """The pens after all of these strokes were drawn in order."""
    metres = strokes.lengths() / 1000
    return with_ink_used(pens, metres, metres, strokes.pen)
