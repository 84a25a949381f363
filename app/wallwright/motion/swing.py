"""Swing of the pen about its path: the body is a pendulum excited by the motion.

The motion is modelled as the static pose q of the planned pen plus a swing in the body's slowest mode, whose shape φ and
frequency ω vary along the path (statics/swing_modes.py). In the modal coordinate ξ, mm at the pen,

    ξ'' + 2 ζ ω ξ' + ω² ξ = -g . a,      g = |φ_pen| φᵀ M (1, ∇θ)

with a the planned acceleration of the pen and ∇θ the gradient of the static tilt. Between samples a is constant, and the
step is exact; at a vertex the velocity jumps. The faster modes stretch the belts; at the accelerations in use they follow
the slowest one closely.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.compiled import compiled, compiled_dividing_by_zero
from wallwright.document.machine import Machine
from wallwright.motion.landing import amplitude_of, choose_ending, settling_time
from wallwright.statics.belt_field import bounds
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.interpolation import bilinear
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.swing_modes import inertia_of, swing_modes

SPACING = 40.0
"""Spacing of the grid for frequency and excitation, mm: they change by a few percent over it."""
MOST_NODES = 20_000
AIM = 0.9
"""Share of the largest allowed swing that is aimed at when the acceleration is reduced."""
LEAST_FACTOR = 0.3
"""Smallest factor on the acceleration in one round."""
WINDOW_PERIODS = 1.5
"""Length of the window before a place with too much swing in which the acceleration is reduced in the first round, in
periods."""
WINDOW_GROWTH = 1.09
"""Growth of that window per round: once the latest accelerations are low, earlier ones matter."""
EXPONENT, EXPONENT_GROWTH = 0.3, 0.03
"""Exponent of the factor that a swing asks for, in the first round, and its increase per round: places whose windows
overlap calm each other, and applying all factors in full would be too much."""

SAME_SWING = 1e-6
"""Difference of two swings at a run's end, mm, and in mm/s over the frequency, below which they count as equal."""


class SwingBody(NamedTuple):
    """The swinging body at n places."""

    omega: Floats
    """(n,) rad/s: angular frequency."""
    participation: Floats
    """(n, 2): g by x and y."""
    own: Floats
    """(n,): g in the direction in which the swing moves the pen."""


class SwingField:
    """Frequency and excitation of the slowest mode over the bounding box of some points."""

    def __init__(self, rig: CableRobotModel, machine: Machine, points: Points) -> None:
        """points: (n, 2) mm that the field must cover."""
        low, high = bounds(points)
        count = np.maximum(np.ceil((high - low) / SPACING).astype(int), 2) + 1
        count = np.maximum((count * min(1.0, np.sqrt(MOST_NODES / np.prod(count)))).astype(int), 3)
        self._low, self._spacing = low, np.maximum(high - low, 1.0) / (count - 1)
        xs, ys = (low[i] + self._spacing[i] * np.arange(count[i]) for i in (0, 1))
        pose = inverse_kinematics(rig, np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=2).reshape(-1, 2))
        modes = swing_modes(rig, machine.body.mass, inertia_of(machine.body), pose)
        omega = 2 * np.pi * modes.frequency[:, 0]
        slopes = np.gradient(pose.tilt.reshape(count), *self._spacing)
        follow = np.zeros((len(omega), 3, 2))
        follow[:, 0, 0] = follow[:, 1, 1] = 1.0
        follow[:, 2] = np.stack([s.ravel() for s in slopes], axis=1)
        shape = modes.shape[:, :, 0]
        push = np.einsum("ni,nij,njk->nk", shape, modes.mass, follow)
        push *= np.hypot(shape[:, 0], shape[:, 1])[:, None]
        push *= np.where(push[:, :1] < 0, -1.0, 1.0)  # a mode shape and its opposite are the same mode
        along = shape[:, :2] / np.hypot(shape[:, 0], shape[:, 1])[:, None]
        own = np.abs((push * along).sum(axis=1))
        # Where nothing hangs, nothing swings; unstable poses are reported by the draw zone check.
        bad = ~np.isfinite(omega + push.sum(axis=1))
        omega[bad], push[bad], own[bad] = np.max(omega, initial=1.0, where=~bad), 0.0, 0.0
        self._values = np.stack([v.reshape(count) for v in (omega, *push.T, own)], axis=2)

    def at(self, points: Points) -> SwingBody:
        """Returns the swinging body at (n, 2) points, mm."""
        values = bilinear(self._values, (points - self._low) / self._spacing)
        return SwingBody(values[:, 0].copy(), values[:, 1:3].copy(), values[:, 3].copy())


