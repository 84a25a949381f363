"""Results of the sample strip: width, speed, spread of ink and opacity of a pen, and the times of the machine's lift.

All of it is judged by eye, or with a ruler to half a millimetre:

- lines: how wide, with gaps, bleeding. The pen gets the highest speed without either, and the width at which it then draws;
- the first patch without white says more about the width than a ruler does: its lines just meet;
- the patch whose tone is that of the band of stripes is half covered. How far it was planned from half is the spread of ink
  that the width does not explain;
- dashes that begin late, or with tails: the pen came down or went up while the machine already moved. The length is that
  of a way from rest with the machine's acceleration.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wallwright.document import edits
from wallwright.document.controller import Lift
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.quantity import quantities
from wallwright.planning.sample_strip import CLOSING, DASH, DASH_GAP, STRIPE, TONES, strip_speeds

COARSE, FINE = 0.5, 0.1
"""Resolution, mm, of widths read with a ruler, recognised by whole halves, or with a lens."""
LEAST_SLOPE = 0.2
"""Smallest slope of tone over spread of ink: nearly solid patches do not determine it."""
SHORTER = 0.75
"""Factor on the lower time if pens stand on the wall too long: a dot does not show how much too long."""
LEAST_LOWER = 0.05
"""Shortest lower time, s: no lift is faster."""
FLOWING = 0.3
"""Largest difference, as a share of a width: wet lines merge earlier than single ones are wide; a larger one is a
reading error."""
WHITE_EVERYWHERE = 1000.0
"""Value, per cent, for the first patch without white if every patch shows some."""


@dataclass(frozen=True)
class LineSeen:
    """What a person saw of one line of the strip."""

    speed: float
    """mm/s."""
    width: float
    """Drawn width, mm."""
    has_gaps: bool = False
    bleeds: bool = False


@dataclass(frozen=True)
class StripReading:
    """What a person saw of one pen's part of the strip. None: not judged."""

    lines: tuple[LineSeen, ...] = ()
    half_tone: float | None = None
    """Label, per cent, of the patch that looks as dark as the band of stripes; between two patches the mean."""
    closed: float | None = None
    """Label, per cent, of the first patch without white; WHITE_EVERYWHERE if every patch shows some."""
    opacity: float | None = None
    """Share of the dark bar that the pen's ink hides, per cent."""
    late: float | None = None
    """Length missing where dashes begin, mm."""
    tail: float | None = None
    """Length by which dashes extend into the gap behind them, mm."""
    has_dots: bool = False
    """True: dashes begin with a dot, because the pen stands before it moves."""

    @property
    def is_empty(self) -> bool:
        """True if nothing was seen."""
        return self == StripReading()


def with_strip_read(document: Document, readings: dict[str, StripReading]) -> Document:
    """Returns the document with the results of the strip. readings: by pen id. Raises BadValue with a sentence."""
    pens = tuple(learnt_pen(document, pen, readings[pen.id]) if pen.id in readings else pen for pen in document.pens)
    lift = learnt_lift(document, readings)
    machine = document.machine if lift == document.machine.lift else edits.replace(document.machine, lift=lift)
    return edits.replace(document, pens=pens, machine=machine)


def learnt_pen(document: Document, pen: Pen, seen: StripReading) -> Pen:
    """Returns a pen with the results of its part of the strip. Raises BadValue if they are impossible."""
    known = quantities(Pen)
    for line in seen.lines:
        if not known["width"].low <= line.width <= known["width"].high or line.speed <= 0:
            raise BadValue(
                tr("{0}: no line is {1:g} mm wide at {2:g} mm/s. Read again", pen.name, line.width, line.speed)
            )
    good = sorted((line for line in seen.lines if not line.has_gaps and not line.bleeds), key=lambda line: line.speed)
    if seen.lines and not good:
        raise BadValue(_no_good_line(pen, seen.lines))
    usual = strip_speeds(document, pen)[1]
    read = _width_at(pen, good, usual)
    # On the strip, at the usual speed, from ruler and patches together.
    width = read if seen.closed is None else _within_patches(pen, read, _ruler_error(good), seen.closed)
    speed = good[-1].speed if good else pen.speed
    drawn_at = min(speed or usual, document.machine.limits.draw_speed)
    found = {"speed": speed, "width": _width_at(pen, good, drawn_at) * width / read}
    if seen.half_tone is not None:
        limits = known["gain"]
        found["gain"] = min(max(_spread(pen, width, seen.half_tone), limits.low), limits.high)
    if seen.opacity is not None:
        found["opacity"] = seen.opacity / 100
    for name, value in found.items():
        if not known[name].low <= value <= known[name].high:
            raise BadValue(
                tr("{0}: what you entered gives a {1} that cannot be. Read again", pen.name, tr(known[name].title))
            )
    return edits.replace(pen, **{name: round(value, 3) for name, value in found.items()})


