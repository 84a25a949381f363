"""Time along a fixed path: the fastest speed profile under limits linear in (path acceleration, speed squared).

Canonical form (Pham and Pham, "A new approach to time-optimal path parameterization based on reachability analysis",
IEEE Transactions on Robotics 34, 2018): x = v², u = path acceleration, x_{i+1} = x_i + 2 Δ_i u_i, x linear along an
interval. Each limit asks |q u + r x| <= b at an interval's ends:

    pen     |u| <= a
    belt    |L' u + L'' x| <= b      (second derivative of belt length in time)

and x <= cap from pen speed, belt speed and corners. A backward pass finds the largest x from which the rest of the path
can be done, a forward pass takes the largest u that stays below it. Because a limit is looked at at both ends of an
interval, where its left side is linear in between but for the change of L' and L'', it holds between grid points too.
"""

from __future__ import annotations

import numpy as np
from numba import njit

TINY = 1e-12


@njit(cache=True, nogil=True)
def profile(runs, step, cap, first, second, a, b):
    """(n,) x = v² at samples, mm²/s².

    runs: (k + 1,) first sample of each run; at both ends of a run the pen rests. step: (n,) mm to the next sample
    (unused at a run's last). cap: (n,) largest x. first, second: (n, 2, 2): L' and L'' at the near and far end of the
    interval that begins at the sample (sample, end, belt). a: pen acceleration; b: belt acceleration.
    """
    n = len(cap)
    x = np.zeros(n)
    q, r = np.empty(5), np.empty(5)
    for run in range(len(runs) - 1):
        low, high = runs[run], runs[run + 1] - 1
        if high <= low:
            continue
        x[high] = 0.0
        for i in range(high - 1, low - 1, -1):
            if step[i] <= 0.0:  # a point given twice
                x[i] = min(x[i + 1], cap[i])
                continue
            x[i] = _backward(x[i + 1], cap[i], step[i], first[i], second[i], a, b, q, r)
        x[low] = 0.0
        for i in range(low, high):
            if step[i] <= 0.0:
                x[i + 1] = min(x[i + 1], x[i])
                continue
            u = _fastest(x[i], step[i], first[i], second[i], a, b)
            x[i + 1] = max(0.0, min(x[i + 1], x[i] + 2.0 * step[i] * u))
    return x


@njit(cache=True, nogil=True)
def _limits(step, first, second, b, q, r):
    """Rows |q u + r x_i| <= b of the belts at both ends of an interval. Returns their number."""
    count = 0
    for belt in range(2):
        q[count], r[count] = first[0, belt], second[0, belt]
        count += 1
        # At the far end x is x_i + 2 Δ u.
        q[count], r[count] = first[1, belt] + 2.0 * step * second[1, belt], second[1, belt]
        count += 1
    return count


@njit(cache=True, nogil=True)
def _backward(ahead, cap, step, first, second, a, b, q, r):
    """Largest x_i <= cap from which some u keeps all limits and x_{i+1} <= ahead.

    Every limit gives an upper and a lower line for u over x; x may grow until some lower line meets some upper one.
    Rest is always possible: at x = 0 every lower line is <= 0 <= every upper one.
    """
    count = _limits(step, first, second, b, q, r)
    up_0, up_1, low_0, low_1 = np.empty(6), np.empty(6), np.empty(6), np.empty(6)
    m = 0
    best = cap
    up_0[m], up_1[m], low_0[m], low_1[m] = a, 0.0, -a, 0.0
    m += 1
    up_0[m], up_1[m], low_0[m], low_1[m] = ahead / (2.0 * step), -0.5 / step, 0.0, -0.5 / step
    m += 1
    for j in range(count):
        if abs(q[j]) < TINY:
            if abs(r[j]) > TINY:
                best = min(best, b / abs(r[j]))
            continue
        s = abs(q[j])
        slope = -r[j] / q[j]
        up_0[m], up_1[m], low_0[m], low_1[m] = b / s, slope, -b / s, slope
        m += 1
    for i in range(m):
        for j in range(m):
            rate = low_1[i] - up_1[j]
            if rate > 0.0:
                best = min(best, (up_0[j] - low_0[i]) / rate)
    return max(best, 0.0)


@njit(cache=True, nogil=True)
def _fastest(x, step, first, second, a, b):
    """Largest u that the limits allow at x."""
    u = a
    q, r = np.empty(5), np.empty(5)
    count = _limits(step, first, second, b, q, r)
    for j in range(count):
        if abs(q[j]) >= TINY:
            u = min(u, b / abs(q[j]) - r[j] / q[j] * x)
    return u