def initial_acceleration(acceleration: float, largest: Floats | float, body: SwingBody, direction: Floats) -> Floats:
    """Returns (n,) mm/s²: acceleration along each leg that displaces a pen at rest by the largest swing, (n,) mm or one for
    all.

    A suddenly accelerated body swings to twice that, and less if the acceleration grows gradually or ends meanwhile.
    """
    along = np.abs((body.participation * direction).sum(axis=1))
    result: Floats = np.minimum(acceleration, largest * body.omega**2 / np.maximum(along, 1e-12))
    return result


def acceleration_scale(swing: Floats, time: Floats, omega: Floats, down: Flags, largest: Floats, round_: int) -> Floats:
    """Returns (n,) factors on the acceleration at each sample; below 1 for some periods before each place where the pen on
    the wall swings farther than largest, (n,) mm: the effect of earlier accelerations has decayed.

    swing: (n,) mm, not negative; time: (n,) s; omega: (n,) rad/s; down: (n,) bool; round_: 0, 1, 2 ...
    """
    periods = WINDOW_PERIODS * WINDOW_GROWTH**round_ * 2 * np.pi
    return _held_before(swing, time, omega, down, largest, min(1.0, EXPONENT + EXPONENT_GROWTH * round_), periods)


@compiled
def _held_before(
    swing: Floats, time: Floats, omega: Floats, down: Flags, largest: Floats, power: float, periods: float
) -> Floats:
    """Returns (n,): smallest factor wanted at a sample or within a window after it; periods: window in rad of the later
    sample."""
    n = len(swing)
    result = np.ones(n)
    for j in range(n - 1, -1, -1):
        if not down[j] or swing[j] <= largest[j]:
            continue
        value = _wanted(swing[j], largest[j], power)
        result[j] = min(result[j], value)
        # For a crest that spans several samples, its highest one determines the window before it.
        if (
            j > 0
            and down[j - 1]
            and swing[j - 1] > largest[j - 1]
            and _wanted(swing[j - 1], largest[j - 1], power) < value
        ):
            continue
        # The largest swing may have occurred right after the previous sample.
        since = time[max(j - 1, 0)] - periods / omega[j]
        i = j - 1
        while i >= 0 and time[i] >= since:
            result[i] = min(result[i], value)
            i -= 1
    return result


@compiled
def _wanted(swing: float, largest: float, power: float) -> float:
    """Returns the factor on the acceleration that a swing above the largest asks for."""
    factor: float = min(max(AIM * largest / swing, LEAST_FACTOR), 1.0) ** power
    return factor


