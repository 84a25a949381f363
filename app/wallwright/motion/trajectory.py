"""State of the machine at given times of the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec
import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.continuation import StrokePlace
from wallwright.strokes.nearest import along
from wallwright.strokes.remaining import arc_lengths

if TYPE_CHECKING:
    from wallwright.motion.plan import Motion


class TrajectoryState(msgspec.Struct, frozen=True):
    """State at m times."""

    pen_xy: Points
    """(m, 2) mm."""
    speed: Floats
    """(m,) mm/s."""
    belts: Floats
    """(m, 2) mm."""
    run: Integers
    """(m,) index of the run in progress, or about to begin."""
    down: Flags
    """(m,) bool: pen on the wall."""
    sample: Integers
    """(m,) index of the sample at or before the time."""


def sample_at(motion: Motion, times: Floats) -> TrajectoryState:
    """Returns the state at times (m,), s, clipped to the job. Acceleration along the path is constant between samples."""
    times = np.clip(np.atleast_1d(np.asarray(times, dtype=float)), 0.0, motion.time[-1])
    i = np.clip(np.searchsorted(motion.time, times, side="right") - 1, 0, len(motion.time) - 2)
    run = np.searchsorted(motion.runs, i, side="right") - 1
    # In a pause between two runs the pen stays at the first one's end.
    resting = motion.runs[run + 1] - 1 == i
    j = np.where(resting, i, i + 1)
    gone = times - motion.time[i]
    whole = np.maximum(motion.time[j] - motion.time[i], 1e-12)
    v0, v1 = motion.speed[i], motion.speed[j]
    way = gone * (v0 + (v1 - v0) * gone / (2 * whole))
    total = whole * (v0 + v1) / 2
    share = np.where(resting | (total <= 0), 0.0, np.clip(way / np.maximum(total, 1e-12), 0, 1))
    share = np.where(motion.takes_up[i] & ~resting, np.clip(gone / whole, 0, 1), share)
    last = np.minimum(run + 1, len(motion.down) - 1)
    run = np.where(resting & (gone > 0), last, run)
    return TrajectoryState(
        motion.pen_xy[i] + share[:, None] * (motion.pen_xy[j] - motion.pen_xy[i]),
        np.where(resting, 0.0, v0 + (v1 - v0) * gone / whole),
        motion.belts[i] + share[:, None] * (motion.belts[j] - motion.belts[i]),
        run,
        motion.down[run] & ~resting,
        i,
    )


def nearest_time(motion: Motion, point: tuple[float, float], reach: float) -> float | None:
    """Returns the time, s, at which the pen, on the wall, passes nearest to a point, mm; None if never within reach, mm.

    Among equally near passages, the first.
    """
    if len(motion.time) < 2:
        return None
    down = np.repeat(motion.down, np.diff(motion.runs))
    ends = np.zeros(len(motion.time), dtype=bool)
    ends[motion.runs[1:] - 1] = True
    first = np.flatnonzero(down & ~ends)
    if not len(first):
        return None
    a, b = motion.pen_xy[first], motion.pen_xy[first + 1]
    share, far = along(a, b, point)
    best = int(np.argmin(far))
    if far[best] > reach:
        return None
    return _time_within(motion, int(first[best]), float(share[best]))


def _time_within(motion: Motion, i: int, share: float) -> float:
    """Returns the time, s, at which the pen has covered a share (0 to 1) of the distance from sample i to the next one of
    the same run."""
    # Acceleration is constant along the segment: the share of the distance is converted into a share of the time.
    v0, v1 = motion.speed[i], motion.speed[i + 1]
    t0, t1 = motion.time[i], motion.time[i + 1]
    total = (v0 + v1) / 2
    if total <= 0 or t1 <= t0:
        return float(t0)
    gain = v1 - v0
    s = share * total
    part = s / v0 if abs(gain) < 1e-9 else (np.sqrt(max(v0**2 + 2 * gain * s, 0.0)) - v0) / gain
    return float(t0 + np.clip(part, 0.0, 1.0) * (t1 - t0))


def place_at(motion: Motion, time: float) -> StrokePlace | None:
    """Returns how far the strokes are drawn at a time, s; None if all are complete."""
    moment = sample_at(motion, np.array([time]))
    run = int(moment.run[0])
    if motion.down[run]:
        first, last = motion.runs[run], motion.runs[run + 1] - 1
        way = arc_lengths(motion.pen_xy[first : last + 1])
        i = int(np.clip(moment.sample[0] - first, 0, last - first))
        here = way[i] + np.hypot(*(moment.pen_xy[0] - motion.pen_xy[first + i]))
        return StrokePlace(int(motion.stroke[run]), float(min(here, way[-1])))
    later = motion.stroke[run:]
    later = later[later >= 0]
    return StrokePlace(int(later[0])) if len(later) else None


def time_of(motion: Motion, place: StrokePlace) -> float:
    """Returns the time, s, at which the pen, on the wall, is at a place along the strokes."""
    run = int(np.flatnonzero(motion.down)[place.stroke])
    first, last = motion.runs[run], motion.runs[run + 1] - 1
    way = arc_lengths(motion.pen_xy[first : last + 1])
    i = min(int(np.searchsorted(way, place.along, side="right")) - 1, len(way) - 2)
    share = (place.along - way[i]) / max(way[i + 1] - way[i], 1e-12)
    return _time_within(motion, int(first) + i, float(np.clip(share, 0.0, 1.0)))


def place_before(motion: Motion, place: StrokePlace, seconds: float) -> StrokePlace:
    """Returns the place of the job this many seconds earlier, but not before the same pen began."""
    time = time_of(motion, place)
    begin = max(b for b, _ in block_times(motion).tolist() if b <= time)
    before = place_at(motion, max(time - seconds, begin))
    assert before is not None, "the pen draws from the begin of its block on"
    return before


def stroke_starts(motion: Motion) -> Floats:
    """Returns (s,) s: start of each stroke, in drawing order."""
    return motion.time[motion.runs[:-1][motion.down]]


def block_times(motion: Motion) -> Floats:
    """Returns (b, 2) s: start and end of each pen's block."""
    return np.array(
        [(motion.time[motion.runs[b.first_run]], motion.time[motion.runs[b.last_run] - 1]) for b in motion.blocks]
    ).reshape(-1, 2)
