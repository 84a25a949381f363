"""What the machine does at a given moment of the plan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.motion.plan import Motion


@dataclass(frozen=True)
class Moments:
    """State at m times."""

    pen_xy: np.ndarray
    """(m, 2) mm."""
    speed: np.ndarray
    """(m,) mm/s."""
    belts: np.ndarray
    """(m, 2) mm."""
    run: np.ndarray
    """(m,) index of the run under way, or about to begin."""
    down: np.ndarray
    """(m,) bool: pen on the wall."""
    sample: np.ndarray
    """(m,) sample at or before the moment."""


def at(motion: Motion, times: np.ndarray) -> Moments:
    """The state at times (m,), s, clipped to the job. Constant acceleration along the path between samples."""
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
    last = np.minimum(run + 1, len(motion.down) - 1)
    run = np.where(resting & (gone > 0), last, run)
    return Moments(
        motion.pen_xy[i] + share[:, None] * (motion.pen_xy[j] - motion.pen_xy[i]),
        np.where(resting, 0.0, v0 + (v1 - v0) * gone / whole),
        motion.belts[i] + share[:, None] * (motion.belts[j] - motion.belts[i]),
        run, motion.down[run] & ~resting, i,
    )  # fmt: skip
