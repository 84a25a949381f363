"""Leading belts: the body is moved ahead so that the same acceleration swings it less.

A body accelerated by a hangs as if its centre of mass were pushed by -m a: the pen lags by E = g.a / ω² (swing.py). Belts
paid out for that push put a resting pen ahead by u; u = E cancels the lag. Paying them out also moves the body itself at
once: where the acceleration begins suddenly, the pen is first off by (1 - γ) E, γ being g along the swing, and then swings
by as much about its intended position. Without the lead it swings by E about a position that is off by E. With γ between
0.3 and 0.6 the same bound on swing therefore allows three to five times the acceleration. (The inverse of a system with
zero dynamics: Isidori, "Nonlinear Control Systems", 1995, from memory; its exact inverse would make the belts oscillate.)

The acceleration is constant between samples and jumps there, which belts cannot follow. They lead by the mean acceleration
over AVERAGING_TIME, linearly interpolated between samples; where a pen without friction rests there is no lead. The
simulated swing includes all this, also for bodies of a somewhat higher and lower frequency. Samples next to rests are dense
for this.

A pen with friction stays where it stopped, ahead of its position, if the lead ends before it has stopped. So belts lead
until it rests, by no more than its friction holds, and the lead ends during the take-up (friction.py).

Belts lead only where the swing is tightly bounded, and where the controller gets the timing of its ramps.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats
from wallwright.document.document import Document

LEADS_BELOW = 1.0
"""Allowed swing, mm, below which leading is worthwhile."""
ALL_MODES = 1.1
"""Ratio of a resting pen's total lead to that along the slowest mode; the faster modes add to it (1.06 to 1.10 for the
typical machine)."""
RESERVE = 0.85
"""Share of the allowed swing that is used with a lead: the lead depends on mass, inertia and damping, which are not
known exactly."""
REMAINING_SWING = 0.25
"""Share of the swing without a lead that is assumed when the search for the acceleration begins: a little less than what
remains with the lead."""
LARGEST_LEAD = 1.5
"""Largest lead, including in turns, as a multiple of the largest acceleration along the path."""
AVERAGING_TIME = 0.1
"""Time over which the acceleration is averaged and over which the lead begins and ends at rests, s: a sudden lead would
shake the body on its belts, at 12 Hz and more."""
LEAD_RAMP_DIVISOR = 16
"""Divisor of the shortest ramp that gives the position of the first sample next to a rest."""


def can_lead(document: Document) -> bool:
    """Returns whether the controller gets ramps by which belts can lead."""
    machine = document.machine
    controller = machine.controller
    gets_ramps = controller.pacing == "accelerating" or (controller.pacing == "timed" and machine.body.drag <= 0)
    return gets_ramps and controller.takes != "drawing"


def swing_bounds(document: Document) -> Floats:
    """Returns (p,) mm: allowed swing of each pen; less if its friction is known, because that is corrected too."""
    limits = document.machine.limits
    known = np.array([pen.drag > 0 for pen in document.pens]) & can_lead(document)
    result: Floats = np.where(known, min(limits.swing, limits.friction_swing), limits.swing)
    return result


def leading_pens(document: Document) -> Flags:
    """Returns (p,) bool: pens in whose strokes belts lead the body."""
    result: Flags = (swing_bounds(document) < LEADS_BELOW) & can_lead(document)
    return result


def most_lead(document: Document) -> float:
    """Returns the largest force at the centre of mass by which belts lead, N; 0 if they do not lead."""
    machine = document.machine
    return (
        machine.body.mass * LARGEST_LEAD * machine.limits.acceleration / 1000 if leading_pens(document).any() else 0.0
    )
