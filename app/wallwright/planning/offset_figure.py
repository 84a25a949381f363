"""The offset figure: how far the tip of each pen is off in the holder against the first pen's, with and without a ruler.

Beside a cross of the first pen each other pen draws a cross, APART to the right and APART below. What a ruler reads instead
of APART is how far the tip is off, to half a millimetre.

Two scales read the same to a tenth (the principle of Vernier, 1631): the first pen draws lines PITCH apart, the other pen
continues them with lines PITCH - STEP apart, numbered from 0. The number of the line that continues one of the first pen's
exactly, times STEP, is the offset, but for whole PITCHes, which a ruler or the eye distinguishes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import msgspec
import numpy as np

from wallwright.document import edits
from wallwright.document.arrays import Floats
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.quantity import quantities
from wallwright.planning.pen_figures import Lines, digits, digits_width, figure_corner, figure_document, line
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pen_tip import turned
from wallwright.statics.pose import inverse_kinematics

APART = 10.0
"""mm between the crosses of two pens: room for a ruler beside broad markers."""
ARM = 15.0
"""mm: half a cross."""
FOCUS = ARM + APART / 2, ARM + APART / 2
"""mm from the corner of a pen's figure to between its crosses; those of the second pen are drawn at the starting point."""
PITCH, STEP = 5.0, 0.2
"""mm between the first pen's lines of a scale, and by how much the other pen's lie closer."""
LAST_LINE = round(PITCH / STEP)
"""Number of the other pen's last line: from the first to the last one each offset comes by once."""
BROADEST = 4.0
"""mm: lines of broader pens run together on a scale."""
BEYOND = 2
"""Lines of the first pen beyond the other's on either side, for tips that are far off."""
TICK, LONG_TICK, DIGITS, EVERY = 12.0, 17.0, 8.0, 5
"""mm: a scale's lines, each fifth of them, and its digits."""
INSET = 2 * ARM + APART
"""mm from the corner of a pen's figure to where a scale may begin: beyond the crosses."""
BARE = 0.5
"""mm of bare wall between the lines that continue each other: wet inks do not run together."""
GAP = 10.0
"""mm between the crosses and the scales, and between two pens' figures."""
LENGTH = INSET + GAP + (LAST_LINE + 2 * BEYOND) * PITCH
"""mm: width and height of one pen's figure."""
DISAGREEMENT = 1.25
"""mm by which ruler and scale may differ. Half as much again as a ruler read to a millimetre; at half a PITCH no reading
could be wrong."""


@dataclass(frozen=True)
class OffsetReading:
    """What is read of one direction: with a ruler, on the scale, or both."""

    ruler: float | None = None
    """mm from the first pen's line of the cross to the other pen's."""
    line: float | None = None
    """Number of the other pen's line that continues one of the first pen's; between two lines a half."""

    @property
    def is_empty(self) -> bool:
        """Whether nothing is read."""
        return self.ruler is None and self.line is None

    def offset(self) -> float:
        """mm by which the other pen's lines are off. Raises BadValue."""
        if self.line is None:
            return (self.ruler or 0.0) - APART
        if not 0 <= self.line <= LAST_LINE:
            raise BadValue(tr("The lines of a scale have the numbers 0 to {0}, not {1:g}", LAST_LINE, self.line))
        # Without a ruler the eye has seen that the crosses are about where they should be.
        rough = 0.0 if self.ruler is None else self.ruler - APART
        fine = self.line * STEP
        found = fine + PITCH * round((rough - fine) / PITCH)
        if self.ruler is not None and abs(found - rough) > DISAGREEMENT:
            raise BadValue(
                tr(
                    "The ruler says {0:.1f} mm, line {1:g} of the scale says {2:.1f} mm. Read both again",
                    self.ruler,
                    self.line,
                    found + APART,
                )
            )
        return found


def offset_figure(document: Document, hanging: int) -> Document:
    """Wall, machine, hanging and pens as they are, with the offset figure near the starting point as the only artwork.
    Raises BadValue with a single pen."""
    pens = document.pens
    if len(pens) < 2:
        raise BadValue(tr("The offset figure compares pens: the project needs at least two"))
    lines: list[Lines] = [[] for _ in pens]
    for number in range(1, len(pens)):
        x, y = _corner(len(pens), number)
        lines[0] += _cross(x + ARM, y + ARM)
        lines[number] += _cross(x + ARM + APART, y + ARM + APART)
        if has_scales(pens, number):
            lines[0] += _first_lines(x, y, pens[0].width)
            lines[number] += _other_lines(x, y, pens[number].width)
    title, size = tr("pen offsets"), _size(len(pens))
    return figure_document(document, hanging, title, size, FOCUS, lines, pens, "pen-offsets")


