"""Estimate of a job: time, ink and belt run, by pen and in total."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.columns import column_max
from wallwright.document.document import Document, Pen
from wallwright.document.pen import needs_change
from wallwright.motion.corners import corner_error
from wallwright.motion.load import energy, motor_load, motor_load_along, work
from wallwright.motion.plan import Estimate, Motion, PenEstimate, StrokeEstimate, pen_of_runs
from wallwright.motion.refills import Refills, refills


def run_seconds(motion: Motion) -> Floats:
    """Returns (k,) s that each run moves, without lifting."""
    return motion.time[motion.runs[1:] - 1] - motion.time[motion.runs[:-1]]


def run_lengths(motion: Motion) -> Floats:
    """Returns (k,) mm: length of each run."""
    if not len(motion.down):
        return np.zeros(0)
    step = np.zeros(len(motion.pen_xy))
    step[1:] = np.hypot(*np.diff(motion.pen_xy, axis=0).T)
    step[motion.runs[:-1]] = 0.0
    return np.add.reduceat(step, motion.runs[:-1])


def estimate(document: Document, motion: Motion, drying: tuple[float, ...] = ()) -> Estimate:
    """Returns the estimate, by pen and in total. drying: (b,) s to wait for wet ink before each block."""
    seconds, lengths = run_seconds(motion), run_lengths(motion)
    lift = document.machine.lift
    found = []
    for block in motion.blocks:
        here = slice(block.first_run, block.last_run)
        down = motion.down[here]
        strokes = int(down.sum())
        found.append(
            PenEstimate(
                block.pen,
                strokes,
                float(seconds[here][down].sum()),
                float(seconds[here][~down].sum()),
                strokes * (lift.raise_time + lift.lower_time) + float(motion.settling[here].sum()),
                float(lengths[here][down].sum()) / 1000,
                float(lengths[here][~down].sum()) / 1000,
            )
        )
    belts = motion.belts
    run = np.abs(np.diff(belts, axis=0)).sum(axis=0) / 1000 if len(belts) else np.zeros(2)
    longest = column_max(belts) if len(belts) else np.zeros(2)
    mean, most = motor_load(motion, document.machine)
    fills = refills_of(document, motion)
    changes = pen_changes(document, motion, drying)
    begins = {0, *(motion.blocks[number].first_run for number in changes)}
    pauses = len(changes) + sum(run not in begins for run in fills.runs)
    changing = pauses * lift.change_time + sum(drying)
    total = float(sum(p.drawing_s + p.travel_s + p.lifting_s for p in found))
    return Estimate(
        tuple(found),
        total,
        (float(run[0]), float(run[1])),
        (float(longest[0]), float(longest[1])),
        float(motion.farthest_swing[np.repeat(motion.down, np.diff(motion.runs))].max(initial=0.0)),
        float(motion.landing[motion.down].max(initial=0.0)),
        float(motion.settling.sum()),
        (float(mean[0]), float(mean[1])),
        (float(most[0]), float(most[1])),
        energy(document.machine, total + changing),
        tuple(work(motion).tolist()),
        changing,
        corner_error(document, motion) if document.machine.controller.pacing == "constant" else 0.0,
        drying,
        ink_price(document.pens, found),
    )


def pen_changes(document: Document, motion: Motion, drying: tuple[float, ...] = ()) -> list[int]:
    """Returns the indices of the blocks before which a person changes pens or waits for ink to dry. drying: (b,) s before
    each."""
    blocks, waits = motion.blocks, drying or (0.0,) * len(motion.blocks)
    return [
        number
        for number in range(1, len(blocks))
        if waits[number] > 0 or needs_change(document.pens, blocks[number - 1].pen, blocks[number].pen)
    ]


def ink_price(pens: Sequence[Pen], parts: Sequence[PenEstimate]) -> float:
    """Returns the cost of a job's ink, in the currency of the pens' prices; pens without a price or a length count as
    free."""
    return sum(pens[p.pen].price * p.ink_m / pens[p.pen].ink for p in parts if pens[p.pen].ink)


def refills_of(document: Document, motion: Motion) -> Refills:
    """Returns the refills of pens along a motion."""
    return refills(document.pens, run_lengths(motion) / 1000, motion.down, pen_of_runs(motion), motion.stroke)


def by_stroke(document: Document, motion: Motion) -> StrokeEstimate:
    """Returns the estimate of each stroke."""
    seconds, lengths, first = run_seconds(motion), run_lengths(motion), motion.runs[:-1]
    drawn = np.flatnonzero(motion.down)
    lift = document.machine.lift
    pen = pen_of_runs(motion)
    if not len(drawn):
        none = np.zeros(0)
        return StrokeEstimate(none.astype(np.int64), *[none] * 7)
    # Travel before each stroke: the runs since the previous stroke.
    up = np.concatenate([[0.0], np.cumsum(np.where(motion.down, 0.0, seconds))])
    return StrokeEstimate(
        pen[drawn],
        motion.time[first[drawn]],
        np.diff(up[drawn], prepend=0.0),
        lift.raise_time + lift.lower_time + motion.settling[drawn],
        seconds[drawn],
        lengths[drawn] / 1000,
        np.maximum.reduceat(motion.farthest_swing, first)[drawn],
        np.maximum.reduceat(motor_load_along(motion, document.machine).max(axis=1), first)[drawn],
    )
