"""Strokes in packed arrays: the form in which they are passed between stages, processes and the canvas.

A stroke is one pen-down run. A hundred thousand of them are five arrays, not a hundred thousand objects.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import overload

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points


class PackedLines(Sequence[Points]):
    """Polylines (m, 2) in two arrays. A list of a million small arrays takes four times the memory of their points."""

    __slots__ = ("offsets", "points")

    def __init__(self, points: Points, offsets: Integers) -> None:
        """points: (n, 2) float64, mm; offsets: (k + 1,) int64: line i is points[offsets[i]:offsets[i + 1]]."""
        self.points, self.offsets = points, offsets

    @classmethod
    def of_equal(cls, lines: Floats) -> PackedLines:
        """Returns lines with equal numbers of points. lines: (k, m, 2) mm, not copied."""
        count, points, _ = lines.shape
        return cls(lines.reshape(-1, 2), np.arange(count + 1) * points)

    def __len__(self) -> int:
        return len(self.offsets) - 1

    @overload
    def __getitem__(self, i: int) -> Points: ...

    @overload
    def __getitem__(self, i: slice) -> list[Points]: ...

    def __getitem__(self, i: int | slice) -> Points | list[Points]:
        if isinstance(i, slice):
            return [self[k] for k in range(*i.indices(len(self)))]
        k = range(len(self))[i]
        return self.points[self.offsets[k] : self.offsets[k + 1]]


@dataclass(frozen=True)
class Strokes:
    """Polylines on the wall, mm, wall frame.

    Stroke i is points[offsets[i]:offsets[i + 1]]; a closed stroke repeats its first point.
    """

    points: Points
    """(n, 2) float64."""
    offsets: Integers
    """(k + 1,) int64, offsets[0] == 0, offsets[-1] == n."""
    pen: Integers
    """(k,) int32, index into Document.pens."""
    source: Integers
    """(k,) int32, index into the list of shapes the strokes came from, for reports and picking; -1: none."""
    is_fill: Flags
    """(k,) bool: True for fills, False for edges and lines."""

    def __len__(self) -> int:
        return len(self.offsets) - 1

    def __getitem__(self, i: int) -> Points:
        return self.points[self.offsets[i] : self.offsets[i + 1]]

    def __iter__(self) -> Iterator[Points]:
        return (self[i] for i in range(len(self)))

    @property
    def starts(self) -> Points:
        """(k, 2) first points. In mm."""
        return self.points[self.offsets[:-1]]

    @property
    def ends(self) -> Points:
        """(k, 2) last points. In mm."""
        return self.points[self.offsets[1:] - 1]

    @property
    def stroke_of_point(self) -> Integers:
        """(n,) int64, stroke index of each point."""
        return np.repeat(np.arange(len(self)), np.diff(self.offsets))

    def lengths(self) -> Floats:
        """(k,) mm: length of each stroke."""
        if len(self) == 0:
            return np.zeros(0)
        step = np.zeros(len(self.points))
        step[1:] = np.hypot(*np.diff(self.points, axis=0).T)
        step[self.offsets[:-1]] = 0.0
        return np.add.reduceat(step, self.offsets[:-1])

    def between(self, first: int, last: int) -> Strokes:
        """Returns the strokes first .. last - 1, sharing the arrays."""
        a, b = self.offsets[first], self.offsets[last]
        return Strokes(
            self.points[a:b],
            self.offsets[first : last + 1] - a,
            self.pen[first:last],
            self.source[first:last],
            self.is_fill[first:last],
        )

    def take(self, order: Integers | Sequence[int], backwards: Flags | None = None) -> Strokes:
        """Returns the strokes selected by the index array order (m,), those marked in backwards (m,) bool reversed."""
        chosen = np.asarray(order, dtype=np.int64)
        counts = np.diff(self.offsets)[chosen]
        offsets = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
        within = np.arange(offsets[-1]) - np.repeat(offsets[:-1], counts)
        if backwards is not None:
            flip = np.repeat(backwards, counts)
            within = np.where(flip, np.repeat(counts, counts) - 1 - within, within)
        index = np.repeat(self.offsets[:-1][chosen], counts) + within
        return Strokes(
            self.points.take(index, axis=0), offsets, self.pen[chosen], self.source[chosen], self.is_fill[chosen]
        )

    def moved(self, by: tuple[float, float]) -> Strokes:
        """Returns the strokes moved to the right and down, mm."""
        return Strokes(self.points + np.array(by), self.offsets, self.pen, self.source, self.is_fill)

    @staticmethod
    def empty() -> Strokes:
        return Strokes.pack([], 0)

    @staticmethod
    def pack(
        polylines: Iterable[Points],
        pen: int | Integers,
        source: int | Integers = -1,
        is_fill: bool | Flags = False,
    ) -> Strokes:
        """Pack (m, 2) polylines; pen, source and is_fill are one value for all or one for each."""
        if isinstance(polylines, PackedLines):
            points, offsets = polylines.points, polylines.offsets
        else:
            lines = [np.asarray(p, dtype=np.float64).reshape(-1, 2) for p in polylines]
            offsets = np.concatenate([[0], np.cumsum([len(p) for p in lines])]).astype(np.int64)
            points = np.concatenate(lines) if lines else np.zeros((0, 2))
        k = len(offsets) - 1
        return Strokes(
            points,
            offsets,
            np.broadcast_to(np.int32(pen), (k,)).astype(np.int32),
            np.broadcast_to(np.int32(source), (k,)).astype(np.int32),
            np.broadcast_to(is_fill, (k,)).astype(bool),
        )

    @staticmethod
    def join(parts: Iterable[Strokes]) -> Strokes:
        """Returns the strokes of all parts, concatenated."""
        parts = list(parts)
        if not parts:
            return Strokes.empty()
        base = np.cumsum([0] + [len(p.points) for p in parts])
        return Strokes(
            np.concatenate([p.points for p in parts]),
            np.concatenate([[0]] + [p.offsets[1:] + b for p, b in zip(parts, base, strict=False)]).astype(np.int64),
            np.concatenate([p.pen for p in parts]),
            np.concatenate([p.source for p in parts]),
            np.concatenate([p.is_fill for p in parts]),
        )
