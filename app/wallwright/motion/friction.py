"""Friction along the path: forces on pen and feet at every sample, and the belt take-up where the pen rests.

While something slides, friction is at its limit and against the motion: F = -D t along the path's direction t. Where the
pen rests on the wall (after landing, at corners and reversals, before it is lifted) its tip stays for every force inside
the friction disc |F| <= D. Before the path continues, the belts go from the force of the path before to that of the path
after, along the chord between them, which lies inside the disc: the take-up. After landing and before lifting the pen's
force is zero, so that the tip does not jump when it leaves the wall. Feet never leave the wall: they begin each run with
the force at the end of the previous one.

If friction is not known exactly, only its lower bound is taken up: more would let the pen slip aside. The remainder follows
over the first step of the path.

On a curve t turns slowly, and the belts follow it without a rest. So do turns at other vertices that are too small to
matter.

Source: Coulomb friction with its return mapping on the friction disc (Simo and Hughes, "Computational Inelasticity", 1998,
chapter 1, for the equal problem of plasticity; from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.columns import row_max
from wallwright.document.document import Document
from wallwright.document.machine import Machine
from wallwright.motion.curvature import leg_curvature, legs_of
from wallwright.motion.lead import most_lead
from wallwright.motion.path import Runs, Samples
from wallwright.statics.cable_robot import GRAVITY

STEPS = 8
"""Number of steps of a take-up; its speed rises and falls at a constant rate."""
TAKE_UP_PAUSE = 0.05
"""Pause before and after a take-up, s, so that the pen rests and no controller rounds the corner between take-up and
path."""
INERTIA_SHARE = 0.3
"""Largest share of the friction that the body's inertia may use during a take-up."""
LEAST_ACCELERATION = 1.0
"""Smallest belt acceleration of a take-up, mm/s²."""
INTERVALS = STEPS + 2
"""Number of intervals between the samples of a take-up, including the two pauses."""
CURVE_TURN = np.radians(45)
CURVE_LEG = 3.0
"""Length of a leg, mm, below which a vertex with a small turn belongs to a flattened curve, where the pen does not rest."""


@dataclass(frozen=True)
class Drag:
    """Friction on the wall, and the weight of pens in excess of the one that the body was weighed with."""

    pens: Floats
    """(p,) N: friction of each pen of the document."""
    feet: float
    """Friction of the feet, N."""
    weights: Floats
    """(p,) N: additional weight, downwards at the pen."""
    known_share: Floats
    """(p,) 0 to 1: known lower bound of each pen's friction, as a share of it."""
    lead: float = 0.0
    """Largest force at the centre of mass by which the belts lead, N (lead.py)."""

    @staticmethod
    def of(document: Document) -> Drag:
        pens = document.pens
        weights = np.array([pen.extra_mass / 1000 * GRAVITY for pen in pens])
        drags = np.array([pen.drag for pen in pens])
        known_share = np.array([max(1 - pen.drag_uncertainty / pen.drag, 0.0) if pen.drag else 1.0 for pen in pens])
        return Drag(drags, document.machine.body.drag, weights, known_share, most_lead(document))

    @property
    def is_active(self) -> bool:
        return bool(self.pens.any()) or self.feet > 0 or bool(self.weights.any())

    @property
    def has_load(self) -> bool:
        """True if belts differ from those of a body without outer forces."""
        return self.is_active or self.lead > 0

    @property
    def at_centre(self) -> float:
        """Largest force at the centre of mass, N."""
        return self.feet + self.lead

    @property
    def most(self) -> float:
        """Largest friction at the tip with any pen, N."""
        return float((self.pens + np.abs(self.weights)).max(initial=0.0))


def take_up_seconds(belts: Floats, load: Floats, machine: Machine) -> Floats:
    """Returns (n,) s: duration of take-ups in which belts move by (n, 2) mm from rest to rest; load: (n, 4) N, the larger of
    both ends.

    Slow enough that the body's inertia takes only a small part of the friction that holds the tip.
    """
    limits = machine.limits
    way = row_max(np.abs(belts))
    held = np.maximum(np.hypot(load[:, 0], load[:, 1]), np.hypot(load[:, 2], load[:, 3]))
    gentle = 1000 * INERTIA_SHARE * held / machine.body.mass
    acceleration = np.maximum(np.minimum(limits.belt_acceleration, gentle), LEAST_ACCELERATION)
    result: Floats = np.maximum(2 * np.sqrt(way / acceleration), 2 * way / limits.belt_speed)
    return result