def learnt_lift(document: Document, readings: dict[str, StripReading]) -> Lift:
    """Returns the machine's lift with the times that the slowest of all pens read needs. Raises BadValue."""
    lift, lowering, raising = document.machine.lift, [], []
    for pen in document.pens:
        seen = readings.get(pen.id)
        if seen is None:
            continue
        if seen.late is not None and seen.late >= DASH:
            raise BadValue(
                tr(
                    "{0}: a dash is only {1:g} mm long. If the pen does not reach the wall, change “Pen down, difference” "
                    "on its page",
                    pen.name,
                    DASH,
                )
            )
        if seen.tail is not None and seen.tail >= DASH_GAP:
            raise BadValue(
                tr(
                    "{0}: the gap is only {1:g} mm long. If the pen does not leave the wall, change “Pen up” on the "
                    "machine's page",
                    pen.name,
                    DASH_GAP,
                )
            )
        if seen.late and seen.has_dots:
            raise BadValue(tr("{0}: dashes begin late or with a dot, not both. Read again", pen.name))
        if seen.late is not None or seen.has_dots:
            short = SHORTER * lift.lower_time if seen.has_dots else lift.lower_time
            usual = strip_speeds(document, pen)[1]
            lowering.append(short if not seen.late else lift.lower_time + _seconds(document, seen.late, usual))
        if seen.tail is not None:
            speed = document.machine.limits.travel_speed
            raising.append(lift.raise_time + (_seconds(document, seen.tail, speed) if seen.tail else 0.0))
    lower = max(max(lowering), LEAST_LOWER) if lowering else lift.lower_time
    return edits.replace(lift, lower_time=round(lower, 2), raise_time=round(max(raising, default=lift.raise_time), 2))


def _no_good_line(pen: Pen, lines: Sequence[LineSeen]) -> str:
    slowest = min(lines, key=lambda line: line.speed)
    if slowest.has_gaps:
        return tr(
            "Every line of {0} has gaps or bleeds. Gaps even in the slowest line: press the pen further down (“Pen down, "
            "difference”), then draw another strip.",
            pen.name,
        )
    return tr(
        "Every line of {0} has gaps or bleeds. Draw another strip with a slower or a faster speed set for this pen.",
        pen.name,
    )


def _width_at(pen: Pen, good: Sequence[LineSeen], speed: float) -> float:
    """Returns the width, mm, interpolated between lines, sorted by speed, over the logarithm of the speed."""
    if not good:
        return pen.width
    known = np.log([line.speed for line in good])
    return float(np.interp(math.log(speed), known, [line.width for line in good]))


def _ruler_error(lines: Sequence[LineSeen]) -> float:
    """Returns the possible error of the lines' widths, mm: half of the reading resolution."""
    if not lines:
        return math.inf
    is_coarse = all((line.width / COARSE).is_integer() for line in lines)
    return (COARSE if is_coarse else FINE) / 2


def _within_patches(pen: Pen, read: float, off: float, closed: float) -> float:
    """Returns a width, mm, that agrees with the ruler, `read` plus or minus `off`, and with the first patch without
    white, `closed`: the middle of the common range, or else the ruler's nearest value."""
    lower = [step for step in sorted({*TONES, *CLOSING}) if step < closed]
    low = 0.0 if closed == WHITE_EVERYWHERE else pen.width * 100 / closed
    high = pen.width * 100 / lower[-1] if lower else math.inf
    least, most = max(low, read - off), min(high, read + off)
    if least > most:
        nearest = low if read < low else high
        if abs(nearest - read) > off + FLOWING * read:
            raise BadValue(
                tr(
                    "{0}: the widths of the lines and the first patch without white do not fit together. Read both again",
                    pen.name,
                )
            )
        return read + math.copysign(off, nearest - read)
    return (least + most) / 2 if least > 0 and math.isfinite(most) else min(max(read, least), most)


def _spread(pen: Pen, width: float, half_tone: float) -> float:
    """Returns the pen's gain: how much more is covered than planned where half is planned.

    In the patch that looks as dark as the band, lines of the actual width would cover the share p. The visible share is p +
    4 g p (1 - p); that of the band, whose stripes are STRIPE nominal widths wide, is half plus what both edges add: the
    difference of the widths and, likewise, the spread itself, 2 g of a width.
    """
    planned = half_tone / 100 * width / pen.width
    by_width, by_spread = (width / pen.width - 1) / (2 * STRIPE), 2 / (2 * STRIPE)
    slope = 4 * planned * (1 - planned) - by_spread
    if slope < LEAST_SLOPE:
        raise BadValue(
            tr(
                "{0}: the width and the patch that looks like the stripes do not fit together. Read both again",
                pen.name,
            )
        )
    return (0.5 + by_width - planned) / slope


def _seconds(document: Document, way: float, speed: float) -> float:
    """Returns the time from rest, s, for a distance in mm, with the machine's acceleration up to a speed."""
    machine = document.machine
    if machine.controller.pacing == "constant":
        return way / speed
    acceleration = machine.limits.acceleration
    ramp = speed**2 / (2 * acceleration)
    if way <= ramp:
        return math.sqrt(2 * way / acceleration)
    return speed / acceleration + (way - ramp) / speed
