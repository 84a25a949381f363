"""Random hanging machines for property tests."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from wallwright.statics.cable_robot import CableRobotModel


@st.composite
def rigs(draw, least_weight: float = 0.0) -> CableRobotModel:
    """Draws any plausible machine between uneven anchors. least_weight: of the belt, N/mm."""
    f = lambda low, high: draw(st.floats(low, high))  # noqa: E731
    width = f(800, 6000)
    return CableRobotModel(
        ((0.0, 0.0), (width, f(-0.15, 0.15) * width)),
        ((-f(20, 120), f(-60, 30)), (f(20, 120), f(-60, 30))),
        (f(-8, 8), f(35, 90)),
        f(2, 40),
        roller=f(0, 15),
        stand_off=(f(-40, 40), f(-40, 40)),
        belt_weight=f(least_weight, 3e-4),
        stiffness=draw(st.sampled_from([3e3, 1e4, 1e5, np.inf])),
    )


def points_below(rig: CableRobotModel, seed: int, count: int) -> np.ndarray:
    """Returns (count, 2) random points below and between the anchors, mm."""
    width = rig.anchors[1][0]
    return np.random.default_rng(seed).uniform([0.3 * width, 0.35 * width], [0.7 * width, 0.8 * width], (count, 2))
