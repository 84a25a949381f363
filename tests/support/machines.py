"""Random machines and hangings."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from wallwright.document.document import Document
from wallwright.document.limits import Limits
from wallwright.document.machine import Belt, Body, Machine, Motor
from wallwright.document.wall import Anchor, Hanging

SEEDS = st.integers(0, 2**32 - 1)


@st.composite
def documents(draw) -> Document:
    f = lambda low, high: draw(st.floats(low, high))  # noqa: E731
    width = f(1200, 4000)
    limits = Limits(
        draw_speed=f(40, 200),
        travel_speed=f(60, 300),
        acceleration=f(50, 3000),
        belt_speed=f(50, 250),
        belt_acceleration=f(60, 4000),
        corner_tolerance=f(0.02, 0.5),
        swing=draw(st.sampled_from([0.5, 2.0, 1000.0])),
    )
    body = Body(
        mass=f(0.3, 3.0),
        centre=(f(-6, 6), f(15, 60)),
        left_exit=(-f(30, 90), f(-30, 20)),
        right_exit=(f(30, 90), f(-30, 20)),
    )
    motor = Motor(corner_speed=f(0.8, 8), holding_torque=f(0.3, 0.8), set_current=1.2)
    machine = Machine(body=body, belt=Belt(length=9000.0), motor=motor, limits=limits)
    hanging = Hanging("h", Anchor(0.0, 0.0), Anchor(width, f(-0.1, 0.1) * width), (width / 2, 0.45 * width))
    return Document(machine=machine, hangings=(hanging,))


def placed(document: Document, shapes: list[np.ndarray]) -> list[np.ndarray]:
    """Maps shapes from the unit square to the wall below the anchors, mm."""
    width = document.hangings[0].right.x
    return [np.array([0.3, 0.32]) * width + s * np.array([0.4, 0.3]) * width for s in shapes]
