"""Parameters that can be fitted, one per line, with their uncertainty before any measurement.

Values are those of wallwright.statics.sensitivity: mm, N, 1/N. The left anchor is the origin and has no error.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import msgspec
import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.language import N_
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Point
from wallwright.statics.cable_robot import GRAVITY
from wallwright.statics.error_budget import CABLE_SHARE, LEFT_BELT, RIGHT_BELT

replace = msgspec.structs.replace
MachineAndHanging = tuple[Machine, Hanging]

PITCH = "pitch"
"""The belts' true tooth spacing, mm; not in sensitivity.PARAMETERS, like the belt offsets."""


@dataclass(frozen=True)
class CalibrationParameter:
    """One unknown parameter."""

    name: str
    title: str
    unit: str
    """Unit of the value shown to the user."""
    read: Callable[[Machine, Hanging], float]
    write: Callable[[Machine, Hanging, float], MachineAndHanging]
    prior: Callable[[Machine], float]
    """Standard uncertainty before measuring. Common practice, no source: careful work with a tape, a kitchen scale and a
    spirit level; anchors and starting belt lengths are rarely accurate to better than a centimetre."""
    shown: Callable[[float], float] = float
    """Convert the value to the one shown to the user."""
    digits: int = 1
    applies: Callable[[Machine], bool] = lambda machine: True
    in_formula: bool = False
    """True: belongs to the controller's formula for places in its plane; False: belongs to the machine and its belts."""
    plane_axis: int = -1
    """0 or 1: the parameter shifts the place right or down; 2: it scales it; -1: neither."""
    plane_centre: Point | None = None
    """Fixed point of a scaling, mm; None: from the page's rule."""


def _body_point(name: str, field: str, axis: int, title: str, prior: float) -> CalibrationParameter:
    def read(machine: Machine, hanging: Hanging) -> float:
        point: Point = getattr(machine.body, field)
        return point[axis]

    def write(machine: Machine, hanging: Hanging, value: float) -> MachineAndHanging:
        point = list(getattr(machine.body, field))
        point[axis] = value
        return replace(machine, body=replace(machine.body, **{field: tuple(point)})), hanging

    return CalibrationParameter(name, title, "mm", read, write, lambda machine: prior)


def _offset(name: str, field: str, title: str) -> CalibrationParameter:
    return CalibrationParameter(
        name,
        title,
        "mm",
        lambda machine, hanging: getattr(hanging, field),
        lambda machine, hanging, value: (machine, replace(hanging, **{field: value})),
        # Stops do not move; a start set by tape is rarely accurate to better than a centimetre.
        lambda machine: machine.belt.stop_uncertainty if machine.controller.code.start == "stop" else 10.0,
    )


def _right_anchor(axis: str, title: str) -> CalibrationParameter:
    def write(machine: Machine, hanging: Hanging, value: float) -> MachineAndHanging:
        return machine, replace(hanging, right=replace(hanging.right, **{axis: value}))

    return CalibrationParameter(
        f"right anchor {axis}",
        title,
        "mm",
        lambda machine, hanging: getattr(hanging.right, axis),
        write,
        lambda machine: 10.0,
    )


def _write_pitch(machine: Machine, hanging: Hanging, value: float) -> MachineAndHanging:
    """Sets the pitch. The controller keeps its steps per mm; files are scaled to match."""
    assumed = machine.controller_steps_per_mm
    controller = replace(machine.controller, assumed_steps=assumed)
    return replace(machine, belt=replace(machine.belt, pitch=value), controller=controller), hanging


def _of_belt(field: str, to_field: Callable[[float], float]) -> Callable[[Machine, Hanging, float], MachineAndHanging]:
    def write(machine: Machine, hanging: Hanging, value: float) -> MachineAndHanging:
        return replace(machine, belt=replace(machine.belt, **{field: to_field(value)})), hanging

    return write


PARAMETERS: tuple[CalibrationParameter, ...] = (
    _right_anchor("x", N_("Right anchor, horizontal")),
    _right_anchor("y", N_("Right anchor, vertical")),
    _offset(LEFT_BELT, "left_offset", N_("Left belt offset")),
    _offset(RIGHT_BELT, "right_offset", N_("Right belt offset")),
    CalibrationParameter(
        PITCH,
        N_("Belt pitch"),
        "mm",
        lambda machine, hanging: machine.belt.pitch,
        _write_pitch,
        lambda machine: 0.002 * machine.belt.pitch,
        digits=4,
    ),
    _body_point("left exit x", "left_exit", 0, N_("Left exit, horizontal"), 2.0),
    _body_point("left exit y", "left_exit", 1, N_("Left exit, vertical"), 2.0),
    _body_point("right exit x", "right_exit", 0, N_("Right exit, horizontal"), 2.0),
    _body_point("right exit y", "right_exit", 1, N_("Right exit, vertical"), 2.0),
    _body_point("centre x", "centre", 0, N_("Centre of mass, horizontal"), 4.0),
    _body_point("centre y", "centre", 1, N_("Centre of mass, vertical"), 10.0),
    CalibrationParameter(
        "weight",
        N_("Mass"),
        "g",
        lambda machine, hanging: machine.body.mass * GRAVITY,
        lambda machine, hanging, value: (replace(machine, body=replace(machine.body, mass=value / GRAVITY)), hanging),
        lambda machine: 0.02 * GRAVITY,
        lambda value: 1000 * value / GRAVITY,
        0,
    ),
    CalibrationParameter(
        "softness",
        N_("Belt stiffness"),
        "N",
        lambda machine, hanging: 1 / machine.belt.stiffness,
        _of_belt("stiffness", lambda value: 1 / value),
        lambda machine: 0.3 / machine.belt.stiffness,
        lambda value: 1 / value,
        0,
    ),
    CalibrationParameter(
        "cable pull",
        N_("Pull of the cable"),
        "N",
        lambda machine, hanging: machine.body.cable_pull,
        lambda machine, hanging, value: (replace(machine, body=replace(machine.body, cable_pull=value)), hanging),
        lambda machine: CABLE_SHARE * machine.body.cable_pull,
        digits=3,
        applies=lambda machine: machine.body.cable_pull > 0,
    ),
    CalibrationParameter(
        "roller",
        N_("Exit roller radius"),
        "mm",
        lambda machine, hanging: machine.body.roller,
        lambda machine, hanging, value: (replace(machine, body=replace(machine.body, roller=value)), hanging),
        lambda machine: 0.5,
        applies=lambda machine: machine.body.roller > 0,
    ),
)


def parameters_of(machine: Machine) -> tuple[CalibrationParameter, ...]:
    """Returns the parameters that this machine has."""
    return tuple(p for p in PARAMETERS if p.applies(machine))


def read_all(parameters: tuple[CalibrationParameter, ...], machine: Machine, hanging: Hanging) -> Floats:
    """Returns the (p,) values of the parameters, each in its own unit: mm, N or 1/N."""
    return np.array([p.read(machine, hanging) for p in parameters])


def write_all(
    parameters: tuple[CalibrationParameter, ...], values: Floats, machine: Machine, hanging: Hanging
) -> MachineAndHanging:
    """Returns machine and hanging with new values, (p,), each in the unit of its parameter: mm, N or 1/N. Unchanged
    values stay identical to the bit."""
    for parameter, value in zip(parameters, values, strict=True):
        if value != parameter.read(machine, hanging):
            machine, hanging = parameter.write(machine, hanging, float(value))
    return machine, hanging
