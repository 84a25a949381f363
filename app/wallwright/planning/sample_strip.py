"""Sample strip: what each pen draws on this wall, small enough to inspect closely.

For each pen, from the top: a line at each of three speeds; dashes, which show its lift; patches of lines labelled with
their planned coverage in per cent, and below the first row of them a band of solid stripes that cover exactly half of it;
and, if the project has a darker pen, a solid patch over a solid bar of that pen, which shows how much the ink hides.

Patches are single lines at a distance of width / coverage, a whole number in each patch, so that their coverage is exact.
The band needs no measurement for comparison: seen from afar its tone is half ink by its shape, because broad stripes gain
little at their edges. Each speed of a pen is a separate pen in the strip, and nothing is changed by hand between them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from wallwright.document import edits
from wallwright.document.arrays import Points
from wallwright.document.document import Document, Pen
from wallwright.document.language import tr
from wallwright.planning.pen_figures import Lines, digits, digits_width, figure_document, line
from wallwright.planning.pen_order import SAME_LIGHTNESS, lightness

SPEEDS = (0.5, 1.0, 2.0)
"""Tested speeds, relative to the pen's present speed."""
TONES = (20, 30, 40, 50, 60, 70)
"""Coverages of the patches above the band, per cent: around half ink, allowing for a pen's gain or loss."""
CLOSING = (10, 80, 90, 100, 110, 125)
"""Coverages of the patches below the band, per cent: among them the last white vanishes. Above 100 for lines thinner
than nominal."""
LINE = 120.0
"""Length of a line, mm: room to reach twice the usual speed."""
DASH, DASH_GAP, DASHES = 16.0, 8.0, 5
"""Length of a dash and of a gap, mm, and number of dashes: long enough for a pen that comes down a third of a second
late."""
PATCH, LEAST_PATCH = 12.0, 12.0
"""Side of a patch, in line widths, and its minimum in mm. Enough lines for an even tone."""
FEWEST = 2
"""Smallest number of lines in a patch."""
STRIPE = 4.0
"""Width of the band's solid stripes and of the gaps between them, in line widths."""
SOLID = 0.7
"""Distance between the lines of solid areas, in line widths: a pen a quarter thinner than nominal leaves no white."""
BAND, LABEL, BETWEEN = 8.0, 5.0, 2.0
"""Height of the band, of digits (smaller ones merge), and distances, in line widths."""
SLOW, USUAL, FAST, OVER = range(4)
"""Indices of the strip's pens that represent one pen."""


@dataclass
class PenStrip:
    """What one pen draws, from its top left corner."""

    lines: list[Lines] = field(default_factory=lambda: [[], [], [], []])
    """Lines by SLOW, USUAL, FAST and OVER."""
    bar: Lines = field(default_factory=list)
    """Lines of the darkest pen, under what the pen draws last."""
    width: float = LINE
    height: float = 0.0


def strip_speeds(document: Document, pen: Pen) -> list[float]:
    """Returns the speeds of a pen's lines on the strip, mm/s, from the top."""
    speed = pen.speed or document.machine.limits.draw_speed
    return [round(speed * share, 1) for share in SPEEDS]


def bar_pen(document: Document, pen: int) -> int | None:
    """Returns the index of the darkest pen, over whose bar a pen shows how much it hides; None for a pen that is as dark,
    or that may not draw over darker ink."""
    light = lightness(document.pens)
    darkest = int(np.argmin(light))
    is_lighter = light[pen] > light[darkest] + SAME_LIGHTNESS
    return darkest if is_lighter and document.pens[pen].over != "lighter" else None


