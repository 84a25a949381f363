"""Strokes to a timed motion: sampled path, limits along it, speed profile, times with the pen's lifting."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from app.document.cores import in_parts
from app.document.document import Document
from app.document.errors import BadValue
from app.document.language import tr
from app.motion.detours import Ways
from app.motion.path import Runs, Samples, runs_of, sampled
from app.motion.plan import Motion
from app.statics.field import BeltField
from app.statics.rig import Rig
from app.strokes.strokes import Strokes

if TYPE_CHECKING:  # numba: slow to import
    from app.motion.swing import SwingField

AT_ONCE = 20_000
"""Samples looked at together: what is held for each is some 300 bytes, and cancel is looked at in between."""
FEW_AT_ONCE = 1_000
"""Where only some runs are looked at again."""
ROUNDS = 40
"""Of looking how far the pen swings and pushing more gently, at most: each halves the places where it swings too far, and a
million samples have thirty thousand of them at first."""
STUCK = 1e6
"""s from one sample to the next, at most: eleven days for a few millimetres."""
GENTLEST = 0.02
"""Of the pen acceleration, or of the push under which the resting pen is off by the largest swing: below it the pen hardly
moves, and what swings is not of this run's making."""


def plan_motion(
    document: Document, hanging: int, rig: Rig, strokes: Strokes,
    progress: Callable[[float], None] = lambda done: None,
) -> Motion:  # fmt: skip
    """The timed motion of ordered strokes in one hanging, finite in every number.

    Raises BadValue when a point of the path is one where the machine cannot hang, or where it cannot move.
    """
    from app.motion.along import ramps  # numba: slow to import
    from app.motion.swing import SwingField
    from app.motion.travels import bent

    progress(0.0)
    place = document.hangings[hanging]
    ways = Ways(document.wall, document.machine, place)
    runs = runs_of(strokes, np.array(place.datum, dtype=float), _nearest(document))
    if not len(runs.down):
        return _nothing()
    progress(0.1)
    field, swing = BeltField(rig, runs.points), SwingField(rig, document.machine, runs.points)
    progress(0.2)
    straight = runs
    runs = bent(document, rig, field, swing, straight, ways, lambda d: progress(0.2 + 0.05 * d))
    if (_box(runs.points) != _box(straight.points)).any():
        field, swing = BeltField(rig, runs.points), SwingField(rig, document.machine, runs.points)
    samples = sampled(runs, ramp=ramps(document, runs), tolerance=document.machine.limits.corner_tolerance)
    progress(0.25)
    belts = _belts(field, samples, lambda d: progress(0.25 + 0.1 * d))
    found = _gentle_enough(document, swing, field, runs, samples, lambda d: progress(0.35 + 0.65 * d))
    _check_moves(samples, found.time)
    return Motion(
        found.time, samples.points, belts, np.sqrt(found.square), found.tension, found.swing, found.farthest,
        samples.vertex >= 0, samples.runs, runs.down, runs.stroke, runs.blocks,
    )  # fmt: skip


def _nearest(document: Document) -> float:
    """mm: points closer than a step of the motors are one to them; where steps are coarse, the path still keeps to its
    tolerance."""
    return min(1 / document.machine.steps_per_mm, document.settings.path_tolerance)


def _box(points: np.ndarray) -> np.ndarray:
    return np.stack([points.min(axis=0), points.max(axis=0)])


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


def _check_moves(samples: Samples, time: np.ndarray) -> None:
    """Raises BadValue where the pen stands still."""
    took = np.diff(time, prepend=0.0)
    stuck = ~(took <= STUCK)
    if stuck.any():
        where = samples.points[int(np.argmax(stuck))]
        raise BadValue(
            tr(
                "The machine cannot move its pen at {0:.0f}, {1:.0f} mm; raise the limits of speed and acceleration, "
                "or move the artwork",
                where[0],
                where[1],
            )
        )


@dataclass
class _Profile:
    """What is found along the samples."""

    square: np.ndarray
    """(n,) v², mm²/s²."""
    tension: np.ndarray
    """(n, 2) N, in motion."""
    time: np.ndarray
    """(n,) s."""
    swing: np.ndarray
    """(n,) mm, at the samples."""
    farthest: np.ndarray
    """(n,) mm, not negative: since the sample before."""


