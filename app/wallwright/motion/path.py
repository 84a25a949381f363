"""The path of a job: strokes and the travels between them, sampled finely enough for belts and time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.columns import row_all
from wallwright.motion.curvature import corner_radius, legs_of
from wallwright.motion.plan import PenPass
from wallwright.motion.resampling import min_distance_mask
from wallwright.strokes.strokes import Strokes

LONGEST_STEP = 4.0
"""Longest step between samples, mm: belt lengths along the path are nearly linear over it."""
STEPS_PER_RUN = 12
"""Smallest number of steps per run; even, so that a short straight run has a sample where acceleration turns into
braking."""
FEW_STEPS = 2
"""Number of steps above which a ramp needs no extra samples: it loses little if it ends between two samples."""
RAMP_DIVISOR = 16
"""Divisor of a step that gives the shortest ramp worth extra samples; a shorter ramp takes negligible time."""
LARGEST_SHARE = 0.45
"""Largest distance of an extra sample from an end of a leg, as a share of the leg, so that those from both ends stay
apart."""
LEAST_SEPARATION = 0.2
"""Distance from a regular sample, as a share of a step, below which an extra sample gains nothing."""
WIDE_CORNER = 4.0
"""Ratio of corner radius to leg length above which the corner does not slow the leg. A leg with smaller radii at both
ends would take at least 6 % longer without a sample between them: (1 + sqrt(1 + 1 / WIDE_CORNER)) / 2."""
SHORT_BESIDE = 3.0
"""Length ratio of a leg to a neighbour above which the leg may begin slowly: the shorter one may be part of a curve
whose radius is about its length (curvature.py)."""


@dataclass(frozen=True)
class Runs:
    """Runs (strokes and travels) as polylines."""

    points: Points
    """(n, 2) mm: vertices."""
    runs: Integers
    """(k + 1,) first vertex of each run."""
    down: Flags
    """(k,) bool: pen down."""
    stroke: Integers
    """(k,) stroke index, or -1 for travels."""
    pen: Integers
    """(k,) pen index."""
    blocks: tuple[PenPass, ...]


def build_runs(strokes: Strokes, start_point: Points, nearest: float = 0.0, change: Points | None = None) -> Runs:
    """Returns travel, stroke, travel, stroke, ...; the first block starts and the last one ends at the starting point;
    between two blocks pens are changed. All travels are straight.

    nearest: mm; of points closer together than this, one is kept (the motors cannot resolve them). start_point: (2,) mm.
    change: (2,) mm, where pens are changed; None: at the starting point.
    """
    k = len(strokes)
    if k == 0:
        empty = np.zeros(0, dtype=np.int64)
        return Runs(np.zeros((0, 2)), np.zeros(1, dtype=np.int64), empty.astype(bool), empty, empty, ())
    first = np.concatenate([[True], strokes.pen[1:] != strokes.pen[:-1]])
    came_from = np.concatenate([start_point[None], strokes.ends[:-1]])
    came_from[first] = start_point if change is None else change
    came_from[0] = start_point
    last = np.concatenate([first[1:], [True]])
    travels = np.stack([came_from, strokes.starts], axis=1)
    goes_to = np.tile(start_point if change is None else change, (int(last.sum()), 1))
    goes_to[-1] = start_point
    homes = np.stack([strokes.ends[last], goes_to], axis=1)
    lines = Strokes.join(
        [
            _pairs(travels, strokes.pen),
            strokes,
            _pairs(homes, strokes.pen[last]),
        ]
    )
    # Sort keys: travel before its stroke, way home after the last of a block.
    key = np.concatenate([3 * np.arange(k), 3 * np.arange(k) + 1, 3 * np.flatnonzero(last) + 2])
    order = np.argsort(key, kind="stable")
    kind = key[order] % 3
    lines = _without_repeats(lines.take(order), nearest)
    stroke = np.where(kind == 1, key[order] // 3, -1)
    ends = np.flatnonzero(kind == 2) + 1
    starts = np.concatenate([[0], ends[:-1]])
    blocks = tuple(PenPass(int(lines.pen[a]), int(a), int(b)) for a, b in zip(starts, ends, strict=True))
    return Runs(lines.points, lines.offsets, kind == 1, stroke, lines.pen.astype(np.int64), blocks)


def _without_repeats(lines: Strokes, nearest: float) -> Strokes:
    """Returns the lines without points nearer than this, mm, to the previously kept one or equal to it: they have no
    direction. Both ends of a line stay, even if it has no length."""
    apart = max(nearest, np.nextafter(0.0, 1.0))
    every = np.ones(len(lines.points), dtype=bool)
    stays = min_distance_mask(lines.points, lines.offsets, every, apart)
    kept = np.concatenate([[0], np.cumsum(stays)])
    return Strokes(lines.points[stays], kept[lines.offsets], lines.pen, lines.source, lines.is_fill)


def _pairs(pairs: Points, pen: Integers) -> Strokes:
    """Returns (m, 2, 2) two-point lines as packed strokes."""
    m = len(pairs)
    return Strokes(
        pairs.reshape(-1, 2),
        2 * np.arange(m + 1, dtype=np.int64),
        pen.astype(np.int32),
        np.full(m, -1, dtype=np.int32),
        np.zeros(m, dtype=bool),
    )


@dataclass(frozen=True)
class Samples:
    """The sampled path: vertices and points between them."""

    points: Points
    """(n, 2) mm."""
    runs: Integers
    """(k + 1,) first sample of each run."""
    vertex: Integers
    """(n,) vertex index of a sample, -1 between vertices."""
    leg: Integers
    """(n,) index of the vertex at which the sample's leg begins."""
    share: Floats
    """(n, 2) 0 to 1: share of the leg before the sample, and before the next one."""
    direction: Floats
    """(n, 2) unit direction of the leg that begins at the sample; (0, 0) at the last sample of a run."""
    step: Floats
    """(n,) mm to the next sample of the run; 0 at the last one."""
    load: Floats
    """(n, 4) N: friction on the pen, right and down, and on the feet, right and down."""
    takes_up: Flags
    """(n,) bool: the pen rests from here to the next sample while the belts go over to the next force."""


