"""Stability of an equilibrium: stiffness of the pose with the belts held.

A body whose mass lies too high above its exits balances at a tilt, yet tips over when touched. With the belt lengths held,
the force and moment (Q_x, Q_y, Q_θ) on the body are functions of its position q = (x, y, θ); it is stable if the matrix
-dQ/dq, the second derivative of its potential energy, is positive definite. The spans follow by the implicit function
theorem: for each side, d(H, V, L)/dq from the span's two equations and from its held length L - r α.
"""

from __future__ import annotations

import dataclasses

import numpy as np

from wallwright.document.arrays import Flags, Floats
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.initial_guess import SIDES
from wallwright.statics.pose import CHUNK, Pose, linear_at

LARGEST_STIFFNESS = 1e6
"""Largest ratio of EA to the body's weight that is used: the span stiffness of an inextensible belt is undefined, and
nothing is known about belts stiffer than this."""


def stiffness_of(rig: CableRobotModel, pose: Pose) -> Floats:
    """Returns (n, 3, 3): stiffness of each pose by x, y (mm) and tilt (rad), belts held: N/mm, N/rad, N·mm/rad.
    Symmetric."""
    soft = dataclasses.replace(rig, stiffness=min(rig.stiffness, LARGEST_STIFFNESS * rig.weight))
    parts = [_stiffness(soft, _part(pose, i)) for i in range(0, max(len(pose.tilt), 1), CHUNK)]
    return np.concatenate(parts)


def is_stable(rig: CableRobotModel, pose: Pose) -> Flags:
    """Returns (n,) bool: the body returns after a small push. False where nothing hangs."""
    k = stiffness_of(rig, pose)
    with np.errstate(invalid="ignore"):
        two = k[:, 0, 0] * k[:, 1, 1] - k[:, 0, 1] * k[:, 1, 0]
        return (k[:, 0, 0] > 0) & (two > 0) & (_determinant(k) > 0)


def _part(pose: Pose, start: int) -> Pose:
    return Pose(*(getattr(pose, f)[start : start + CHUNK] for f in Pose.__dataclass_fields__))


def _stiffness(rig: CableRobotModel, pose: Pose) -> Floats:
    linear, state = linear_at(rig, pose)
    n = len(state.tilt)
    m_tilt, m_pull, m_rise = linear.moment_by
    result = np.zeros((n, 3, 3))
    result[:, 2, 2] = -m_tilt
    with np.errstate(all="ignore"):
        for i, out in enumerate(SIDES):
            zero = np.zeros(n)
            (h_tilt, h_pull, h_rise, h_length), (v_tilt, v_pull, v_rise, v_length) = (
                linear.h_by[:, i],
                linear.v_by[:, i],
            )
            own = state.pulls[i]
            t2 = own**2 + state.vertical_force[i] ** 2
            # Held: L - r α, with α = atan2(V, H) + out θ.
            held = (rig.roller * state.vertical_force[i] / t2, -rig.roller * own / t2)
            # L follows from the held length and is substituted into the span's two equations.
            a11, a12 = h_pull - h_length * held[0], h_rise - h_length * held[1]
            a21, a22 = v_pull - v_length * held[0], v_rise - v_length * held[1]
            det = a11 * a22 - a12 * a21
            l_tilt = rig.roller * out
            by = (
                (-out * linear.distance_by[0][i], -out * linear.distance_by[1][i]),
                (zero, zero - 1.0),
                (h_tilt + h_length * l_tilt, v_tilt + v_length * l_tilt),
            )
            for k, (by_h, by_v) in enumerate(by):
                pull, rise = -(by_h * a22 - a12 * by_v) / det, -(a11 * by_v - by_h * a21) / det
                result[:, 0, k] -= out * pull
                result[:, 1, k] += rise
                result[:, 2, k] -= m_pull[i] * pull + m_rise[i] * rise
    return result


def _determinant(k: Floats) -> Floats:
    """Returns (n,) determinants of (n, 3, 3), elementwise: faster than factoring each, and without warnings about nan."""
    return (
        k[:, 0, 0] * (k[:, 1, 1] * k[:, 2, 2] - k[:, 1, 2] * k[:, 2, 1])
        - k[:, 0, 1] * (k[:, 1, 0] * k[:, 2, 2] - k[:, 1, 2] * k[:, 2, 0])
        + k[:, 0, 2] * (k[:, 1, 0] * k[:, 2, 1] - k[:, 1, 1] * k[:, 2, 0])
    )
