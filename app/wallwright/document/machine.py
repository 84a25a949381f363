"""The machine: everything about body, belts, motors, pen lift and controller that a job depends on.

The defaults describe a typical low-cost machine: a 0.75 kg body on 6 mm wide, 2 mm pitch belts with 20-tooth
pulleys and small hybrid steppers. Each default carries its reason; where none is given the value is common
practice, no source.
"""

from __future__ import annotations

import math
from typing import Annotated, Literal

import msgspec

from wallwright.document.drawing_page import DrawingPage
from wallwright.document.language import N_
from wallwright.document.quantity import quantity
from wallwright.document.wall import Point

BODY_REACH = 2000.0
"""mm from the pen: no part of a body is farther away, and a typing slip (m for mm) is caught."""


class Body(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The hanging unit. Points are in the body frame: origin at the pen tip, x right, y down, zero tilt."""

    mass: Annotated[
        float,
        quantity("kg", 0.05, 20, "Mass", "Body with motors, pen and cable as it hangs.", "Two small steppers, a "
                 "printed frame, electronics and ballast."),
    ] = 0.75  # fmt: skip
    centre: Point = (0.0, 20.0)
    """Centre of mass from the pen tip, mm. Motors and ballast usually hang a little below the pen."""
    left_exit: Point = (-60.0, 0.0)
    """Where the left belt leaves the body (centre of its roller), mm."""
    right_exit: Point = (60.0, 0.0)
    roller: Annotated[
        float,
        quantity("mm", 0, 50, "Exit roller radius", "0 when the belt leaves through an eyelet.",
                 "Eyelets and pulleys that free the belt at a fixed point are the simplest build."),
    ] = 0.0  # fmt: skip
    stand_off: Annotated[
        float,
        quantity("mm", 0, 500, "Exit stand-off", "Distance of the belts from the wall at the body.",
                 "Measured from wall to belt; equal to the anchors' when belts run parallel to the wall."),
    ] = 0.0  # fmt: skip
    damping: Annotated[
        float,
        quantity("", 0, 1, "Damping of swing", "Share of critical: 0.05 leaves half of a swing after two to and fro.",
                 "Sliding on the wall takes more; common practice, no source."),
    ] = 0.05  # fmt: skip
    outline: tuple[Point, ...] = ((-90.0, -70.0), (90.0, -70.0), (90.0, 80.0), (-90.0, 80.0))
    """Outline that must stay on the wall and off keep-outs, mm."""


class Belt(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The toothed belts."""

    pitch: Annotated[
        float, quantity("mm", 0.5, 20, "Belt pitch", "Tooth spacing.", "The common small belt.")
    ] = 2.0
    mass: Annotated[
        float,
        quantity("kg/m", 0, 1, "Belt mass", "Mass per metre; makes the belts sag.",
                 "About 8 g/m for a 6 mm wide, 2 mm pitch belt of glass cord in neoprene (weigh 2 m of yours)."),
    ] = 0.008  # fmt: skip
    stiffness: Annotated[
        float,
        quantity("N", 100, 1e7, "Belt stiffness", "Pull that would double the length (EA): N per unit strain.",
                 "A glass-cord belt 6 mm wide stretches about 0.1 % at 10 N."),
    ] = 10_000.0  # fmt: skip
    length: Annotated[
        float,
        quantity(
            "mm", 100, 50_000, "Belt on the machine", "Longest free length of each belt.", "Sold by 5 m."
        ),
    ] = 5000.0


class Motor(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The two stepper motors, their pulleys, drivers and supply."""

    teeth: Annotated[int, quantity("", 8, 200, "Pulley teeth", "Teeth of the driving pulley.", "Common.")] = (
        20
    )
    steps: Annotated[int, quantity("", 12, 1000, "Full steps", "Per turn.", "A 1.8° motor.")] = 200
    microsteps: Annotated[int, quantity("", 1, 256, "Microsteps", "Per full step.", "Driver default.")] = 16
    holding_torque: Annotated[
        float,
        quantity("N·m", 0.01, 10, "Holding torque", "At rated current.", "A 40 mm long, 42 mm square motor."),
    ] = 0.40
    rated_current: Annotated[float, quantity("A", 0.05, 10, "Rated current", "Per phase.", "Name plate.")] = (
        1.5
    )
    set_current: Annotated[
        float, quantity("A", 0.05, 10, "Set current", "As set at the driver.", "Runs cool on a small supply.")
    ] = 0.6
    corner_speed: Annotated[
        float,
        quantity("1/s", 0.1, 100, "Corner speed", "Turns per second up to which the torque is flat; above it "
                 "falls in proportion.", "Common practice, no source: small steppers on 12 V."),
    ] = 5.0  # fmt: skip
    usable: Annotated[
        float,
        quantity("", 0.05, 1, "Usable share", "Share of the torque left for pulling once friction and "
                 "microstepping are paid.", "Half the holding torque is common practice, no source."),
    ] = 0.5  # fmt: skip
    sense_resistor: Annotated[
        float, quantity("Ω", 0.01, 1, "Sense resistor", "On the driver board.", "A common driver board.")
    ] = 0.11
    supply_power: Annotated[
        float, quantity("W", 1, 1000, "Supply", "Power of the supply.", "12 V, 2.5 A.")
    ] = 30.0


class Lift(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The pen lift. Height and spindle words are those of RS-274."""

    kind: Literal["axis", "spindle"] = "axis"
    """axis: Z moves the pen; spindle: M3 with a speed word lowers it, M5 lifts it."""
    up: Annotated[
        float, quantity("", -1000, 20_000, "Up", "Z height, or S word, with the pen off the wall.")
    ] = 5.0
    down: Annotated[float, quantity("", -1000, 20_000, "Down", "Z height, or S word, on the wall.")] = 0.0
    raise_time: Annotated[
        float, quantity("s", 0, 10, "Raise time", "Until the pen is off.", "Small servo.")
    ] = 0.25
    lower_time: Annotated[
        float, quantity("s", 0, 10, "Lower time", "Until the pen is on.", "Small servo.")
    ] = 0.35
    change_time: Annotated[
        float,
        quantity("s", 0, 3600, "Change time", "A person sees that the machine waits, swaps the pen and lets it go on.",
                 "A minute beside the wall."),
    ] = 60.0  # fmt: skip


class Controller(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What moves the motors, and which geometry it believes in."""

    takes: Literal["belts", "plane", "drawing"] = "belts"
    """belts: belt lengths in mm; plane: x, y in mm, turned into belt lengths by its own simple formula; drawing: an SVG file
    on a page of its own, drawn with such a formula."""
    pacing: Literal["accelerating", "constant", "timed"] = "accelerating"
    """accelerating: plans acceleration from the feed; constant: runs at one speed; timed: follows a table."""
    curves: Literal["lines", "arcs"] = "lines"
    """lines: curves in corrected coordinates are short lines, which every controller takes; arcs: G2 and G3 too, for those
    whose papers name them."""
    assumed_distance: Annotated[
        float,
        quantity("mm", 0, 100_000, "Assumed anchor distance", "Anchor distance in the controller's own formula; "
                 "0 when it is told the surveyed one.", "Most are told.",
                 zero=N_("as surveyed"), least=50),
    ] = 0.0  # fmt: skip
    assumed_spacing: Annotated[
        float,
        quantity("mm", 0, 2000, "Assumed exit spacing", "Distance of the exits in the controller's own formula.",
                 "The simplest formula takes the body for a point."),
    ] = 0.0  # fmt: skip
    assumed_rise: Annotated[
        float,
        quantity("mm", -1000, 1000, "Assumed exit rise", "How far above the pen its formula puts the exits."),
    ] = 0.0
    assumed_steps: Annotated[
        float,
        quantity("1/mm", 0, 10_000, "Assumed steps", "Microsteps per mm in the controller; 0 when they are right.",
                 "Pulley and belt give 80 for the default machine.",
                 zero=N_("as computed"), least=0.1),
    ] = 0.0  # fmt: skip
    page: DrawingPage = DrawingPage()
    """Of a machine that takes a drawing."""

    @property
    def takes_plane(self) -> bool:
        """Whether its own formula turns positions on the wall into belt lengths."""
        return self.takes != "belts"

    @property
    def has_one_speed(self) -> bool:
        """Whether it draws everything at one speed: a drawing says nothing of speeds."""
        return self.takes == "drawing" and self.pacing == "constant"


class Limits(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What the machine may do."""

    draw_speed: Annotated[
        float, quantity("mm/s", 0.1, 1000, "Drawing speed", "Pen on the wall.", "Markers skip when faster.")
    ] = 40.0
    travel_speed: Annotated[
        float, quantity("mm/s", 0.1, 2000, "Travel speed", "Pen up.", "Keeps swing small.")
    ] = 80.0
    acceleration: Annotated[
        float,
        quantity(
            "mm/s²", 1, 20_000, "Pen acceleration", "Along the path.", "A hanging body swings when pushed."
        ),
    ] = 200.0
    corner_tolerance: Annotated[
        float,
        quantity("mm", 0, 5, "Corner tolerance", "How far the pen may cut a corner while turning it at speed.",
                 "Below a marker's line width."),
    ] = 0.1  # fmt: skip
    swing: Annotated[
        float,
        quantity("mm", 0.01, 1000, "Largest swing", "How far the pen on the wall may swing off its line; the pen is "
                 "pushed more gently where it would swing farther.", "Half a broad marker's line."),
    ] = 1.0  # fmt: skip
    belt_speed: Annotated[
        float,
        quantity(
            "mm/s", 0.1, 2000, "Belt speed", "Either belt.", "A pulley of 40 mm round at 3 turns a second."
        ),
    ] = 120.0
    belt_acceleration: Annotated[
        float,
        quantity("mm/s²", 1, 50_000, "Belt acceleration", "Either belt.", "Well inside what the motors do."),
    ] = 400.0
    least_tension: Annotated[
        float,
        quantity("N", 0, 100, "Least tension", "Below it a belt counts as slack.", "Teeth stay seated."),
    ] = 0.8
    tilt: Annotated[
        float, quantity("rad", 0, 1.5, "Largest tilt", "Of the body.", "A pen in a holder still touches.")
    ] = math.radians(40)
    edge_gap: Annotated[
        float,
        quantity("mm", 0, 1000, "Edge gap", "Body to wall edge, ceiling, floor, keep-out.", "A finger."),
    ] = 10.0


class Machine(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A machine profile."""

    name: str = "Typical 0.75 kg machine"
    body: Body = Body()
    belt: Belt = Belt()
    motor: Motor = Motor()
    lift: Lift = Lift()
    controller: Controller = Controller()
    limits: Limits = Limits()

    @property
    def pitch_radius(self) -> float:
        """Pitch radius of the driving pulley, mm."""
        return self.motor.teeth * self.belt.pitch / (2 * math.pi)

    @property
    def steps_per_mm(self) -> float:
        """Microsteps per mm of belt."""
        return self.motor.steps * self.motor.microsteps / (self.motor.teeth * self.belt.pitch)
