"""Advice on anchors against brute force on a fine grid."""

import numpy as np
import pytest

from wallwright.document.document import Document
from wallwright.document.edits import ANCHOR_FROM_EDGE, replace
from wallwright.document.errors import BadValue
from wallwright.document.wall import KeepOut, Wall
from wallwright.statics.anchor_placement import placement_margins, propose_anchors
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics

DOCUMENT = Document()


def box(x: float, y: float, w: float, h: float) -> np.ndarray:
    a, b = np.meshgrid(np.linspace(x, x + w, 5), np.linspace(y, y + h, 5))
    return np.column_stack([a.ravel(), b.ravel()])


WALLS = {
    "wide": (Wall(-500.0, -300.0, 2600.0, 2400.0), box(400, 900, 700, 500)),
    "low ceiling": (Wall(0.0, 0.0, 2200.0, 2000.0), box(500, 600, 900, 700)),
    "keep-out above": (
        Wall(
            0.0, 0.0, 2400.0, 2200.0, (KeepOut("lamp", ((200.0, 0.0), (700.0, 0.0), (700.0, 500.0), (200.0, 500.0))),)
        ),
        box(800, 900, 700, 500),
    ),
}


@pytest.mark.parametrize("name", WALLS)
def test_no_pair_on_a_fine_grid_does_better(name):
    """By more than 2 % of the margin."""
    wall, points = WALLS[name]
    found = propose_anchors(wall, DOCUMENT.machine, DOCUMENT.hangings[0], points)
    low = points.min(axis=0)
    best = -1.0
    for distance in np.arange(800, wall.width - 2 * ANCHOR_FROM_EDGE, 60.0):
        x = np.arange(wall.left + ANCHOR_FROM_EDGE, wall.right - ANCHOR_FROM_EDGE - distance, 60.0)
        y = np.arange(wall.top + ANCHOR_FROM_EDGE, low[1], 60.0)
        if not len(x):
            continue
        corners = np.stack(np.meshgrid(x, y), axis=2).reshape(-1, 2)
        for keep_out in wall.keep_outs:
            (a, b), (c, d) = keep_out.outline[0], keep_out.outline[2]
            for shift in (0.0, distance):
                at = corners + [shift, 0.0]
                hit = (
                    (at[:, 0] > a - ANCHOR_FROM_EDGE)
                    & (at[:, 0] < c + ANCHOR_FROM_EDGE)
                    & (at[:, 1] > b - ANCHOR_FROM_EDGE)
                    & (at[:, 1] < d + ANCHOR_FROM_EDGE)
                )
                corners = corners[~hit]
        if len(corners):
            best = max(
                best,
                placement_margins(wall, DOCUMENT.machine, DOCUMENT.hangings[0], points, float(distance), corners).max(),
            )
    assert found.margin >= 0.98 * best


def test_the_advised_pair_keeps_everything_in_the_zone():
    wall, points = WALLS["wide"]
    found = propose_anchors(wall, DOCUMENT.machine, DOCUMENT.hangings[0], points)
    hanging = DOCUMENT.hangings[0]
    hanging = replace(
        hanging,
        left=replace(hanging.left, x=found.left[0], y=found.left[1]),
        right=replace(hanging.right, x=found.right[0], y=found.right[1]),
    )
    rig = CableRobotModel.of(DOCUMENT.machine, hanging)
    assert (broken(wall, DOCUMENT.machine, rig, inverse_kinematics(rig, points)) == 0).all()


def test_impossible_wishes_are_reported():
    with pytest.raises(BadValue):
        propose_anchors(
            Wall(0.0, 0.0, 1500.0, 2000.0), DOCUMENT.machine, DOCUMENT.hangings[0], box(50, 300, 1400, 1600)
        )
    with pytest.raises(BadValue):
        propose_anchors(Wall(0.0, 0.0, 2500.0, 2000.0), DOCUMENT.machine, DOCUMENT.hangings[0], box(500, 20, 400, 400))
