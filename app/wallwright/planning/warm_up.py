"""Compiles planning's numba functions ahead of the first plan: `python -m wallwright.planning.warm_up` at set-up.

The compiled code is stored on disk beside the source, or in the user's cache folder if that is not writable.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.document import Document
from wallwright.document.ordering import Ordering
from wallwright.motion.planner import plan_motion
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.strokes.order import order_strokes
from wallwright.strokes.repair import repair_order
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tidy import tidy


def warm_up() -> None:
    """Tidy, order, repair and time a handful of strokes of every kind: open, closed, and enough of them for a search."""
    document = Document()
    hanging = document.hangings[0]
    middle = np.array(hanging.start_point)
    offsets = 10.0 * np.stack(np.meshgrid(np.arange(3), np.arange(3)), axis=-1).reshape(-1, 1, 2)
    square = np.array([[0, 0], [5, 0], [5, 5], [0, 5], [0, 0]])
    lines = [*(middle + offsets + square[:3]), middle + square - 20]
    limits = document.machine.limits
    strokes = tidy(
        Strokes.pack(lines, 0),
        document.settings.join_gap,
        document.settings.flatness / 4,
        np.array([pen.width for pen in document.pens]),
    )
    strokes = order_strokes(strokes, middle, limits.travel_speed, limits.acceleration)
    some = strokes.take(np.arange(1, len(strokes)))
    repair_order(strokes, middle, limits.travel_speed, limits.acceleration, Ordering(), None, some)
    plan_motion(document, 0, CableRobotModel.of(document.machine, hanging), strokes)


if __name__ == "__main__":
    warm_up()
