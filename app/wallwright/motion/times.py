"""Times of samples: constant acceleration between them, and a pause before each run, compiled."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.compiled import compiled_dividing_by_zero


@compiled_dividing_by_zero
def times_along(runs: Integers, pause: Floats, step: Floats, speed: Floats, rest: Floats) -> Floats:
    """Returns (n,) s at samples; inf after a step that never completes. runs: (k + 1,) first sample of each; pause: (k,)
    s in which the pen is lowered or raised before it; step: (n,) mm to the next sample; speed: (n,) mm/s; rest: (n,) s
    that the pen rests at a sample."""
    time = np.empty(len(step))
    now = 0.0
    for run in range(len(runs) - 1):
        now += pause[run]
        time[runs[run]] = now
        for i in range(runs[run], runs[run + 1] - 1):
            if step[i] > 0.0:
                now += 2.0 * step[i] / (speed[i] + speed[i + 1])
            now += rest[i]
            time[i + 1] = now
    return time
