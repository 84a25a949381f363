"""Parameters of the formula of a machine that takes drawings: placement, distance, exits, and a smooth remainder."""

from __future__ import annotations

from dataclasses import dataclass

import msgspec
import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.calibration import FormulaRemainder
from wallwright.document.drawing_page import PIXELS_PER_INCH
from wallwright.document.language import N_
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Point
from wallwright.statics.calibration.parameters import PITCH, CalibrationParameter, MachineAndHanging
from wallwright.statics.error_budget import LEFT_BELT, RIGHT_BELT
from wallwright.statics.formula_remainder import MONOMIALS

replace = msgspec.structs.replace

SPACING, RISE, SCALE = "formula spacing", "formula rise", "page scale"


def _of_controller(name: str, field: str, title: str, prior: float) -> CalibrationParameter:
    def write(machine: Machine, hanging: Hanging, value: float) -> MachineAndHanging:
        return replace(machine, controller=replace(machine.controller, **{field: value})), hanging

    return CalibrationParameter(
        name,
        title,
        "mm",
        lambda machine, hanging: getattr(machine.controller, field),
        write,
        lambda machine: prior,
        in_formula=True,
    )


def _added_distance(machine: Machine, hanging: Hanging, value: float) -> MachineAndHanging:
    controller = machine.controller
    page = replace(controller.page, added_distance=value)
    return replace(machine, controller=replace(controller, page=page)), hanging


FORMULA_PARAMETERS: tuple[CalibrationParameter, ...] = (
    CalibrationParameter(
        "added distance",
        N_("Added to the distance"),
        "mm",
        lambda machine, hanging: machine.controller.page.added_distance,
        _added_distance,
        lambda machine: 10.0,
        in_formula=True,
    ),
    _of_controller(SPACING, "assumed_spacing", N_("Exit distance in the controller"), 1.0),
    _of_controller(RISE, "assumed_rise", N_("Exit height in the controller"), 1.0),
)
"""Formula parameters, without priors for the exits: each variant of the formula has its own."""


SHIFT_PRIOR = 50.0
"""Standard uncertainty of the shift, mm: the proof drawing found it with a different formula, which displaces a drawing
this much."""


def shift_parameter(axis: int) -> CalibrationParameter:
    """Returns the parameter for how far right (0) or down (1) of the typed place the page draws. It changes the place
    given to the formula, so its derivative is by that place."""
    field = ("shift_right", "shift_down")[axis]

    def write(machine: Machine, hanging: Hanging, value: float) -> MachineAndHanging:
        controller = machine.controller
        page = replace(controller.page, **{field: value})
        return replace(machine, controller=replace(controller, page=page)), hanging

    return CalibrationParameter(
        ("page right", "page down")[axis],
        (N_("Placed right by"), N_("Placed down by"))[axis],
        "mm",
        lambda machine, hanging: getattr(machine.controller.page, field),
        write,
        lambda machine: SHIFT_PRIOR,
        in_formula=True,
        plane_axis=axis,
    )


SHIFTS = (shift_parameter(0), shift_parameter(1))


SAME_SIZE = 0.1
"""Log of the size ratio that hanging belts and an unknown formula may cause."""
OTHER_SCALE = 7.0
"""Smallest gain in log evidence for a scale of no known unit: odds of a thousand to one. Own choice, no source."""
SCALE_PRIOR = 0.05
"""Standard uncertainty of the scale, as a share: the proof drawing measures a few hundred mm, with a different formula."""


def scale_parameter(centre: Point | None = None) -> CalibrationParameter:
    """Returns the parameter for the page's scale. centre: fixed point of the scaling in the plane, mm; None: from the
    page's rule."""

    def write(machine: Machine, hanging: Hanging, value: float) -> MachineAndHanging:
        controller = machine.controller
        return replace(machine, controller=replace(controller, page=replace(controller.page, scale=value))), hanging

    return CalibrationParameter(
        SCALE,
        N_("Page scale"),
        "%",
        lambda machine, hanging: machine.controller.page.scale,
        write,
        lambda machine: SCALE_PRIOR * machine.controller.page.scale,
        lambda value: 100 * value,
        2,
        in_formula=True,
        plane_axis=2,
        plane_centre=centre,
    )


