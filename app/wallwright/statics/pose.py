"""Inverse kinematics: poses for given pen points, with belt lengths, tilt, tensions and span shapes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Flags, Floats, Points
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.equilibrium import Linearization, equilibrium, exits_of, linearize, solve, span_forces
from wallwright.statics.initial_guess import SIDES, EquilibriumState
from wallwright.statics.outer_force import no_force, outer_force

CHUNK = 8192
"""Number of points solved together, so that their arrays stay in the processor's cache."""


@dataclass(frozen=True)
class Pose:
    """Pose of the body at n pen points. Points without an equilibrium hold nan and converged False."""

    pen: Points
    """(n, 2) mm, wall frame."""
    tilt: Floats
    """(n,) rad, clockwise."""
    belts: Floats
    """(n, 2) mm: unstretched belt from anchor to the exit's reference mark, left and right."""
    exit_tension: Floats
    """(n, 2) N."""
    anchor_tension: Floats
    """(n, 2) N."""
    horizontal_force: Floats
    """(n, 2) N: horizontal pulls in the plane of the wall; their difference balances sideways forces."""
    vertical_force: Floats
    """(n, 2) N: vertical pull at the exits, upwards."""
    exits: Floats
    """(n, 2, 2) mm: side, then x and y, where each belt touches the body, wall frame."""
    converged: Flags
    """(n,) bool."""
    outer: Floats
    """(n, 4): other forces on the body (outer_force)."""


def inverse_kinematics(rig: CableRobotModel, pen: Points, outer: Floats | None = None) -> Pose:
    """Returns the pose with the pen at each point. pen: (n, 2) mm, wall frame. Exact elastic catenary spans.

    outer: (n, 4) as outer_force gives it, such as the friction of a moving pen; None: no force. The pull of the model's
    cable is added.
    """
    pen = np.asarray(pen, dtype=np.float64).reshape(-1, 2)
    outer = no_force(len(pen)) if outer is None else outer
    if rig.cable_pull:
        outer = outer + outer_force(cable_force(rig, pen), rig.centre)
    parts = [_hang(rig, pen[i : i + CHUNK], outer[i : i + CHUNK]) for i in range(0, max(len(pen), 1), CHUNK)]
    if len(parts) == 1:
        return parts[0]
    return Pose(*(np.concatenate([getattr(p, f) for p in parts]) for f in Pose.__dataclass_fields__))


def cable_force(rig: CableRobotModel, pen: Points) -> Floats:
    """Returns (n, 2) N: pull of the cable on a body with its pen at (n, 2) mm, towards the cable's fixing point."""
    return rig.cable_pull * unit_towards(rig, pen)


def unit_towards(rig: CableRobotModel, pen: Points) -> Floats:
    """Returns (n, 2): unit vectors from pens (n, 2), mm, towards the cable's fixing point; (0, 0) there.

    Computed as if the cable left the body at the pen: cables are fixed far away, and the shape of their loop is unknown.
    """
    way = np.subtract(rig.cable, pen)
    with np.errstate(invalid="ignore", divide="ignore"):
        unit: Floats = np.nan_to_num(way / np.hypot(*way.T)[:, None])
    return unit


def _hang(rig: CableRobotModel, pen: Points, outer: Floats) -> Pose:
    state, solved = equilibrium(rig, pen, outer)
    return _pose(rig, pen, state, solved)


def _pose(rig: CableRobotModel, pen: Points, state: EquilibriumState, solved: Flags) -> Pose:
    exits = exits_of(rig, pen, state)
    belts, t_exit, t_anchor = (np.empty((len(pen), 2)) for _ in range(3))
    for i, out in enumerate(SIDES):
        h = -out * (exits[i, 0] - rig.anchors[i][0])
        own_pull = state.pulls[i] * np.hypot(1.0, rig.stand_off[i] / h)
        _, _, t_exit[:, i], t_anchor[:, i], _, _ = span_forces(rig, own_pull, state.vertical_force[i], state.length[i])
        elevation = np.arctan2(state.vertical_force[i], state.pulls[i]) + out * state.tilt
        belts[:, i] = state.length[i] - rig.roller * elevation
    return Pose(
        pen,
        state.tilt,
        belts,
        t_exit,
        t_anchor,
        state.pulls.T.copy(),
        state.vertical_force.T.copy(),
        exits.transpose(2, 0, 1).copy(),
        solved,
        state.outer,
    )


