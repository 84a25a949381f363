"""Limits of a machine: speeds, accelerations, tensions and clearances."""

from __future__ import annotations

import math
from typing import Annotated

import msgspec

from wallwright.document.quantity import quantity


class Limits(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What the machine may do."""

    draw_speed: Annotated[
        float,
        quantity(
            "mm/s",
            0.1,
            1000,
            "Drawing speed",
            "Speed with the pen on the wall.",
            "Faster than this, markers leave gaps.",
        ),
    ] = 40.0
    travel_speed: Annotated[
        float, quantity("mm/s", 0.1, 2000, "Travel speed", "Speed with the pen up.", "Keeps swinging small.")
    ] = 80.0
    acceleration: Annotated[
        float,
        quantity(
            "mm/s²",
            1,
            20_000,
            "Pen acceleration",
            "Acceleration along the path.",
            "Harder pushes make the hanging body swing.",
        ),
    ] = 200.0
    corner_tolerance: Annotated[
        float,
        quantity(
            "mm",
            0,
            5,
            "Corner tolerance",
            "How far the pen may cut a corner to keep its speed.",
            "Less than a marker's line width.",
        ),
    ] = 0.1
    swing: Annotated[
        float,
        quantity(
            "mm",
            0.01,
            1000,
            "Swing allowed",
            "How far the pen may swing off its line. Acceleration is reduced where it would swing more.",
            "Half the line width of a broad marker.",
        ),
    ] = 1.0
    landing_swing: Annotated[
        float,
        quantity(
            "mm",
            0.01,
            1000,
            "Swing at landing",
            "How far the body may swing while the pen is lowered. Travels end more gently, or the pen waits, where it would "
            "swing more.",
            "A hook this short hides in the line of a fine marker.",
        ),
    ] = 0.3
    friction_swing: Annotated[
        float,
        quantity(
            "mm",
            0.01,
            1000,
            "Swing with known friction",
            "How far a pen may swing off its line when its friction is entered and the belts are corrected for it. The "
            "swing allowed counts where it is less.",
            "Lines are then off by a tenth or two of a millimetre, for a tenth to a quarter more time.",
        ),
    ] = 0.2
    belt_speed: Annotated[
        float,
        quantity(
            "mm/s",
            0.1,
            2000,
            "Belt speed",
            "Limit for either belt.",
            "A pulley with 40 mm circumference at 3 turns a second.",
        ),
    ] = 120.0
    belt_acceleration: Annotated[
        float,
        quantity(
            "mm/s²",
            1,
            50_000,
            "Belt acceleration",
            "Limit for either belt.",
            "Well below what the motors can do.",
        ),
    ] = 400.0
    least_tension: Annotated[
        float,
        quantity(
            "N",
            0,
            100,
            "Smallest tension",
            "Below this a belt counts as slack.",
            "Enough to keep the teeth engaged.",
        ),
    ] = 0.8
    tilt: Annotated[
        float,
        quantity(
            "rad",
            0,
            1.5,
            "Largest tilt",
            "Limit for the tilt of the body.",
            "A pen in a holder still touches the wall.",
        ),
    ] = math.radians(40)
    edge_gap: Annotated[
        float,
        quantity(
            "mm",
            0,
            1000,
            "Gap to edges",
            "Distance the body keeps from wall edges, ceiling, floor and keep-outs.",
            "Room for a finger.",
        ),
    ] = 10.0
