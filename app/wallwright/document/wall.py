"""The wall: its rectangle, the anchors, and the keep-outs.

Wall frame: x to the right, y down, origin at the left anchor of the first hanging, lengths in mm.
"""

from __future__ import annotations

import math
from typing import Annotated, Literal

import msgspec

from wallwright.document.calibration import CalibrationFit, FormulaRemainder, Survey
from wallwright.document.language import N_
from wallwright.document.quantity import quantity
from wallwright.document.register import Register

Point = tuple[float, float]
"""x and y, mm."""
Box = tuple[float, float, float, float]
"""Left, top, right and bottom, mm."""
Side = Literal["left", "right"]

FIXING_RESERVE = 4.0
"""Smallest ratio of a fixing's rating to the pull on it. Common practice, no source; the manufacturer of the fixing may
ask for more."""
COORDINATE = 100_000.0  # 100 m: no wall drawing is larger; catches typing errors (m for mm)


KeepOutKind = Literal["obstacle", "electrical", "water"]


class KeepOut(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A part of the wall that neither pen nor body may touch: a door, a switch, a picture."""

    name: str
    outline: tuple[Point, ...]
    """Corners of a simple polygon, mm, wall frame."""
    kind: KeepOutKind = "obstacle"
    """electrical, water: cables or pipes may run from it inside the wall; anchors in line with it cause a warning."""


class Wall(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The wall's surface, a rectangle in the wall frame."""

    left: Annotated[
        float,
        quantity(
            "mm",
            -COORDINATE,
            COORDINATE,
            "Left edge",
            "Where the wall begins, from the left anchor of the first hanging. Negative: left of the anchor.",
            "Room for half a metre of wall left of the anchor.",
        ),
    ] = -500.0
    top: Annotated[
        float,
        quantity(
            "mm",
            -COORDINATE,
            COORDINATE,
            "Ceiling",
            "Height of the ceiling, from the left anchor of the first hanging. Negative: above the anchor.",
            "Closer to the ceiling an anchor is hard to reach.",
        ),
    ] = -300.0
    width: Annotated[
        float,
        quantity(
            "mm",
            100,
            COORDINATE,
            "Wall width",
            "Width of the wall that is free.",
            "The wall of a small room.",
        ),
    ] = 3000.0
    height: Annotated[
        float,
        quantity("mm", 100, COORDINATE, "Wall height", "From floor to ceiling.", "A usual ceiling height."),
    ] = 2500.0
    keep_outs: tuple[KeepOut, ...] = ()

    @property
    def right(self) -> float:
        return self.left + self.width

    @property
    def floor(self) -> float:
        return self.top + self.height


class Anchor(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The point a belt hangs from."""

    x: Annotated[
        float,
        quantity(
            "mm",
            -COORDINATE,
            COORDINATE,
            "Right of the first left anchor",
            "From the left anchor of the first hanging, to the right.",
        ),
    ]
    y: Annotated[
        float,
        quantity(
            "mm",
            -COORDINATE,
            COORDINATE,
            "Below the first left anchor",
            "From the left anchor of the first hanging, downwards.",
        ),
    ]
    stand_off: Annotated[
        float,
        quantity(
            "mm",
            0,
            500,
            "Belt to wall",
            "Distance from the wall to the belt at the anchor.",
            "The belt runs parallel to the wall.",
        ),
    ] = 0.0
    rating: Annotated[
        float,
        quantity(
            "N",
            0,
            10_000,
            "Fixing is rated for",
            "Pull that this fixing holds in this wall, as rated by its manufacturer. 0: not known.",
            "Nobody but you knows the fixing.",
            zero=N_("not known"),
            least=1,
        ),
    ] = 0.0


class Hanging(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One set-up of the machine between two anchors."""

    name: str
    left: Anchor
    right: Anchor
    start_point: Point
    """Position of the pen when the job starts and both belt lengths are known, mm."""
    left_offset: Annotated[
        float,
        quantity(
            "mm",
            -1000,
            1000,
            "Left belt offset",
            "How much longer the left belt is than the controller counts.",
            "Found by calibration. Belts set by tape at the start have no offset.",
        ),
    ] = 0.0
    right_offset: Annotated[
        float,
        quantity(
            "mm",
            -1000,
            1000,
            "Right belt offset",
            "How much longer the right belt is than the controller counts.",
            "Found by calibration. Belts set by tape at the start have no offset.",
        ),
    ] = 0.0
    survey: Survey = Survey()
    calibration: CalibrationFit | None = None
    handover: (
        Annotated[
            float,
            quantity(
                "mm",
                -COORDINATE,
                COORDINATE,
                "Handover line at",
                "From the left anchor of the first "
                "hanging, to the right: where this "
                "hanging hands over to the next one.",
            ),
        ]
        | None
    ) = None
    """None: the middle of what both hangings can draw."""
    register: Register = Register()
    remainder: FormulaRemainder | None = None
    """Calibrated deviation of the controller from its formula; None: unknown."""
    pen_change: Point | None = None
    """Position for pen changes, mm; None: the starting point."""
    cable: Point | None = None
    """Fixing point of the cable to the body, mm; None: the midpoint between the anchors."""
    priming: Point | None = None
    """Top left corner of the strip for each pen's priming strokes, mm; None: no priming."""

    def anchor(self, side: Side) -> Anchor:
        return self.left if side == "left" else self.right

    @property
    def distance(self) -> float:
        """Distance between the anchors, mm."""
        return math.hypot(self.right.x - self.left.x, self.right.y - self.left.y)

    @property
    def cable_point(self) -> Point:
        """Fixing point of the cable to the body, mm."""
        return self.cable or ((self.left.x + self.right.x) / 2, (self.left.y + self.right.y) / 2)

    @property
    def as_planned(self) -> Hanging:
        """Hanging with its anchors as planned, before register marks corrected them."""
        if self.register.planned is None:
            return self
        places = zip((self.left, self.right), self.register.planned, strict=True)
        left, right = (msgspec.structs.replace(a, x=x, y=y) for a, (x, y) in places)
        return msgspec.structs.replace(self, left=left, right=right)
