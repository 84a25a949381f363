"""How far the pen swings off its path, because the body is a pendulum that the motion pushes.

The body is taken to hang at rest at every moment (pose q of the planned pen) plus a swing in its slowest motion, whose
shape φ and frequency ω change along the path (statics/modes.py). In the swing's own coordinate ξ, mm at the pen,

    ξ'' + 2 ζ ω ξ' + ω² ξ = -g . a,      g = |φ_pen| φᵀ M (1, ∇θ)

with a the planned acceleration of the pen and ∇θ how the resting tilt changes with its place. Between samples a is
constant, and the step is exact; at a vertex the velocity jumps. The faster motions stretch the belts; they follow the
slowest closely for the accelerations in use.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from app.document.machine import Machine
from app.statics.modes import inertia_of, modes_of
from app.statics.pose import hang
from app.statics.rig import Rig

SPACING = 40.0
"""mm of the grid that frequency and push are interpolated on: they change by some percent over it."""
MOST_NODES = 20_000


class SwingField:
    """Frequency and push of the slowest motion over the box of some points."""

    def __init__(self, rig: Rig, machine: Machine, points: np.ndarray) -> None:
        """points: (n, 2) mm: where it will be asked."""
        low, high = points.min(axis=0), points.max(axis=0)
        count = np.maximum(np.ceil((high - low) / SPACING).astype(int), 2) + 1
        count = np.maximum((count * min(1.0, np.sqrt(MOST_NODES / np.prod(count)))).astype(int), 3)
        self._low, self._spacing = low, np.maximum(high - low, 1.0) / (count - 1)
        xs, ys = (low[i] + self._spacing[i] * np.arange(count[i]) for i in (0, 1))
        pose = hang(rig, np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=2).reshape(-1, 2))
        modes = modes_of(rig, machine.body.mass, inertia_of(machine.body), pose)
        omega = 2 * np.pi * modes.frequency[:, 0]
        slopes = np.gradient(pose.tilt.reshape(count), *self._spacing)
        follow = np.zeros((len(omega), 3, 2))
        follow[:, 0, 0] = follow[:, 1, 1] = 1.0
        follow[:, 2] = np.stack([s.ravel() for s in slopes], axis=1)
        shape = modes.shape[:, :, 0]
        push = np.einsum("ni,nij,njk->nk", shape, modes.mass, follow) * np.hypot(shape[:, 0], shape[:, 1])[:, None]
        push *= np.where(push[:, :1] < 0, -1.0, 1.0)  # a shape and its opposite are the same motion
        # Where nothing hangs, nothing swings; where it does not stay, the check of the zone says so.
        bad = ~np.isfinite(omega) | ~np.isfinite(push).all(axis=1)
        omega[bad], push[bad] = np.nanmax(omega, initial=1.0, where=~bad), 0.0
        self._values = [v.reshape(count) for v in (omega, push[:, 0], push[:, 1])]

    def at(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """(n,) angular frequency, rad/s, and (n, 2) push g at (n, 2) points, mm."""
        from scipy.ndimage import map_coordinates

        at = ((points - self._low) / self._spacing).T
        omega, x, y = (map_coordinates(v, at, order=1, mode="nearest") for v in self._values)
        return omega, np.column_stack([x, y])


@njit(cache=True, nogil=True)
def swing_along(time, speed, direction, omega, push, damping, state):
    """(n,) mm: the pen's swing at samples.

    time: (n,) s; speed: (n,) mm/s; direction: (n, 2) of the leg that begins at each sample, (0, 0) at a run's last; omega:
    (n,); push: (n, 2); damping: share of critical. state: (5,): swing, its velocity, time and velocity (x, y) of the pen
    before the first sample; left as they are after the last.
    """
    n = len(time)
    result = np.empty(n)
    xi, rate, before, vx, vy = state[0], state[1], state[2], state[3], state[4]
    for i in range(n):
        w = omega[i]
        gone = time[i] - before
        if gone > 0.0:
            # Constant acceleration since the sample before: from the velocity after it to the one now, along its leg.
            ax, ay = 0.0, 0.0
            if i > 0 and (direction[i - 1, 0] != 0.0 or direction[i - 1, 1] != 0.0):
                a = (speed[i] - speed[i - 1]) / gone
                ax, ay = direction[i - 1, 0] * a, direction[i - 1, 1] * a
                vx, vy = direction[i - 1, 0] * speed[i], direction[i - 1, 1] * speed[i]
            still = -(push[i, 0] * ax + push[i, 1] * ay) / (w * w)
            own = w * np.sqrt(max(1.0 - damping * damping, 1e-6))
            fade = np.exp(-damping * w * gone)
            c, s = np.cos(own * gone) * fade, np.sin(own * gone) * fade
            z = xi - still
            along = (rate + damping * w * z) / own
            xi = still + z * c + along * s
            rate = own * (along * c - z * s) - damping * w * (xi - still)
        # The velocity jumps where the path turns, starts or ends.
        nx, ny = direction[i, 0] * speed[i], direction[i, 1] * speed[i]
        rate -= push[i, 0] * (nx - vx) + push[i, 1] * (ny - vy)
        vx, vy, before = nx, ny, time[i]
        result[i] = xi
    state[0], state[1], state[2], state[3], state[4] = xi, rate, before, vx, vy
    return result
