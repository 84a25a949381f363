"""The whole path of a job: strokes and the travels between them, sampled finely enough for belts and time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.motion.detours import Ways
from app.motion.plan import Block
from app.strokes.strokes import Strokes

LONGEST_STEP = 4.0
"""mm between samples: belts as functions of the path bend little over it, and pen speed reaches its limit in more."""
STEPS_PER_RUN = 12
"""At least, even: a short straight run then has a sample where acceleration turns into braking."""


@dataclass(frozen=True)
class Runs:
    """Runs (strokes and travels) as vertices."""

    points: np.ndarray
    """(n, 2) mm."""
    runs: np.ndarray
    """(k + 1,) first vertex of each run."""
    down: np.ndarray
    """(k,) bool."""
    stroke: np.ndarray
    """(k,) stroke index or -1."""
    pen: np.ndarray
    """(k,) pen index."""
    blocks: tuple[Block, ...]


def runs_of(strokes: Strokes, datum: np.ndarray, ways: Ways | None = None) -> Runs:
    """Travel, stroke, travel, stroke, ...; each pen's block starts and ends at the datum, where pens are changed.

    ways: round what straight travels may not cross; without it all are straight.
    """
    k = len(strokes)
    if k == 0:
        empty = np.zeros(0, dtype=np.int64)
        return Runs(np.zeros((0, 2)), np.zeros(1, dtype=np.int64), empty.astype(bool), empty, empty, ())
    first = np.concatenate([[True], strokes.pen[1:] != strokes.pen[:-1]])
    came_from = np.concatenate([datum[None], strokes.ends[:-1]])
    came_from[first] = datum
    last = np.concatenate([first[1:], [True]])
    travels = np.stack([came_from, strokes.starts], axis=1)
    homes = np.stack([strokes.ends[last], np.broadcast_to(datum, (int(last.sum()), 2))], axis=1)
    lines = Strokes.join(
        [
            _travels(travels, strokes.pen, ways),
            strokes,
            _travels(homes, strokes.pen[last], ways),
        ]
    )
    # Sort keys: travel before its stroke, way home after the last of a block.
    key = np.concatenate([3 * np.arange(k), 3 * np.arange(k) + 1, 3 * np.flatnonzero(last) + 2])
    order = np.argsort(key, kind="stable")
    kind = key[order] % 3
    lines = _without_repeats(lines.take(order))
    stroke = np.where(kind == 1, key[order] // 3, -1)
    ends = np.flatnonzero(kind == 2) + 1
    starts = np.concatenate([[0], ends[:-1]])
    blocks = tuple(Block(int(lines.pen[a]), int(a), int(b)) for a, b in zip(starts, ends, strict=True))
    return Runs(lines.points, lines.offsets, kind == 1, stroke, lines.pen.astype(np.int64), blocks)


def _without_repeats(lines: Strokes) -> Strokes:
    """Points equal to the one before go: they have no direction. Both ends of a line stay, even of one without length."""
    same = np.zeros(len(lines.points), dtype=bool)
    same[1:] = np.all(lines.points[1:] == lines.points[:-1], axis=1)
    same[lines.offsets[:-1]] = False
    last = lines.offsets[1:] - 1
    # When the last point repeats the one before, the one before goes instead, unless it is the first.
    swap = last[same[last]]
    same[swap] = False
    before = swap - 1
    same[before[~np.isin(before, lines.offsets[:-1])]] = True
    kept = np.concatenate([[0], np.cumsum(~same)])
    return Strokes(lines.points[~same], kept[lines.offsets], lines.pen, lines.source, lines.is_fill)


def _travels(pairs: np.ndarray, pen: np.ndarray, ways: Ways | None) -> Strokes:
    """(m, 2, 2) travels as packed strokes, those that are blocked led round where there is a way."""
    straight = _pairs(pairs, pen)
    if ways is None:
        return straight
    found = {int(i): ways.around(pairs[i]) for i in np.flatnonzero(ways.blocked(pairs))}
    bent = {i: line for i, line in found.items() if line is not None}
    if not bent:
        return straight
    at = np.array(list(bent))
    order = np.arange(len(pairs))
    order[at] = len(pairs) + np.arange(len(at))
    return Strokes.join([straight, Strokes.pack(list(bent.values()), pen[at])]).take(order)


def _pairs(pairs: np.ndarray, pen: np.ndarray) -> Strokes:
    """(m, 2, 2) two-point lines as packed strokes."""
    m = len(pairs)
    return Strokes(
        pairs.reshape(-1, 2), 2 * np.arange(m + 1, dtype=np.int64), pen.astype(np.int32),
        np.full(m, -1, dtype=np.int32), np.zeros(m, dtype=bool),
    )  # fmt: skip


@dataclass(frozen=True)
class Samples:
    """The path sampled: vertices and points between them."""

    points: np.ndarray
    """(n, 2) mm."""
    runs: np.ndarray
    """(k + 1,) first sample of each run."""
    vertex: np.ndarray
    """(n,) vertex that a sample is, -1 between vertices."""
    leg: np.ndarray
    """(n,) vertex at which the leg begins that the sample lies on."""
    share: np.ndarray
    """(n, 2) of the leg before the sample, and before the next one; 0 to 1."""
    direction: np.ndarray
    """(n, 2) unit direction of the leg that begins at the sample; (0, 0) at a run's last."""
    step: np.ndarray
    """(n,) mm to the next sample of the run; 0 at a run's last."""


def sampled(runs: Runs, longest: float = LONGEST_STEP) -> Samples:
    """Equal steps on each leg: at most `longest`, and at least STEPS_PER_RUN on each run."""
    points = runs.points
    n = len(points)
    leg = np.zeros((n, 2))
    leg[:-1] = np.diff(points, axis=0)
    leg[runs.runs[1:] - 1] = 0.0
    length = np.hypot(*leg.T)
    total = np.add.reduceat(length, runs.runs[:-1]) if len(runs.down) else np.zeros(0)
    wanted = np.minimum(longest, np.maximum(total / STEPS_PER_RUN, 1e-6))
    per_run = np.diff(runs.runs)
    count = np.ceil(length / np.repeat(wanted, per_run) - 1e-9).astype(np.int64)
    count = np.maximum(count, 1)
    # An even number on a single leg, for the sample in its middle.
    single = np.repeat(per_run == 2, per_run)
    count += single & (count % 2 == 1) & (length > 0)
    index = np.repeat(np.arange(n), count)
    within = np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)
    share = within / count[index]
    samples = points[index] + share[:, None] * leg[index]
    with np.errstate(invalid="ignore", divide="ignore"):
        direction = np.nan_to_num(leg / length[:, None])
    starts = (np.cumsum(count) - count)[runs.runs[:-1]] if len(runs.down) else np.zeros(0, dtype=np.int64)
    return Samples(
        samples, np.concatenate([starts, [len(index)]]).astype(np.int64),
        np.where(within == 0, index, -1), index, np.stack([share, share + 1 / count[index]], axis=1),
        direction[index], (length / count)[index],
    )  # fmt: skip
