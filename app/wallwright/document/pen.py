"""A pen: its ink, its tip in the holder, its speed and range."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

import msgspec

from wallwright.document.language import N_
from wallwright.document.quantity import quantity

Colour = Annotated[str, msgspec.Meta(pattern="^#[0-9a-f]{6}$")]


class Pen(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A pen."""

    id: str
    name: str
    colour: Colour
    width: Annotated[
        float,
        quantity(
            "mm",
            0.05,
            100,
            "Line width",
            "Width of the drawn line on this wall.",
            "A broad marker draws about 2 mm.",
        ),
    ] = 2.0
    speed: Annotated[
        float,
        quantity(
            "mm/s",
            0,
            1000,
            "Own speed limit",
            "0: use the machine's drawing speed.",
            "Most pens keep up with the machine.",
            zero=N_("none"),
            least=0.1,
        ),
    ] = 0.0
    opacity: Annotated[
        float,
        quantity(
            "share",
            0,
            1,
            "Opacity",
            "0 %: what lies below shows through. 100 %: hides what lies below.",
            "Most markers are see-through.",
        ),
    ] = 0.0
    gain: Annotated[
        float,
        quantity(
            "share",
            -0.2,
            0.2,
            "Spread of ink",
            "How much more of the wall than planned is covered where half is planned.",
            "The line width is measured on the wall.",
        ),
    ] = 0.0
    tip_right: Annotated[
        float,
        quantity(
            "mm",
            -50,
            50,
            "Tip, right of the holder's centre",
            "Measured with the offset figure, body upright.",
            "A pen in the middle of its holder.",
        ),
    ] = 0.0
    tip_down: Annotated[
        float,
        quantity(
            "mm",
            -50,
            50,
            "Tip, below the holder's centre",
            "Measured with the offset figure, body upright.",
            "A pen in the middle of its holder.",
        ),
    ] = 0.0
    press: Annotated[
        float,
        quantity(
            "",
            -20_000,
            20_000,
            "Pen down, difference",
            "Added to the machine's pen-down height or spindle value.",
            "Most pens are set to one height.",
        ),
    ] = 0.0
    ink: Annotated[
        float,
        quantity(
            "m",
            0,
            100_000,
            "Ink when full",
            "Length that a full pen draws. The job pauses for a refill before it runs out.",
            "Not known before it has been measured.",
            zero=N_("not known"),
            least=0.1,
        ),
    ] = 0.0
    used: Annotated[
        float,
        quantity("m", 0, 100_000, "Ink used", "Length drawn since it was last full.", "A new pen."),
    ] = 0.0
    uncapped: Annotated[
        float,
        quantity(
            "min",
            0,
            1440,
            "Uncapped at most",
            "Time it may stand uncapped without drawing.",
            "Not known before it has been tried.",
            zero=N_("not known"),
            least=0.1,
        ),
    ] = 0.0
    drying: Annotated[
        float,
        quantity(
            "min",
            0,
            1440,
            "Drying time",
            "Time until another pen may draw over it.",
            "Most markers dry within a minute.",
            least=0.05,
        ),
    ] = 1.0
    same_as: str = ""
    """Id of the physical pen that this one shares, for example for another speed; no pen change is needed between the two.
    "": none."""
    over: Literal["any", "dry", "lighter"] = "dry"
    """Ink it may draw over: any, even wet; dry ink only; or only dry ink that is lighter than its own."""
    price: Annotated[
        float,
        quantity("", 0, 100_000, "Price", "Of one pen or refill, in your currency.", "Only for the estimate."),
    ] = 0.0
    extra_mass: Annotated[
        float,
        quantity(
            "g",
            -500,
            500,
            "Mass, difference",
            "How much heavier the body is with this pen in the holder.",
            "The body was weighed with this pen.",
        ),
    ] = 0.0
    drag: Annotated[
        float,
        quantity(
            "N",
            0,
            5,
            "Pen drag",
            "Force with which this pen rubs on the wall, against its motion. The belts are corrected for it. "
            "0: not measured, and nothing is corrected.",
            "A correction for a force that is not there does as much harm as the force itself: measure it first.",
            zero=N_("not measured"),
            least=0.005,
        ),
    ] = 0.0
    drag_uncertainty: Annotated[
        float,
        quantity(
            "N",
            0,
            5,
            "Uncertainty of the drag",
            "Two times out of three the pen drag is no farther off than this.",
            "A fifth of a usual marker's drag; walls differ from place to place.",
        ),
    ] = 0.04


def numbers_in_holder(pens: Sequence[Pen]) -> tuple[int, ...]:
    """Returns for each pen the index of the pen that is put in the holder: the first of those that are physically the
    same."""
    names = [pen.same_as or pen.id for pen in pens]
    return tuple(names.index(name) for name in names)


def needs_change(pens: Sequence[Pen], before: int, after: int) -> bool:
    """Whether the pen in the holder is changed between two pens, given by index."""
    return (pens[before].same_as or pens[before].id) != (pens[after].same_as or pens[after].id)
