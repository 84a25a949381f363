"""Boundary of the draw zone as polygons: crossings found between grid points by bisection, then joined cell by cell."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.document.arrays import Flags, Floats
from wallwright.document.machine import Machine
from wallwright.document.wall import Wall
from wallwright.statics.draw_zone import DrawZone
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics

HALVINGS = 8
"""Number of bisections of a grid cell: a 25 mm cell leaves 0.1 mm."""


def zone_polygons(wall: Wall, machine: Machine, zone: DrawZone) -> BaseGeometry:
    """Returns the zone as a (multi)polygon, mm. Its corners lie on the zone's true boundary, on grid lines.

    Marching squares (Lorensen and Cline's cubes, 1987, in the plane): every grid line between a point inside and one
    outside is crossed once, and the crossings within a cell are joined. The zone is closed along the border of the grid.
    """
    inside = np.pad(zone.bits == 0, 1)
    x = np.concatenate([[zone.x[0] - 1e-3], zone.x, [zone.x[-1] + 1e-3]])
    y = np.concatenate([[zone.y[0] - 1e-3], zone.y, [zone.y[-1] + 1e-3]])
    across = _crossings(wall, machine, zone, inside, x, y, axis=1)
    down = _crossings(wall, machine, zone, inside, x, y, axis=0)
    segments = _segments(inside, across, down)
    if not len(segments):
        return shapely.Polygon()
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all(shapely.linestrings(segments))]))
    # A face belongs to the zone if its interior does; holes are faces too.
    middles = shapely.get_coordinates(shapely.point_on_surface(faces))
    pose = inverse_kinematics(zone.rig, middles)
    return shapely.union_all(faces[broken(wall, machine, zone.rig, pose) == 0])


def cell_region(zone: DrawZone) -> BaseGeometry:
    """Returns the zone as rows of grid cells whose centre is inside, mm: coarse but fast."""
    inside = np.pad(zone.bits == 0, ((0, 0), (1, 1))).astype(np.int8)
    half_x, half_y = (zone.x[1] - zone.x[0]) / 2, (zone.y[1] - zone.y[0]) / 2
    rows, starts = np.nonzero(np.diff(inside, axis=1) == 1)
    _, ends = np.nonzero(np.diff(inside, axis=1) == -1)
    boxes = shapely.box(
        zone.x[starts] - half_x, zone.y[rows] - half_y, zone.x[ends - 1] + half_x, zone.y[rows] + half_y
    )
    return shapely.union_all(boxes)


def _crossings(wall: Wall, machine: Machine, zone: DrawZone, inside: Flags, x: Floats, y: Floats, axis: int) -> Floats:
    """Returns (rows, columns, 2): crossing of the grid line from each point to the next one along an axis; nan: none."""
    step = np.diff(inside.astype(np.int8), axis=axis)
    r, c = np.nonzero(step)
    r2, c2 = (r, c + 1) if axis == 1 else (r + 1, c)
    a, b = np.column_stack([x[c], y[r]]), np.column_stack([x[c2], y[r2]])
    first = inside[r, c][:, None]
    near, far = np.where(first, a, b), np.where(first, b, a)
    for _ in range(HALVINGS):
        middle = (near + far) / 2
        good = (broken(wall, machine, zone.rig, inverse_kinematics(zone.rig, middle)) == 0)[:, None]
        near, far = np.where(good, middle, near), np.where(good, far, middle)
    found = np.full((*step.shape, 2), np.nan)
    found[r, c] = near
    return found


def _segments(inside: Flags, across: Floats, down: Floats) -> Floats:
    """Returns (m, 2, 2): boundary segments, one or two per cell."""
    top, bottom = across[:-1], across[1:]
    left, right = down[:, :-1], down[:, 1:]
    sides = np.stack([top, right, bottom, left], axis=2)
    hit = np.isfinite(sides[..., 0])
    count = hit.sum(axis=2)
    two = np.nonzero(count == 2)
    pairs = sides[two][hit[two]].reshape(-1, 2, 2)
    # A saddle: two corners inside diagonally opposite stay separate.
    four = np.nonzero(count == 4)
    s = sides[four]
    corner = inside[:-1, :-1][four][:, None, None]
    one = np.where(corner, s[:, [0, 3]], s[:, [0, 1]])
    other = np.where(corner, s[:, [1, 2]], s[:, [2, 3]])
    return np.concatenate([pairs, one, other])
