"""How far the pen swings off its path, because the body is a pendulum that the motion pushes.

The body is taken to hang at rest at every moment (pose q of the planned pen) plus a swing in its slowest motion, whose
shape φ and frequency ω change along the path (statics/modes.py). In the swing's own coordinate ξ, mm at the pen,

    ξ'' + 2 ζ ω ξ' + ω² ξ = -g . a,      g = |φ_pen| φᵀ M (1, ∇θ)

with a the planned acceleration of the pen and ∇θ how the resting tilt changes with its place. Between samples a is
constant, and the step is exact; at a vertex the velocity jumps. The faster motions stretch the belts; they follow the
slowest closely for the accelerations in use.
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
"""mm of the grid that frequency and push are interpolated on: they change by some percent over it."""
MOST_NODES = 20_000
AIM = 0.9
"""Of the largest swing, aimed at when pushing more gently."""
LEAST = 0.3
"""Factor on the push in one round, at least."""
PERIODS = 1.5
"""Of the swing, before a place where it is too large, over which the push is made gentler in the first round."""
LONGER = 1.09
"""Times as many in each round: where the push of the last ones is gentle already, older ones have a say."""
SLOW, QUICKER = 0.3, 0.03
"""Exponent of the factor on the push that a swing asks for, in the first round and more in each: places whose windows
overlap calm each other, and all of what each asks for at once would be too much."""

SAME_SWING = 1e-6
"""mm, and mm/s times the frequency: two swings that differ by less at a run's end go on alike."""


class SwingBody(NamedTuple):
    """The swinging body at n places."""

    omega: Floats
    """(n,) rad/s."""
    participation: Floats
    """(n, 2): g, by x and y."""
    own: Floats
    """(n,): g in the direction in which the swing itself moves the pen."""


class SwingField:
    """Frequency and push of the slowest motion over the box of some points."""

    def __init__(self, rig: CableRobotModel, machine: Machine, points: Points) -> None:
        """points: (n, 2) mm: where it will be asked."""
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
        push *= np.where(push[:, :1] < 0, -1.0, 1.0)  # a shape and its opposite are the same motion
        along = shape[:, :2] / np.hypot(shape[:, 0], shape[:, 1])[:, None]
        own = np.abs((push * along).sum(axis=1))
        # Where nothing hangs, nothing swings; where it does not stay, the check of the zone says so.
        bad = ~np.isfinite(omega + push.sum(axis=1))
        omega[bad], push[bad], own[bad] = np.max(omega, initial=1.0, where=~bad), 0.0, 0.0
        self._values = np.stack([v.reshape(count) for v in (omega, *push.T, own)], axis=2)

    def at(self, points: Points) -> SwingBody:
        """At (n, 2) points, mm."""
        values = bilinear(self._values, (points - self._low) / self._spacing)
        return SwingBody(values[:, 0].copy(), values[:, 1:3].copy(), values[:, 3].copy())


def initial_acceleration(acceleration: float, largest: Floats | float, body: SwingBody, direction: Floats) -> Floats:
    """(n,) mm/s²: acceleration along each leg under which the pen, once it has come to rest, is off by the
    largest, (n,) mm or one for all.

    A body pushed suddenly swings to twice of that, and less where the push grows or ends meanwhile.
    """
    along = np.abs((body.participation * direction).sum(axis=1))
    result: Floats = np.minimum(acceleration, largest * body.omega**2 / np.maximum(along, 1e-12))
    return result


def acceleration_scale(swing: Floats, time: Floats, omega: Floats, down: Flags, largest: Floats, round_: int) -> Floats:
    """(n,) factor on the push at each sample; below 1 over some periods before each place where the pen on the wall swings
    farther than the largest there, (n,) mm: older pushes have faded.

    swing: (n,) mm, not negative; time: (n,) s; omega: (n,) rad/s; down: (n,) bool; round_: 0, 1, 2 ...
    """
    periods = PERIODS * LONGER**round_ * 2 * np.pi
    return _held_before(swing, time, omega, down, largest, min(1.0, SLOW + QUICKER * round_), periods)


@compiled
def _held_before(
    swing: Floats, time: Floats, omega: Floats, down: Flags, largest: Floats, power: float, periods: float
) -> Floats:
    """(n,) the least factor that is wanted at a sample or within a window after it: periods, rad, of the later sample."""
    n = len(swing)
    result = np.ones(n)
    for j in range(n - 1, -1, -1):
        if not down[j] or swing[j] <= largest[j]:
            continue
        value = _wanted(swing[j], largest[j], power)
        result[j] = min(result[j], value)
        # Of a crest that lasts over several samples the highest is enough for what was before.
        if (
            j > 0
            and down[j - 1]
            and swing[j - 1] > largest[j - 1]
            and _wanted(swing[j - 1], largest[j - 1], power) < value
        ):
            continue
        # It may have swung so far right after the sample before.
        since = time[max(j - 1, 0)] - periods / omega[j]
        i = j - 1
        while i >= 0 and time[i] >= since:
            result[i] = min(result[i], value)
            i -= 1
    return result


@compiled
def _wanted(swing: float, largest: float, power: float) -> float:
    """Factor on the push that a swing farther than the largest asks for."""
    factor: float = min(max(AIM * largest / swing, LEAST), 1.0) ** power
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
    """Enters the pen's swing (n,), mm, its rates (n,), mm/s, and farthest (n,), mm: the most, one way or the other, since
    the sample before, or at the sample where the pen rested before it. Of each run the wait before it, settling (k,), s,
    and the amplitude of the swing after that, landing (k,), mm; of those that choose their ending (landing.py) that,
    endings (k, 3), and the speed with it, speed (n,), mm/s. Of the changed runs, and of those after them until the pen
    swings as it did before.

    runs: (k + 1,) first sample of each; changed: (k,) bool; step: (n,) mm to the next sample; rest: (n,) s before it goes
    on from a sample; base: (n,) mm/s without endings; direction: (n, 2) of the leg that begins at each sample, (0, 0) at a
    run's last; damping: share of critical; pause: (k,) s before each run, without the wait; lands: (k,) bool, runs before
    which the machine waits until the swing has faded to the bound, mm; chooses: (k,) bool; lead: (n,) mm by which
    belts lead along the swing (lead.py); held: (n,) bool, the pen's friction holds it from the sample to the next.
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
                # Constant acceleration since the sample before: from the velocity after it to the one now, along its leg.
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
                # It turns once every half period: never, within less and going the same way at both ends.
                if moving and (was * rate <= 0.0 or own * gone >= np.pi):
                    most = _farthest_between(still + (lead[i - 1] + lead[i]) / 2.0, z, along, own, damping * w, gone)
            # The velocity jumps where the path turns, starts or ends.
            nx, ny = direction[i, 0] * speed[i], direction[i, 1] * speed[i]
            rate -= gx * (nx - vx) + gy * (ny - vy)
            vx, vy = nx, ny
            # So does that of what the belts lead by, which is a motion of the resting body too.
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
    """Largest |still + exp(-fade t) (z cos(own t) + along sin(own t))| where it turns, 0 < t < gone; 0 when it does not.

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
