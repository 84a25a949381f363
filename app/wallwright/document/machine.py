"""The machine: everything about body, belts, motors, pen lift and controller that a job depends on.

The defaults describe a typical low-cost machine: a 0.75 kg body on 6 mm wide, 2 mm pitch belts with 20-tooth
pulleys and small hybrid steppers. Each default carries its reason; where none is given the value is common
practice, no source.
"""

from __future__ import annotations

import math
from typing import Annotated

import msgspec

from wallwright.document.calibration import MachineCalibration
from wallwright.document.controller import Controller, Lift
from wallwright.document.language import N_
from wallwright.document.limits import Limits
from wallwright.document.quantity import quantity
from wallwright.document.wall import Point

BODY_REACH = 2000.0
"""Largest distance of any part of the body from the pen, mm; catches typing errors (m for mm)."""


class Body(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The hanging unit. Points are in the body frame: origin at the pen tip, x right, y down, zero tilt."""

    mass: Annotated[
        float,
        quantity(
            "kg",
            0.05,
            20,
            "Mass",
            "Body with motors, pen and cable, ready to draw.",
            "Typical: two small steppers, a printed frame, electronics and ballast.",
        ),
    ] = 0.75
    centre: Point = (0.0, 20.0)
    """Centre of mass from the pen tip, mm. Motors and ballast usually hang a little below the pen."""
    left_exit: Point = (-60.0, 0.0)
    """Where the left belt leaves the body (centre of its roller), mm."""
    right_exit: Point = (60.0, 0.0)
    roller: Annotated[
        float,
        quantity(
            "mm",
            0,
            50,
            "Exit roller radius",
            "0 if the belt leaves through an eyelet.",
            "Eyelets and pulleys that release the belt at a fixed point are the simplest to build.",
        ),
    ] = 0.0
    stand_off: Annotated[
        float,
        quantity(
            "mm",
            0,
            500,
            "Belt to wall, at the body",
            "Distance from the wall to the belt where it leaves the body.",
            "Equal to the anchors' value when the belts run parallel to the wall.",
        ),
    ] = 0.0
    damping: Annotated[
        float,
        quantity(
            "",
            0,
            1,
            "Damping ratio",
            "Share of critical damping. At 0.05 a swing halves in about two cycles.",
            "Sliding on the wall damps more. Common practice, no source.",
        ),
    ] = 0.05
    drag: Annotated[
        float,
        quantity(
            "N",
            0,
            20,
            "Drag of the feet",
            "Force with which feet or wheels of the body rub on the wall, against its motion, pen up or down. "
            "0: not measured, and nothing is corrected.",
            "Measure it with a spring balance: half the difference between pulling up and letting down.",
            zero=N_("not measured"),
            least=0.005,
        ),
    ] = 0.0
    cable_pull: Annotated[
        float,
        quantity(
            "N",
            0,
            5,
            "Pull of the cable",
            "Force with which the cable pulls the body towards the point where it is fixed. 0: not measured, and nothing is "
            "corrected.",
            "Let the cable hang in a loop beside a kitchen scale: 10 g are 0.1 N.",
            zero=N_("not measured"),
            least=0.005,
        ),
    ] = 0.0
    outline: tuple[Point, ...] = ((-90.0, -70.0), (90.0, -70.0), (90.0, 80.0), (-90.0, 80.0))
    """Outline that must stay on the wall and clear of keep-outs, mm."""


class Belt(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The toothed belts."""

    pitch: Annotated[
        float,
        quantity("mm", 0.5, 20, "Belt pitch", "Distance from tooth to tooth.", "The usual small toothed belt."),
    ] = 2.0
    mass: Annotated[
        float,
        quantity(
            "kg/m",
            0,
            1,
            "Belt mass",
            "Mass per metre. It makes the belts sag.",
            "About 8 g/m for a belt of glass cord in neoprene, 6 mm wide, 2 mm pitch. Weigh 2 m of yours.",
        ),
    ] = 0.008
    stiffness: Annotated[
        float,
        quantity(
            "N",
            100,
            1e7,
            "Belt stiffness",
            "Pull that would double the belt's length (EA), in N per unit strain.",
            "A glass-cord belt 6 mm wide stretches about 0.1 % at 10 N.",
        ),
    ] = 10_000.0
    expansion: Annotated[
        float,
        quantity(
            "µm/(m·K)",
            -20,
            100,
            "Thermal expansion",
            "How much longer a metre of belt gets for each degree. Only for the expected accuracy.",
            "Glass cords. Steel cords have 12, aramid cords -4 (values of handbooks).",
        ),
    ] = 5.0
    creep: Annotated[
        float,
        quantity(
            "share",
            0,
            0.01,
            "Creep",
            "How much longer the belts get under load, in hours. Only for the expected accuracy.",
            "Glass cords creep little. Common practice, no source.",
        ),
    ] = 0.0001
    length: Annotated[
        float,
        quantity(
            "mm",
            100,
            50_000,
            "Belt on the machine",
            "Longest free length of each belt.",
            "Often sold in 5 m lengths.",
        ),
    ] = 5000.0
    left_stop: Annotated[
        float,
        quantity(
            "mm",
            0,
            10_000,
            "Left belt at its stop",
            "Free length from anchor to exit when the left belt is wound in to its stop.",
            "Room for the hook and a stop on the belt.",
        ),
    ] = 150.0
    right_stop: Annotated[
        float,
        quantity(
            "mm",
            0,
            10_000,
            "Right belt at its stop",
            "Free length from anchor to exit when the right belt is wound in to its stop.",
            "Room for the hook and a stop on the belt.",
        ),
    ] = 150.0
    stop_uncertainty: Annotated[
        float,
        quantity(
            "mm",
            0.01,
            50,
            "Uncertainty of the stops",
            "How exactly each belt meets its stop at the stated length.",
            "Measured with a tape.",
        ),
    ] = 1.0


class Motor(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The two stepper motors, their pulleys, drivers and supply."""

    teeth: Annotated[int, quantity("", 8, 200, "Pulley teeth", "Teeth of the driving pulley.", "Usual size.")] = 20
    steps: Annotated[
        int,
        quantity("", 12, 1000, "Full steps", "Full steps per turn of the motor.", "A motor with 1.8° per step."),
    ] = 200
    microsteps: Annotated[
        int, quantity("", 1, 256, "Microsteps", "Microsteps per full step.", "Usual default of drivers.")
    ] = 16
    holding_torque: Annotated[
        float,
        quantity(
            "N·m",
            0.01,
            10,
            "Holding torque",
            "Torque at rated current, standing still.",
            "Typical of a motor 42 mm square and 40 mm long.",
        ),
    ] = 0.40
    rated_current: Annotated[
        float,
        quantity("A", 0.05, 10, "Rated current", "Current per phase.", "See the motor's label or data sheet."),
    ] = 1.5
    set_current: Annotated[
        float,
        quantity(
            "A",
            0.05,
            10,
            "Set current",
            "The current set at the driver.",
            "Keeps motors cool on a small supply.",
        ),
    ] = 0.6
    corner_speed: Annotated[
        float,
        quantity(
            "1/s",
            0.1,
            100,
            "Corner speed",
            "Motor speed up to which the torque stays constant. Above it, torque falls in proportion.",
            "Small steppers on 12 V; common practice, no source.",
        ),
    ] = 5.0
    usable: Annotated[
        float,
        quantity(
            "share",
            0.05,
            1,
            "Usable torque",
            "Share of the torque left after friction and microstepping.",
            "Half the holding torque; common practice, no source.",
        ),
    ] = 0.5
    sense_resistor: Annotated[
        float,
        quantity(
            "Ω",
            0.01,
            1,
            "Sense resistor",
            "Resistor on the driver board that measures the current.",
            "Used on many driver boards.",
        ),
    ] = 0.11
    supply_power: Annotated[
        float, quantity("W", 1, 1000, "Power supply", "Rated power of the supply.", "12 V at 2.5 A.")
    ] = 30.0


class Machine(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A machine profile."""

    name: str = "Typical machine"
    """Name without numbers, which would be wrong after a change."""
    body: Body = Body()
    belt: Belt = Belt()
    motor: Motor = Motor()
    lift: Lift = Lift()
    controller: Controller = Controller()
    limits: Limits = Limits()
    calibration: MachineCalibration | None = None
    """The last calibration; None: never calibrated."""

    @property
    def pitch_radius(self) -> float:
        """Pitch radius of the driving pulley, mm."""
        return self.motor.teeth * self.belt.pitch / (2 * math.pi)

    @property
    def steps_per_mm(self) -> float:
        """Microsteps per mm of belt."""
        return self.motor.steps * self.motor.microsteps / (self.motor.teeth * self.belt.pitch)

    @property
    def controller_steps_per_mm(self) -> float:
        """Microsteps per mm of belt set in the controller, by its own count, in which its paths are given."""
        return self.controller.assumed_steps or self.steps_per_mm

    @property
    def lift_unit(self) -> str:
        """Unit of the values that raise and lower the pen: mm of an axis, s or ms of a dwell, a spindle word."""
        return {"axis": "mm", "dwell": self.controller.code.dwell_unit}.get(self.lift.kind, "S")
