"""Time along a fixed path: the fastest speed profile under limits linear in (path acceleration, speed squared).

Canonical form (Pham and Pham, "A new approach to time-optimal path parameterization based on reachability analysis", IEEE
Transactions on Robotics 34, 2018): x = v², u = path acceleration, x_{i+1} = x_i + 2 Δ_i u_i, x linear along an interval.
With the path's direction t, its curvature κ and normal n, the belts L(P) with gradient J and second derivatives H, a limit
is a row low <= q u + r x <= high:

    pen        q = 1                r = 0                       |.| <= a
    belt       q = J t              r = t H t + κ J n           |.| <= b          (second derivative in time)
    tension    q = -m J⁻ᵀ t         r = -m κ J⁻ᵀ n              within what the static tension leaves

and x <= cap from pen speed, belt speed and corners. A backward pass finds the largest x from which the rest of the path is
feasible, a forward pass takes the largest u that stays below it. Every row is applied at both ends of an interval, each
with that end's derivatives; in between, the left side is linear except for the change of the derivatives, so it holds
between grid points too. At the far end x is x_i + 2 Δ u, which must not be negative.

Motor torque that falls with speed, pull <= p v_c / (|J t| sqrt(x)), is convex in x: its tangent at the cap is below it
everywhere and gives a row.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.compiled import compiled

TINY = 1e-12
OVERSHOOT = 3.0
"""Ratio of the peak change of tension to the static one. A belt is a spring: when the acceleration jumps from full
acceleration to full braking, its tension overshoots the new value by the height of the jump (undamped spring)."""
LEAST_ROOM = 0.01
"""Smallest allowed change of tension in both directions, N. A slack belt would allow none, and the pen would never move;
slack belts are found by the draw zone."""
MOST_ROWS = 16


class PathGrid(NamedTuple):
    """The path at its n samples, with the limits there. Intervals are counted by the sample they begin at."""

    runs: Integers
    """(k + 1,) first sample of each run; the pen rests at both ends of a run."""
    step: Floats
    """(n,) mm to the next sample; 0 at the last one of a run."""
    max_speed_squared: Floats
    """(n,) mm²/s²: largest x."""
    max_acceleration: Floats
    """(n,) mm/s²: largest pen acceleration on each interval, along the path and towards a curve's centre."""
    tangent: Floats
    """(n, 2, 2): unit direction at the near and the far end of each interval."""
    curvature: Floats
    """(n, 2) 1/mm: curvature, clockwise positive, at the near and far end of each interval."""
    belt_gradient: Floats
    """(n, 2, 2): J: belt, then by x and by y."""
    belt_hessian: Floats
    """(n, 2, 3): H: belt, then by xx, xy, yy."""
    tension: Floats
    """(n, 2) N: static tension."""


class MotionLimits(NamedTuple):
    """Limits that are the same everywhere."""

    belt_acceleration: float
    """Largest belt acceleration, mm/s²."""
    mass: float
    """Mass of the body, kg / 1000: N per mm/s²."""
    floor: float
    """Least tension in motion, N; where the static tension is below twice this, half the static tension."""
    pull: float
    """Tension, N, at which a motor at rest loses steps."""
    corner_speed: float
    """Belt speed, mm/s, above which the pull falls as 1 / speed."""


@compiled
def speed_profile(grid: PathGrid, bounds: MotionLimits) -> Floats:
    """Returns (n,) x = v² at samples, mm²/s²."""
    n = len(grid.max_speed_squared)
    x = np.zeros(n)
    table = np.empty((MOST_ROWS, 4))
    lines = np.empty((2 * MOST_ROWS + 4, 4))
    for run in range(len(grid.runs) - 1):
        low, high = grid.runs[run], grid.runs[run + 1] - 1
        if high <= low:
            continue
        x[high] = 0.0
        for i in range(high - 1, low - 1, -1):
            if grid.step[i] <= 0.0:  # duplicate point
                x[i] = min(x[i + 1], grid.max_speed_squared[i])
                continue
            count = _rows(grid, bounds, i, table)
            x[i] = _backward(
                x[i + 1],
                grid.max_speed_squared[i],
                grid.step[i],
                grid.max_acceleration[i],
                table,
                count,
                lines,
            )
        x[low] = 0.0
        for i in range(low, high):
            if grid.step[i] <= 0.0:
                x[i + 1] = min(x[i + 1], x[i])
                continue
            count = _rows(grid, bounds, i, table)
            u = _fastest(x[i], grid.max_acceleration[i], table, count)
            x[i + 1] = max(0.0, min(x[i + 1], x[i] + 2.0 * grid.step[i] * u))
    return x