def sample_strip(document: Document, hanging: int) -> Document:
    """Returns a document with the same wall, machine and hanging, and the sample strip near the starting point as the
    only artwork."""
    pens, bars = document.pens, [bar_pen(document, k) for k in range(len(document.pens))]
    rows = [pen_strip(document, k) for k in range(len(pens))]
    columns = math.ceil(math.sqrt(len(pens)))
    widths = [max(row.width for row in rows[k::columns]) for k in range(columns)]
    heights = [max(row.height for row in rows[k : k + columns]) for k in range(0, len(rows), columns)]
    gap = 4 * max(pen.width for pen in pens) + 10
    lefts, tops = _begins(widths, gap), _begins(heights, gap)
    # The pen of the bars first: the others draw over its dry ink.
    darkest = next((bar for bar in bars if bar is not None), 0)
    order = [darkest, *(k for k in range(len(pens)) if k != darkest)]
    strip: list[Pen] = []
    lines: list[Lines] = []
    for k in order:
        corner = lefts[k % columns], tops[k // columns]
        own = [_moved(part, corner) for part in rows[k].lines]
        if k == darkest:
            for other, row in enumerate(rows):
                own[USUAL] += _moved(row.bar, (lefts[other % columns], tops[other // columns]))
        tried = _strip_pens(document, pens[k])
        strip += [pen for pen, part in zip(tried, own, strict=True) if part]
        lines += [part for part in own if part]
    # Twice the usual speed is tried too.
    limits = edits.replace(document.machine.limits, draw_speed=max(pen.speed for pen in strip))
    settings = edits.replace(document.settings, wait_until_dry=True)
    whole = edits.replace(document, machine=edits.replace(document.machine, limits=limits), settings=settings)
    size = (lefts[-1] + widths[-1], tops[-1] + heights[-1])
    middle = size[0] / 2, size[1] / 2
    return figure_document(whole, hanging, tr("sample strip"), size, middle, lines, tuple(strip), "sample-strip")


def _strip_pens(document: Document, pen: Pen) -> list[Pen]:
    """Returns the strip's pens that represent one pen: by SLOW, USUAL, FAST and OVER."""
    slow, usual, fast = strip_speeds(document, pen)
    first = edits.replace(pen, id=f"{pen.id}-{SLOW}", speed=slow)
    named = [
        (USUAL, usual, tr("{0} at {1:g} mm/s", pen.name, usual)),
        (FAST, fast, tr("{0} at {1:g} mm/s", pen.name, fast)),
    ]
    named.append((OVER, usual, tr("{0} over dark ink", pen.name)))
    return [
        first,
        *(edits.replace(pen, id=f"{pen.id}-{k}", name=name, speed=v, same_as=first.id) for k, v, name in named),
    ]


def _moved(lines: Lines, corner: tuple[float, float]) -> Lines:
    return [points + corner for points in lines]


def _begins(lengths: list[float], gap: float) -> list[float]:
    return [sum(lengths[:k]) + gap * k for k in range(len(lengths))]


def pen_strip(document: Document, pen: int) -> PenStrip:
    """Returns what one pen draws, by its index."""
    bar = bar_pen(document, pen)
    return _drawn(document.pens[pen], None if bar is None else document.pens[bar].width)


def _drawn(pen: Pen, bar_width: float | None) -> PenStrip:
    """Returns what a pen draws. bar_width: line width of the darkest pen; None: no bar."""
    w, row = pen.width, PenStrip()
    pitch = max(6.0, 3 * w)
    for number in (SLOW, USUAL, FAST):
        row.lines[number].append(line(0.0, w / 2 + pitch * number, right=LINE))
    y = 3 * pitch
    usual = row.lines[USUAL]
    usual += [line((DASH + DASH_GAP) * k, y + w / 2, right=DASH) for k in range(DASHES)]
    y += pitch + BETWEEN * w
    side, label = max(PATCH * w, LEAST_PATCH), LABEL * max(w, 1.0)
    band = max(BAND * w, LEAST_PATCH / 2)
    for coverages in (TONES, CLOSING):
        x, top = 0.0, y + label + BETWEEN * w
        for coverage in coverages:
            step = 100 * w / coverage
            count = max(round(side / step), FEWEST)
            room = max(count * step, digits_width(coverage, label))
            left = x + (room - count * step) / 2
            usual += [line(left + (k + 0.5) * step, top + w / 2, down=side - w) for k in range(count)]
            usual += digits(coverage, label, x + room / 2, y + label)
            x += room + BETWEEN * w
        row.width = max(row.width, x - BETWEEN * w)
        y = top + side + BETWEEN * w
        if coverages is TONES:
            for k in range(math.floor((x - BETWEEN * w) / (2 * STRIPE * w))):
                left = (2 * k + 0.5) * STRIPE * w
                usual.append(_solid(left, y, STRIPE * w, band, w, True))
            y += band + BETWEEN * w
    if bar_width is not None:
        high = max(side / 2, 3 * bar_width)
        row.bar = [_solid(0.0, y + side / 2, 3 * side, high, bar_width, False)]
        row.lines[OVER] = [_solid(side, y, side, high + side, w, True)]
        y += high + side
    row.height = y
    return row


def _solid(x: float, y: float, width: float, height: float, pen: float, is_upright: bool) -> Points:
    """Returns a solid rectangle, drawn back and forth in one stroke by a pen of a line width."""
    across, along = (width, height) if is_upright else (height, width)
    count = max(math.ceil((across - pen) / (SOLID * pen)), 1)
    places = np.repeat(np.linspace(pen / 2, across - pen / 2, count + 1), 2)
    ends = np.resize([pen / 2, along - pen / 2, along - pen / 2, pen / 2], len(places))
    points: Points = np.column_stack([places, ends] if is_upright else [ends, places])
    points += (x, y)
    return points
