"""Offset figure: measures how far the tip of each pen is off in the holder relative to the first pen's, with and without a
ruler.

Beside a cross of the first pen each other pen draws a cross, APART to the right and APART below. What a ruler reads instead
of APART is the tip's offset, to half a millimetre.

Two scales give the same to a tenth (the principle of Vernier, 1631): the first pen draws lines PITCH apart, the other pen
continues them with lines PITCH - STEP apart, numbered from 0. The number of the line that exactly continues one of the
first pen's, times STEP, is the offset, up to multiples of PITCH, which a ruler or the eye distinguishes.
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
"""Distance between the crosses of two pens, mm: room for a ruler beside broad markers."""
ARM = 15.0
"""Arm length of a cross, mm."""
FOCUS = ARM + APART / 2, ARM + APART / 2
"""Point between the crosses of a pen's figure, mm from its corner; that of the second pen is drawn at the starting
point."""
PITCH, STEP = 5.0, 0.2
"""Distance between the first pen's lines of a scale, mm, and how much closer the other pen's lines are."""
LAST_LINE = round(PITCH / STEP)
"""Number of the other pen's last line: from the first to the last one each offset occurs once."""
BROADEST = 4.0
"""Largest line width for a scale, mm: broader lines merge."""
BEYOND = 2
"""Number of lines of the first pen beyond the other's on either side, for tips that are far off."""
TICK, LONG_TICK, DIGITS, EVERY = 12.0, 17.0, 8.0, 5
"""Length of a scale's lines, of each fifth of them, and height of its digits, mm; and the interval of the longer lines."""
INSET = 2 * ARM + APART
"""Distance, mm, from the corner of a pen's figure to where a scale may begin: beyond the crosses."""
BARE = 0.5
"""Bare wall between the lines that continue each other, mm, so that wet inks do not merge."""
GAP = 10.0
"""Distance between the crosses and the scales, and between two pens' figures, mm."""
LENGTH = INSET + GAP + (LAST_LINE + 2 * BEYOND) * PITCH
"""Width and height of one pen's figure, mm."""
DISAGREEMENT = 1.25
"""Largest difference between ruler and scale, mm. Half as much again as a ruler read to a millimetre; at half a PITCH no
reading could be wrong."""


@dataclass(frozen=True)
class OffsetReading:
    """Reading in one direction: with a ruler, on the scale, or both."""

    ruler: float | None = None
    """Distance from the first pen's line of the cross to the other pen's, mm."""
    line: float | None = None
    """Number of the other pen's line that continues one of the first pen's; a half for between two lines."""

    @property
    def is_empty(self) -> bool:
        """True if nothing was read."""
        return self.ruler is None and self.line is None

    def offset(self) -> float:
        """Offset of the other pen's lines, mm. Raises BadValue."""
        if self.line is None:
            return (self.ruler or 0.0) - APART
        if not 0 <= self.line <= LAST_LINE:
            raise BadValue(tr("The lines of a scale have the numbers 0 to {0}, not {1:g}", LAST_LINE, self.line))
        # Without a ruler, the user has seen that the crosses are about where they should be.
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
    """Returns a document with the same wall, machine, hanging and pens, and the offset figure near the starting point as
    the only artwork. Raises BadValue with a single pen."""
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
    """Returns whether both pens are fine enough for scales."""
    return max(pens[0].width, pens[number].width) <= BROADEST


def read_offset(document: Document, hanging: int, pen: int, right: OffsetReading, down: OffsetReading) -> Document:
    """Returns the document with a pen's offset corrected by both readings of its figure. Raises BadValue."""
    if not 0 < pen < len(document.pens):
        raise BadValue(
            tr("The offset figure measures pens from the second one on; the first one is what they must meet")
        )
    before = document.pens[pen]
    place, size = document.hangings[hanging], _size(len(document.pens))
    corner = np.add(figure_corner(document, hanging, size, FOCUS), _corner(len(document.pens), pen))
    points = np.add(corner, [_place(right), _place(down)[::-1]])
    tilt = inverse_kinematics(CableRobotModel.of(document.machine, place), points).tilt
    # The visible offset is the tip's, rotated with the body, which hangs slightly differently at both places.
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
    """Returns where a reading is taken, mm from a figure's corner: along its direction, and across."""
    if reading.line is None:
        return FOCUS
    return INSET + GAP + BEYOND * PITCH + reading.line * (PITCH - STEP), INSET / 2


def _columns(pens: int) -> int:
    """Returns the number of figures side by side, so that all together are about square."""
    return math.ceil(math.sqrt(pens - 1))


def _corner(pens: int, number: int) -> tuple[float, float]:
    """Returns the top left corner of a pen's figure, mm."""
    row, column = divmod(number - 1, _columns(pens))
    return column * (LENGTH + GAP), row * (LENGTH + GAP)


def _size(pens: int) -> tuple[float, float]:
    columns = _columns(pens)
    rows = math.ceil((pens - 1) / columns)
    return columns * (LENGTH + GAP) - GAP, rows * (LENGTH + GAP) - GAP


def _cross(x: float, y: float) -> Lines:
    return [line(x - ARM, y, right=2 * ARM), line(x, y - ARM, down=2 * ARM)]


def _first_lines(x: float, y: float, width: float) -> Lines:
    """Returns the first pen's lines: above the middle of the vertical scale's row, and left of that of the horizontal
    scale's column."""
    found: Lines = []
    begin = INSET / 2 - (width + BARE) / 2 - TICK
    for number in range(LAST_LINE + 2 * BEYOND + 1):
        at = INSET + GAP + number * PITCH
        found += [line(x + at, y + begin, down=TICK), line(x + begin, y + at, right=TICK)]
    return found


def _other_lines(x: float, y: float, width: float) -> Lines:
    """Returns the other pen's lines, which continue them, with their numbers."""
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