@compiled
def _rows(grid: PathGrid, bounds: MotionLimits, i: int, table: Floats) -> int:
    """Writes the rows (q, r, low, high) on (u, x_i) of interval i to table, without those that cannot bind. Returns their
    number."""
    count = 0
    step, a = grid.step[i], grid.max_acceleration[i]
    most = max(grid.max_speed_squared[i], grid.max_speed_squared[i + 1])
    for end in range(2):
        j = i + end
        tx, ty = grid.tangent[i, end, 0], grid.tangent[i, end, 1]
        bend = grid.curvature[i, end]
        ahead = 2.0 * step * end  # x there is x_i + ahead u
        jlx, jly, jrx, jry = (
            grid.belt_gradient[j, 0, 0],
            grid.belt_gradient[j, 0, 1],
            grid.belt_gradient[j, 1, 0],
            grid.belt_gradient[j, 1, 1],
        )
        for belt in range(2):
            gx, gy = (jlx, jly) if belt == 0 else (jrx, jry)
            hxx, hxy, hyy = (
                grid.belt_hessian[j, belt, 0],
                grid.belt_hessian[j, belt, 1],
                grid.belt_hessian[j, belt, 2],
            )
            q = gx * tx + gy * ty
            r = hxx * tx * tx + 2.0 * hxy * tx * ty + hyy * ty * ty + bend * (gy * tx - gx * ty)
            b = bounds.belt_acceleration
            count = _enter(table, count, q, r, -b, b, a, most, ahead)
        det = jlx * jry - jly * jrx
        if bounds.mass <= 0.0 or abs(det) < TINY:
            continue
        # J⁻ᵀ of a vector (px, py), one row per belt.
        for belt in range(2):
            cx, cy = (jry, -jrx) if belt == 0 else (-jly, jlx)
            q = -OVERSHOOT * bounds.mass * (cx * tx + cy * ty) / det
            r = -OVERSHOOT * bounds.mass * bend * (-cx * ty + cy * tx) / det
            still = grid.tension[j, belt]
            room = max(bounds.pull - still, 0.05 * still, LEAST_ROOM)
            low = min(min(bounds.floor, 0.5 * still) - still, -LEAST_ROOM)
            count = _enter(table, count, q, r, low, room, a, most, ahead)
            gx, gy = (jlx, jly) if belt == 0 else (jrx, jry)
            top = grid.max_speed_squared[j]
            fast = abs(gx * tx + gy * ty) * np.sqrt(top)
            if fast > bounds.corner_speed:
                pull = bounds.pull * bounds.corner_speed / fast
                room = max(1.5 * pull - still, 0.05 * still, LEAST_ROOM)
                count = _enter(table, count, q, r + 0.5 * pull / top, -1e30, room, a, most, ahead)
    return count


@compiled
def _enter(
    table: Floats,
    count: int,
    q: float,
    r: float,
    low: float,
    high: float,
    a: float,
    most: float,
    ahead: float,
) -> int:
    """Appends low <= q u + r x <= high, x = x_i + ahead u, unless |u| <= a and 0 <= x <= most imply it."""
    up, down = abs(q) * a + max(r, 0.0) * most, abs(q) * a + max(-r, 0.0) * most
    if up <= high and down <= -low:
        return count
    table[count, 0], table[count, 1], table[count, 2], table[count, 3] = q + ahead * r, r, low, high
    return count + 1