def take_up_shares() -> Floats:
    """Returns (n,) 0 to 1, n = INTERVALS + 1: share of a take-up done at its samples: a pause, constant acceleration,
    constant braking and a pause."""
    time = np.linspace(0.0, 1.0, STEPS + 1)
    moved = np.where(time < 0.5, 2 * time**2, 1 - 2 * (1 - time) ** 2)
    return np.concatenate([[0.0], moved, [1.0]])


def with_friction(
    drag: Drag, runs: Runs, samples: Samples, moves: Callable[[Points, Floats], Floats], tolerance: float
) -> Samples:
    """Returns the samples with friction forces, and with more samples where belts are taken up.

    moves: (n, 2) mm by which forces (n, LOAD_COLUMNS), N, move a free pen at points (n, 2). tolerance: turns that move a
    free pen by no more than this, mm, need no take-up.
    """
    run_of = np.repeat(np.arange(len(runs.down)), np.diff(samples.runs))
    before, after = _tangents(runs, samples)
    size = np.zeros((len(runs.down), 2))
    size[:, 0] = np.where(runs.down, drag.pens[runs.pen], 0.0)
    size[:, 1] = drag.feet
    force = size[run_of]
    arrives, leaves = _loads(force, before), _loads(force, after)
    vertex = samples.vertex
    at = np.flatnonzero(vertex >= 0)
    first, last = samples.runs[:-1], samples.runs[1:] - 1
    rests = np.zeros(len(vertex), dtype=bool)
    at = np.setdiff1d(at[(leaves[at] != arrives[at]).any(axis=1)], np.concatenate([first, last]))
    at = at[~_on_a_curve(runs)[vertex[at]]]
    jump = np.hypot(*(moves(samples.points[at], arrives[at]) - moves(samples.points[at], leaves[at])).T)
    rests[at] = jump > tolerance
    _join_runs(drag, runs, samples, arrives, leaves)
    rests[first] = (arrives[first] != leaves[first]).any(axis=1)
    rests[last] = (arrives[last] != leaves[last]).any(axis=1)
    passed = ~rests
    middle = (arrives + leaves) / 2
    # Between similar directions friction keeps its size. Between opposite ones it passes through zero: otherwise it would
    # push sideways.
    turns = np.einsum("ni,ni->n", before, after) < np.cos(CURVE_TURN)
    middle = np.where(turns[:, None], middle, _scaled(middle, force))
    arrives[passed], leaves[passed] = middle[passed], middle[passed]
    # A take-up beyond the actual friction would let the resting pen slip.
    leaves[rests, :2] *= drag.known_share[runs.pen][run_of[rests], None]
    _add_weights(drag, runs, samples, run_of, arrives, leaves, rests)
    return _inserted(samples, arrives, leaves, rests)


def _on_a_curve(runs: Runs) -> Flags:
    """Returns (v,) bool: the vertex lies on a curve."""
    length, turn = legs_of(runs.points)
    shorter = np.minimum(length, np.concatenate([[0.0], length[:-1]]))
    result: Flags = (np.abs(turn) < CURVE_TURN) & (shorter < CURVE_LEG)
    return result


def _tangents(runs: Runs, samples: Samples) -> tuple[Floats, Floats]:
    """Returns (n, 2) each: direction in which the pen arrives at each sample and leaves it; (0, 0) where there is none."""
    bend = leg_curvature(runs.points, runs.runs)
    length = legs_of(runs.points)[0]
    leg, share = samples.leg, samples.share
    near, far = bend[leg, :1], bend[leg, 1:]
    angle = (near + far) / 2 * length[leg, None] * (share - 0.5)
    d = samples.direction
    turned = [np.column_stack([c * d[:, 0] - s * d[:, 1], s * d[:, 0] + c * d[:, 1]]) for c, s in _cos_sin(angle)]
    before, after = np.zeros_like(d), turned[0]
    before[1:] = turned[1][:-1]
    before[samples.runs[:-1]] = 0.0
    return before, after


def _cos_sin(angle: Floats) -> list[tuple[Floats, Floats]]:
    return [(np.cos(a), np.sin(a)) for a in angle.T]


def _loads(force: Floats, direction: Floats) -> Floats:
    """Returns (n, LOAD_COLUMNS) N: friction on pen and feet, of sizes (n, 2), against directions (n, 2)."""
    return np.concatenate([-force[:, :1] * direction, -force[:, 1:] * direction], axis=1)


