"""Points well within the draw zone, found from a grid: the test of every single pose is the judge."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.wall import KeepOut
from wallwright.planning.interior_grid import well_inside
from wallwright.planning.outside_zone import points_outside
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics

DOCUMENT = Document()
PLACE = DOCUMENT.hangings[0]
RIG = CableRobotModel.of(DOCUMENT.machine, PLACE)
COUNT = 21_000


def cloud(seed: int, low: tuple[float, float], high: tuple[float, float], count: int = COUNT) -> np.ndarray:
    """(count, 2) mm: points of a box by chance."""
    return np.random.default_rng(seed).uniform(low, high, (count, 2))


def exact(document: Document, points: np.ndarray) -> np.ndarray:
    rig = CableRobotModel.of(document.machine, PLACE)
    return broken(document.wall, document.machine, rig, inverse_kinematics(rig, points))


walls = st.builds(
    lambda keep_outs: edits.replace(DOCUMENT.wall, keep_outs=tuple(keep_outs)),
    st.lists(
        st.tuples(st.floats(300, 1700), st.floats(300, 1500), st.floats(0, 300), st.floats(0, 300)).map(
            lambda k: KeepOut(
                "pipe", ((k[0], k[1]), (k[0] + k[2], k[1]), (k[0] + k[2], k[1] + k[3] + 1.0), (k[0], k[1] + k[3] + 1.0))
            )
        ),
        max_size=2,
    ),
)


@given(
    walls,
    st.floats(0.0, 4.0),
    st.floats(0.02, 0.4),
    st.floats(900, 3000),
    st.floats(0.0, 60.0),
    st.floats(0.0, 0.9),
    st.floats(300, 2000),
    st.integers(0, 2**16),
)
@settings(max_examples=8, deadline=None, derandomize=True)
def test_no_point_outside_is_found_inside(wall, least_tension, tilt, length, gap, left, width, seed):
    machine = DOCUMENT.machine
    limits = edits.replace(machine.limits, least_tension=least_tension, tilt=tilt, edge_gap=gap)
    belt = edits.replace(machine.belt, length=length)
    document = edits.replace(DOCUMENT, wall=wall, machine=edits.replace(machine, limits=limits, belt=belt))
    points = cloud(seed, (2000 * left - 100, -100), (2000 * left - 100 + width, 2200))
    bits = exact(document, points)
    rig = CableRobotModel.of(document.machine, PLACE)
    assert not bits[well_inside(document, rig, points)].any()
    assert np.array_equal(points_outside(document, PLACE, points), bits)


def test_most_points_of_a_large_drawing_are_decided():
    points = cloud(1, (600, 600), (1400, 1200))
    assert not exact(DOCUMENT, points).any()
    assert well_inside(DOCUMENT, RIG, points).mean() > 0.95


def test_few_or_scattered_points_are_left_to_the_exact_test():
    assert not well_inside(DOCUMENT, RIG, cloud(1, (500, 500), (1500, 1500), 10)).any()
    assert not well_inside(DOCUMENT, RIG, cloud(1, (-1e6, -1e6), (1e6, 1e6))).any()
    assert not well_inside(DOCUMENT, RIG, np.full((COUNT, 2), np.nan)).any()
