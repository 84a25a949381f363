"""Friction along the path: forces on pen and feet at every sample, and the take-up of belts where the pen rests.

While something slides, friction is at its limit and against the motion: F = -D t along the path's direction t. Where the
pen rests on the wall (after landing, at corners and reversals, before it is lifted) its tip stays for every force inside the
friction disc |F| <= D. There the belts go from the force of the way before to that of the way after along the chord
between them, which lies inside the disc, before the path goes on: the take-up. After landing and before lifting the pen's
force is none, so that the tip does not jump when it loses the wall. Feet never leave the wall: they begin each run with
the force that the run before left them.

Of a friction that is not known exactly only what is sure is taken up: more would let the pen slip aside. The rest follows
over the first step of the path.

On a curve t turns slowly, and the belts follow it without a rest. What the direction does at a vertex that is neither is
small enough to be passed.

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
"""Of a take-up: its speed grows and falls evenly."""
SETTLE = 0.05
"""s that the machine stops before and after it, so that the pen rests and no controller rounds the corner between take-up
and path."""
INERTIA = 0.3
"""Of the friction: what the body's mass may ask of the tip during a take-up."""
LEAST_ACCELERATION = 1.0
"""mm/s² of belt."""
INTERVALS = STEPS + 2
"""Between the samples of a take-up: the two stops too."""
CURVE_TURN = np.radians(45)
CURVE_LEG = 3.0
"""mm: a vertex that turns less, beside a shorter leg, belongs to a curve that was flattened: the pen does not rest there."""


@dataclass(frozen=True)
class Drag:
    """Friction on the wall, and how much heavier pens are than the one that the body was weighed with."""

    pens: Floats
    """(p,) N of each pen of the document."""
    feet: float
    """N."""
    weights: Floats
    """(p,) N, downwards at the pen."""
    sure: Floats
    """(p,) of each pen's friction, 0 to 1: what it is at least, as far as is known."""
    lead: float = 0.0
    """N at the mass centre that belts lead by, at most (lead.py)."""

    @staticmethod
    def of(document: Document) -> Drag:
        pens = document.pens
        weights = np.array([pen.extra_mass / 1000 * GRAVITY for pen in pens])
        drags = np.array([pen.drag for pen in pens])
        sure = np.array([max(1 - pen.drag_uncertainty / pen.drag, 0.0) if pen.drag else 1.0 for pen in pens])
        return Drag(drags, document.machine.body.drag, weights, sure, most_lead(document))

    @property
    def is_active(self) -> bool:
        return bool(self.pens.any()) or self.feet > 0 or bool(self.weights.any())

    @property
    def has_load(self) -> bool:
        """Whether belts differ from those of a body that nothing pushes."""
        return self.is_active or self.lead > 0

    @property
    def at_centre(self) -> float:
        """N at the mass centre, at most."""
        return self.feet + self.lead

    @property
    def most(self) -> float:
        """N at the tip with any pen."""
        return float((self.pens + np.abs(self.weights)).max(initial=0.0))


def take_up_seconds(belts: Floats, load: Floats, machine: Machine) -> Floats:
    """(n,) s of take-ups in which belts run by (n, 2) mm from rest to rest; load: (n, 4) N, the larger at either end.

    Slowly enough that what the body's own mass asks of the tip meanwhile is a small part of the friction that holds it.
    """
    limits = machine.limits
    way = row_max(np.abs(belts))
    held = np.maximum(np.hypot(load[:, 0], load[:, 1]), np.hypot(load[:, 2], load[:, 3]))
    gentle = 1000 * INERTIA * held / machine.body.mass
    acceleration = np.maximum(np.minimum(limits.belt_acceleration, gentle), LEAST_ACCELERATION)
    result: Floats = np.maximum(2 * np.sqrt(way / acceleration), 2 * way / limits.belt_speed)
    return result


def take_up_shares() -> Floats:
    """(n,) 0 to 1, n = INTERVALS + 1: the share of a take-up done at its samples: a stop, even acceleration, even braking
    and a stop."""
    time = np.linspace(0.0, 1.0, STEPS + 1)
    moved = np.where(time < 0.5, 2 * time**2, 1 - 2 * (1 - time) ** 2)
    return np.concatenate([[0.0], moved, [1.0]])


