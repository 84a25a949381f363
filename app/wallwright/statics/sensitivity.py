"""Sensitivity of belts and pen to every parameter of the model: derivatives from the equations, not from differences.

The equations F(unknowns, pen, p) = 0 of wallwright.statics.equilibrium give, by the implicit function theorem, the change
of the unknowns, and so of the belts, for a small change of a parameter p with the pen held: belts_by_parameters. With the
belts held instead, the pen moves by minus (belts by pen)^-1 times that.

A belt that is 1 mm longer than the controller assumes (a belt offset) moves the pen by a column of pen_by_belts; a belt
pitch with a relative error s moves it by pen_by_belts times s times the belt paid out since zeroing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.equilibrium import Linearization, artanh_ratio, solve
from wallwright.statics.initial_guess import SIDES, EquilibriumState
from wallwright.statics.pose import Pose, belts_by_pen, inverse, linear_at, unit_towards

PARAMETERS = (
    "left anchor x",
    "left anchor y",
    "right anchor x",
    "right anchor y",
    "left exit x",
    "left exit y",
    "right exit x",
    "right exit y",
    "centre x",
    "centre y",
    "weight",
    "roller",
    "left stand-off",
    "right stand-off",
    "belt weight",
    "softness",
    "push x",
    "push y",
    "cable pull",
)
"""Names of the parameters. Units: mm; N for weight and for the push on the pen tip along the wall (drag; x right, y
down); N/mm for belt weight; softness is 1 / EA in 1/N, so that an inextensible belt has a derivative too. Exits and
centre are in the body frame. N for the cable's pull towards its fixing point."""

LEAST_STAND_OFF = 1e-6
"""Stand-off, mm, below which the derivative by stand-off, proportional to it, counts as zero."""


@dataclass
class _Shift:
    """Effect of a unit change of one parameter on the equations, with unknowns and pen held, and on the belts."""

    res_h: Floats
    res_v: Floats
    force: Floats
    moment: Floats
    belts: Floats
    """(2, n): direct effect on the belts, beside that through the unknowns."""


def belts_by_parameters(rig: CableRobotModel, pose: Pose, names: tuple[str, ...] = PARAMETERS) -> Floats:
    """Returns (n, 2, p): derivative of the left and right belt by each named parameter, pen held; nan where nothing hangs.

    mm per unit of the parameter.
    """
    linear, state = linear_at(rig, pose)
    result = np.empty((len(state.tilt), 2, len(names)))
    with np.errstate(all="ignore"):
        distance = -np.array(SIDES)[:, None] * (pose.exits[:, :, 0].T - np.array(rig.anchors)[:, :1])
        for k, name in enumerate(names):
            shift = _shift(rig, name, pose.pen, linear, state, distance)
            tilt, pull, rise, length = solve(linear, shift.res_h, shift.res_v, shift.force, shift.moment)
            for i, out in enumerate(SIDES):
                t2 = state.pulls[i] ** 2 + state.vertical_force[i] ** 2
                elevation = (state.pulls[i] * rise[i] - state.vertical_force[i] * pull) / t2 + out * tilt
                result[:, i, k] = length[i] - rig.roller * elevation + shift.belts[i]
    return result


def pen_by_belts(rig: CableRobotModel, pose: Pose) -> Floats:
    """Returns (n, 2, 2): derivative of pen x and y (axis 1) by the left and right belt (axis 2); nan at singular poses.

    mm per mm.
    """
    return inverse(belts_by_pen(rig, pose))


