"""Travel endings with which the pen lands with little swing.

While the pen is lowered the body must not swing much: the tip may touch the wall at any moment, and a swing then draws a
hook. The body swings in its slowest mode (swing.py),

    ξ'' + 2 ζ ω ξ' + ω² ξ = -f(t).

With λ = -ζω + iω', ω' = ω sqrt(1 - ζ²), and C = ξ - i (ξ' + ζωξ) / ω', a free swing is ξ(t) = Re(C exp(λt)), and |C| is its
amplitude. A constant f over a time h moves the rest position to ξ_s = -f / ω²: with S = ξ_s (1 - iζω / ω') it takes C
to (C - S) exp(λh) + S. A jump of the pen's velocity by Δv adds i g.Δv / ω'.

There are two ways to reduce the swing; the faster one is used:

- wait until it has decayed to the bound b: ln(|C| / b) / (ζω);
- change the travel. On a straight travel s(t), of duration t_0, the pen follows p s(t / q) + (1 - p) s((t - τ) / q): part
  of it at once, the rest later, all of it slower. With C_0 before the travel and R_q the response to s(t / q) at its end,
  this leaves

      C = C_0 exp(λ (q t_0 + τ)) + R_q (p exp(λτ) + 1 - p).

  For C_0 = 0, q = 1 the shortest with C = 0 is τ = half a period and p = K / (1 + K), K = exp(-πζ / sqrt(1 - ζ²)) (a half
  each without damping): the zero-vibration shaper of Singer and Seering, "Preshaping command inputs to reduce system
  vibration", Journal of Dynamic Systems, Measurement, and Control 112 (1990), from memory. Here p, τ and q are searched
  for the smallest q t_0 + τ + wait, which takes the swing left by the stroke before into account. The pen stays on its
  line, and no acceleration exceeds that of s(t). On a curved travel the sum of two motions would leave the path, so only
  q is searched.

A shaper depends on the frequency: the largest |C| over frequencies off by FREQUENCY_ERROR counts.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.compiled import compiled_dividing_by_zero

LONGEST_WAIT = 5.0
"""Longest wait, s: a longer one would mean hardly any damping."""
LEAST_DAMPING = 1e-3
"""Damping ratio below which waiting does not help."""
TICK = 0.01
"""Resolution of waits, s: whole multiples are written to files exactly."""
AIM = 0.85
"""Share of the bound used when an ending is chosen: samples do not follow it exactly."""
FREQUENCY_ERROR = 0.05
"""Relative uncertainty of the frequency from mass, inertia and place."""
DELAYS = 20
"""Number of delays tried, up to a whole period."""
SHARES = 12
"""Number of values of p tried, from 0 to 1."""
OVERLAP = 0.9
"""Largest τ as a share of the travel's duration: the pen never stops on the way, where there may be no sample."""
HALVINGS = 36
"""Number of bisections of a travel's duration to find when a sample is passed: below a microsecond."""
SLOWER = np.array([1.0, 1.25, 1.5, 2.0, 3.0])
"""Values of q tried."""


@compiled_dividing_by_zero
def settling_time(amplitude: float, bound: float, omega: float, damping: float) -> float:
    """Returns the time, s, until a free swing decays from an amplitude, mm, to a bound, mm: ln(amplitude / bound) /
    (damping omega), rounded up to TICK, at most LONGEST_WAIT."""
    if damping < LEAST_DAMPING:
        return 0.0
    return float(np.ceil(min(_fading_time(amplitude, bound, omega, damping), LONGEST_WAIT) / TICK - 1e-9)) * TICK


@compiled_dividing_by_zero
def _fading_time(amplitude: float, bound: float, omega: float, damping: float) -> float:
    """Returns the same without rounding and limit, s; damping is at least LEAST_DAMPING."""
    if amplitude <= bound:
        return 0.0
    return float(np.log(amplitude / bound) / (max(damping, LEAST_DAMPING) * omega))


@compiled_dividing_by_zero
def amplitude_of(swing: float, rate: float, omega: float, damping: float) -> float:
    """Returns the amplitude, mm, of the free swing that follows from a swing, mm, and its rate, mm/s."""
    return abs(_phasor(swing, rate, omega, damping))