def _scaled(load: Floats, force: Floats) -> Floats:
    """Returns the loads scaled to the size of the friction, directions unchanged."""
    result = load.copy()
    for k in (0, 1):
        part = load[:, 2 * k : 2 * k + 2]
        size = np.hypot(*part.T)
        with np.errstate(divide="ignore", invalid="ignore"):
            result[:, 2 * k : 2 * k + 2] *= np.where(size > 0, force[:, k] / size, 0.0)[:, None]
    return result


def _join_runs(drag: Drag, runs: Runs, samples: Samples, arrives: Floats, leaves: Floats) -> None:
    """Sets the loads at the runs' ends: zero at the pen, unchanged from the previous run at the feet."""
    first, last = samples.runs[:-1], samples.runs[1:] - 1
    leaves[last] = arrives[last]
    leaves[last, :2] = 0.0
    arrives[first] = 0.0
    if drag.feet <= 0:
        return
    now = np.zeros(2)
    for run in range(len(runs.down)):
        a, b = first[run], last[run]
        arrives[a, 2:] = now
        if not leaves[a, 2:].any():  # a dot: the feet do not move
            leaves[a, 2:] = now
        if not arrives[b, 2:].any():
            arrives[b, 2:] = now
        leaves[b, 2:] = now = arrives[b, 2:].copy()


def _add_weights(
    drag: Drag, runs: Runs, samples: Samples, run_of: Integers, arrives: Floats, leaves: Floats, rests: Flags
) -> None:
    """Adds the pens' weights. After a pen change, the belts go over to the new pen's weight before it travels."""
    weight = drag.weights[runs.pen]
    arrives[:, 1] += weight[run_of]
    leaves[:, 1] += weight[run_of]
    changed = np.flatnonzero(np.diff(weight)) + 1
    first = samples.runs[changed]
    arrives[first, 1] += weight[changed - 1] - weight[changed]
    rests[first] = True


def _inserted(samples: Samples, arrives: Floats, leaves: Floats, rests: Flags) -> Samples:
    """Returns the samples with INTERVALS more where belts are taken up: after a vertex, but before the last of a run."""
    n = len(rests)
    count = np.where(rests, INTERVALS + 1, 1)
    index = np.repeat(np.arange(n), count)
    within = np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)
    share = np.where(rests[index], take_up_shares()[np.minimum(within, INTERVALS)], 0.0)[:, None]
    load = arrives[index] + share * (leaves[index] - arrives[index])
    is_last = np.zeros(n, dtype=bool)
    is_last[samples.runs[1:] - 1] = True
    own = np.where(is_last & rests, INTERVALS, 0)[index] == within  # the copy that is the vertex
    end = within == count[index] - 1  # the copy from which the path continues
    last_of = np.concatenate([[0], np.cumsum(count)])
    return Samples(
        samples.points[index],
        last_of[samples.runs],
        np.where(own, samples.vertex[index], -1),
        samples.leg[index],
        np.where(end[:, None], samples.share[index], 0.0),
        np.where(end[:, None], samples.direction[index], 0.0),
        np.where(end, samples.step[index], 0.0),
        load,
        ~end,
    )


def take_up_times(samples: Samples, belts: Floats, machine: Machine) -> Floats:
    """Returns (n,) s that the pen rests at each sample before it moves to the next, for belts (n, 2) mm."""
    result = np.zeros(len(belts))
    begins, ends = take_up_ends(samples.takes_up)
    if len(begins):
        took = take_up_seconds(belts[ends] - belts[begins], larger_load(samples.load, begins, ends), machine)
        result[begins] = result[ends - 1] = TAKE_UP_PAUSE
        for k in range(STEPS):
            result[begins + 1 + k] = took / STEPS
    return result


def larger_load(load: Floats, begins: Integers, ends: Integers) -> Floats:
    """Returns (m, 4) N: the larger magnitudes of the loads (n, 4) at both ends of take-ups, (m,) each."""
    return np.maximum(np.abs(load[begins]), np.abs(load[ends]))


def moving_samples(takes_up: Flags) -> Integers:
    """Returns (m,) indices of the samples between which the belts of take-ups move: all but one of each pause."""
    inside = takes_up.copy()
    begins, ends = take_up_ends(takes_up)
    inside[begins + 1] = inside[ends - 1] = False
    inside[ends] = True
    return np.flatnonzero(inside)


def take_up_ends(takes_up: Flags) -> tuple[Integers, Integers]:
    """Returns the (m,) first and (m,) last sample of each take-up. takes_up: (n,) bool, True for all samples of a take-up
    but its last."""
    edge = np.diff(np.concatenate([[False], takes_up, [False]]).astype(np.int8))
    return np.flatnonzero(edge > 0), np.flatnonzero(edge < 0)
