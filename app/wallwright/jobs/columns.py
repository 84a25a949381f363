"""Vectorised formatting of number columns as rows of text, with a table of characters and a mask.

A million numbers take a second, instead of a minute one by one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Flags, Floats, Integers

Bytes = npt.NDArray[np.uint8]
AT_ONCE = 50_000
"""Rows formatted together: about 10 MB, 50 ms."""


@dataclass(frozen=True)
class Column:
    """One piece of every row."""

    characters: Bytes
    """(n, w) uint8, or (1, w) when it is the same in every row."""
    written: Flags
    """(n, w) bool, or one that broadcasts to it."""

    def where(self, rows: Flags) -> Column:
        """Returns the column, written only in the rows marked in (n,) bool."""
        return Column(self.characters, self.written & rows[:, None])


def text(piece: str) -> Column:
    """Returns a column with the same text in every row."""
    characters: Bytes = np.frombuffer(piece.encode("utf-8"), dtype=np.uint8)[None]
    return Column(characters, np.ones(characters.shape, dtype=bool))


def numbers(values: Floats | Integers, places: int) -> Column:
    """Returns a column of (n,) numbers with at most `places` decimals, without exponent, minus zero or trailing zeros.

    Rounded to the nearest, halves to even, as numpy.round does. |values| < 2**63 / 10**places.
    """
    scaled = np.rint(np.asarray(values, dtype=float) * 10**places).astype(np.int64)
    left = np.abs(scaled)
    width = len(str(int(left.max(initial=0)) // 10**places))
    n, wide = len(scaled), 1 + width + (1 + places if places else 0)
    characters: Bytes = np.empty((n, wide), dtype=np.uint8)
    written = np.zeros((n, wide), dtype=bool)
    characters[:, 0], written[:, 0] = ord("-"), scaled < 0
    some = np.zeros(n, dtype=bool)
    for at in range(wide - 1, width + 1, -1):  # decimals: from the last that is not 0
        left, digit = np.divmod(left, 10)
        some |= digit > 0
        characters[:, at], written[:, at] = digit + ord("0"), some
    if places:
        characters[:, width + 1], written[:, width + 1] = ord("."), some
    for at in range(width, 0, -1):  # whole part: no leading zeros, but at least one digit
        written[:, at] = (left > 0) | (at == width)
        left, digit = np.divmod(left, 10)
        characters[:, at] = digit + ord("0")
    return Column(characters, written)


def rows(n: int, *columns: Column) -> bytes:
    """Returns the text of n rows with the columns one after the other."""
    widths = [c.characters.shape[1] for c in columns]
    characters = np.empty((n, sum(widths)), dtype=np.uint8)
    written = np.empty((n, sum(widths)), dtype=bool)
    start = 0
    for column, width in zip(columns, widths, strict=True):
        characters[:, start : start + width] = column.characters
        written[:, start : start + width] = column.written
        start += width
    return characters[written].tobytes()


def parts_of(runs: Integers, first: int, last: int, size: int = AT_ONCE) -> list[tuple[int, int]]:
    """Divides runs first .. last - 1 into parts of about `size` points, at least one run. runs: (k + 1,) first points.

    Returns index pairs of runs; the second one is exclusive.
    """
    parts = []
    while first < last:
        upto = int(np.searchsorted(runs, runs[first] + size, side="right")) - 1
        upto = min(max(upto, first + 1), last)
        parts.append((first, upto))
        first = upto
    return parts
