"""Forces on the body besides its belts and weight: friction of pen and feet on the wall, pull of the cable.

A force F (N, wall frame, y down) at a point p that moves with the body (mm, body frame, from the pen tip) enters the
equations as itself and by its moment about the pen, which turns with the tilt θ:

    moment(θ) = cos θ (p x F) - sin θ (p . F),    p x F = p_x F_y - p_y F_x

so that any number of such forces add to four numbers: F_x, F_y, the sum of p x F and the sum of p . F. The weight is one of
them (F = (0, W), p the centre of mass).

Coulomb friction of a sliding contact is a force of constant size against the motion. At rest the force is whatever holds
the contact in place, up to that size: a point inside the friction disc.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats

COLUMNS = 4
"""Number of columns: F_x and F_y, N; p x F and p . F, N mm."""


def outer_force(force: Floats, point: tuple[float, float] = (0.0, 0.0)) -> Floats:
    """Returns (n, 4): the forces (n, 2), N, y down, at a point of the body, mm from the pen tip in the body frame. Forces
    at several points add."""
    force = np.asarray(force, dtype=np.float64).reshape(-1, 2)
    x, y = point
    cross, dot = x * force[:, 1] - y * force[:, 0], x * force[:, 0] + y * force[:, 1]
    return np.column_stack([force, cross, dot])


def no_force(count: int) -> Floats:
    """Returns (n, 4) zeros."""
    return np.zeros((count, COLUMNS))