def _gentle_enough(
    document: Document,
    swing: SwingField,
    field: BeltField,
    runs: Runs,
    samples: Samples,
    progress: Callable[[float], None],
) -> _Profile:
    """The profile, with the pen pushed more gently where it would swing too far."""
    from app.motion.swing import first_push, gentler, swing_along  # numba: slow to import

    limits, damping = document.machine.limits, document.machine.body.damping
    body = swing.at(samples.points)
    n, k = len(samples.points), len(runs.down)
    if document.machine.controller.pacing == "constant":
        push = np.full(n, limits.acceleration)
    else:
        push = first_push(limits.acceleration, limits.swing, body, samples.direction)
    gentlest = GENTLEST * np.minimum(limits.acceleration, limits.swing * body.omega**2)
    drawn = np.repeat(runs.down, np.diff(samples.runs))
    found = _Profile(*(np.zeros(shape) for shape in (n, (n, 2), n, n, n)))
    again = np.ones(k, dtype=bool)
    for round_ in range(ROUNDS):
        _profile(
            document,
            field,
            runs,
            samples,
            push,
            again,
            found,
            lambda d, r=round_: progress(1 - 0.5**r * (1 - d / 2)),
        )
        speed = np.sqrt(found.square)
        found.time = _times(document, runs, samples, speed)
        found.swing, found.farthest = swing_along(found.time, speed, samples.direction, body, damping)
        factor = gentler(found.farthest, found.time, body.omega, drawn, limits.swing, round_)
        again = np.minimum.reduceat(factor, samples.runs[:-1]) < 1.0
        if not again.any():
            break
        push = np.maximum(push * factor, gentlest)
    return found


def _profile(
    document: Document, field: BeltField, runs: Runs, samples: Samples, push: np.ndarray, which: np.ndarray,
    found: _Profile, progress: Callable[[float], None],
) -> None:  # fmt: skip
    """Enters v² and tension of the runs marked in (k,) bool, and of those looked at together with them."""
    from app.motion.along import bounds_of, grid_of  # numba: slow to import
    from app.motion.reach import profile, tension_in_motion

    bounds = bounds_of(document)

    def enter(part: tuple[int, int]) -> None:
        grid = grid_of(document, field, runs, samples, push, *part)
        here = slice(samples.runs[part[0]], samples.runs[part[1]])
        if document.machine.controller.pacing == "constant":
            found.square[here] = _constant(grid, document.machine.limits.acceleration)
        else:
            found.square[here] = profile(grid, bounds)
        found.tension[here] = tension_in_motion(grid, found.square[here], bounds.mass)

    at_once = AT_ONCE if which.all() else FEW_AT_ONCE
    in_parts(enter, [(a, b) for a, b in _parts(samples.runs, at_once) if which[a:b].any()], progress)


def _parts(runs: np.ndarray, at_once: int) -> Iterator[tuple[int, int]]:
    """Runs a .. b - 1 of about so many samples at once, never less than a run."""
    a, k = 0, len(runs) - 1
    while a < k:
        b = min(max(int(np.searchsorted(runs, runs[a] + at_once, side="right")) - 1, a + 1), k)
        yield a, b
        a = b


def _constant(grid, acceleration: float) -> np.ndarray:
    """(n,) v² for a controller that runs at one speed: on each run the highest that its corners and belts allow.

    It starts and stops at speed, so that the ends of a run set no limit, and the swing goes with the speed. Where corners or
    swing ask for less than LEAST_SPEED, they are exceeded, and the estimate says by how much.
    """
    from app.motion.along import LEAST_SPEED  # numba: slow to import

    gentle = np.minimum.reduceat(grid.push, grid.runs[:-1]) / acceleration
    square = np.minimum.reduceat(grid.cap, grid.runs[:-1]) * gentle**2
    return np.repeat(np.maximum(square, LEAST_SPEED**2), np.diff(grid.runs))


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
        zero, np.zeros((0, 2)), np.zeros((0, 2)), zero, np.zeros((0, 2)), zero, zero, none.astype(bool),
        np.zeros(1, dtype=np.int64), none.astype(bool), none, (),
    )  # fmt: skip