def has_scales(pens: tuple[Pen, ...], number: int) -> bool:
    """Whether both pens are fine enough for scales."""
    return max(pens[0].width, pens[number].width) <= BROADEST


def read_offset(document: Document, hanging: int, pen: int, right: OffsetReading, down: OffsetReading) -> Document:
    """The document with a pen's offset put right by both readings of its figure. Raises BadValue."""
    if not 0 < pen < len(document.pens):
        raise BadValue(
            tr("The offset figure measures pens from the second one on; the first one is what they must meet")
        )
    before = document.pens[pen]
    place, size = document.hangings[hanging], _size(len(document.pens))
    corner = np.add(figure_corner(document, hanging, size, FOCUS), _corner(len(document.pens), pen))
    points = np.add(corner, [_place(right), _place(down)[::-1]])
    tilt = inverse_kinematics(CableRobotModel.of(document.machine, place), points).tilt
    # What is seen is the tip's offset turned with the body, which hangs a little differently at both places.
    frame = np.array([turned(tilt[axis : axis + 1], np.eye(2)[k : k + 1])[0] for axis in (0, 1) for k in (0, 1)])
    seen: Floats = np.array([[frame[0, 0], frame[1, 0]], [frame[2, 1], frame[3, 1]]])
    off_right, off_down = np.linalg.solve(seen, [right.offset(), down.offset()]).tolist()
    own = msgspec.structs.replace(before, tip_right=before.tip_right + off_right, tip_down=before.tip_down + off_down)
    off, most = max(abs(own.tip_right), abs(own.tip_down)), quantities(Pen)["tip_right"].high
    if not off <= most:
        raise BadValue(
            tr(
                "The readings would put the tip {0:.0f} mm off its holder's centre; {1:g} mm are possible. Check them",
                off,
                most,
            )
        )
    return edits.with_field(document, f"pens.{pen}", own)


def _place(reading: OffsetReading) -> tuple[float, float]:
    """mm from a figure's corner to where a reading is taken: along its direction, and across."""
    if reading.line is None:
        return FOCUS
    return INSET + GAP + BEYOND * PITCH + reading.line * (PITCH - STEP), INSET / 2


def _columns(pens: int) -> int:
    """Figures beside each other; all together are about square."""
    return math.ceil(math.sqrt(pens - 1))


def _corner(pens: int, number: int) -> tuple[float, float]:
    """Upper left corner of a pen's figure, mm."""
    row, column = divmod(number - 1, _columns(pens))
    return column * (LENGTH + GAP), row * (LENGTH + GAP)


def _size(pens: int) -> tuple[float, float]:
    columns = _columns(pens)
    rows = math.ceil((pens - 1) / columns)
    return columns * (LENGTH + GAP) - GAP, rows * (LENGTH + GAP) - GAP


def _cross(x: float, y: float) -> Lines:
    return [line(x - ARM, y, right=2 * ARM), line(x, y - ARM, down=2 * ARM)]


def _first_lines(x: float, y: float, width: float) -> Lines:
    """The first pen's lines: above the middle of the upright scale's row, and left of that of the level scale's column."""
    found: Lines = []
    begin = INSET / 2 - (width + BARE) / 2 - TICK
    for number in range(LAST_LINE + 2 * BEYOND + 1):
        at = INSET + GAP + number * PITCH
        found += [line(x + at, y + begin, down=TICK), line(x + begin, y + at, right=TICK)]
    return found


def _other_lines(x: float, y: float, width: float) -> Lines:
    """The other pen's, which continue them, with their numbers."""
    found: Lines = []
    begin, height = INSET / 2 + (width + BARE) / 2, max(DIGITS, 4 * width)
    for number in range(LAST_LINE + 1):
        at = INSET + GAP + BEYOND * PITCH + number * (PITCH - STEP)
        length = TICK if number % EVERY else LONG_TICK
        found += [line(x + at, y + begin, down=length), line(x + begin, y + at, right=length)]
        if number % EVERY == 0:
            end = begin + LONG_TICK + width
            found += digits(number, height, x + at, y + end + height)
            beside = end + width + digits_width(number, height) / 2
            found += digits(number, height, x + beside, y + at + height / 2)
    return found
