"""Belts that lead the body, so that the same push swings it less.

A body that is accelerated by a hangs as if its mass centre were pushed by -m a: the pen lags by E = g.a / ω² (swing.py).
Belts that are paid out for that push already put a resting pen ahead by u, as far as it lags: u = E. Paying them out moves
the body too, at once: where the push begins suddenly, the pen is off by (1 - γ) E at first, γ being g along the swing, and
then swings by as much about its place. Without the lead it swings by E about a place that is off by E, so that with a γ of
0.3 to 0.6 the same bound on swing allows three to five times the push. (The inverse of a system with zero dynamics: Isidori,
"Nonlinear Control Systems", 1995, from memory; its exact inverse would swing belts.)

The push is constant between samples and jumps there, which belts cannot follow. They lead by the mean push over SPREAD,
and go over evenly from sample to sample; where a pen without friction rests they do not lead. All of this is part of the
swing that is followed, for bodies of a somewhat higher and lower frequency too. Samples beside rests are close for it.

A pen with friction stays where it has stopped, ahead of its place if belts go back before that. So they lead until it
rests, by no more than its friction holds, and go back while belts are taken up (friction.py).

Belts lead only where the swing is bounded closely, and where the controller gets the timing of its ramps.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats
from wallwright.document.document import Document

LEADS_BELOW = 1.0
"""mm of swing allowed: with that or more, leading gains next to nothing."""
ALL_MOTIONS = 1.1
"""Of the lead along the slowest swing: what a resting pen is ahead by, as the quicker motions add to it (1.06 to 1.10 for
the typical machine)."""
RESERVE = 0.85
"""Of the swing allowed that is used with a lead: mass, inertia and damping are not known exactly, and the lead relies on
them."""
LEFT = 0.25
"""Of the swing without a lead: a little less than what is left with it, for the push with which the search begins."""
MOST = 1.5
"""Times the largest acceleration along the path: what belts lead by at most, in turns too."""
SPREAD = 0.1
"""s over which the push is averaged, and over which the lead begins and ends beside rests: sudden leads would shake the
body on its belts, at 12 times a second and more."""
FINER = 16
"""Part of the shortest ramp at which the first sample beside a rest lies."""


def can_lead(document: Document) -> bool:
    """Whether the controller gets ramps that belts can lead by."""
    machine = document.machine
    controller = machine.controller
    gets_ramps = controller.pacing == "accelerating" or (controller.pacing == "timed" and machine.body.drag <= 0)
    return gets_ramps and controller.takes != "drawing"


def swing_bounds(document: Document) -> Floats:
    """(p,) mm that each pen may swing off its line: less where its friction is known, as that is corrected too."""
    limits = document.machine.limits
    known = np.array([pen.drag > 0 for pen in document.pens]) & can_lead(document)
    result: Floats = np.where(known, min(limits.swing, limits.friction_swing), limits.swing)
    return result


def leading_pens(document: Document) -> Flags:
    """(p,) bool: the pens in whose strokes belts lead the body."""
    result: Flags = (swing_bounds(document) < LEADS_BELOW) & can_lead(document)
    return result


def most_lead(document: Document) -> float:
    """N: the largest force at the mass centre that belts lead by; 0: they do not."""
    machine = document.machine
    return machine.body.mass * MOST * machine.limits.acceleration / 1000 if leading_pens(document).any() else 0.0
