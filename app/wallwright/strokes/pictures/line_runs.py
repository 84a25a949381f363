"""Operations on packed polylines, such as cutting where a value along them changes sign."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import cast

import numpy as np
from contourpy import ContourGenerator

from wallwright.document.arrays import Floats, Integers, Points
from wallwright.strokes.strokes import PackedLines

CAP = np.pi / 8
"""Additional line length, in line widths, whose ink equals that of a round end."""


def packed(lines: Sequence[Points]) -> tuple[Points, Integers]:
    """Returns the points (n, 2) of all lines and the line index of each, (n,). In mm, and indices of lines."""
    if not lines:
        return np.zeros((0, 2)), np.zeros(0, dtype=np.int64)
    if isinstance(lines, PackedLines):
        return lines.points, np.repeat(np.arange(len(lines)), np.diff(lines.offsets))
    return np.concatenate(lines), np.repeat(np.arange(len(lines)), [len(p) for p in lines])


def split(points: Points, line: Integers) -> list[Points]:
    """Returns the list of lines. points: (n, 2) mm; line: (n,) line index of each."""
    if not len(points):
        return []
    cuts = (np.flatnonzero(np.diff(line)) + 1).tolist()
    return [points[first:end] for first, end in pairwise([0, *cuts, len(points)])]


def finer(points: Points, line: Integers, step: float) -> tuple[Points, Integers]:
    """Returns the lines with points no more than step apart.

    points: (n, 2) mm; line: (n,) line index of each; step: mm.
    """
    if len(points) < 2:
        return points, line
    move = np.diff(points, axis=0)
    same = line[1:] == line[:-1]
    count = np.where(same, np.maximum(1, np.ceil(np.hypot(*move.T) / step)), 1).astype(np.int64)
    start = np.repeat(np.arange(len(count)), count)
    share = (np.arange(len(start)) - np.repeat(np.cumsum(count) - count, count)) / count[start]
    more = points[start] + np.where(same[start], share, 0.0)[:, None] * move[start]
    return np.concatenate([more, points[-1:]]), np.append(line[start], line[-1])


def kept(points: Points, line: Integers, value: Floats) -> tuple[Points, Integers]:
    """Returns the runs along which value, linear between points, is above 0; ends lie where it is 0. Runs count as lines.

    points: (n, 2) mm; line: (n,) line index of each; value: (n,).
    """
    if len(points) < 2:
        return points[:0], line[:0]
    on = value > 0
    same = line[1:] == line[:-1]
    cross = np.flatnonzero(same & (on[1:] != on[:-1]))
    share = value[cross] / (value[cross] - value[cross + 1])
    ends = points[cross] + share[:, None] * (points[cross + 1] - points[cross])
    inside = np.flatnonzero(on)
    key = np.concatenate([inside.astype(float), cross + share.clip(1e-9, 1 - 1e-9)])
    begins = np.concatenate([(inside == 0) | ~np.append(True, same)[inside], ~on[cross]])
    order = np.argsort(key, kind="stable")
    found = np.concatenate([points[inside], ends])[order]
    run = np.cumsum(begins[order])
    return _without_single_points(found, run)


def _without_single_points(points: Points, run: Integers) -> tuple[Points, Integers]:
    if not len(points):
        return points, run
    _, index, count = np.unique(run, return_inverse=True, return_counts=True)
    more = count[index] > 1
    return points[more], run[more]


def along(points: Points, line: Integers) -> tuple[Floats, Floats]:
    """Returns (n,) mm from the start of the line to each point, and (n,) mm, the length of the point's line."""
    step = np.zeros(len(points))
    step[1:] = np.hypot(*np.diff(points, axis=0).T) * (line[1:] == line[:-1])
    total = np.cumsum(step)
    first = np.append(0, np.flatnonzero(np.diff(line)) + 1)
    last = np.append(first[1:], len(points)) - 1
    number = np.repeat(np.arange(len(first)), last - first + 1)
    return total - total[first][number], (total[last] - total[first])[number]


def longer(points: Points, line: Integers, least: float) -> tuple[Points, Integers]:
    """Returns the lines of at least a length, mm. points: (n, 2) mm; line: (n,) line index of each."""
    if not len(points):
        return points, line
    keep = along(points, line)[1] >= least
    return points[keep], line[keep]


def trimmed(points: Points, line: Integers, pen_width: float) -> tuple[Points, Integers]:
    """Returns lines shortened so that their ink with its round ends covers what lines without ends would.

    Lines shorter than a dot's own ink are removed. points: (n, 2) mm; line: (n,) line index of each; pen_width: mm.
    """
    if not len(points):
        return points, line
    points, line = _with_middles(points, line)
    at, length = along(points, line)
    cap = CAP * pen_width
    return kept(points, line, np.minimum(at - cap, length - cap - at))


def numbered(line: Integers) -> Integers:
    """Returns (n,): line indices of points, renumbered from 0 without gaps. line: (n,) any line indices."""
    return np.append(0, np.cumsum(np.diff(line) != 0))


def _with_middles(points: Points, line: Integers) -> tuple[Points, Integers]:
    """Returns lines with an added point in the middle of their first and last segment; otherwise a two-point line whose
    ends are both cut off would be lost."""
    is_first = np.append(True, line[1:] != line[:-1])
    is_last = np.append(is_first[1:], True)
    same = np.flatnonzero((line[1:] == line[:-1]) & (is_first[:-1] | is_last[1:]))
    middles = (points[same] + points[same + 1]) / 2
    return np.insert(points, same + 1, middles, axis=0), np.insert(line, same + 1, line[same])


def thresholds(numbers: Integers, bits: int = 12) -> Floats:
    """Returns (n,) in (0, 1): the binary digits of integers reversed (van der Corput 1935), so that any few neighbours
    are spread evenly. bits: number of digits; there are 2^bits thresholds."""
    every = np.arange(1 << bits)
    rest, scale = every, 0.5
    value = np.zeros(len(every))
    for _ in range(bits):
        value += scale * (rest & 1)
        rest, scale = rest >> 1, scale / 2
    return np.asarray((value + scale)[np.asarray(numbers) & (len(every) - 1)])


def level_lines(generator: ContourGenerator, level: float) -> list[Points]:
    """Returns the lines (n, 2) along which the generator's data has a value.

    In the units of the generator, here mm.
    """
    return cast("list[Points]", generator.lines(level))  # the generator's default line type
