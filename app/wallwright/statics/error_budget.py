"""Error budget: how far small errors of surveying, weighing and construction displace the pen, and the expected total.

Each cause is one or more independent small errors of known size (a standard uncertainty: two times out of three the true
error is smaller). Its effect on the pen, with the belts held, is its size times the derivative of the pen by it. Causes are
independent and add as squares; the stated value is twice the combined standard uncertainty (JCGM 100:2008, GUM, 5.1.2 and
6.3: coverage factor 2, about 95 %). For two coordinates of equal uncertainty the true share is 98 %, for one alone 95 %.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.language import N_, format_number
from wallwright.document.machine import Machine
from wallwright.document.pen import Pen
from wallwright.statics.cable_robot import GRAVITY, CableRobotModel
from wallwright.statics.pose import Pose
from wallwright.statics.sensitivity import belts_by_parameters, pen_by_belts

COVERAGE = 2.0
LEFT_BELT, RIGHT_BELT = "left belt", "right belt"
"""Parameters beside sensitivity.PARAMETERS: how much longer a belt is than the controller assumes, mm."""
SOFTNESS = "share of softness"
"""Relative error of the belts' softness."""
PITCH_SHARE = "share of pitch"
"""Relative error of the belt paid out since the start, both belts, where their lengths were measured at the start."""
LEFT_SHARE, RIGHT_SHARE = "share of left belt", "share of right belt"
"""Relative error of the length of one belt."""
DRAG, CABLE = N_("pen friction"), N_("pull of the cable")
USUAL_DRAG = 0.2
"""Typical pen friction, N: a marker pressed with half a newton at a friction coefficient of 0.4. Common practice, no
source."""
USUAL_CABLE = 0.1
"""Typical cable pull, N: 10 g of a cable that hangs in a loop. Common practice, no source."""
CABLE_SHARE = 0.2
"""Relative uncertainty of a measured cable pull: a loop changes as the body moves."""
TEMPERATURE_CHANGE = 5.0
"""Temperature change between measuring and drawing, K: one room from morning to noon."""


@dataclass(frozen=True)
class ErrorSource:
    """A source of error."""

    title: str
    size: str
    """Size in words."""
    terms: tuple[tuple[str, float], ...]
    """Parameters and amounts, independent of each other."""


def force_source(title: str, force: float) -> ErrorSource:
    """Returns the source for an unknown force at the pen from any direction, N."""
    part = force / np.sqrt(2)
    return ErrorSource(title, f"{format_number(force, '.2g')} N", (("push x", part), ("push y", part)))


_EXITS = tuple((f"{side} exit {axis}", 1.0) for side in ("left", "right") for axis in ("x", "y"))
ERROR_SOURCES = (
    ErrorSource(N_("anchor distance"), N_("1 mm"), (("right anchor x", 1.0),)),
    ErrorSource(N_("height difference of the anchors"), N_("1 mm"), (("right anchor y", 1.0),)),
    ErrorSource(
        N_("belt lengths at the start"),
        N_("1 mm each"),
        ((LEFT_BELT, 1.0), (RIGHT_BELT, 1.0)),
    ),
    ErrorSource(N_("belt exits"), N_("1 mm each"), _EXITS),
    ErrorSource(N_("belt pitch"), N_("0.05 %"), ((PITCH_SHARE, 5e-4),)),
    ErrorSource(N_("mass"), N_("10 g"), (("weight", 0.01 * GRAVITY),)),
    ErrorSource(N_("centre of mass"), N_("5 mm"), (("centre x", 5.0), ("centre y", 5.0))),
    ErrorSource(N_("belt stiffness"), N_("10 %"), ((SOFTNESS, 0.1),)),
)
"""Errors of a careful person with a tape, a level and a kitchen scale. Common practice, no source."""


def error_sources(machine: Machine, pens: Sequence[Pen] = ()) -> tuple[ErrorSource, ...]:
    """Returns all sources for a machine and the pens that draw with it."""
    return (*lasting_sources(machine), *changing_sources(machine, pens))


def lasting_sources(machine: Machine) -> tuple[ErrorSource, ...]:
    """Returns the sources that a calibration removes. Belts that are wound in to stops start as accurately as the stops
    are known."""
    if machine.controller.code.start != "stop":
        return ERROR_SOURCES
    size = machine.belt.stop_uncertainty
    stops = ErrorSource(
        N_("belt lengths at the stops"), f"{format_number(size)} mm", ((LEFT_BELT, size), (RIGHT_BELT, size))
    )
    return tuple(stops if cause.terms[0][0] == LEFT_BELT else cause for cause in ERROR_SOURCES)


