"""Lead of the belts along the samples of runs (lead.py)."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.compiled import compiled_dividing_by_zero
from wallwright.motion.lead import AVERAGING_TIME


@compiled_dividing_by_zero
def lead_accelerations(
    runs: Integers,
    which: Flags,
    step: Floats,
    rest: Floats,
    direction: Floats,
    speed: Floats,
    most: float,
    held: Floats,
) -> Floats:
    """Returns (n, 2) mm/s² by which belts lead at the samples of runs, (k + 1,) first sample of each; which: (k,) bool, runs
    with a lead.

    step: (n,) mm to the next sample; rest: (n,) s that the pen rests at a sample; direction: (n, 2) of the leg that begins
    at each; speed: (n,) mm/s; most: mm/s²; held: (n,) mm/s² that friction holds where the pen stops at a sample: belts lead
    by this much until then; 0: their lead ends before.
    """
    lead = np.zeros((len(step), 2))
    time = np.zeros(len(step))
    for run in range(len(runs) - 1):
        if not which[run]:
            continue
        begin = runs[run]
        for i in range(runs[run] + 1, runs[run + 1]):
            moves = step[i - 1] > 0.0 and rest[i - 1] <= 0.0
            time[i] = time[i - 1] + (2.0 * step[i - 1] / (speed[i - 1] + speed[i]) if moves else 0.0)
            if i + 1 == runs[run + 1] or step[i] <= 0.0 or rest[i] > 0.0:
                _lead_between(begin, i, time, direction, speed, most, held[i], lead)
                begin = i
            elif not moves:
                begin = i
    return lead


@compiled_dividing_by_zero
def _lead_between(
    begin: int, end: int, time: Floats, direction: Floats, speed: Floats, most: float, held: float, lead: Floats
) -> None:
    """Writes the lead between two rests, at samples begin and end. time: (n,) s; the other arguments as above."""
    for i in range(begin + 1, end + 1 if held > 0.0 else end):
        first, last = max(time[i] - AVERAGING_TIME / 2.0, time[begin]), min(time[i] + AVERAGING_TIME / 2.0, time[end])
        j, k = i - 1, i
        while time[j] > first:
            j -= 1
        while k + 1 < end and time[k + 1] < last:
            k += 1
        k = min(k, end - 1)
        v0 = speed[j] + (speed[j + 1] - speed[j]) * (first - time[j]) / (time[j + 1] - time[j])
        v1 = speed[k] + (speed[k + 1] - speed[k]) * (last - time[k]) / (time[k + 1] - time[k])
        x = (v1 * direction[k, 0] - v0 * direction[j, 0]) / (last - first)
        y = (v1 * direction[k, 1] - v0 * direction[j, 1]) / (last - first)
        share = min(1.0, (time[i] - time[begin]) / AVERAGING_TIME)
        size, left = max(np.hypot(x, y), 1e-9), (time[end] - time[i]) / AVERAGING_TIME
        share *= min(1.0, most / size)
        if left < 1.0:  # towards what is held at the end
            share *= left + (1.0 - left) * min(1.0, held / size)
        lead[i, 0], lead[i, 1] = x * share, y * share
