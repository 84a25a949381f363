"""How far the pen is to be expected off, over the wall: by what was learnt, or before that by the error budget."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.document.calibration import Learnt
from app.document.machine import Machine
from app.document.wall import Hanging
from app.statics.budget import CAUSES, COVERAGE, Cause, budget_of
from app.statics.calibration.model import pen_moves
from app.statics.calibration.parameters import PARAMETERS, Parameter, parameters_of, read_all
from app.statics.pose import Pose
from app.statics.rig import Rig

BY_NAME = {p.name: p for p in PARAMETERS}
DRAG = tuple(cause for cause in CAUSES if cause.title == "pen drag")
"""What no calibration removes: it differs from stroke to stroke."""


@dataclass(frozen=True)
class Expected:
    """Standard uncertainty of the pen's place at n points."""

    by_point: np.ndarray
    """(n,) mm; nan where nothing hangs."""
    largest: str
    """The cause that matters most, in words."""
    share: float
    """mm: what the largest cause alone does, root mean square."""
    calibrated: bool

    @property
    def typical(self) -> float:
        """mm: COVERAGE times the root mean square over the points; nan without any."""
        good = self.by_point[np.isfinite(self.by_point)]
        return float(COVERAGE * np.sqrt((good**2).mean())) if len(good) else np.nan

    @property
    def worst(self) -> float:
        """mm: COVERAGE times the largest of the points; nan without any."""
        good = self.by_point[np.isfinite(self.by_point)]
        return float(COVERAGE * good.max()) if len(good) else np.nan

    def sentence(self) -> str:
        return (
            f"Expect the pen to be within about ± {self.typical:.1f} mm of its place, ± {self.worst:.1f} mm at the worst "
            f"one; most of it comes from {self.largest} ({self.share:.1f} mm)."
        )


def expected(machine: Machine, hanging: Hanging, pose: Pose, with_drag: bool = True) -> Expected:
    """At the pen points of solved poses of this machine in this hanging. with_drag: False leaves the pen's drag out of
    what was learnt, to see what calibration alone has left."""
    learnt = valid(machine, hanging)
    if learnt is not None:
        return _learnt(machine, hanging, pose, learnt, DRAG if with_drag else ())
    budget = budget_of(Rig.of(machine, hanging), pose)
    k = budget.causes.index(budget.largest)
    cause = budget.largest
    return Expected(
        budget.combined, f"the {cause.title}, known to {cause.size}", float(budget.by_cause[k]), False
    )


def valid(machine: Machine, hanging: Hanging) -> Learnt | None:
    """What was learnt, while machine and hanging still have the values it was learnt for."""
    learnt = hanging.learnt
    if learnt is None or any(name not in BY_NAME for name in learnt.names):
        return None
    now = read_all(tuple(BY_NAME[name] for name in learnt.names), machine, hanging)
    return learnt if np.allclose(now, learnt.values, rtol=1e-9, atol=1e-9) else None


def _learnt(
    machine: Machine, hanging: Hanging, pose: Pose, learnt: Learnt, drag_causes: tuple[Cause, ...]
) -> Expected:
    parameters = tuple(BY_NAME[name] for name in learnt.names)
    covariance = np.array(learnt.covariance)
    moves = pen_moves(machine, hanging, pose, parameters)
    drag = budget_of(Rig.of(machine, hanging), pose, drag_causes).combined
    by_point = np.sqrt(spread_at(moves, covariance) + drag**2)
    # A parameter's part: what would go if it alone were known exactly.
    parts = [float(np.nanmean(spread_at(moves, np.outer(c, c) / c[k]))) for k, c in enumerate(covariance)]
    rest = float(np.nanmean(drag**2))
    k = int(np.argmax(parts))
    name = (
        "pen drag"
        if rest > parts[k]
        else f"the {parameters[k].title.lower()}, as far as the readings tell it"
    )
    return Expected(by_point, name, float(np.sqrt(max(rest, parts[k]))), True)


def spread_at(moves: np.ndarray, covariance: np.ndarray) -> np.ndarray:
    """(n,) mm²: variance of the pen's place, both coordinates together, for moves (n, 2, p) by parameters."""
    return np.einsum("nip,pq,niq->n", moves, covariance, moves)


def before_measuring(
    machine: Machine, hanging: Hanging, pose: Pose
) -> tuple[tuple[Parameter, ...], np.ndarray, np.ndarray]:
    """Parameters, their (p, p) covariance before any reading, and how the pen answers, (n, 2, p)."""
    parameters = parameters_of(machine)
    prior = np.array([p.prior(machine) for p in parameters])
    return parameters, np.diag(prior**2), pen_moves(machine, hanging, pose, parameters)