@compiled
def _backward(ahead: float, cap: float, step: float, a: float, table: Floats, count: int, lines: Floats) -> float:
    """Returns the largest x_i <= cap from which some u satisfies all rows and 0 <= x_{i+1} <= ahead.

    Every row gives a lower and an upper line for u over x (lines: low_0, low_1, up_0, up_1); x may grow until some lower
    line meets some upper one. Rest is always feasible: at x = 0 every lower line is <= 0 <= every upper one.
    """
    best = cap
    lines[0, 0], lines[0, 1], lines[0, 2], lines[0, 3] = -a, 0.0, a, 0.0
    lines[1, 0], lines[1, 1], lines[1, 2], lines[1, 3] = 0.0, -0.5 / step, ahead / (2.0 * step), -0.5 / step
    m = 2
    for j in range(count):
        q, r, low, high = table[j, 0], table[j, 1], table[j, 2], table[j, 3]
        if abs(q) < TINY:
            if r > TINY:
                best = min(best, high / r)
            elif r < -TINY:
                best = min(best, low / r)
            continue
        slope = -r / q
        if q > 0.0:
            lines[m, 0], lines[m, 2] = low / q, high / q
        else:
            lines[m, 0], lines[m, 2] = high / q, low / q
        lines[m, 1] = lines[m, 3] = slope
        m += 1
    for i in range(m):
        for j in range(m):
            rate = lines[i, 1] - lines[j, 3]
            if rate > 0.0:
                best = min(best, (lines[j, 2] - lines[i, 0]) / rate)
    return max(best, 0.0)


@compiled
def _fastest(x: float, a: float, table: Floats, count: int) -> float:
    """Returns the largest u that the rows allow at x."""
    u = a
    for j in range(count):
        q, r = table[j, 0], table[j, 1]
        if q >= TINY:
            u = min(u, (table[j, 3] - r * x) / q)
        elif q <= -TINY:
            u = min(u, (table[j, 2] - r * x) / q)
    return u


@compiled
def speed_limits(grid: PathGrid, cap: Floats, belt_speed: float, chord: Floats) -> Floats:
    """Returns (n,) cap lowered to what belt speed and centripetal acceleration allow at both ends of every interval.

    chord: (n, 2) unit direction of each interval itself, in which the pen moves where a curve is flattened. cap: (n,)
    mm²/s²; belt_speed: mm/s.
    """
    result = cap.copy()
    for i in range(len(cap) - 1):
        if grid.step[i] <= 0.0:
            continue
        for end in range(2):
            j = i + end
            tx, ty = grid.tangent[i, end, 0], grid.tangent[i, end, 1]
            for belt in range(2):
                gx, gy = grid.belt_gradient[j, belt, 0], grid.belt_gradient[j, belt, 1]
                rate = max(abs(gx * tx + gy * ty), abs(gx * chord[i, 0] + gy * chord[i, 1]))
                if rate * rate * result[j] > belt_speed * belt_speed:
                    result[j] = (belt_speed / rate) ** 2
            bend = abs(grid.curvature[i, end])
            if bend * result[j] > grid.max_acceleration[i]:
                result[j] = grid.max_acceleration[i] / bend
    return result


@compiled
def tension_in_motion(grid: PathGrid, x: Floats, mass: float) -> Floats:
    """Returns (n, 2) N at the samples: static tension plus the effect of the interval that begins there; at the last
    sample of a run, of the one before."""
    result = grid.tension.copy()
    for run in range(len(grid.runs) - 1):
        low, high = grid.runs[run], grid.runs[run + 1] - 1
        for j in range(low, high + 1):
            i, end = (j, 0) if j < high else (j - 1, 1)
            if i < low or grid.step[i] <= 0.0:
                continue
            u = (x[i + 1] - x[i]) / (2.0 * grid.step[i])
            tx, ty = grid.tangent[i, end, 0], grid.tangent[i, end, 1]
            bend = grid.curvature[i, end] * x[j]
            ax, ay = tx * u - ty * bend, ty * u + tx * bend
            a, b, c, d = (
                grid.belt_gradient[j, 0, 0],
                grid.belt_gradient[j, 0, 1],
                grid.belt_gradient[j, 1, 0],
                grid.belt_gradient[j, 1, 1],
            )
            det = a * d - b * c
            if abs(det) < TINY:
                continue
            result[j, 0] -= mass * (d * ax - c * ay) / det
            result[j, 1] -= mass * (a * ay - b * ax) / det
    return result