def changing_sources(machine: Machine, pens: Sequence[Pen] = ()) -> tuple[ErrorSource, ...]:
    """Returns the sources that no calibration removes because they change from stroke to stroke or from day to day."""
    belt = machine.belt
    warmer = abs(belt.expansion) * 1e-6 * TEMPERATURE_CHANGE
    return (
        force_source(DRAG, _unknown_drag(pens)),
        _cable(machine),
        ErrorSource(
            N_("creep of the belts"),
            f"{format_number(100 * belt.creep)} %",
            ((LEFT_SHARE, belt.creep), (RIGHT_SHARE, belt.creep)),
        ),
        ErrorSource(
            N_("temperature of the belts"),
            f"{format_number(TEMPERATURE_CHANGE)} K",
            ((LEFT_SHARE, warmer), (RIGHT_SHARE, warmer)),
        ),
    )


def _unknown_drag(pens: Sequence[Pen]) -> float:
    """Returns the largest uncorrected friction of the pens, N."""
    return max([pen.drag_uncertainty if pen.drag else USUAL_DRAG for pen in pens], default=USUAL_DRAG)


def _cable(machine: Machine) -> ErrorSource:
    """Returns the source for the cable: an unmeasured pull acts from either side; a measured one has a relative error."""
    pull = machine.body.cable_pull
    if not pull:
        return ErrorSource(CABLE, f"{format_number(USUAL_CABLE)} N", (("push x", USUAL_CABLE),))
    return force_source(CABLE, CABLE_SHARE * pull)


@dataclass(frozen=True)
class ErrorBudget:
    """Effects at n points. Points where nothing hangs hold nan and are left out of statistics over all points."""

    causes: tuple[ErrorSource, ...]
    effects: Floats
    """(k, n) mm: standard uncertainty of the pen position from each cause."""
    moves: Floats
    """(n, 2, t) mm: pen movement from each independent term of all causes, at its stated size."""

    @property
    def combined(self) -> Floats:
        """(n,) mm: standard uncertainty from all causes."""
        result: Floats = np.sqrt((self.effects**2).sum(axis=0))
        return result

    @property
    def by_cause(self) -> Floats:
        """(k,) mm: root mean square over the points for each cause; nan without points."""
        good = self.effects[:, np.isfinite(self.combined)]
        return np.sqrt((good**2).mean(axis=1)) if good.size else np.full(len(self.causes), np.nan)


def error_budget_of(
    rig: CableRobotModel, pose: Pose, causes: tuple[ErrorSource, ...] = ERROR_SOURCES, start: Floats | None = None
) -> ErrorBudget:
    """Returns the budget at solved poses. start: (2,) mm belt lengths where they were measured; None: 0."""
    let_out = pose.belts - (np.zeros(2) if start is None else start)
    special = _special(pose.belts, let_out)
    parameters = dict.fromkeys(_parameter(name) for cause in causes for name, _ in cause.terms)
    names = tuple(name for name in parameters if name not in special)
    moves = pen_by_belts(rig, pose)
    held = np.einsum("nij,njp->nip", moves, belts_by_parameters(rig, pose, names))
    by = {name: -held[:, :, k] for k, name in enumerate(names)}
    by |= {name: np.einsum("nij,nj->ni", moves, longer) for name, longer in special.items()}
    effects, terms = np.zeros((len(causes), len(pose.tilt))), []
    for k, cause in enumerate(causes):
        for name, amount in cause.terms:
            amount = amount / rig.stiffness if name == SOFTNESS else amount
            terms.append(amount * by[_parameter(name)])
            effects[k] += (terms[-1] ** 2).sum(axis=1)
    return ErrorBudget(causes, np.sqrt(effects), np.stack(terms, axis=2) if terms else np.zeros((len(moves), 2, 0)))


def _special(belts: Floats, let_out: Floats) -> dict[str, Floats]:
    """Returns (n, 2) mm: belt length error per unit of each parameter that is not in sensitivity.PARAMETERS."""
    left, right = np.array([1.0, 0.0]), np.array([0.0, 1.0])
    return {
        LEFT_BELT: np.broadcast_to(left, belts.shape),
        RIGHT_BELT: np.broadcast_to(right, belts.shape),
        LEFT_SHARE: belts * left,
        RIGHT_SHARE: belts * right,
        PITCH_SHARE: let_out,
    }


def _parameter(name: str) -> str:
    return "softness" if name == SOFTNESS else name
