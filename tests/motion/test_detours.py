"""Travels round what the straight way may not cross, against a search over a fine grid of poses (scipy's Dijkstra)."""

import functools

import numpy as np
import pytest
import scipy.sparse
from scipy.sparse.csgraph import dijkstra

from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.wall import KeepOut
from wallwright.motion.detours import DetourFinder
from wallwright.motion.planner import plan_motion
from wallwright.motion.trajectory import sample_at
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.strokes import Strokes

CELL = 12.0
SWITCH = ((960.0, 880.0), (1040.0, 880.0), (1040.0, 960.0), (960.0, 960.0))
WAYS = [
    ((700.0, 930.0), (1300.0, 930.0)),
    ((720.0, 1000.0), (1250.0, 870.0)),
    ((1000.0, 730.0), (1010.0, 1100.0)),
]


@functools.cache
def switched() -> tuple[Document, CableRobotModel]:
    document = Document()
    document = replace(document, wall=replace(document.wall, keep_outs=(KeepOut("Switch", SWITCH),)))
    return document, CableRobotModel.of(document.machine, document.hangings[0])


def outside(points: np.ndarray) -> np.ndarray:
    document, rig = switched()
    return broken(document.wall, document.machine, rig, inverse_kinematics(rig, points)) != 0


@functools.cache
def grid() -> tuple[np.ndarray, scipy.sparse.csr_matrix]:
    """Poses inside the zone and the moves between neighbours, 16 directions: at most 2.8 % longer than the way as the crow
    flies (1 / cos of half the widest angle between directions, 13.3 degrees)."""
    x, y = np.arange(600, 1400, CELL), np.arange(650, 1250, CELL)
    points = np.stack(np.meshgrid(x, y), axis=2).reshape(-1, 2)
    number = np.where(outside(points), -1, np.arange(len(points))).reshape(len(y), len(x))
    rows, columns, lengths = [], [], []
    for dy, dx in ((0, 1), (1, 0), (1, 1), (1, -1), (1, 2), (2, 1), (1, -2), (2, -1)):
        a = number[: len(y) - dy, max(0, -dx) : len(x) - max(0, dx)].ravel()
        b = number[dy:, max(0, dx) : len(x) + min(0, dx)].ravel()
        good = (a >= 0) & (b >= 0)
        rows.append(a[good])
        columns.append(b[good])
        lengths.append(np.full(good.sum(), CELL * np.hypot(dx, dy)))
    size = (len(points), len(points))
    return points, scipy.sparse.csr_matrix(
        (np.concatenate(lengths), (np.concatenate(rows), np.concatenate(columns))), shape=size
    )


@pytest.mark.parametrize("ends", [WAYS[0], *(pytest.param(way, marks=pytest.mark.slow) for way in WAYS[1:])])
def test_the_way_round_is_inside_the_zone_and_hardly_longer_than_the_shortest(ends):
    document, _ = switched()
    ways, travel = DetourFinder(document.wall, document.machine, document.hangings[0]), np.array(ends)
    assert ways.blocked(travel[None]).all()
    lengths = []
    for way in ways.around(travel):
        assert np.all(way[0] == travel[0]) and np.all(way[-1] == travel[-1])
        step = np.hypot(*np.diff(way, axis=0).T)
        way_at = np.concatenate([[0], np.cumsum(step)])
        fine = np.linspace(0, way_at[-1], 2000)
        assert not outside(np.column_stack([np.interp(fine, way_at, way[:, i]) for i in (0, 1)])).any()
        lengths.append(way_at[-1])
    points, moves = grid()
    first, last = (int(np.argmin(np.hypot(*(points - p).T))) for p in travel)
    shortest = dijkstra(moves, directed=False, indices=first)[last]
    assert min(lengths) <= 1.04 * shortest + CELL
    limits = document.machine.limits
    document = replace(document, hangings=(replace(document.hangings[0], start_point=ends[0]),))
    document = replace(
        document, machine=replace(document.machine, limits=replace(limits, swing=1000.0, landing_swing=1000.0))
    )
    motion = plan_motion(document, 0, switched()[1], Strokes.pack([travel[[1, 1]] + [[0, 0], [0, 1]]], 0))
    # At least: the way at travel speed, with one ramp up and one down.
    least = shortest / limits.travel_speed + limits.travel_speed / limits.acceleration
    assert motion.time[motion.runs[1] - 1] <= 1.1 * least
    # Bends of some width are longer than sharp corners, and quicker.
    taken = motion.pen_xy[: motion.runs[1]]
    assert np.hypot(*np.diff(taken, axis=0).T).sum() <= 1.08 * shortest + CELL


def test_straight_ways_stay_straight_and_strokes_are_left_alone():
    document, _ = switched()
    ways = DetourFinder(document.wall, document.machine, document.hangings[0])
    free = np.array([[[700.0, 740.0], [900.0, 740.0]], [[1300.0, 930.0], [1300.0, 931.0]]])
    assert not ways.blocked(free).any()


def test_the_planned_motion_goes_round_without_stopping():
    document, rig = switched()
    strokes = [np.array([[700.0, 920.0], [700, 940]]), np.array([[1300.0, 920.0], [1300, 940]])]
    document = replace(document, hangings=(replace(document.hangings[0], start_point=(700.0, 760.0)),))
    motion = plan_motion(document, 0, rig, Strokes.pack(strokes, 0))
    across = slice(motion.runs[2], motion.runs[3])
    assert not outside(motion.pen_xy[across]).any()
    assert motion.speed[across][4:-4].min() > 0.3 * document.machine.limits.travel_speed
    assert np.all(motion.pen_xy[motion.vertex][[0, -1]] == [700.0, 760.0])


@pytest.mark.parametrize("fast", [{}, {"travel_speed": 300.0, "draw_speed": 150.0, "acceleration": 1000.0}])
def test_belts_keep_their_speed_along_the_chords_of_bends(fast):
    """Judge: exact poses a millisecond apart, round a keep-out and on a circle of 5 degrees a chord. The pen goes along the
    chords, whose direction is not the curve's at their ends."""
    document, rig = switched()
    limits = replace(document.machine.limits, belt_speed=50.0, swing=1000.0, landing_swing=1000.0, **fast)
    document = replace(document, machine=replace(document.machine, limits=limits))
    document = replace(document, hangings=(replace(document.hangings[0], start_point=WAYS[0][0]),))
    angle = np.linspace(0, 2 * np.pi, 73)
    circle = np.array(WAYS[0][1]) + 60 * np.column_stack([np.cos(angle) - 1, np.sin(angle)])
    motion = plan_motion(document, 0, rig, Strokes.pack([circle], 0))
    belts = inverse_kinematics(rig, sample_at(motion, np.arange(0, motion.time[-1], 1e-3)).pen_xy).belts
    assert np.abs(np.diff(belts, axis=0)).max() / 1e-3 <= 50.0 * 1.003
