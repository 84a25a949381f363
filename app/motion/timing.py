"""Strokes to a timed motion: sampled path, limits along it, speed profile, times with the pen's lifting."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from app.document.document import Document
from app.document.errors import BadValue
from app.document.language import tr
from app.motion.path import Runs, Samples, runs_of, sampled
from app.motion.plan import Motion
from app.statics.field import BeltField
from app.statics.rig import Rig
from app.strokes.strokes import Strokes

AT_ONCE = 50_000
"""Samples looked at together: what is held for each is some 300 bytes, and cancel is looked at in between."""


def plan_motion(
    document: Document, hanging: int, rig: Rig, strokes: Strokes,
    progress: Callable[[float], None] = lambda done: None,
) -> Motion:  # fmt: skip
    """The timed motion of ordered strokes in one hanging.

    Raises BadValue when a point of the path is one where the machine cannot hang.
    """
    progress(0.0)
    datum = np.array(document.hangings[hanging].datum, dtype=float)
    runs = runs_of(strokes, datum)
    if not len(runs.down):
        return _nothing()
    samples = sampled(runs)
    progress(0.1)
    field = BeltField(rig, samples.points)
    progress(0.25)
    belts = _belts(field, samples, lambda d: progress(0.25 + 0.15 * d))
    x, tension = _profiled(document, field, runs, samples, lambda d: progress(0.4 + 0.6 * d))
    time = _times(document, runs, samples, np.sqrt(x))
    return Motion(
        time, samples.points, belts, np.sqrt(x), tension, samples.runs, runs.down, runs.stroke, runs.blocks
    )


def _belts(field: BeltField, samples: Samples, progress: Callable[[float], None]) -> np.ndarray:
    belts = np.empty_like(samples.points)
    for i in range(0, len(belts), AT_ONCE):
        progress(i / len(belts))
        belts[i : i + AT_ONCE] = field.belts(samples.points[i : i + AT_ONCE])
    if not np.isfinite(belts).all():
        where = samples.points[np.flatnonzero(~np.isfinite(belts).all(axis=1))[0]]
        raise BadValue(
            tr(
                "The machine cannot hang with its pen at {0:.0f}, {1:.0f} mm, which the job asks for; "
                "move the artwork or the datum pose",
                where[0],
                where[1],
            )
        )
    return belts


def _profiled(
    document: Document, field: BeltField, runs: Runs, samples: Samples, progress: Callable[[float], None]
) -> tuple[np.ndarray, np.ndarray]:
    """(n,) v², mm²/s², and (n, 2) tension in motion, N."""
    from app.motion.along import bounds_of, grid_of  # numba: slow to import
    from app.motion.reach import profile, tension_in_motion

    n = len(samples.points)
    bounds = bounds_of(document)
    push = np.full(n, document.machine.limits.acceleration)
    x, tension = np.zeros(n), np.zeros((n, 2))
    for a, b in _parts(samples.runs):
        progress(samples.runs[a] / n)
        grid = grid_of(document, field, runs, samples, push, a, b)
        here = slice(samples.runs[a], samples.runs[b])
        if document.machine.controller.pacing == "constant":
            x[here] = _constant(grid)
        else:
            x[here] = profile(grid, bounds)
        tension[here] = tension_in_motion(grid, x[here], bounds.mass)
    return x, tension


def _parts(runs: np.ndarray) -> Iterator[tuple[int, int]]:
    """Runs a .. b - 1 of about AT_ONCE samples, never less than a run."""
    a, k = 0, len(runs) - 1
    while a < k:
        b = min(max(int(np.searchsorted(runs, runs[a] + AT_ONCE, side="right")) - 1, a + 1), k)
        yield a, b
        a = b


def _constant(grid) -> np.ndarray:
    """(n,) v² for a controller that runs at one speed: on each run the highest that its corners and belts allow."""
    # Such a controller starts and stops at speed: the ends of a run set no limit.
    cap = grid.cap.copy()
    cap[grid.runs[:-1]] = cap[grid.runs[1:] - 1] = np.inf
    return np.repeat(np.minimum.reduceat(cap, grid.runs[:-1]), np.diff(grid.runs))


def _times(document: Document, runs: Runs, samples: Samples, speed: np.ndarray) -> np.ndarray:
    """(n,) s: constant acceleration between samples; the pen is lowered before and raised after each stroke."""
    lift = document.machine.lift
    last = samples.runs[1:] - 1
    took = np.zeros(len(speed))
    pair = speed[:-1] + speed[1:]
    moving = samples.step[:-1] > 0
    moving[last[:-1]] = False
    with np.errstate(divide="ignore", invalid="ignore"):
        took[1:] = np.where(moving, 2 * samples.step[:-1] / pair, 0.0)
    took[samples.runs[:-1]] = 0.0
    pause = np.where(runs.down, lift.lower_time, 0.0)
    pause[1:] += np.where(runs.down[:-1], lift.raise_time, 0.0)
    took[samples.runs[:-1]] += pause
    return np.cumsum(took)


def _nothing() -> Motion:
    zero, none = np.zeros(0), np.zeros(0, dtype=np.int64)
    return Motion(
        zero, np.zeros((0, 2)), np.zeros((0, 2)), zero, np.zeros((0, 2)), np.zeros(1, dtype=np.int64),
        none.astype(bool), none, (),
    )  # fmt: skip
