"""The timed motion of one hanging, in packed arrays: input to the files, the estimate and the timeline."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points


@dataclass(frozen=True)
class PenPass:
    """Everything one pen draws without a pause; between two blocks the person changes the pen."""

    pen: int
    """Index into Document.pens."""
    first_run: int
    last_run: int
    """Runs first_run .. last_run - 1 belong to it."""


@dataclass(frozen=True)
class Motion:
    """Samples along the whole motion, strokes and travels alternating.

    A run is one stroke or one travel; run r has samples runs[r] .. runs[r + 1] - 1 and both its end points are samples. The
    machine rests while the pen is raised or lowered: time jumps between the last sample of a run and the first of the next.
    Between two samples the acceleration along the path is constant. During a belt take-up (friction.py) several samples
    have the same position.
    """

    time: Floats
    """(n,) s from the start of the job (pen changes by a person not counted)."""
    pen_xy: Points
    """(n, 2) mm, wall frame: centre of the pen holder, corrected for the tip's offset, if any, and otherwise the pen
    tip."""
    belts: Floats
    """(n, 2) mm, unstretched belt length from anchor to the exit's reference mark, left and right."""
    speed: Floats
    """(n,) mm/s of the pen along the path."""
    tension: Floats
    """(n, 2) N at the pulleys, including the effect of the motion."""
    swing: Floats
    """(n,) mm: signed deviation of the pen from its path by swinging."""
    farthest_swing: Floats
    """(n,) mm, not negative: largest deviation since the previous sample."""
    vertex: Flags
    """(n,) bool: a vertex of the stroke or travel, not an added sample."""
    runs: Integers
    """(k + 1,) int64: first sample of each run."""
    down: Flags
    """(k,) bool: pen on the wall."""
    stroke: Integers
    """(k,) int64: index into the ordered strokes; -1 for a travel."""
    blocks: tuple[PenPass, ...]
    load: Floats
    """(n, 4) N: friction for which the belts are corrected: on the pen, right and down, and on the feet, right and down."""
    takes_up: Flags
    """(n,) bool: the pen rests from here to the next sample of its run while the belts go over to the next force."""
    settling: Floats
    """(k,) s: wait before each run until the body is calm enough to lower the pen."""
    landing: Floats
    """(k,) mm: amplitude of the swing when each run's pen begins to be lowered."""


def pen_of_runs(motion: Motion) -> Integers:
    """Returns the (k,) pen number of each run, from 0."""
    pen = np.zeros(len(motion.down), dtype=np.int64)
    for block in motion.blocks:
        pen[block.first_run : block.last_run] = block.pen
    return pen


@dataclass(frozen=True)
class StrokeEstimate:
    """Estimate of each of k strokes, in drawing order."""

    pen: Integers
    """(k,) index into Document.pens."""
    begins_s: Floats
    """(k,) s from the start of the job, pen changes not counted."""
    travel_s: Floats
    """(k,) s of the travel before it; the way home after a pen's last stroke counts towards the next pen's first."""
    lifting_s: Floats
    """(k,) s, including the waits until the body is calm."""
    drawing_s: Floats
    """(k,) s of drawing."""
    ink_m: Floats
    """(k,) m drawn."""
    swing_mm: Floats
    """(k,) mm: largest swing."""
    load: Floats
    """(k,) largest share of a motor's available pull."""


@dataclass(frozen=True)
class PenEstimate:
    """Estimate of one pen's part."""

    pen: int
    strokes: int
    drawing_s: float
    travel_s: float
    lifting_s: float
    """Including the waits until the body is calm."""
    ink_m: float
    """Length drawn, m."""
    travel_m: float


@dataclass(frozen=True)
class Estimate:
    """Estimate of the whole job."""

    per_pen: tuple[PenEstimate, ...]
    total_s: float
    """Machine time, without pen changes."""
    belt_run_m: tuple[float, float]
    """Total movement of each belt."""
    longest_belt_mm: tuple[float, float]
    swing_mm: float
    """Largest deviation of the pen on the wall from its path by swinging."""
    landing_mm: float
    """Largest amplitude of the swing when the pen begins to be lowered."""
    settling_s: float
    """Total wait before lowering until the swing has decayed."""
    mean_load: tuple[float, float] = (0.0, 0.0)
    """Mean share of the available pull that the left and right motor use while in motion."""
    largest_load: tuple[float, float] = (0.0, 0.0)
    energy_wh: float = 0.0
    """Energy from the supply, including pen changes: the motors hold the body meanwhile."""
    work_j: tuple[float, float] = (0.0, 0.0)
    """Work of the left and right motor on their belts."""
    changing_s: float = 0.0
    """Pen changes by a person, including waits for wet ink."""
    corner_mm: float = 0.0
    """Largest deviation of the pen from its corners, with a controller that does not slow down for them."""
    drying_s: tuple[float, ...] = ()
    """Wait for wet ink before each pen's block, beyond the change itself; () if the job does not wait."""
    ink_price: float = 0.0
    """Price of the ink drawn, in the user's currency, for pens whose price and ink length are known."""