@compiled_dividing_by_zero
def choose_ending(
    step: Floats,
    speed: Floats,
    direction: Floats,
    omega: Floats,
    participation: Floats,
    damping: float,
    pause: float,
    swing: float,
    rate: float,
    bound: float,
    ending: Floats,
) -> Floats:
    """Returns (n,) mm/s at the samples of one travel before a stroke, with the ending that leads to the earliest landing;
    write that to ending, (3,): q, p and τ, s; (1, 1, 0): unchanged.

    step: (n,) mm between its samples; speed: (n,) mm/s without any ending; direction: (n, 2); omega: (n,) rad/s;
    participation: (n, 2), as in swing.py; pause: s before it, at the start of which the pen swings by swing, mm, at rate,
    mm/s; bound: mm.
    """
    ending[0], ending[1], ending[2] = 1.0, 1.0, 0.0
    n = len(step)
    straight, seconds = True, 0.0
    for i in range(n - 1):
        if step[i] > 0.0:
            straight &= direction[i, 0] == direction[n - 2, 0] and direction[i, 1] == direction[n - 2, 1]
            seconds += 2.0 * step[i] / (speed[i] + speed[i + 1])
    if not (0.0 < seconds < 1e6):
        return speed
    free, response = np.empty((3, len(SLOWER)), dtype=np.complex128), np.empty((3, len(SLOWER)), dtype=np.complex128)
    last, later = np.empty(3, dtype=np.complex128), np.empty(3, dtype=np.complex128)
    for k in range(3):
        factor = 1.0 + (k - 1) * FREQUENCY_ERROR
        before = _phasor(swing, rate, factor * omega[0], damping) * np.exp(_root(factor * omega[0], damping) * pause)
        last[k] = _root(factor * omega[n - 1], damping)
        for j in range(len(SLOWER)):
            turn, response[k, j] = _response(step, speed, direction, omega, participation, factor, damping, SLOWER[j])
            free[k, j] = before * turn
    period, least = 2.0 * np.pi / omega[n - 1], -1.0
    for j in range(len(SLOWER)):
        q = SLOWER[j]
        for m in range(DELAYS + 1 if straight else 1):
            tau = m * period / DELAYS
            more = (q - 1.0) * seconds + tau
            if (least >= 0.0 and more >= least) or tau > OVERLAP * q * seconds:
                break
            for k in range(3):
                later[k] = np.exp(last[k] * tau)
            for part in range(SHARES if m > 0 else 1):
                p, most = 1.0 - part / SHARES, 0.0
                for k in range(3):
                    most = max(most, abs(free[k, j] * later[k] + response[k, j] * (p * later[k] + 1.0 - p)))
                cost = more + _fading_time(most, AIM * bound, omega[n - 1], damping)
                if least < 0.0 or cost < least - 1e-9:
                    least = cost
                    ending[0], ending[1], ending[2] = q, p, tau
    # The change must pay off with the actual samples.
    shaped, costs = with_ending(step, speed, ending), np.zeros(2)
    for way in range(2):
        one = shaped if way == 0 else speed
        for i in range(n - 1):
            if step[i] > 0.0:
                costs[way] += 2.0 * step[i] / (one[i] + one[i + 1])
        turn, left = _response(step, one, direction, omega, participation, 1.0, damping, 1.0)
        before = _phasor(swing, rate, omega[0], damping) * np.exp(_root(omega[0], damping) * pause)
        costs[way] += _fading_time(abs(before * turn + left), bound, omega[n - 1], damping)
    if costs[0] <= costs[1]:
        return shaped
    ending[0], ending[1], ending[2] = 1.0, 1.0, 0.0
    return speed


@compiled_dividing_by_zero
def _root(omega: float, damping: float) -> complex:
    """Returns λ, 1/s."""
    return complex(-damping * omega, omega * np.sqrt(max(1.0 - damping * damping, 1e-6)))


@compiled_dividing_by_zero
def _phasor(swing: float, rate: float, omega: float, damping: float) -> complex:
    """Returns C, mm."""
    root = _root(omega, damping)
    return complex(swing, -(rate - root.real * swing) / root.imag)


