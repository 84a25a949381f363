"""Two small drawings about pens, as separate documents: the offset figure and the sample strip.

Offset figure: beside a cross of the first pen each other pen draws a cross, APART to the right and APART below.
What a ruler reads instead of APART is how far the tip is off against the first pen's.

Sample strip: a row for each pen with a line at each of three speeds, patches of several coverages, and a row of dashes that
shows its lift. What is seen teaches the pen's width and the highest speed at which it neither leaves gaps nor bleeds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wallwright.document import edits
from wallwright.document.document import Document, Fill, Ink, Pen
from wallwright.document.errors import BadValue
from wallwright.document.joining import Joining
from wallwright.document.language import tr
from wallwright.document.ordering import Ordering
from wallwright.document.quantity import quantities
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pen_tip import corrected_tip

APART = 10.0
"""mm between the lines of two pens: room for a ruler beside broad markers."""
ARM = 15.0
"""mm: half a cross."""
COLUMN = 60.0
"""mm from one pen's pair of crosses to the next."""
SPEEDS = (0.5, 1.0, 2.0)
"""Of the pen's present speed, tried on the strip."""
COVERAGES = (10, 20, 35, 50, 75, 100)
"""Per cent."""
LINE, PATCH, ROW, DASH = 120.0, 14.0, 60.0, 4.0
"""mm: lines, patches, height of a pen's row, dashes and the gaps between them."""


@dataclass(frozen=True)
class LineSeen:
    """What a person saw of one line of the strip."""

    speed: float
    """mm/s."""
    width: float
    """mm, as drawn."""
    has_gaps: bool = False
    bleeds: bool = False


def offset_figure(document: Document, hanging: int) -> Document:
    """Wall, machine, hanging and pens as they are, with the offset figure around the starting point as the only artwork.
    Raises BadValue with a single pen."""
    pens = document.pens
    if len(pens) < 2:
        raise BadValue(tr("The offset figure compares pens: the project needs at least two"))
    paths = []
    for column in range(1, len(pens)):
        x = COLUMN * (column - 1) + ARM
        paths += [_cross(x, ARM, 0), _cross(x + APART, ARM + APART, column)]
    size = (COLUMN * (len(pens) - 2) + 2 * ARM + APART, 2 * ARM + APART)
    inks = tuple(Ink(_colour(k), pen.id) for k, pen in enumerate(pens))
    return _alone(document, hanging, tr("pen offsets"), size, "".join(paths), inks, pens)


def read_offset(document: Document, hanging: int, pen: int, right: float, down: float) -> Document:
    """The document with a pen's offset put right: its lines were read `right` and `down` mm from those of the first pen,
    where APART was meant. Raises BadValue."""
    if not 0 < pen < len(document.pens):
        raise BadValue(
            tr("The offset figure measures pens from the second one on; the first one is what they must meet")
        )
    place = document.hangings[hanging]
    rig = CableRobotModel.of(document.machine, place)
    own = corrected_tip(rig, document.pens[pen], place.start_point, (right - APART, down - APART))
    off, most = max(abs(own.tip_right), abs(own.tip_down)), quantities(Pen)["tip_right"].high
    if not off <= most:
        raise BadValue(
            tr(
                "The readings {0:g} and {1:g} mm would put the tip {2:.0f} mm off its holder's centre; {3:g} mm are "
                "possible. Check them",
                right,
                down,
                off,
                most,
            )
        )
    return edits.with_field(document, f"pens.{pen}", own)