def belts_by_pen(rig: CableRobotModel, pose: Pose) -> Floats:
    """Returns (n, 2, 2): derivative of the left and right belt (axis 1) by pen x and y (axis 2), from the equations. The
    cable's pull is treated as constant: it turns by a thousandth per mm.

    mm per mm.
    """
    linear, state = linear_at(rig, pose)
    return _belts_by_pen(rig, linear, state)


def linear_at(rig: CableRobotModel, pose: Pose) -> tuple[Linearization, EquilibriumState]:
    """Returns the linearised equations of equilibrium at solved poses, and the unknowns there."""
    lengths = pose.belts.T.copy()
    for i, out in enumerate(SIDES):
        lengths[i] += rig.roller * (
            np.arctan2(pose.vertical_force[:, i], pose.horizontal_force[:, i]) + out * pose.tilt
        )
    state = EquilibriumState(pose.tilt, pose.horizontal_force.mean(axis=1), pose.vertical_force.T, lengths, pose.outer)
    return linearize(rig, pose.pen, state), state


def _belts_by_pen(rig: CableRobotModel, linear: Linearization, state: EquilibriumState) -> Floats:
    n = len(state.tilt)
    zero, result = np.zeros(n), np.empty((n, 2, 2))
    outs = np.array(SIDES)[:, None]
    for axis in (0, 1):
        # Moving the pen changes h by -out dx and v by dy.
        res_h = linear.distance_by[0] * -outs if axis == 0 else np.zeros((2, n))
        res_v = linear.distance_by[1] * -outs if axis == 0 else np.full((2, n), -1.0)
        tilt, pull, rise, length = solve(linear, res_h, res_v, zero, zero)
        for i, out in enumerate(SIDES):
            t2 = state.pulls[i] ** 2 + state.vertical_force[i] ** 2
            elevation = (state.pulls[i] * rise[i] - state.vertical_force[i] * pull) / t2 + out * tilt
            result[:, i, axis] = length[i] - rig.roller * elevation
    return result


def inverse(m: Floats) -> Floats:
    """Returns (n, 2, 2) inverses; singular ones become nan instead of an error.

    The unit is 1 over that of the matrices, such as mm per mm.
    """
    det = m[:, 0, 0] * m[:, 1, 1] - m[:, 0, 1] * m[:, 1, 0]
    adjugate = np.stack([m[:, 1, 1], -m[:, 0, 1], -m[:, 1, 0], m[:, 0, 0]], axis=1).reshape(-1, 2, 2)
    return adjugate / np.where(np.abs(det) > 1e-12, det, np.nan)[:, None, None]


def span_curve(rig: CableRobotModel, pose: Pose, index: int, side: int, count: int = 24) -> Points:
    """Returns (count, 2) mm: the sagging belt from anchor to exit of one pose, projected on the wall.

    Elastic catenary in its unstretched coordinate s from the anchor (Irvine 1981, section 2.4).
    """
    exit_, anchor = pose.exits[index, side], np.array(rig.anchors[side])
    out = SIDES[side]
    h = -out * (exit_[0] - anchor[0])
    ratio = np.hypot(1.0, rig.stand_off[side] / h)
    pull, w = pose.horizontal_force[index, side] * ratio, rig.belt_weight
    elevation = (
        np.arctan2(pose.vertical_force[index, side], pose.horizontal_force[index, side]) + out * pose.tilt[index]
    )
    length = pose.belts[index, side] + rig.roller * elevation
    s = np.linspace(0.0, length, count)
    top = pose.vertical_force[index, side] + w * length
    here = top - w * s
    t0, t = np.hypot(pull, top), np.hypot(pull, here)
    z = w * s / (t0 + t)
    kappa = np.where(z > 1e-6, np.arctanh(np.minimum(z, 1 - 1e-12)) / np.where(z > 1e-6, z, 1), 1.0)
    across = pull * s * (1 / rig.stiffness + 2 * kappa / (t0 + t)) / ratio
    down = (top + here) * s * (0.5 / rig.stiffness + 1 / (t0 + t))
    curve: Points = anchor + np.column_stack([-out * across, down])
    return curve


def sag(rig: CableRobotModel, pose: Pose) -> Floats:
    """Returns (n, 2) mm: vertical distance at mid span between belt and chord, from the parabola of the span's weight.

    w l² / (8 H l_h) with l the chord and l_h its horizontal part: exact to second order in the sag ratio.
    """
    chord = pose.exits - np.array(rig.anchors)
    length = np.hypot(chord[..., 0], chord[..., 1])
    found: Floats = rig.belt_weight * length * np.abs(chord[..., 0]) / (8 * pose.horizontal_force)
    return found
