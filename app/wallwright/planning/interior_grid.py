"""Points safely inside the draw zone, found from a grid: most points of a large drawing need no pose of their own.

A node of the grid is safe if it and all nodes around it keep every limit with a margin for changes within a cell: for pull
and tilt, twice the largest difference between neighbouring nodes; for belts and outline, the movement of the pen. Points
near other nodes are not decided here.
"""

from __future__ import annotations

import numpy as np

from wallwright.document import edits
from wallwright.document.arrays import Flags, Floats, Points
from wallwright.document.document import Document
from wallwright.statics.belt_field import bounds
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import broken
from wallwright.statics.motor import available_pull
from wallwright.statics.obstacles import body_outline
from wallwright.statics.pose import inverse_kinematics

POINTS_PER_NODE = 25
"""Smallest number of points per node; with fewer the grid would take longer than it saves."""
FINEST, COARSEST = 8.0, 40.0
"""Smallest and largest distance between nodes, mm."""
RIM = 2
"""Number of nodes around the points: the outermost ones lack neighbours to confirm them."""
ROOM = 2.0
"""Margin in differences between neighbouring nodes; a smooth field changes by half a difference from a node to the
middle of its cell."""


def well_inside(document: Document, rig: CableRobotModel, points: Points) -> Flags:
    """Returns (n,) bool: points that certainly violate no limit. points: (n, 2) mm, finite."""
    nothing = np.zeros(len(points), dtype=bool)
    if len(points) < POINTS_PER_NODE or not np.isfinite(points).all():
        return nothing
    low, high = bounds(points)
    most = len(points) / POINTS_PER_NODE
    spacing = max(FINEST, float(np.sqrt(np.prod(np.maximum(high - low, FINEST)) / most)))
    count = np.ceil((high - low) / spacing).astype(int) + 1 + 2 * RIM
    if spacing > COARSEST or np.prod(count) > 2 * most:
        return nothing
    low = low - RIM * spacing
    axes = [low[i] + spacing * np.arange(count[i]) for i in (0, 1)]
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=2).reshape(-1, 2)
    safe = _eroded(_has_room(document, rig, grid, (int(count[0]), int(count[1])), spacing))
    x, y = np.rint((points - low) / spacing).astype(np.int64).T
    found: Flags = safe[x, y]
    return found


def _has_room(document: Document, rig: CableRobotModel, grid: Points, shape: tuple[int, int], spacing: float) -> Flags:
    """Returns, in the shape of the grid, nodes that keep all limits with a margin for a cell. grid: (n, 2) mm, row by
    row."""
    machine, limits = document.machine, document.machine.limits
    pose = inverse_kinematics(rig, grid)
    # A pen that moves to the middle of a cell moves the outline equally far; the rest of a spacing allows for its rotation.
    far = float(np.hypot(*np.array(body_outline(machine.body.outline)).T).max())
    turns = _change(pose.tilt.reshape(shape)).ravel()
    wider = edits.replace(limits, edge_gap=limits.edge_gap + spacing)
    bits = broken(document.wall, edits.replace(machine, limits=wider), rig, pose)
    with np.errstate(invalid="ignore"):
        good = (bits == 0) & (far * turns < spacing * (1 - np.sqrt(0.5)))
        good &= np.abs(pose.tilt) + turns < limits.tilt
        for side in (0, 1):
            pull, belt = pose.exit_tension[:, side], pose.belts[:, side]
            change = _change(pull.reshape(shape)).ravel()
            good &= pull - change > limits.least_tension
            good &= pull + change < available_pull(machine, limits.belt_speed)
            good &= belt + _change(belt.reshape(shape)).ravel() < machine.belt.length
    found: Flags = good.reshape(shape)
    return found


def _change(field: Floats) -> Floats:
    """Returns, in the field's shape, its possible change from each node to the middle of the cells around it; nan beside
    nan."""
    found = np.zeros_like(field)
    for turned, result in ((field, found), (field.T, found.T)):
        step = np.abs(np.diff(turned, axis=0))
        result[:-1] = np.maximum(result[:-1], step)
        result[1:] = np.maximum(result[1:], step)
    return ROOM * found


def _eroded(flags: Flags) -> Flags:
    """Returns nodes of which all eight neighbours are flagged too; nodes at the rim are not."""
    found = flags.copy()
    found[[0, -1]] = False
    found[:, [0, -1]] = False
    inner = found[1:-1, 1:-1]
    for i in range(3):
        for j in range(3):
            inner &= flags[i : i + inner.shape[0], j : j + inner.shape[1]]
    return found
