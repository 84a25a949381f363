"""Belts that lead the body, so that the same push swings it less.

A body that is accelerated by a hangs as if its mass centre were pushed by -m a: the pen lags by E = g.a / ω² (swing.py).
Belts that are paid out for that push already put a resting pen ahead by u, as far as it lags: u = E. Paying them out moves
the body too, at once: where the push begins suddenly, the pen is off by (1 - γ) E at first, γ being g along the swing, and
then swings by as much about its place. Without the lead it swings by E about a place that is off by E, so that with a γ of
0.3 to 0.6 the same bound on swing allows three to five times the push. (The inverse of a system with zero dynamics: Isidori,
"Nonlinear Control Systems", 1995, from memory; its exact inverse would swing belts.)

The push is constant between samples and jumps there, which belts cannot follow. They lead by the mean push over SPREAD,
and go over evenly from sample to sample; where the pen rests they do not lead. All of this is part of the swing that is
followed, for bodies of a somewhat higher and lower frequency too. Samples beside rests are close for it.

Belts lead only where the swing is bounded closely, and where the controller gets the timing of its ramps.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.compiled import compiled_dividing_by_zero
from wallwright.document.document import Document

LEADS_BELOW = 1.0
"""mm of swing allowed: with that or more, leading gains next to nothing."""
ALL_MOTIONS = 1.1
"""Of the lead along the slowest swing: what a resting pen is ahead by, as the quicker motions add to it (1.06 to 1.10 for
the typical machine)."""
LEFT = 0.4
"""Of the swing without a lead: about what is left with it, for the push with which the search begins."""
MOST = 1.5
"""Times the largest acceleration along the path: what belts lead by at most, in turns too."""
SPREAD = 0.1
"""s over which the push is averaged, and over which the lead begins and ends beside rests: sudden leads would shake the
body on its belts, at 12 times a second and more."""
FINER = 16
"""Part of the shortest ramp at which the first sample beside a rest lies."""


def leads(document: Document) -> bool:
    """Whether belts lead the body in a document's strokes."""
    machine = document.machine
    controller, limits = machine.controller, machine.limits
    gets_ramps = controller.pacing == "accelerating" or (controller.pacing == "timed" and machine.body.drag <= 0)
    return limits.swing < LEADS_BELOW and gets_ramps and controller.takes != "drawing"


def most_lead(document: Document) -> float:
    """N: the largest force at the mass centre that belts lead by; 0: they do not."""
    machine = document.machine
    return machine.body.mass * MOST * machine.limits.acceleration / 1000 if leads(document) else 0.0


@compiled_dividing_by_zero
def lead_accelerations(
    runs: Integers, which: Flags, step: Floats, rest: Floats, direction: Floats, speed: Floats, most: float
) -> Floats:
    """(n, 2) mm/s² by which belts lead at the samples of runs, (k + 1,) first sample of each; which: (k,) bool, those in
    which they do.

    step: (n,) mm to the next sample; rest: (n,) s before it goes on from a sample; direction: (n, 2) of the leg that begins
    at each; speed: (n,) mm/s; most: mm/s².
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
                _lead_between(begin, i, time, direction, speed, most, lead)
                begin = i
            elif not moves:
                begin = i
    return lead


@compiled_dividing_by_zero
def _lead_between(
    begin: int, end: int, time: Floats, direction: Floats, speed: Floats, most: float, lead: Floats
) -> None:
    """Enters what belts lead by between two rests, at samples begin and end. time: (n,) s; the rest as above."""
    for i in range(begin + 1, end):
        first, last = max(time[i] - SPREAD / 2.0, time[begin]), min(time[i] + SPREAD / 2.0, time[end])
        j, k = i - 1, i
        while time[j] > first:
            j -= 1
        while time[k + 1] < last:
            k += 1
        v0 = speed[j] + (speed[j + 1] - speed[j]) * (first - time[j]) / (time[j + 1] - time[j])
        v1 = speed[k] + (speed[k + 1] - speed[k]) * (last - time[k]) / (time[k + 1] - time[k])
        x = (v1 * direction[k, 0] - v0 * direction[j, 0]) / (last - first)
        y = (v1 * direction[k, 1] - v0 * direction[j, 1]) / (last - first)
        share = min(1.0, (time[i] - time[begin]) / SPREAD, (time[end] - time[i]) / SPREAD)
        share *= min(1.0, most / max(np.hypot(x, y), 1e-9))
        lead[i, 0], lead[i, 1] = x * share, y * share