@compiled_dividing_by_zero
def follow_swing(
    runs: Integers,
    changed: Flags,
    step: Floats,
    rest: Floats,
    base: Floats,
    direction: Floats,
    body: SwingBody,
    damping: float,
    pause: Floats,
    lands: Flags,
    chooses: Flags,
    bound: float,
    lead: Floats,
    held: Flags,
    speed: Floats,
    swing: Floats,
    rates: Floats,
    farthest: Floats,
    settling: Floats,
    landing: Floats,
    endings: Floats,
) -> None:
    """Computes the pen's swing (n,), mm, its rates (n,), mm/s, and farthest (n,), mm: the largest deviation since the
    previous sample, or at the sample where the pen rested before it. For each run: the wait before it, settling (k,), s,
    and the amplitude of the swing after that, landing (k,), mm. For runs that choose their ending (landing.py): endings (k,
    3), and the speed with it, speed (n,), mm/s. Only changed runs are computed, and those after them until the pen swings
    as before.

    runs: (k + 1,) first sample of each; changed: (k,) bool; step: (n,) mm to the next sample; rest: (n,) s that it rests at
    a sample; base: (n,) mm/s without endings; direction: (n, 2) of the leg that begins at each sample, (0, 0) at a run's
    last; damping: damping ratio; pause: (k,) s before each run, without the wait; lands: (k,) bool, runs before which the
    machine waits until the swing has decayed to the bound, mm; chooses: (k,) bool; lead: (n,) mm by which belts lead along
    the swing (lead.py); held: (n,) bool, the pen's friction holds it from the sample to the next.
    """
    differs = False
    for run in range(len(runs) - 1):
        if not (changed[run] or differs):
            continue
        low, high = runs[run], runs[run + 1]
        xi, rate, vx, vy, leading = 0.0, 0.0, 0.0, 0.0, 0.0
        if low > 0:  # at a run's end the pen rests
            xi, rate = swing[low - 1], rates[low - 1]
        landing[run] = amplitude_of(xi, rate, body.omega[low], damping)
        settling[run] = 0.0
        if lands[run]:
            settling[run] = settling_time(landing[run], bound, body.omega[low], damping)
            landing[run] *= np.exp(-damping * body.omega[low] * settling[run])
        if chooses[run]:
            here = slice(low, high)
            speed[here] = choose_ending(
                step[here],
                base[here],
                direction[here],
                body.omega[here],
                body.participation[here],
                damping,
                pause[run],
                xi,
                rate,
                bound,
                endings[run],
            )
        was_xi, was_rate = swing[high - 1], rates[high - 1]
        for i in range(low, high):
            w, gx, gy = body.omega[i], body.participation[i, 0], body.participation[i, 1]
            gone, most = pause[run] + settling[run], 0.0
            if i > low:
                gone = rest[i - 1]
                if step[i - 1] > 0.0:
                    gone += 2.0 * step[i - 1] / (speed[i - 1] + speed[i])
            if i > low and held[i - 1]:
                xi, rate = swing[i - 1] - lead[i], 0.0
            elif gone > 0.0:
                # Constant acceleration since the previous sample: from the velocity after it to the present one, along its
                # leg.
                force, moving = 0.0, False
                if i > low and (direction[i - 1, 0] != 0.0 or direction[i - 1, 1] != 0.0):
                    dx, dy = direction[i - 1, 0], direction[i - 1, 1]
                    force = (gx * dx + gy * dy) * (speed[i] - speed[i - 1]) / gone
                    vx, vy, moving = dx * speed[i], dy * speed[i], True
                still = -force / (w * w)
                own = w * np.sqrt(max(1.0 - damping * damping, 1e-6))
                z = xi - still
                along = (rate + damping * w * z) / own
                fade = np.exp(-damping * w * gone)
                c, s = np.cos(own * gone) * fade, np.sin(own * gone) * fade
                xi = still + z * c + along * s
                was, rate = rate, own * (along * c - z * s) - damping * w * (xi - still)
                # The deviation has a turning point every half period: none within less if it moves the same way at both
                # ends.
                if moving and (was * rate <= 0.0 or own * gone >= np.pi):
                    most = _farthest_between(still + (lead[i - 1] + lead[i]) / 2.0, z, along, own, damping * w, gone)
            # The velocity jumps where the path turns, starts or ends.
            nx, ny = direction[i, 0] * speed[i], direction[i, 1] * speed[i]
            rate -= gx * (nx - vx) + gy * (ny - vy)
            vx, vy = nx, ny
            # So does that of the lead, which moves the resting body too.
            following = 0.0
            if i + 1 < high and step[i] > 0.0:
                following = (lead[i + 1] - lead[i]) * (speed[i] + speed[i + 1]) / (2.0 * step[i])
            rate -= body.own[i] * (following - leading)
            leading = following
            swing[i], rates[i] = xi + lead[i], rate
            farthest[i] = max(most, abs(swing[i]))
        near = SAME_SWING * body.omega[high - 1]
        differs = abs(xi - was_xi) > SAME_SWING or abs(rate - was_rate) > near


@compiled_dividing_by_zero
def _farthest_between(still: float, z: float, along: float, own: float, fade: float, gone: float) -> float:
    """Returns the largest |still + exp(-fade t) (z cos(own t) + along sin(own t))| at its turning points, 0 < t < gone; 0
    without one.

    They are half a period apart, and the first one to either side is the farthest to that side.
    """
    turn = np.arctan2(own * along - fade * z, own * z + fade * along) / own
    half = np.pi / own
    if turn <= 0.0:
        turn += half
    most = 0.0
    for _ in range(2):
        if turn >= gone:
            break
        value = still + np.exp(-fade * turn) * (z * np.cos(own * turn) + along * np.sin(own * turn))
        most = max(most, abs(value))
        turn += half
    return most
