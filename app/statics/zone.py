"""The draw zone: where the pen can be, as a raster with layers and as polygons."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.document.machine import Machine
from app.document.wall import Hanging, Wall
from app.statics.layer_names import LAYER_TITLES
from app.statics.limits import broken
from app.statics.pose import Pose, hang, sag
from app.statics.rig import Rig


@dataclass(frozen=True)
class Zone:
    """A grid over the wall: rows of y, columns of x."""

    x: np.ndarray
    """(c,) mm."""
    y: np.ndarray
    """(r,) mm."""
    bits: np.ndarray
    """(r, c) uint16: limits broken, 0 inside."""
    pose: Pose
    """Of the r * c grid points, row by row."""
    rig: Rig

    def layer(self, name: str) -> np.ndarray:
        """(r, c) values of one of LAYERS; nan where the body cannot hang."""
        return LAYERS[name].values(self).reshape(self.bits.shape)

    def bounds(self) -> tuple[float, float, float, float] | None:
        """Left, top, right, bottom of the zone, mm; None when it is empty."""
        rows, columns = np.nonzero(self.bits == 0)
        if not len(rows):
            return None
        return self.x[columns.min()], self.y[rows.min()], self.x[columns.max()], self.y[rows.max()]


@dataclass(frozen=True)
class Layer:
    """Something to look at over the wall."""

    title: str
    unit: str
    values: object


def _uncorrected(zone: Zone) -> np.ndarray:
    """mm by which the simple formula (body a point, belts straight) would put the pen off.

    A controller with that formula, zeroed with the pen truly at the middle of the grid's zone, pays out the belts
    its formula gives; the error is the pen's move between wanted and true, to first order in the belts.
    """
    from app.statics.pose import belts_by_pen, inverse
    from app.statics.straight import straight_belts

    pose = zone.pose
    inside = np.flatnonzero(zone.bits.ravel() == 0)
    if not len(inside):
        return np.full(len(pose.tilt), np.nan)
    middle = pose.pen[inside].mean(axis=0)
    start = hang(zone.rig, middle[None])
    assumed = straight_belts(zone.rig.anchors, pose.pen) - straight_belts(zone.rig.anchors, middle[None])
    difference = assumed + start.belts - pose.belts
    with np.errstate(invalid="ignore"):
        return np.hypot(*np.einsum("nij,nj->ni", inverse(belts_by_pen(zone.rig, pose)), difference).T)


def _step(zone: Zone) -> np.ndarray:
    """mm the pen moves for one mm of the belt that moves it most: the larger singular value of pen by belts."""
    from app.statics.pose import belts_by_pen, inverse

    inverse = inverse(belts_by_pen(zone.rig, zone.pose))
    bad = ~np.isfinite(inverse).all(axis=(1, 2))
    inverse[bad] = 0.0
    values = np.linalg.svd(inverse, compute_uv=False)[:, 0]
    values[bad] = np.nan
    return values


LAYERS = {
    "lowest tension": Layer(LAYER_TITLES["lowest tension"], "N", lambda z: z.pose.exit_tension.min(axis=1)),
    "highest tension": Layer(LAYER_TITLES["highest tension"], "N", lambda z: z.pose.exit_tension.max(axis=1)),
    "tilt": Layer(LAYER_TITLES["tilt"], "°", lambda z: np.degrees(np.abs(z.pose.tilt))),
    "sag": Layer(LAYER_TITLES["sag"], "mm", lambda z: sag(z.rig, z.pose).max(axis=1)),
    "resolution": Layer(LAYER_TITLES["resolution"], "mm", _step),
    "uncorrected": Layer(LAYER_TITLES["uncorrected"], "mm", _uncorrected),
}


def zone_of(
    wall: Wall, machine: Machine, hanging: Hanging, spacing: float | None = None, points: int = 6000
) -> Zone:
    """The zone over the whole wall. spacing: of the grid, mm; without it about `points` points are taken."""
    spacing = spacing or max(5.0, float(np.sqrt(wall.width * wall.height / points)))
    x = np.linspace(wall.left, wall.right, max(3, round(wall.width / spacing) + 1))
    y = np.linspace(wall.top, wall.floor, max(3, round(wall.height / spacing) + 1))
    rig = Rig.of(machine, hanging)
    pose = hang(rig, np.stack(np.meshgrid(x, y), axis=2).reshape(-1, 2))
    bits = broken(wall, machine, rig, pose).reshape(len(y), len(x))
    return Zone(x, y, bits, pose, rig)
