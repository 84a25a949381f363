"""Error budget: how far small errors of survey, scales and making put the pen off, and how much to expect in all.

Each cause is one or more independent small errors of known size (a standard uncertainty: two times out of three the true
error is smaller). Its effect on the pen, with the belts held, is its size times the derivative of the pen by it. Causes are
independent of each other and add as squares; the number stated is twice that (JCGM 100:2008, GUM, 5.1.2 and 6.3: coverage
factor 2, about 95 %). For two coordinates of equal uncertainty the true share is 98 %, for one alone 95 %.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.language import N_
from wallwright.document.machine import Machine
from wallwright.statics.cable_robot import GRAVITY, CableRobotModel
from wallwright.statics.pose import Pose
from wallwright.statics.sensitivity import belts_by_parameters, pen_by_belts

COVERAGE = 2.0
LEFT_BELT, RIGHT_BELT = "left belt", "right belt"
"""Beside sensitivity.PARAMETERS: a belt longer than the controller believes, mm."""
SOFTNESS = "share of softness"
"""The belts' softness as a share of itself."""


@dataclass(frozen=True)
class ErrorSource:
    """A source of error."""

    title: str
    size: str
    """In words, as a person would say it."""
    terms: tuple[tuple[str, float], ...]
    """Parameter and amount, independent of each other."""


_DRAG = 0.2 / np.sqrt(2)
ERROR_SOURCES = (
    ErrorSource(N_("anchor distance"), N_("1 mm"), (("right anchor x", 1.0),)),
    ErrorSource(N_("height difference of the anchors"), N_("1 mm"), (("right anchor y", 1.0),)),
    ErrorSource(
        N_("belt lengths at the start"),
        N_("1 mm each"),
        ((LEFT_BELT, 1.0), (RIGHT_BELT, 1.0)),
    ),
    ErrorSource(N_("mass"), N_("10 g"), (("weight", 0.01 * GRAVITY),)),
    ErrorSource(N_("centre of mass"), N_("5 mm"), (("centre x", 5.0), ("centre y", 5.0))),
    ErrorSource(N_("belt stiffness"), N_("10 %"), ((SOFTNESS, 0.1),)),
    # A marker pressed with half a newton at a friction of 0.4; from any side. Common practice, no source.
    ErrorSource(N_("pen friction"), N_("0.2 N"), (("push x", _DRAG), ("push y", _DRAG))),
)
"""What a careful person with a tape, a level and a kitchen scale keeps to. Common practice, no source."""


def error_sources(machine: Machine) -> tuple[ErrorSource, ...]:
    """The sources for a machine: belts that are wound in to stops begin as exactly as the stops are known."""
    if machine.controller.code.start != "stop":
        return ERROR_SOURCES
    size = machine.belt.stop_uncertainty
    stops = ErrorSource(N_("belt lengths at the stops"), f"{size:g} mm", ((LEFT_BELT, size), (RIGHT_BELT, size)))
    return tuple(stops if cause.terms[0][0] == LEFT_BELT else cause for cause in ERROR_SOURCES)


@dataclass(frozen=True)
class ErrorBudget:
    """Effects at n points. Points where nothing hangs hold nan and are left out of the numbers over all points."""

    causes: tuple[ErrorSource, ...]
    effects: Floats
    """(k, n) mm: standard uncertainty of the pen's place by each cause."""

    @property
    def combined(self) -> Floats:
        """(n,) mm: standard uncertainty by all causes."""
        result: Floats = np.sqrt((self.effects**2).sum(axis=0))
        return result

    @property
    def by_cause(self) -> Floats:
        """(k,) mm: root mean square over the points; nan without any."""
        good = self.effects[:, np.isfinite(self.combined)]
        return np.sqrt((good**2).mean(axis=1)) if good.size else np.full(len(self.causes), np.nan)


def error_budget_of(rig: CableRobotModel, pose: Pose, causes: tuple[ErrorSource, ...] = ERROR_SOURCES) -> ErrorBudget:
    """The budget at solved poses."""
    parameters = dict.fromkeys(_parameter(name) for cause in causes for name, _ in cause.terms)
    names = tuple(name for name in parameters if name not in (LEFT_BELT, RIGHT_BELT))
    moves = pen_by_belts(rig, pose)
    held = np.einsum("nij,njp->nip", moves, belts_by_parameters(rig, pose, names))
    by = {name: -held[:, :, k] for k, name in enumerate(names)}
    by[LEFT_BELT], by[RIGHT_BELT] = moves[:, :, 0], moves[:, :, 1]
    effects = np.zeros((len(causes), len(pose.tilt)))
    for k, cause in enumerate(causes):
        for name, amount in cause.terms:
            amount = amount / rig.stiffness if name == SOFTNESS else amount
            effects[k] += ((amount * by[_parameter(name)]) ** 2).sum(axis=1)
    return ErrorBudget(causes, np.sqrt(effects))


def _parameter(name: str) -> str:
    return "softness" if name == SOFTNESS else name
