"""The timed motion of one hanging, in packed arrays: what the files, the estimate and the time strip read."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points


@dataclass(frozen=True)
class PenPass:
    """Everything one pen draws without a pause: between two blocks the person changes the pen."""

    pen: int
    """Index into Document.pens."""
    first_run: int
    last_run: int
    """Runs first_run .. last_run - 1 belong to it."""


@dataclass(frozen=True)
class Motion:
    """Samples along the whole motion, strokes and travels alternating.

    A run is one stroke or one travel; run r has samples runs[r] .. runs[r + 1] - 1 and both its end points are
    samples. The machine rests while the pen is raised or lowered: time jumps between the last sample of a run and
    the first of the next. Time and speed between two samples are joined by constant acceleration along the path. Where
    belts are taken up (friction.py) several samples have the same place.
    """

    time: Floats
    """(n,) s from the start of the job (pen changes by a person not counted)."""
    pen_xy: Points
    """(n, 2) mm, wall frame: the centre of the pen holder, and the pen's tip where that has no offset in it."""
    belts: Floats
    """(n, 2) mm, unstretched belt length from anchor to the exit's reference mark, left and right."""
    speed: Floats
    """(n,) mm/s of the pen along the path."""
    tension: Floats
    """(n, 2) N at the pulleys, with what the motion adds."""
    swing: Floats
    """(n,) mm: how far the pen is off its path by swinging, to one side or the other."""
    farthest_swing: Floats
    """(n,) mm, not negative: the most of it since the sample before."""
    vertex: Flags
    """(n,) bool: a point of the stroke or travel itself, not one between."""
    runs: Integers
    """(k + 1,) int64."""
    down: Flags
    """(k,) bool, pen on the wall."""
    stroke: Integers
    """(k,) int64, index into the ordered strokes; -1 for a travel."""
    blocks: tuple[PenPass, ...]
    load: Floats
    """(n, 4) N: friction that the belts are corrected for: on the pen, right and down, and on the feet."""
    takes_up: Flags
    """(n,) bool: the pen rests from here to the next sample of its run while the belts go over to the next force."""
    settling: Floats
    """(k,) s: before each run, until the body has come to rest enough for the pen to be lowered."""
    landing: Floats
    """(k,) mm: amplitude of the swing when each run's pen begins to be lowered."""


def pen_of_runs(motion: Motion) -> Integers:
    """(k,) the number of the pen of each run, from 0."""
    pen = np.zeros(len(motion.down), dtype=np.int64)
    for block in motion.blocks:
        pen[block.first_run : block.last_run] = block.pen
    return pen


@dataclass(frozen=True)
class StrokeEstimate:
    """What each of k strokes takes, in drawing order."""

    pen: Integers
    """(k,) index into Document.pens."""
    begins_s: Floats
    """(k,) s from the start of the job, pen changes not counted."""
    travel_s: Floats
    """(k,) s of the travel before it; the way home after a pen's last stroke counts to the next pen's first."""
    lifting_s: Floats
    """(k,) s, with the waits until the body has come to rest."""
    drawing_s: Floats
    """(k,) s."""
    ink_m: Floats
    """(k,) m."""
    swing_mm: Floats
    """(k,) mm."""
    load: Floats
    """(k,) largest share of a motor's pull."""


@dataclass(frozen=True)
class PenEstimate:
    """What one pen's part takes."""

    pen: int
    strokes: int
    drawing_s: float
    travel_s: float
    lifting_s: float
    """With the waits until the body has come to rest."""
    ink_m: float
    """Length drawn."""
    travel_m: float


@dataclass(frozen=True)
class Estimate:
    """What the job takes."""

    per_pen: tuple[PenEstimate, ...]
    total_s: float
    """Of the machine: without pen changes."""
    belt_run_m: tuple[float, float]
    """Total run of each belt."""
    longest_belt_mm: tuple[float, float]
    swing_mm: float
    """Farthest that the pen on the wall swings off its path."""
    landing_mm: float
    """Widest swing when the pen begins to be lowered."""
    settling_s: float
    """Waits before that, until the swing has faded."""
    mean_load: tuple[float, float] = (0.0, 0.0)
    """Of the left and right motor: share of its pull that is used, over the time in motion."""
    largest_load: tuple[float, float] = (0.0, 0.0)
    energy_wh: float = 0.0
    """From the supply, pen changes counted in: the motors hold the body meanwhile."""
    work_j: tuple[float, float] = (0.0, 0.0)
    """That the left and right motor do on their belts."""
    changing_s: float = 0.0
    """Pen changes by a person, with waits for wet ink."""
    corner_mm: float = 0.0
    """How far the pen leaves its corners at most, with a controller that does not slow down for them."""
    drying_s: tuple[float, ...] = ()
    """Wait for wet ink before each pen's block, beyond the change itself; () where the job does not wait."""
    ink_price: float = 0.0
    """Of the ink drawn, in the person's currency, by pens whose price and length of ink are known."""