def sample_runs(
    runs: Runs,
    longest: float = LONGEST_STEP,
    ramp: Floats | None = None,
    tolerance: float = 0.0,
    finest: float = RAMP_DIVISOR,
) -> Samples:
    """Sample runs with equal steps on each leg: at most `longest`, and at least STEPS_PER_RUN on each run.

    A leg at both of whose ends the pen may be slow always has a sample in its middle; otherwise the pen would keep the low
    speed of its ends.

    ramp: (k,) mm, the shortest distance in which each run's pen reaches its speed from rest; where steps are longer, extra
    samples near a run's ends and corners resolve the ramp. tolerance: of corners, mm; 0: the pen rests at every one;
    finest: divisor of a step that gives the shortest ramp.
    """
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
    slow = _slow_ends(runs, length, tolerance)
    # An even number of steps has a sample in the middle.
    count += row_all(slow) & (count % 2 == 1) & (length > 0)
    index = np.repeat(np.arange(n), count)
    within = np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)
    share = within / count[index]
    after = share + 1 / count[index]
    if ramp is not None:
        more_of, more = _beside_rest(slow, length, count, np.repeat(ramp, per_run), finest)
        if len(more):
            index, share = np.concatenate([index, more_of]), np.concatenate([share, more])
            order = np.lexsort((share, index))
            index, share = index[order], share[order]
            after = np.ones(len(index))
            same = index[1:] == index[:-1]
            after[:-1][same] = share[1:][same]
            count = count + np.bincount(more_of, minlength=n)
    samples = points[index] + share[:, None] * leg[index]
    with np.errstate(invalid="ignore", divide="ignore"):
        direction = np.nan_to_num(leg / length[:, None])
    starts = (np.cumsum(count) - count)[runs.runs[:-1]] if len(runs.down) else np.zeros(0, dtype=np.int64)
    return Samples(
        samples,
        np.concatenate([starts, [len(index)]]).astype(np.int64),
        np.where(share == 0, index, -1),
        index,
        np.stack([share, after], axis=1),
        direction[index],
        (after - share) * length[index],
        np.broadcast_to(np.zeros(4), (len(index), 4)),  # without friction; takes no memory
        np.zeros(len(index), dtype=bool),
    )


def _slow_ends(runs: Runs, length: Floats, tolerance: float) -> Flags:
    """Returns (n, 2) bool: the pen may be slow at the near and the far end of the leg that begins at each vertex, relative
    to the speed that the leg's length allows. length: (n,) mm, 0 where a run ends; tolerance: of corners, mm.

    From geometry alone: for any acceleration a, v² is a times the radius at a corner, and grows by 2 a times the distance
    along a leg.
    """
    _, turn = legs_of(runs.points)
    shortest = np.minimum(length, np.concatenate([[0.0], length[:-1]]))
    slow_below = np.minimum(corner_radius(turn, tolerance) / WIDE_CORNER, SHORT_BESIDE * shortest)
    slow_below[runs.runs[:-1]] = slow_below[runs.runs[1:] - 1] = 0.0
    after = np.append(slow_below[1:], 0.0)
    return (length > np.stack([slow_below, after])).T


def _beside_rest(slow: Flags, length: Floats, count: Integers, ramp: Floats, finest: float) -> tuple[Integers, Floats]:
    """Returns (m,) legs and (m,) shares of extra samples at 1, 2, 4, ... times the ramp from where the pen may be slow.

    slow: (n, 2) bool at both ends, length: (n,) mm and count: (n,) steps of the leg that begins at each vertex; ramp: (n,)
    mm.
    """
    step = length / count
    leg = np.flatnonzero(length > 0)
    found_of, found = [], []
    way = np.maximum(ramp[leg], step[leg] / finest)
    while True:
        few = way < np.minimum(FEW_STEPS * step[leg], LARGEST_SHARE * length[leg])
        leg, way = leg[few], way[few]
        if not len(leg):
            break
        between = np.abs(way / step[leg] - np.maximum(np.rint(way / step[leg]), 1)) > LEAST_SEPARATION
        for end in (0, 1):
            here = between & slow[leg, end]
            part = way[here] / length[leg[here]]
            found_of.append(leg[here])
            found.append(1 - part if end else part)
        way = 2 * way
    if not found:
        return leg, np.zeros(0)
    return np.concatenate(found_of), np.concatenate(found)