def with_friction(
    drag: Drag, runs: Runs, samples: Samples, moves: Callable[[Points, Floats], Floats], tolerance: float
) -> Samples:
    """The samples with the forces of friction, and with more samples where belts are taken up.

    moves: (n, 2) mm by which forces (n, LOAD_COLUMNS), N, move a free pen at points (n, 2). tolerance: mm: where a
    turn moves it by no more, it needs no take-up.
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
    # Between directions that differ little friction keeps its size; on the way from one to its opposite it passes through
    # zero, and would push sideways otherwise.
    turns = np.einsum("ni,ni->n", before, after) < np.cos(CURVE_TURN)
    middle = np.where(turns[:, None], middle, _scaled(middle, force))
    arrives[passed], leaves[passed] = middle[passed], middle[passed]
    # A belt taken up by more than the friction there is would let the pen slip where it rests.
    leaves[rests, :2] *= drag.sure[runs.pen][run_of[rests], None]
    _add_weights(drag, runs, samples, run_of, arrives, leaves, rests)
    return _inserted(samples, arrives, leaves, rests)


def _on_a_curve(runs: Runs) -> Flags:
    """(v,) bool, of each vertex."""
    length, turn = legs_of(runs.points)
    shorter = np.minimum(length, np.concatenate([[0.0], length[:-1]]))
    result: Flags = (np.abs(turn) < CURVE_TURN) & (shorter < CURVE_LEG)
    return result


def _tangents(runs: Runs, samples: Samples) -> tuple[Floats, Floats]:
    """(n, 2) each: direction in which the pen comes to each sample and leaves it; (0, 0) where it does neither."""
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
    """(n, LOAD_COLUMNS) N: friction on pen and feet, of sizes (n, 2), against directions (n, 2)."""
    return np.concatenate([-force[:, :1] * direction, -force[:, 1:] * direction], axis=1)


def _scaled(load: Floats, force: Floats) -> Floats:
    """Loads of the size of the friction in the same directions."""
    result = load.copy()
    for k in (0, 1):
        part = load[:, 2 * k : 2 * k + 2]
        size = np.hypot(*part.T)
        with np.errstate(divide="ignore", invalid="ignore"):
            result[:, 2 * k : 2 * k + 2] *= np.where(size > 0, force[:, k] / size, 0.0)[:, None]
    return result


def _join_runs(drag: Drag, runs: Runs, samples: Samples, arrives: Floats, leaves: Floats) -> None:
    """At a run's ends the pen pushes nothing, and the feet go on with what they had."""
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
    """Adds the pens' weights. Where another pen was put in, the belts go over to its weight before it travels."""
    weight = drag.weights[runs.pen]
    arrives[:, 1] += weight[run_of]
    leaves[:, 1] += weight[run_of]
    changed = np.flatnonzero(np.diff(weight)) + 1
    first = samples.runs[changed]
    arrives[first, 1] += weight[changed - 1] - weight[changed]
    rests[first] = True


def _inserted(samples: Samples, arrives: Floats, leaves: Floats, rests: Flags) -> Samples:
    """Samples with INTERVALS more where belts are taken up: behind a vertex, but before a run's last."""
    n = len(rests)
    count = np.where(rests, INTERVALS + 1, 1)
    index = np.repeat(np.arange(n), count)
    within = np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)
    share = np.where(rests[index], take_up_shares()[np.minimum(within, INTERVALS)], 0.0)[:, None]
    load = arrives[index] + share * (leaves[index] - arrives[index])
    is_last = np.zeros(n, dtype=bool)
    is_last[samples.runs[1:] - 1] = True
    own = np.where(is_last & rests, INTERVALS, 0)[index] == within  # the copy that is the vertex
    end = within == count[index] - 1  # the copy from which the path goes on
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
    """(n,) s that the pen rests at a sample before it goes on to the next, for belts (n, 2) mm."""
    result = np.zeros(len(belts))
    begins, ends = take_up_ends(samples.takes_up)
    if len(begins):
        took = take_up_seconds(belts[ends] - belts[begins], larger_load(samples.load, begins, ends), machine)
        result[begins] = result[ends - 1] = SETTLE
        for k in range(STEPS):
            result[begins + 1 + k] = took / STEPS
    return result


def larger_load(load: Floats, begins: Integers, ends: Integers) -> Floats:
    """(m, 4) N: of the loads (n, 4) at either end of take-ups, (m,) each, the larger magnitudes."""
    return np.maximum(np.abs(load[begins]), np.abs(load[ends]))


def moving_samples(takes_up: Flags) -> Integers:
    """(m,) samples at which the belts of take-ups begin, go on and end to move: all but one of each stop."""
    inside = takes_up.copy()
    begins, ends = take_up_ends(takes_up)
    inside[begins + 1] = inside[ends - 1] = False
    inside[ends] = True
    return np.flatnonzero(inside)


def take_up_ends(takes_up: Flags) -> tuple[Integers, Integers]:
    """(m,) first and (m,) last sample of each take-up. takes_up: (n,) bool of samples from which one goes on to the next."""
    edge = np.diff(np.concatenate([[False], takes_up, [False]]).astype(np.int8))
    return np.flatnonzero(edge > 0), np.flatnonzero(edge < 0)
