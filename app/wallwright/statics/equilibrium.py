"""Equilibrium of the body with its pen at a given point: six unknowns per point, solved by Newton for all points at once.

Glossary
    h, v      horizontal and vertical distance from anchor down to the exit's contact point
    H         horizontal pull, the same in both belts unless something pushes sideways: then the mean of both
    F         outer force (outer_force.py): the left belt pulls with H + F_x / 2, the right one with H - F_x / 2
    V         vertical pull of a belt on the exit, positive upwards
    L         unstretched length of a span; w its weight per unstretched length; EA its stiffness
    T_e, T_a  tension at exit and anchor: T_e² = H² + V², T_a² = H² + (V + w L)²

The elastic catenary (Irvine, Cable Structures, 1981, section 2.4) is written here without its difference of two inverse
hyperbolic sines, which loses all digits for a light belt. With S = T_a + T_e and z = w L / S (always < 1), tanh((β - α) /
2) = (sinh β - sinh α) / (cosh β + cosh α) turns it into

    h = H L (1 / EA + 2 artanh(z) / (z S))
    v = (2 V + w L) L (1 / (2 EA) + 1 / S)

which also holds for w = 0 (artanh(z) / z = 1) and EA = inf.

Unknowns: tilt θ, H, and (V, L) of each side. Equations: h and v of each span; V_L + V_R = weight + F_y; no moment about the
pen. The two rows of each span are eliminated by hand, so that a step solves 2 x 2 systems only.

Rollers: a belt runs over the top of its roller; its line of action is r off the centre, and the belt from anchor to the
mark where it would leave level outwards is L - r α, α its elevation against the body. Stand-off d: the span lies in the
vertical plane through anchor and exit, so its own horizontal pull is H sqrt(1 + (d / h)²); the part square to the wall is
carried by the wall.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.columns import row_all
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.initial_guess import SIDES, EquilibriumState, straight_belt_guess, tilt_scan_guess

STEPS = 12
"""Largest number of Newton steps; a point inside a usual draw zone takes 5."""
MORE_STEPS = 24
"""Largest number of Newton steps from a scanned tilt."""
CLOSE = 1e-9
"""Residual (relative to the weight, and to the span's length) at which one last step is taken, which squares it."""


Derivatives = tuple[Floats, Floats, Floats]
"""Derivatives by H, V and L."""
SpanForces = tuple[Floats, Floats, Floats, Floats, Derivatives, Derivatives]


@dataclass
class Linearization:
    """The equations and their derivatives at a state. Arrays per side have a first axis of 2: (2, n)."""

    res_h: Floats
    res_v: Floats
    force: Floats
    moment: Floats
    h_by: Floats
    """(4, 2, n): derivatives of res_h by θ, H, V, L."""
    v_by: Floats
    moment_by: tuple[Floats, Floats, Floats]
    """Derivatives by θ (n,), by the H of each side (2, n), by V (2, n)."""
    distance_by: tuple[Floats, Floats]
    """(2, n) each: derivatives of res_h and of res_v by the horizontal distance h."""


def artanh_ratio(z: Floats) -> tuple[Floats, Floats]:
    """Returns artanh(z) / z and its derivative for z in [0, 1), by series where the quotients lose their digits.

    Elementwise, (n,); numbers without a unit.
    """
    small = z < 1e-4
    zs = np.where(small, 0.5, z)
    value = np.arctanh(zs) / zs
    slope = (1 / (1 - zs * zs) - value) / zs
    return np.where(small, 1 + z * z / 3, value), np.where(small, 2 * z / 3, slope)


def span_forces(rig: CableRobotModel, pull: Floats, rise: Floats, length: Floats) -> SpanForces:
    """Returns h and v of spans and their derivatives by (H, V, L), elementwise.

    Returns (h, v, exit tension, anchor tension, (h_H, h_V, h_L), (v_H, v_V, v_L)).
    pull and rise (H and V): (n,) N; length: (n,) mm; distances are in mm.
    """
    w, soft = rig.belt_weight, 1.0 / rig.stiffness
    top = rise + w * length
    t_exit, t_anchor = np.hypot(pull, rise), np.hypot(pull, top)
    s = t_exit + t_anchor
    z = np.minimum(w * length / s, 1 - 1e-12)
    kappa, slope = artanh_ratio(z)
    s_h = pull / t_exit + pull / t_anchor
    s_v = rise / t_exit + top / t_anchor
    s_l = w * top / t_anchor
    q = 2 * kappa / s
    # dq = 2 κ'(z) dz / S - 2 κ dS / S²,  dz = (w dL - z dS) / S
    q_s = -(2 * slope * z + 2 * kappa) / s**2
    q_l = 2 * slope * w / s**2
    h = pull * length * (soft + q)
    h_by = (
        length * (soft + q) + pull * length * q_s * s_h,
        pull * length * q_s * s_v,
        pull * (soft + q) + pull * length * (q_l + q_s * s_l),
    )
    total = rise + top
    c = soft / 2 + 1 / s
    v = total * length * c
    v_by = (
        -total * length / s**2 * s_h,
        2 * length * c - total * length / s**2 * s_v,
        (total + w * length) * c - total * length / s**2 * s_l,
    )
    return h, v, t_exit, t_anchor, h_by, v_by


def exits_of(rig: CableRobotModel, pen: Points, state: EquilibriumState) -> Floats:
    """Returns (2, 2, n): side, x and y, point: where the belts touch the body, wall frame, mm."""
    cos, sin = np.cos(state.tilt), np.sin(state.tilt)
    found = np.empty((2, 2, len(state.tilt)))
    for i, out in enumerate(SIDES):
        ex, ey = rig.exits[i]
        pull, rise = state.pulls[i], state.vertical_force[i]
        t = np.hypot(pull, rise)
        found[i, 0] = pen[:, 0] + cos * ex - sin * ey - out * rig.roller * rise / t
        found[i, 1] = pen[:, 1] + sin * ex + cos * ey - rig.roller * pull / t
    return found


def linearize(rig: CableRobotModel, pen: Points, state: EquilibriumState) -> Linearization:
    """Returns residuals and derivatives. pen: (n, 2) mm."""
    tilt, pulls, rise, length = state.tilt, state.pulls, state.vertical_force, state.length
    outer = state.outer.T
    cos, sin = np.cos(tilt), np.sin(tilt)
    n = len(tilt)
    res_h, res_v, distance_h, distance_v = (np.empty((2, n)) for _ in range(4))
    h_by, v_by = np.empty((4, 2, n)), np.empty((4, 2, n))
    cx, cy = rig.centre
    moment = rig.weight * (cos * cx - sin * cy) + (cos * outer[2] - sin * outer[3])
    m_tilt = rig.weight * (-sin * cx - cos * cy) - (sin * outer[2] + cos * outer[3])
    m_pull, m_rise = np.empty((2, n)), np.empty((2, n))
    exits = exits_of(rig, pen, state)
    for i, out in enumerate(SIDES):
        pull = pulls[i]
        ex, ey = rig.exits[i]
        rx, ry = cos * ex - sin * ey, sin * ex + cos * ey
        t3 = np.hypot(pull, rise[i]) ** 3
        # Distances, positive for an exit between the anchors and below them, and their derivatives.
        h = -out * (exits[i, 0] - rig.anchors[i][0])
        v = exits[i, 1] - rig.anchors[i][1]
        h_tilt, v_tilt = out * ry, rx
        h_pull, h_rise = -rig.roller * rise[i] * pull / t3, rig.roller * pull * pull / t3
        v_pull, v_rise = -rig.roller * rise[i] ** 2 / t3, rig.roller * pull * rise[i] / t3
        d = rig.stand_off[i]
        reach = np.hypot(h, d) if d else h
        ratio = reach / h if d else np.ones(n)
        ratio_h = -(d * d) / (reach * h * h) if d else np.zeros(n)
        sh, sv, _, _, (hh, hv, hl), (vh, vv, vl) = span_forces(rig, pull * ratio, rise[i], length[i])
        res_h[i], res_v[i] = sh - reach, sv - v
        # res_h depends on h through the span's own pull and through the horizontal distance itself.
        by_h = hh * pull * ratio_h - (h / reach if d else 1.0)
        v_by_h = vh * pull * ratio_h
        distance_h[i], distance_v[i] = by_h, v_by_h
        h_by[:, i] = (by_h * h_tilt, hh * ratio + by_h * h_pull, hv + by_h * h_rise, hl)
        v_by[:, i] = (
            v_by_h * h_tilt - v_tilt,
            vh * ratio + v_by_h * h_pull - v_pull,
            vv + v_by_h * h_rise - v_rise,
            vl,
        )
        # Moment of the pull (out H, -V) at (rx, ry), and of the roller's offset, out r T.
        t_wall = np.hypot(pull, rise[i])
        moment += -rx * rise[i] - out * ry * pull + out * rig.roller * t_wall
        m_tilt += ry * rise[i] - out * rx * pull
        m_pull[i] = -out * ry + out * rig.roller * pull / t_wall
        m_rise[i] = -rx + out * rig.roller * rise[i] / t_wall
    force = rise[0] + rise[1] - rig.weight - outer[1]
    return Linearization(res_h, res_v, force, moment, h_by, v_by, (m_tilt, m_pull, m_rise), (distance_h, distance_v))


def solve(
    linear: Linearization, res_h: Floats, res_v: Floats, force: Floats, moment: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Returns the change (θ, H, V (2, n), L (2, n)) that cancels the given residuals to first order.

    In rad, N, N and mm, for residuals of the spans (2, n), mm, of force (n,), N, and of moment (n,), N mm.
    """
    (ht, hp, hv, hl), (vt, vp, vv, vl) = linear.h_by, linear.v_by
    det = hv * vl - hl * vv
    # V and L of each side as affine functions of θ and H.
    v0, vθ, vh = -(res_h * vl - hl * res_v) / det, -(ht * vl - hl * vt) / det, -(hp * vl - hl * vp) / det
    l0, lθ, lh = -(hv * res_v - res_h * vv) / det, -(hv * vt - ht * vv) / det, -(hv * vp - hp * vv) / det
    m_tilt, m_pull, m_rise = linear.moment_by
    a11, a12, b1 = vθ.sum(0), vh.sum(0), -(force + v0.sum(0))
    a21, a22 = m_tilt + (m_rise * vθ).sum(0), m_pull.sum(0) + (m_rise * vh).sum(0)
    b2 = -(moment + (m_rise * v0).sum(0))
    det2 = a11 * a22 - a12 * a21
    tilt, pull = (b1 * a22 - a12 * b2) / det2, (a11 * b2 - b1 * a21) / det2
    return tilt, pull, v0 + vθ * tilt + vh * pull, l0 + lθ * tilt + lh * pull


def equilibrium(rig: CableRobotModel, pen: Points, outer: Floats) -> tuple[EquilibriumState, Flags]:
    """Returns the state at (n, 2) pen points, mm, and (n,) bool: solved. Unsolved points hold nan. outer: (n, 4), see
    outer_force."""
    n = len(pen)
    tilt, horizontal = np.full(n, np.nan), np.full(n, np.nan)
    result = EquilibriumState(tilt, horizontal, np.full((2, n), np.nan), np.full((2, n), np.nan), outer)
    solved = np.zeros(n, dtype=bool)
    at = np.flatnonzero(row_all(np.isfinite(pen)) & row_all(np.isfinite(outer)))
    _newton(rig, pen, at, straight_belt_guess(rig, pen[at]), STEPS, result, solved)
    left = at[~solved[at]]
    if len(left):
        state, found = tilt_scan_guess(rig, pen[left])
        _newton(rig, pen, left[found], state, MORE_STEPS, result, solved)
    return result, solved


def _newton(
    rig: CableRobotModel,
    pen: Points,
    at: Integers,
    state: EquilibriumState,
    steps: int,
    result: EquilibriumState,
    solved: Flags,
) -> None:
    """Solves the points at (k,) of pen, starting from a state of these k points; write what converges to result and
    solved. The outer forces are those of the result."""
    state.outer = result.outer[at]
    # Points without an equilibrium diverge and are recognised by values that are not finite.
    with np.errstate(all="ignore"):
        for _ in range(steps):
            if not len(at):
                break
            linear = linearize(rig, pen[at], state)
            size = np.maximum(np.abs(linear.res_h), np.abs(linear.res_v)).max(0)
            size /= np.maximum(state.length.max(0), 1)
            size = np.maximum(size, np.abs(linear.force) / rig.weight)
            size = np.maximum(size, np.abs(linear.moment) / (rig.weight * 100))
            tilt, pull, rise, length = solve(linear, linear.res_h, linear.res_v, linear.force, linear.moment)
            done = size < CLOSE
            damp = np.minimum(1.0, 0.3 / np.maximum(np.abs(tilt), 1e-300))
            damp = np.minimum(damp, 0.7 * state.horizontal_force / np.maximum(-pull, 1e-300))
            damp = np.minimum(damp, (0.7 * state.length / np.maximum(-length, 1e-300)).min(0))
            state = EquilibriumState(
                state.tilt + damp * tilt,
                state.horizontal_force + damp * pull,
                state.vertical_force + damp * rise,
                state.length + damp * length,
                state.outer,
            )
            good = np.isfinite(state.tilt) & (np.abs(state.tilt) < np.pi / 2)
            good &= state.pulls.min(axis=0) > 1e-9 * rig.weight
            done &= good
            found = at[done]
            solved[found] = True
            result.tilt[found], result.horizontal_force[found] = (
                state.tilt[done],
                state.horizontal_force[done],
            )
            result.vertical_force[:, found], result.length[:, found] = (
                state.vertical_force[:, done],
                state.length[:, done],
            )
            keep = good & ~done
            at = at[keep]
            state = EquilibriumState(
                state.tilt[keep],
                state.horizontal_force[keep],
                state.vertical_force[:, keep],
                state.length[:, keep],
                state.outer[keep],
            )
