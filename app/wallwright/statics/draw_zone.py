"""The draw zone: where the pen can be, as a raster with layers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.machine import Machine
from wallwright.document.wall import Box, Hanging, Wall
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import controller_to_belts
from wallwright.statics.error_budget import COVERAGE
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.limits import broken
from wallwright.statics.pose import Pose, inverse_kinematics, sag
from wallwright.statics.sensitivity import pen_by_belts
from wallwright.statics.zone_layer_titles import LAYER_TITLES


@dataclass(frozen=True)
class DrawZone:
    """A grid over the wall: rows of y, columns of x."""

    x: Floats
    """(c,) mm."""
    y: Floats
    """(r,) mm."""
    bits: Integers
    """(r, c) uint16: bits of the violated limits; 0 inside."""
    pose: Pose
    """Poses of the r * c grid points, row by row."""
    rig: CableRobotModel
    machine: Machine
    hanging: Hanging

    def layer(self, name: str) -> Floats:
        """Returns (r, c) values of one of LAYERS; nan where the body cannot hang.

        In the unit of the layer: N, °, mm or µm.
        """
        return LAYERS[name].values(self).reshape(self.bits.shape)

    def bounds(self) -> Box | None:
        """Left, top, right, bottom of the zone, mm; None if it is empty."""
        rows, columns = np.nonzero(self.bits == 0)
        if not len(rows):
            return None
        x, y = self.x[[columns.min(), columns.max()]].tolist(), self.y[[rows.min(), rows.max()]].tolist()
        return x[0], y[0], x[1], y[1]


@dataclass(frozen=True)
class ZoneLayer:
    """A quantity that can be displayed over the wall."""

    title: str
    unit: str
    values: Callable[[DrawZone], Floats]
    """Compute the (n,) values of the grid points, row by row."""


def _uncorrected(zone: DrawZone) -> Floats:
    """Returns the pen error, mm, if the controller's own simple formula were used uncorrected.

    Its belts are counted from the start pose, where they are known. Computed inside the zone only.
    """
    left = np.array(zone.rig.anchors[0])
    result = np.full(len(zone.pose.tilt), np.nan)
    inside = np.flatnonzero(zone.bits.ravel() == 0)
    pen, start_point = zone.pose.pen[inside], np.array([zone.hanging.start_point])

    def counted(points: Points) -> Floats:
        return controller_to_belts(zone.machine, zone.hanging, "plane", points - left)

    belts = inverse_kinematics(zone.rig, start_point).belts + counted(pen) - counted(start_point)
    result[inside] = np.hypot(*(forward_kinematics(zone.rig, belts, start=pen).pen - pen).T)
    return result


def _step(zone: DrawZone) -> Floats:
    """Returns the largest pen movement, µm, per microstep of one motor: the larger column of pen by belts."""
    moves = pen_by_belts(zone.rig, zone.pose)
    result: Floats = 1000 * np.sqrt((moves**2).sum(axis=1)).max(axis=1) / zone.machine.steps_per_mm
    return result


def _expected_error(zone: DrawZone) -> Floats:
    """Returns the radius, mm, within which the pen is expected with the usual confidence."""
    from wallwright.statics.calibration.expected_error import expected_error  # lazy: the window opens sooner

    return COVERAGE * expected_error(zone.machine, zone.hanging, zone.pose).by_point


LAYERS = {
    "lowest tension": ZoneLayer(LAYER_TITLES["lowest tension"], "N", lambda z: z.pose.exit_tension.min(axis=1)),
    "highest tension": ZoneLayer(LAYER_TITLES["highest tension"], "N", lambda z: z.pose.exit_tension.max(axis=1)),
    "tilt": ZoneLayer(LAYER_TITLES["tilt"], "°", lambda z: np.degrees(np.abs(z.pose.tilt))),
    "sag": ZoneLayer(LAYER_TITLES["sag"], "mm", lambda z: sag(z.rig, z.pose).max(axis=1)),
    "resolution": ZoneLayer(LAYER_TITLES["resolution"], "µm", _step),
    "expected error": ZoneLayer(
        LAYER_TITLES["expected error"],
        "mm",
        _expected_error,
    ),
    "uncorrected": ZoneLayer(LAYER_TITLES["uncorrected"], "mm", _uncorrected),
}


def wall_grid(wall: Wall, spacing: float) -> tuple[Floats, Floats]:
    """Returns (c,) x and (r,) y, mm, of a grid over the whole wall with about `spacing` mm between points."""
    x = np.linspace(wall.left, wall.right, max(3, round(wall.width / spacing) + 1))
    y = np.linspace(wall.top, wall.floor, max(3, round(wall.height / spacing) + 1))
    return x, y


def compute_zone(
    wall: Wall, machine: Machine, hanging: Hanging, spacing: float | None = None, points: int = 6000
) -> DrawZone:
    """Computes the zone over the whole wall. spacing: of the grid, mm; by default about `points` points are used."""
    x, y = wall_grid(wall, spacing or max(5.0, float(np.sqrt(wall.width * wall.height / points))))
    rig = CableRobotModel.of(machine, hanging)
    pose = inverse_kinematics(rig, np.stack(np.meshgrid(x, y), axis=2).reshape(-1, 2))
    bits = broken(wall, machine, rig, pose).reshape(len(y), len(x))
    return DrawZone(x, y, bits, pose, rig, machine, hanging)
