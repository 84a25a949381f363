"""Strokes to a timed motion: sampled path, limits along it, speed profile, times with the pen's lifting."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from app.document.document import Document
from app.document.errors import BadValue
from app.document.language import tr
from app.motion.corners import corner_caps, leg_curvature
from app.motion.path import Runs, Samples, runs_of, sampled
from app.motion.plan import Motion
from app.statics.field import BeltField
from app.statics.rig import Rig
from app.strokes.strokes import Strokes

RUNS_AT_ONCE = 4000
"""Runs profiled between two looks at cancel."""


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
    belts = _in_parts(field.belts, samples.points, lambda d: progress(0.25 + 0.15 * d))
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
    first, second = _belt_slopes(field, runs, samples, lambda d: progress(0.4 + 0.2 * d))
    cap = _caps(document, runs, samples, first)
    if document.machine.controller.pacing == "constant":
        x = _constant(document, runs, samples, first)
    else:
        x = _profiled(document, samples, cap, first, second, lambda d: progress(0.6 + 0.3 * d))
    tension = _in_parts(field.tension, samples.points, lambda d: progress(0.9 + 0.1 * d))
    speed = np.sqrt(x)
    time = _times(document, runs, samples, speed)
    return Motion(
        time, samples.points, belts, speed, tension, samples.runs, runs.down, runs.stroke, runs.blocks
    )


def _in_parts(work, points: np.ndarray, progress: Callable[[float], None], size: int = 200_000) -> np.ndarray:
    parts = []
    for i in range(0, len(points), size):
        progress(i / len(points))
        parts.append(work(points[i : i + size]))
    return np.concatenate(parts)


def _belt_slopes(
    field: BeltField, runs: Runs, samples: Samples, progress: Callable[[float], None]
) -> tuple[np.ndarray, np.ndarray]:
    """L' and L'' along the path, (n, 2, 2): sample, near and far end of the interval that begins there, belt."""
    n = len(samples.points)
    curvature = leg_curvature(runs.points, runs.runs)[samples.leg]
    first, second = np.zeros((n, 2, 2)), np.zeros((n, 2, 2))
    for a in range(0, n, 200_000):
        progress(a / n)
        b = min(a + 200_000, n)
        slopes = field.slopes(samples.points[a : min(b + 1, n)])
        d = samples.direction[a:b]
        square = np.column_stack([d[:, 0] ** 2, 2 * d[:, 0] * d[:, 1], d[:, 1] ** 2])
        for end in (0, 1):
            here = slice(end, end + b - a) if a + end + b - a <= n else slice(end, None)
            one, two = slopes.first[here], slopes.second[here]
            m = len(one)
            first[a : a + m, end] = np.einsum("nij,nj->ni", one, d[:m])
            # On a curve the path's own bend moves the belts too: L'' = t . H t + curvature (gradient . normal).
            normal = np.column_stack([-d[:m, 1], d[:m, 0]]) * curvature[a : a + m, None]
            second[a : a + m, end] = np.einsum("nij,nj->ni", two, square[:m]) + np.einsum(
                "nij,nj->ni", one, normal
            )
    return first, second


def _pen_speed(document: Document, runs: Runs) -> np.ndarray:
    """(k,) mm/s per run."""
    limits = document.machine.limits
    drawing = np.array([min(limits.draw_speed, p.speed or limits.draw_speed) for p in document.pens])
    return np.where(runs.down, drawing[runs.pen], limits.travel_speed)


def _caps(document: Document, runs: Runs, samples: Samples, first: np.ndarray) -> np.ndarray:
    """(n,) largest v² from pen speed, belt speed and corners."""
    limits = document.machine.limits
    per_run = np.diff(samples.runs)
    cap = np.repeat(_pen_speed(document, runs) ** 2, per_run)
    with np.errstate(divide="ignore"):
        belt = (limits.belt_speed / np.abs(first)).min(axis=(1, 2)) ** 2
    # A sample ends one interval and begins the next: both count.
    cap = np.minimum(cap, belt)
    cap[1:] = np.minimum(cap[1:], belt[:-1])
    corner = corner_caps(runs.points, runs.runs, limits.acceleration, limits.corner_tolerance)
    at = samples.vertex >= 0
    cap[at] = np.minimum(cap[at], corner[samples.vertex[at]])
    return cap


def _profiled(
    document: Document, samples: Samples, cap: np.ndarray, first: np.ndarray, second: np.ndarray,
    progress: Callable[[float], None],
) -> np.ndarray:  # fmt: skip
    from app.motion.reach import profile  # numba: slow to import

    limits = document.machine.limits
    x = np.zeros(len(cap))
    for a in range(0, len(samples.runs) - 1, RUNS_AT_ONCE):
        progress(a / len(samples.runs))
        some = samples.runs[a : a + RUNS_AT_ONCE + 1]
        here = slice(some[0], some[-1])
        x[here] = profile(
            some - some[0], samples.step[here], cap[here], first[here], second[here],
            limits.acceleration, limits.belt_acceleration,
        )  # fmt: skip
    return x


def _constant(document: Document, runs: Runs, samples: Samples, first: np.ndarray) -> np.ndarray:
    """(n,) v² for a controller that runs at one speed: on each run the highest that its corners and belts allow."""
    limits = document.machine.limits
    corner = corner_caps(runs.points, runs.runs, limits.acceleration, limits.corner_tolerance)
    # Such a controller starts and stops at speed: the ends of a run set no limit.
    corner[runs.runs[:-1]] = np.inf
    corner[runs.runs[1:] - 1] = np.inf
    slowest = np.minimum.reduceat(corner, runs.runs[:-1])
    with np.errstate(divide="ignore"):
        belt = (limits.belt_speed / np.abs(first)).min(axis=(1, 2)) ** 2
    slowest = np.minimum(slowest, np.minimum.reduceat(belt, samples.runs[:-1]))
    slowest = np.minimum(slowest, _pen_speed(document, runs) ** 2)
    return np.repeat(slowest, np.diff(samples.runs))


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
