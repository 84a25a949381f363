"""Where a job pauses to refill a pen: at the end of a stroke, before the ink does not reach for the next one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.document import Pen


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
    runs, left, too_long = [], [], []
    for number, own in enumerate(pens):
        if not own.ink:
            left.append(float("nan"))
            continue
        here = np.flatnonzero(down & (pen == number))
        rest = own.ink - own.used
        for run, length in zip(here.tolist(), metres[here].tolist(), strict=True):
            if length > rest:
                if rest < own.ink:
                    runs.append(run - 1)
                rest = own.ink
                if length > own.ink:
                    too_long.append(int(stroke[run]))
            rest -= length
        left.append(rest)
    return Refills(tuple(sorted(runs)), tuple(left), tuple(too_long))


def with_ink_used(pens: Sequence[Pen], metres: Floats) -> tuple[Pen, ...]:
    """The pens after each has drawn so many metres, (p,) m, more; a refilled one has what it drew since."""
    found = []
    for pen, drawn in zip(pens, metres.tolist(), strict=True):
        used = pen.used + drawn
        if pen.ink and used > pen.ink:
            used = used % pen.ink
        found.append(msgspec.structs.replace(pen, used=used))
    return tuple(found)
