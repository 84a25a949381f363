"""Proof drawing: two crosses and a line that show what an unknown page does with a drawing.

Four tape readings, from both crosses to both anchors, give the positions of both crosses. The ratio of their distance to
the intended one is the scale; a scale that matches another unit identifies the unit. The vector from one cross to the other
shows the directions of the drawing's axes; what remains is a shift. Hanging belts and an unknown formula change the size by
a few hundredths: smaller differences, and the choice between two units that close, are left to calibration.
"""

from __future__ import annotations

from dataclasses import dataclass

import msgspec
import numpy as np

from wallwright.document.arrays import Flags, Floats
from wallwright.document.drawing_page import PIXELS_PER_INCH, Axes, DrawingPage
from wallwright.document.errors import BadValue
from wallwright.document.language import N_, format_number, tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Wall
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.figure_proposal import Box, fitting_box, moved_into, on_the_wall
from wallwright.statics.calibration.formula_parameters import SAME_SIZE
from wallwright.statics.controller_kinematics import belts_to_controller
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.straight_belts import pen_from_straight_belts

replace = msgspec.structs.replace

STAY = N_(
    "Stay at the machine: the drawing may come out elsewhere and up to four times as large or as small. If it would leave "
    "the wall, stop it and choose another placing or unit for the machine's page."
)
ARTWORK = "proof drawing.svg"
"""Name of the artwork that contains a proof drawing."""
ACROSS, DOWN = 300.0, 200.0
"""Offsets of the second cross from the first, mm: small enough to stay on the wall if drawn four times as large."""
LINE = 100.0
"""Length of the line that marks the first cross, mm."""
INCH = 25.4
PIXEL_PREFERENCE = 0.03
"""Log ratio by which a pixel size other than that of CSS must fit better to be chosen: current pages rarely use one. Own
choice."""
SAME = 1e-6
"""Log ratio below which two sizes count as equal."""
LINE_BELOW = 25.0
"""Distance of the line below the first cross, mm."""
SAME_PLACE = 5.0
"""Smallest shift that is corrected, mm; a smaller one is left to calibration."""
TAPE = (
    "first cross, left anchor",
    "first cross, right anchor",
    "second cross, left anchor",
    "second cross, right anchor",
)


@dataclass(frozen=True)
class ProofFigure:
    """Geometry of the proof drawing, mm, wall frame."""

    first: tuple[float, float]
    second: tuple[float, float]
    line: tuple[tuple[float, float], tuple[float, float]]
    """Line below the first cross."""


@dataclass(frozen=True)
class ProofResult:
    """What four tape readings show about a page."""

    machine: Machine
    """The machine with its page corrected."""
    scale: float
    """Drawn size over intended size."""
    axes: Axes
    numbers: str
    """Unit that the page assumes for the file's numbers; "" if they do not set the size or no unit gives this size."""
    or_numbers: str
    """Another unit of nearly this size; "" if there is none."""
    shift: tuple[float, float]
    """Change of the page's shift, mm, right and down."""
    left_over: float
    """Largest distance between a cross and its prediction by the corrected page, mm."""


def proof_figure(machine: Machine, hanging: Hanging, wall: Wall, page: Box | None = None) -> ProofFigure:
    """Returns a figure around the starting point, as large as draw zone and page allow. page: the area that the machine's
    page holds, in the plane, mm; None: unlimited. Raises BadValue if there is no room."""
    x, y = hanging.start_point
    box: Box = (x - ACROSS / 2, y - DOWN / 2, x + ACROSS / 2, y + DOWN / 2)
    if page is not None:
        box = moved_into(box, on_the_wall(page, hanging))
    left, top, right, bottom = fitting_box(machine, hanging, wall, box, page)
    below = top + LINE_BELOW * (bottom - top) / DOWN
    length = LINE * (right - left) / ACROSS
    return ProofFigure((left, top), (right, bottom), ((left, below), (left + length, below)))