def sample_strip(document: Document, hanging: int) -> Document:
    """The same with the sample strip. Each speed of a pen is a separate pen there, with a pause before it."""
    limits = document.machine.limits
    pens: list[Pen] = []
    inks: list[Ink] = []
    paths: list[str] = []
    for row, pen in enumerate(document.pens):
        y = ROW * row
        for k, tried in enumerate(strip_speeds(document, pen)):
            name = tr("{0} at {1:g} mm/s", pen.name, tried)
            pens.append(edits.replace(pen, id=f"{pen.id}-{k}", name=name, speed=tried))
            colour = _colour(len(inks))
            inks.append(Ink(colour, pens[-1].id))
            paths.append(f'<path d="M0 {y + 5 * k + 4:g}H{LINE:g}" stroke="{colour}"/>')
        usual = pens[-2].id
        for k, coverage in enumerate(COVERAGES):
            colour, x = _colour(len(inks)), k * (PATCH + 6)
            inks.append(Ink(colour, usual, False, Fill(coverage=float(coverage))))
            box = f'x="{x:g}" y="{y + 20:g}" width="{PATCH:g}" height="{PATCH:g}"'
            paths.append(f'<rect {box} fill="{colour}" stroke="none"/>')
        colour = _colour(len(inks))
        inks.append(Ink(colour, usual))
        dashes = "".join(f"M{2 * DASH * k:g} {y + 42:g}h{DASH:g}" for k in range(int(LINE / DASH / 2)))
        paths.append(f'<path d="{dashes}" stroke="{colour}"/>')
    # Twice the usual speed is tried too.
    machine = edits.replace(document.machine, limits=edits.replace(limits, draw_speed=max(p.speed for p in pens)))
    whole = edits.replace(document, machine=machine)
    size = (LINE, ROW * (len(document.pens) - 1) + 42)
    return _alone(whole, hanging, tr("sample strip"), size, "".join(paths), tuple(inks), tuple(pens))


def strip_speeds(document: Document, pen: Pen) -> list[float]:
    """mm/s of a pen's lines on the strip, from the top."""
    speed = pen.speed or document.machine.limits.draw_speed
    return [round(speed * share, 1) for share in SPEEDS]


def learnt_pen(pen: Pen, seen: Sequence[LineSeen]) -> Pen:
    """A pen as its strip teaches: the highest speed without gaps and without bleeding, and its width there. Raises BadValue
    when no line was good."""
    good = [line for line in seen if not line.has_gaps and not line.bleeds]
    if not good:
        raise BadValue(
            tr(
                "Every line of {0} has gaps or bleeds. Draw another strip with a slower or a faster speed set for this pen.",
                pen.name,
            )
        )
    best = max(good, key=lambda line: line.speed)
    return edits.replace(pen, speed=best.speed, width=best.width)


def _cross(x: float, y: float, pen: int) -> str:
    path = f"M{x - ARM:g} {y:g}H{x + ARM:g}M{x:g} {y - ARM:g}V{y + ARM:g}"
    return f'<path d="{path}" stroke="{_colour(pen)}"/>'


def _colour(number: int) -> str:
    """One for each pen or patch: only its ink says which pen draws it."""
    return f"#{number + 1:06x}"


def _alone(
    document: Document,
    hanging: int,
    title: str,
    size: tuple[float, float],
    paths: str,
    inks: tuple[Ink, ...],
    pens: tuple[Pen, ...],
) -> Document:
    """A document with one drawing around the starting point of one hanging."""
    place = document.hangings[hanging]
    width, height = size
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" fill="none" stroke-width="0.3">{paths}</svg>'
    )
    settings = edits.replace(
        document.settings, fill=Fill(kind="none"), outside="refuse", joining=Joining(), order=Ordering(), gap=0.0
    )
    empty = edits.replace(
        document,
        hangings=(edits.replace(place, name=f"{place.name}: {title}"),),
        pens=pens,
        artworks=(),
        placements=(),
        settings=settings,
        photo=None,
        stopped=None,
    )
    found, placement = edits.add_artwork(
        empty, f"{title}.svg", "image/svg+xml", svg.encode(), size, place.start_point, width
    )
    found = edits.set_placement(found, placement.id, inks=inks)
    return edits.shift_frame(found, place.left.x, place.left.y) if hanging else found