def _shift(
    rig: CableRobotModel,
    name: str,
    pen: Points,
    linear: Linearization,
    state: EquilibriumState,
    distance: Floats,
) -> _Shift:
    n = len(state.tilt)
    at = _Shift(np.zeros((2, n)), np.zeros((2, n)), np.zeros(n), np.zeros(n), np.zeros((2, n)))
    cos, sin = np.cos(state.tilt), np.sin(state.tilt)
    side, _, what = name.partition(" ")
    if side in ("left", "right"):
        i = 0 if side == "left" else 1
        if what.startswith("anchor"):
            across = what.endswith("x")
            _move_exit(at, linear, i, -1.0 if across else 0.0, 0.0 if across else -1.0)
        elif what.startswith("exit"):
            dx, dy = (cos, sin) if what.endswith("x") else (-sin, cos)
            _move_exit(at, linear, i, dx, dy)
            at.moment += -dx * state.vertical_force[i] - SIDES[i] * dy * state.pulls[i]
        else:
            _stand_off(rig, at, linear, i, distance[i])
    elif name == "centre x":
        at.moment += rig.weight * cos
    elif name == "centre y":
        at.moment -= rig.weight * sin
    elif name == "weight":
        at.force -= 1.0
        at.moment += cos * rig.centre[0] - sin * rig.centre[1]
    elif name == "roller":
        for i, out in enumerate(SIDES):
            t = np.hypot(state.pulls[i], state.vertical_force[i])
            _move_exit(at, linear, i, -out * state.vertical_force[i] / t, -state.pulls[i] / t)
            at.moment += out * t
            at.belts[i] = -(np.arctan2(state.vertical_force[i], state.pulls[i]) + out * state.tilt)
    elif name in ("belt weight", "softness"):
        by_weight, by_softness = _spans(rig, state, distance)
        at.res_h, at.res_v = by_weight if name == "belt weight" else by_softness
    elif name == "push x":
        # The right belt keeps H; the left one takes H + push.
        at.res_h[0], at.res_v[0] = linear.h_by[1][0], linear.v_by[1][0]
        at.moment += linear.moment_by[1][0]
        at.belts[0] = rig.roller * state.vertical_force[0] / (state.pulls[0] ** 2 + state.vertical_force[0] ** 2)
    elif name == "push y":
        at.force -= 1.0
    elif name == "cable pull":
        right, down = unit_towards(rig, pen).T
        at.res_h[0], at.res_v[0] = right * linear.h_by[1][0], right * linear.v_by[1][0]
        at.belts[0] = (
            right * rig.roller * state.vertical_force[0] / (state.pulls[0] ** 2 + state.vertical_force[0] ** 2)
        )
        at.force -= down
        x, y = rig.centre
        at.moment += right * linear.moment_by[1][0]
        at.moment += cos * (x * down - y * right) - sin * (x * right + y * down)
    else:
        raise KeyError(name)
    return at


def _move_exit(at: _Shift, linear: Linearization, i: int, dx: float | Floats, dy: float | Floats) -> None:
    """Moves the contact point of a side relative to its anchor by (dx, dy) in the wall frame."""
    at.res_h[i] += linear.distance_by[0][i] * (-SIDES[i] * dx)
    at.res_v[i] += linear.distance_by[1][i] * (-SIDES[i] * dx) - dy


def _stand_off(rig: CableRobotModel, at: _Shift, linear: Linearization, i: int, h: Floats) -> None:
    """Enters the derivative by the stand-off d, through the span's own pull H sqrt(1 + (d / h)²) and its reach sqrt(h² +
    d²).

    The pull depends on d / h only, so its derivative by d is -h / d times the one by h, which is already known.
    """
    d = rig.stand_off[i]
    if abs(d) < LEAST_STAND_OFF:
        return  # both are even in d
    reach = np.hypot(h, d)
    at.res_h[i] = (linear.distance_by[0][i] + h / reach) * (-h / d) - d / reach
    at.res_v[i] = linear.distance_by[1][i] * (-h / d)


def _spans(rig: CableRobotModel, state: EquilibriumState, h: Floats) -> tuple[tuple[Floats, Floats], ...]:
    """Returns the derivatives of the spans' (h, v), (2, n) each: by belt weight, and by softness. h: (2, n) mm.

    With S = T_a + T_e, z = w L / S as in wallwright.statics.equilibrium; S_w = V_a L / T_a, z_w = (L - z S_w) / S.
    """
    w, length, rise = rig.belt_weight, state.length, state.vertical_force
    pull = state.pulls * np.hypot(1.0, np.array(rig.stand_off)[:, None] / h)
    top = rise + w * length
    t_anchor = np.hypot(pull, top)
    s = np.hypot(pull, rise) + t_anchor
    z = w * length / s
    kappa, slope = artanh_ratio(z)
    s_w = top * length / t_anchor
    h_w = pull * length * (2 * slope * (length - z * s_w) / s**2 - 2 * kappa * s_w / s**2)
    total = rise + top
    v_w = length**2 * (0.5 / rig.stiffness + 1 / s) - total * length * s_w / s**2
    return (h_w, v_w), (pull * length, total * length / 2)