def read_proof(
    machine: Machine, hanging: Hanging, figure: ProofFigure, box: Box, tape: tuple[float, float, float, float]
) -> ProofResult:
    """Evaluates the readings of a proof drawing. box: of its page in the plane, mm, as laid out; tape: mm, in the order
    of TAPE. Raises BadValue if no two places have these distances."""
    anchors = ((hanging.left.x, hanging.left.y), (hanging.right.x, hanging.right.y))
    seen = pen_from_straight_belts(anchors, np.array(tape, dtype=float).reshape(2, 2))
    if not np.isfinite(seen).all():
        raise BadValue(
            tr("No place has these distances from both anchors. Measure again, in mm, from the middle of each cross")
        )
    rig, page = CableRobotModel.of(machine, hanging), machine.controller.page
    went, meant = (
        belts_to_controller(machine, hanging, "plane", inverse_kinematics(rig, places).belts)
        for places in (seen, np.array([figure.first, figure.second]))
    )
    if not np.isfinite(went).all():
        raise BadValue(tr("The machine cannot have drawn there. Measure again, in mm, from the middle of each cross"))
    way, own = went[1] - went[0], meant[1] - meant[0]
    if np.hypot(*way) < 1.0:
        raise BadValue(tr("Both crosses are at one place. Measure again, in mm, from the middle of each cross"))
    scale = float(np.hypot(*way) / np.hypot(*own))
    flips = np.sign(way) != np.sign(own)
    size, other = page_size(page, scale)
    changed, ratio = size.page, size.ratio
    box_taken = page.box if page.is_known else "ink"  # ticks work for both kinds of page
    changed = replace(changed, axes=_turned(page.axes, flips), is_known=True, box=box_taken)
    expected = _carried(page, box, meant, flips, ratio)
    shift = (went - expected).mean(axis=0)
    if np.hypot(*shift) > SAME_PLACE:
        changed = replace(
            changed,
            shift_right=page.shift_right + round(float(shift[0]), 1),
            shift_down=page.shift_down + round(float(shift[1]), 1),
        )
    else:
        shift = np.zeros(2)
    left_over = float(np.hypot(*(went - expected - shift).T).max())
    corrected = replace(machine, controller=replace(machine.controller, page=changed))
    numbers, or_numbers = size.numbers, other.numbers if other else ""
    shifted = float(shift[0]), float(shift[1])
    return ProofResult(corrected, scale, changed.axes, numbers, or_numbers, shifted, left_over)


@dataclass(frozen=True)
class PageSize:
    """A size in which a page may draw."""

    ratio: float
    """Drawn size over intended size."""
    page: DrawingPage
    """The page with its unit and scale."""
    numbers: str


def page_size(page: DrawingPage, scale: float) -> tuple[PageSize, PageSize | None]:
    """Returns the size that the page most likely uses, given that the drawing came out `scale` times as large as
    intended, and another size that readings and an unknown formula cannot distinguish from it."""
    sizes = [PageSize(1.0, page, "")]
    if not page.is_sized_by_page:
        drawn = page.number_mm
        plain = page if page.unit != "px" else replace(page, unit="user")
        sizes = [PageSize(1 / drawn, replace(plain, scale=1.0), tr("mm"))]
        for per_inch in PIXELS_PER_INCH:
            mm, unit = INCH / per_inch, replace(page, unit="px")
            numbers = tr("pixels of 1/{0} inch", format_number(per_inch))
            sizes.append(PageSize(mm / drawn, replace(unit, scale=mm / unit.unit_mm), numbers))
        if all(abs(np.log(size.ratio)) > SAME for size in sizes):  # the scale was measured before
            sizes.append(PageSize(1.0, page, ""))

    def off(size: PageSize) -> float:
        return float(abs(np.log(scale / size.ratio)))

    near = [size for size in sizes if off(size) < SAME_SIZE]
    near.sort(
        key=lambda size: off(size) + (PIXEL_PREFERENCE if size.page.unit == "px" and size.page.scale != 1.0 else 0.0)
    )
    if not near:
        return PageSize(scale, replace(page, scale=page.scale * scale), ""), None
    return near[0], near[1] if len(near) > 1 else None