def remainder_parameter(axis: int, number: int) -> CalibrationParameter:
    """Returns the parameter for a coefficient of the remainder, to the right (0) or down (1). Written only where a
    remainder exists."""
    field = ("right", "down")[axis]

    def read(machine: Machine, hanging: Hanging) -> float:
        coefficients = getattr(hanging.remainder, field, ())
        return float(coefficients[number]) if number < len(coefficients) else 0.0

    def write(machine: Machine, hanging: Hanging, value: float) -> MachineAndHanging:
        assert hanging.remainder is not None
        coefficients = list(getattr(hanging.remainder, field))
        coefficients[number] = value
        remainder = replace(hanging.remainder, **{field: tuple(coefficients)})
        return machine, replace(hanging, remainder=remainder)

    return CalibrationParameter(
        f"remainder {field} {number}",
        (N_("Remainder, right"), N_("Remainder, down"))[axis],
        "mm",
        read,
        write,
        lambda machine: 3.0,
        in_formula=True,
    )


REMAINDER_PARAMETERS = tuple(remainder_parameter(axis, k) for k in range(len(MONOMIALS)) for axis in (0, 1))
"""Ordered by monomial, then right and down."""


def no_remainder(centre: tuple[float, float], reach: float, count: int) -> FormulaRemainder:
    """Returns a remainder of count monomials with all coefficients 0."""
    return FormulaRemainder(centre, reach, (0.0,) * count, (0.0,) * count)


def page_parameters(machine: Machine) -> tuple[CalibrationParameter, ...]:
    """Returns the uncertain parameters of where the page of a machine that takes drawings places them."""
    return (*SHIFTS, scale_parameter()) if may_have_own_scale(machine) else SHIFTS


def may_have_own_scale(machine: Machine) -> bool:
    """Returns whether the page's scale is a number that nobody typed: the page sizes drawings itself, its scale was
    measured, or it reads the file's numbers as pixels of some kind."""
    page = machine.controller.page
    return page.scale != 1.0 or page.placing in ("anchors", "area") or (page.unit == "px" and not page.is_sized_by_page)


@dataclass(frozen=True)
class PageScale:
    """A scale that the page may have, before any reading."""

    value: float
    is_free: bool
    """True: the scale is fitted to the readings; False: it is this value."""
    penalty: float
    """How much the log prior probability is below that of the configured scale."""


def page_scales(machine: Machine) -> tuple[PageScale, ...]:
    """Returns the scales to try, the configured one first.

    Where the file gives the size, a different kind of pixel makes it a few hundredths larger or smaller, which the proof
    drawing cannot distinguish from a different formula. Any other scale is improbable and would absorb other effects of the
    machine: the readings must clearly support it.
    """
    page = machine.controller.page
    as_set = PageScale(page.scale, False, 0.0)
    if page.is_sized_by_page:
        return (as_set, PageScale(page.scale, True, 0.0)) if may_have_own_scale(machine) else (as_set,)
    ratios = {a / b for a in PIXELS_PER_INCH for b in PIXELS_PER_INCH if a != b and abs(np.log(a / b)) < SAME_SIZE}
    others = [PageScale(page.scale * ratio, False, 0.0) for ratio in sorted(ratios)]
    return (as_set, *others, PageScale(page.scale, True, OTHER_SCALE))


BELT_ZERO = 20.0
"""Standard uncertainty of the belt lengths after homing to the machine's own stops, mm. Common practice, no source."""
PITCH_SHARE = 0.005
"""Standard uncertainty, as a share, of steps per mm that were set once and never checked."""


def unknown_formula_prior(
    machine: Machine, parameters: tuple[CalibrationParameter, ...], spacing: float, rise: float
) -> Floats:
    """Returns (p,) standard uncertainties, each in the unit of its parameter, while the formula is unknown. spacing,
    rise: of the exits in it, mm."""
    own = {
        LEFT_BELT: BELT_ZERO,
        RIGHT_BELT: BELT_ZERO,
        PITCH: PITCH_SHARE * machine.belt.pitch,
        SPACING: spacing,
        RISE: rise,
    }
    return np.array([own.get(p.name, p.prior(machine)) for p in parameters])


ALL_FORMULA_PARAMETERS = (*FORMULA_PARAMETERS, *SHIFTS, scale_parameter(), *REMAINDER_PARAMETERS)