@compiled_dividing_by_zero
def _response(
    step: Floats,
    speed: Floats,
    direction: Floats,
    omega: Floats,
    participation: Floats,
    factor: float,
    damping: float,
    slower: float,
) -> tuple[complex, complex]:
    """Returns the factor on a free swing along a travel stretched by slower, and C at its end, mm, if it began without
    swing. factor: on the frequencies."""
    state, turn, vx, vy = complex(0.0, 0.0), complex(1.0, 0.0), 0.0, 0.0
    for i in range(len(step)):
        own = factor * omega[i]
        root = _root(own, damping)
        gx, gy = participation[i, 0], participation[i, 1]
        nx, ny = direction[i, 0] * speed[i] / slower, direction[i, 1] * speed[i] / slower
        state += complex(0.0, (gx * (nx - vx) + gy * (ny - vy)) / root.imag)
        vx, vy = nx, ny
        if i + 1 == len(step) or step[i] <= 0.0:
            continue
        took = 2.0 * slower * step[i] / (speed[i] + speed[i + 1])
        gain = (speed[i + 1] - speed[i]) / slower
        still = -(gx * direction[i, 0] + gy * direction[i, 1]) * gain / took / (own * own)
        rest = still * complex(1.0, root.real / root.imag)
        passed = np.exp(root * took)
        state, turn = (state - rest) * passed + rest, turn * passed
        vx, vy = vx + direction[i, 0] * gain, vy + direction[i, 1] * gain
    return turn, state


@compiled_dividing_by_zero
def with_ending(step: Floats, speed: Floats, ending: Floats) -> Floats:
    """Returns (n,) mm/s at the samples of one run with an ending (3,): q, p and τ. step: (n,) mm; speed: (n,) mm/s
    without."""
    result = speed.copy()
    q, p, tau = ending[0], ending[1], ending[2]
    if q == 1.0 and tau == 0.0:
        return result
    n = len(step)
    time, way = np.zeros(n), np.zeros(n)
    for i in range(1, n):
        way[i] = way[i - 1] + step[i - 1]
        took = 2.0 * q * step[i - 1] / (speed[i - 1] + speed[i]) if step[i - 1] > 0.0 else 0.0
        time[i] = time[i - 1] + took
    begin = 0.0
    for i in range(1, n - 1):
        a, b = begin, time[n - 1] + tau
        for _ in range(HALVINGS):
            middle = (a + b) / 2
            now, _speed = _at(middle, time, way, speed, q)
            then, _speed = _at(middle - tau, time, way, speed, q)
            if p * now + (1.0 - p) * then < way[i]:
                a = middle
            else:
                b = middle
        begin = a
        _way, now = _at(b, time, way, speed, q)
        _way, then = _at(b - tau, time, way, speed, q)
        result[i] = min(p * now + (1.0 - p) * then, speed[i])
    return result


@compiled_dividing_by_zero
def with_endings(runs: Integers, step: Floats, speed: Floats, endings: Floats) -> Floats:
    """Returns (n,) mm/s at the samples of runs, (k + 1,) first sample of each, with their endings (k, 3)."""
    result = speed.copy()
    for run in range(len(runs) - 1):
        here = slice(runs[run], runs[run + 1])
        result[here] = with_ending(step[here], speed[here], endings[run])
    return result


@compiled_dividing_by_zero
def _at(moment: float, time: Floats, way: Floats, speed: Floats, slower: float) -> tuple[float, float]:
    """Returns mm and mm/s at a moment of a run with samples at times (n,), already stretched by slower, s, and path
    lengths way (n,), mm."""
    n = len(time)
    if moment <= 0.0:
        return 0.0, 0.0
    if moment >= time[n - 1]:
        return way[n - 1], 0.0
    i = int(np.searchsorted(time, moment, side="right")) - 1
    whole, gone = time[i + 1] - time[i], moment - time[i]
    v0, v1 = speed[i] / slower, speed[i + 1] / slower
    now = v0 + (v1 - v0) * gone / whole
    return way[i] + gone * (v0 + now) / 2, now
