"""Points well within the draw zone, found from a grid: most points of a large drawing need no pose of their own.

A node of the grid is safe when it and all nodes around it keep every limit with room for what can change within a cell: pull
and tilt by twice the largest difference between neighbouring nodes, belts and outline by the way of the pen. Points near
other nodes are not decided here.
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
"""With fewer the grid would take longer than it saves."""
FINEST, COARSEST = 8.0, 40.0
"""mm between nodes."""
RIM = 2
"""Nodes around the points: the outermost ones have no neighbours that could vouch for them."""
ROOM = 2.0
"""Times the difference between neighbouring nodes; half of it is what a smooth field changes from a node to the middle of
its cell."""


def well_inside(document: Document, rig: CableRobotModel, points: Points) -> Flags:
    """(n,) bool: points that break no limit for certain. points: (n, 2) mm, finite."""
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
    """Of the shape of the grid: nodes that keep all limits with room for a cell. grid: (n, 2) mm, row by row."""
    machine, limits = document.machine, document.machine.limits
    pose = inverse_kinematics(rig, grid)
    # A pen that moves to the middle of a cell moves the outline as far; what it turns is given the rest of a spacing.
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
    """Of the field's shape: what it may change from each node to the middle of the cells around it; nan beside nan."""
    found = np.zeros_like(field)
    for turned, result in ((field, found), (field.T, found.T)):
        step = np.abs(np.diff(turned, axis=0))
        result[:-1] = np.maximum(result[:-1], step)
        result[1:] = np.maximum(result[1:], step)
    return ROOM * found


def _eroded(flags: Flags) -> Flags:
    """Nodes of which all eight neighbours are flagged as well; those at the rim are not."""
    found = flags.copy()
    found[[0, -1]] = False
    found[:, [0, -1]] = False
    inner = found[1:-1, 1:-1]
    for i in range(3):
        for j in range(3):
            inner &= flags[i : i + inner.shape[0], j : j + inner.shape[1]]
    return found