def undecided_pixels(machine: Machine) -> tuple[float, float] | None:
    """Returns the pixels per inch that the machine's page assumes, and another number that a proof drawing cannot
    distinguish from it; None if this is decided: the size does not come from the numbers, they are not pixels, or the
    machine was calibrated."""
    page = machine.controller.page
    if page.is_sized_by_page or not page.is_known or page.unit != "px" or machine.calibration is not None:
        return None
    drawn = INCH / page.number_mm
    own = min(PIXELS_PER_INCH, key=lambda per_inch: abs(np.log(per_inch / drawn)))
    others = [p for p in PIXELS_PER_INCH if p != own and abs(np.log(p / own)) < SAME_SIZE]
    return (own, others[0]) if others and abs(np.log(own / drawn)) < SAME else None


def undecided_sentence(machine: Machine) -> str:
    """Returns a sentence about undecided pixels; "" if they are decided."""
    pixels = undecided_pixels(machine)
    if pixels is None:
        return ""
    return tr(
        "The page reads the file's numbers as pixels of 1/{0} inch, or of 1/{1} inch: a proof drawing does not decide it. "
        "Drawings may come out {2} % too large or too small. Calibrate before you draw artwork; that finds the size.",
        *map(format_number, pixels),
        format_number(100 * abs(pixels[0] / pixels[1] - 1), ".0f"),
    )


def _turned(axes: Axes, flips: Flags) -> Axes:
    """Returns the axes with one or both directions reversed."""
    across, down = axes.split("-")
    across = {"left": "right", "right": "left"}[across] if flips[0] else across
    down = {"up": "down", "down": "up"}[down] if flips[1] else down
    names: dict[str, Axes] = {
        "right-down": "right-down",
        "right-up": "right-up",
        "left-down": "left-down",
        "left-up": "left-up",
    }
    return names[f"{across}-{down}"]


def _carried(page: DrawingPage, box: Box, places: Floats, flips: Flags, ratio: float) -> Floats:
    """Returns (n, 2) mm in the plane: places (n, 2) after a page has mirrored the box and changed its size."""
    low, high = np.array(box[:2]), np.array(box[2:])
    places = np.where(flips, low + high - places, places)
    fixed = np.where(page.keeps_middle, (low + high) / 2, low)
    return np.asarray(fixed + (places - fixed) * ratio)


def proof_sentences(page: DrawingPage, result: ProofResult) -> list[str]:
    """Returns the findings as sentences. page: as it was before."""
    found = []
    as_meant = abs(np.log(result.scale)) < SAME_SIZE
    large = format_number(result.scale, ".3g")
    if as_meant:
        found.append(tr("The size is as it was meant."))
        if result.or_numbers:
            found.append(tr("The page reads the file's numbers as {0}.", result.numbers))
    elif result.numbers:
        text = tr(
            "The drawing came out {0} times as large as it was meant: the page reads the file's numbers as {1}.",
            large,
            result.numbers,
        )
        found.append(text)
    else:
        text = tr("The drawing came out {0} times as large as it was meant; the files make up for it.", large)
        found.append(text)
    if result.or_numbers:
        text = tr(
            "Or the page reads them as {0}: four readings do not decide it. Calibrate before you draw artwork; that finds "
            "the size.",
            result.or_numbers,
        )
        found.append(text)
    found.append(
        tr("The directions are as they were meant.")
        if result.axes == page.axes
        else tr("The drawing came out mirrored; the files make up for it.")
    )
    right, down = result.shift
    found.append(
        tr("It is where it was meant to be, within {0} mm.", format_number(SAME_PLACE))
        if (right, down) == (0.0, 0.0)
        else tr("It came out {0} and {1}; the numbers to type make up for it.", *_directions(right, down))
    )
    found.append(
        tr(
            "After that the crosses are within {0} mm of where they are expected.",
            format_number(result.left_over, ".1f"),
        )
    )
    return found


def _directions(right: float, down: float) -> tuple[str, str]:
    """Returns the offset in words."""
    across, along = (format_number(abs(v), ".0f") for v in (right, down))
    return (
        tr("{0} mm too far right", across) if right >= 0 else tr("{0} mm too far left", across),
        tr("{0} mm too low", along) if down >= 0 else tr("{0} mm too high", along),
    )
