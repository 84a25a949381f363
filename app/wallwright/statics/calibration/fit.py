"""The fit: parameters that explain the readings best, how well they are known, and which readings disagree.

Least squares of readings and of what was known before, each over its standard uncertainty, with Huber's loss so that a
slip of the tape does not carry the rest with it (Huber, Robust Statistics, 1981). A reading that disagrees by more than
SLIP standard uncertainties with all the others is then left out and named, when no other reading would explain the
disagreement nearly as well. Otherwise nothing is left out, and all readings that may be wrong are named, to be taken again.
Where there are fewer readings than parameters only as many are fitted, those that the readings determine best; the rest stay
as they were, and their own uncertainty is carried into the result (JCGM 100:2008, 5.1.2).
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

import msgspec
import numpy as np
from scipy.optimize import least_squares

from wallwright.document.arrays import Flags, Floats
from wallwright.document.calibration import CalibrationFit, Survey
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging
from wallwright.statics.calibration.measurement_model import PredictedMarks, Readings, drawn
from wallwright.statics.calibration.parameters import CalibrationParameter, parameters_of, read_all, write_all
from wallwright.statics.calibration.reliability import SUSPECT, differing_repeats

FEWEST = 3
SLIP = 4.0
"""Standard uncertainties; between honest readings one in 16,000."""
CERTAIN = 9.0
"""By which the squared disagreement of the worst reading exceeds that of any other before it alone is called wrong: odds of
exp(9 / 2), ninety to one, for two readings of one error."""
HUBER = 2.0
FARTHEST = 12.0
"""Prior uncertainties: no parameter is searched beyond."""
JUDGED = 0.05
"""Share of a reading's variance that others must explain before it can be called a slip."""


@dataclass(frozen=True)
class FittedParameter:
    """One parameter before and after."""

    parameter: CalibrationParameter
    before: float
    value: float
    uncertainty: float
    """Standard."""
    prior: float
    held: bool
    """True: left as it was, for want of readings."""

    @property
    def uncertainty_reduction(self) -> float:
        """0: the readings say nothing of it; 1: they say all."""
        return 1 - self.uncertainty / self.prior


@dataclass(frozen=True)
class OutlierReading:
    """A reading that the others contradict."""

    measure: int
    """Index into survey.read."""
    disagreement: float
    """mm by which it differs from what the others say."""


@dataclass(frozen=True)
class CalibrationResult:
    """A finished fit."""

    machine: Machine
    hanging: Hanging
    """As found; hanging.calibration has values and covariance."""
    parameters: tuple[FittedParameter, ...]
    covariance: Floats
    """(p, p)."""
    residuals: Floats
    """(m,) mm: what each reading should have been less what it was."""
    slips: tuple[OutlierReading, ...]
    """Those left out."""
    suspects: tuple[OutlierReading, ...]
    """Those that may be wrong and were used."""
    agreement: float
    """mm: root mean square of the residuals of the readings used."""
    spread: float
    """Factor by which the readings' uncertainties had to be raised to explain the residuals; 1 or more."""


def fit_calibration(machine: Machine, hanging: Hanging, survey: Survey | None = None) -> CalibrationResult:
    """Fits the hanging's survey, or another. Raises BadValue for fewer than three readings or unknown marks.

    Measures without a reading are left out; indices and residuals count survey.read.
    """
    survey = hanging.survey if survey is None else survey
    readings = Readings.of(survey.marks, survey.read)
    if len(readings.kind) < FEWEST:
        raise BadValue(tr("{0} readings are too few. Take at least {1}", len(readings.kind), FEWEST))
    problem = FitProblem(machine, hanging, survey, readings)
    found, use, slips = without_slips(problem)
    return problem.outcome(found, use, slips)


def without_slips(problem: FitProblem) -> tuple[FitSolution, Flags, list[int]]:
    """The solution of a problem, (m,) which readings it uses, and the indices of those left out, worst first."""
    use = np.ones(len(problem.readings.kind), dtype=bool)
    slips: list[int] = []
    while True:
        found = problem.solve(use)
        worst = found.worst(use)
        most = len(use) // 4
        if worst is None or len(slips) >= most or use.sum() <= FEWEST or found.rivals(worst, use):
            return found, use, slips
        use[worst] = False
        slips.append(worst)


@dataclass(frozen=True)
class FitSolution:
    """Parameters that explain the readings best."""

    values: Floats
    fitted: Flags
    """(p,) bool."""
    at: PredictedMarks
    residuals: Floats
    """(m,) mm."""
    covariance: Floats
    studentised: Floats
    """(m,) residuals over their own standard uncertainty; 0 where nothing else speaks of a reading."""
    tests: Floats
    """(m,) the same of an adjustment that trusts all readings in use: by its square the sum of squares falls when one of
    them is left out (Baarda's w)."""
    spread: float

    def worst(self, use: Flags) -> int | None:
        """Number of the reading, of those in use, (m,) bool, that fits worst; None when none is a slip."""
        size = np.where(use, np.abs(self.studentised), 0.0)
        k = int(np.argmax(size))
        return k if size[k] > SLIP else None

    def rivals(self, worst: int, use: Flags) -> list[int]:
        """Numbers of the readings, of those in use, (m,) bool, that explain the disagreement nearly as well as the worst."""
        square = np.where(use, self.tests**2, -np.inf)
        near = square > square[worst] - CERTAIN
        near[worst] = False
        return [int(k) for k in np.flatnonzero(near & (square > SUSPECT**2))]

    def suspects(self, use: Flags) -> list[int]:
        """Numbers of the readings in use, (m,) bool, that are to be taken again, worst first."""
        size = np.where(use, np.maximum(np.abs(self.studentised), np.abs(self.tests)), 0.0)
        return [int(k) for k in np.argsort(-size, kind="stable") if size[k] > SUSPECT]


class FitProblem:
    """Readings, parameters, and what was known of them before."""

    def __init__(self, machine: Machine, hanging: Hanging, survey: Survey, readings: Readings) -> None:
        self.machine, self.hanging, self.readings = machine, hanging, readings
        self.parameters = parameters_of(machine)
        self.prior = np.array([p.prior(machine) for p in self.parameters])
        self.before = read_all(self.parameters, machine, hanging)
        self.counts = np.array([(m.left, m.right) for m in survey.marks], dtype=float).reshape(-1, 2)
        self.meant = np.array([(m.x, m.y) for m in survey.marks], dtype=float).reshape(-1, 2)
        self._last: tuple[Floats, PredictedMarks] | None = None

    def at(self, values: Floats) -> PredictedMarks:
        """The marks as these values of the parameters, (p,), each in its own unit, put them, mm."""
        start, n = self.meant, len(self.meant)
        if self._last is not None:  # the marks of values nearby are predicted well, which saves most of the search
            before, marks = self._last
            near = marks.points[:n] + marks.moves[:n] @ (values - before)
            start = np.where(np.isfinite(near).all(axis=1, keepdims=True), near, self.meant)
        found = drawn(self.machine, self.hanging, self.parameters, values, self.counts, start)
        self._last = values.copy(), found
        return found

    def scaled_jacobian(self, at: PredictedMarks, use: Flags) -> Floats:
        """(m, p) derivatives of readings over their uncertainty, by parameters over theirs."""
        jacobian = self.readings.derivatives(at.points, at.moves)
        result: Floats = (jacobian * self.prior / self.readings.sigma[:, None])[use]
        return result

    def _choice(self, use: Flags) -> Flags:
        """(p,) bool: which parameters to fit."""
        count = int(use.sum())
        if count >= len(self.prior):
            return np.ones(len(self.prior), dtype=bool)
        a = self.scaled_jacobian(self.at(self.before), use)
        left = np.diag(np.linalg.inv(a.T @ a + np.eye(len(self.prior))))
        chosen = np.zeros(len(self.prior), dtype=bool)
        chosen[np.argsort(left, kind="stable")[:count]] = True
        return chosen

    def solve(self, use: Flags) -> FitSolution:
        """The values at which the readings in use, (m,) bool, fit best, and how well they are known."""
        chosen = self._choice(use)
        readings = self.readings

        def values_of(z: Floats) -> Floats:
            values = self.before.copy()
            values[chosen] += z * self.prior[chosen]
            return values

        @functools.lru_cache(maxsize=1)  # residuals and derivatives are asked for at the same place
        def marks_at(z: bytes) -> PredictedMarks:
            return self.at(values_of(np.frombuffer(z)))

        def residuals(z: Floats) -> Floats:
            off = (readings.predicted(marks_at(z.tobytes()).points) - readings.value) / readings.sigma
            # A machine that could not have drawn a mark is no explanation of it.
            return np.concatenate([np.nan_to_num(off[use], nan=1e4), z])

        def jacobian(z: Floats) -> Floats:
            a = self.scaled_jacobian(marks_at(z.tobytes()), use)[:, chosen]
            return np.vstack([np.nan_to_num(a), np.eye(len(z))])

        answer = least_squares(
            residuals,
            np.zeros(int(chosen.sum())),
            jacobian,
            bounds=(-FARTHEST, FARTHEST),
            loss="huber",
            f_scale=HUBER,
            xtol=1e-10,
            ftol=1e-10,
            gtol=1e-10,
            max_nfev=100,
        )
        values = values_of(answer.x)
        at = self.at(values)
        off = readings.predicted(at.points) - readings.value
        return self._judged(values, chosen, at, off, use)

    def _judged(self, values: Floats, chosen: Flags, at: PredictedMarks, off: Floats, use: Flags) -> FitSolution:
        """Covariance and studentised residuals at a solution."""
        every = self.scaled_jacobian(at, np.ones(len(use), dtype=bool))
        standard = off / self.readings.sigma
        weight = np.minimum(1.0, HUBER / np.maximum(np.abs(standard), 1e-12)) * use
        a = every * np.sqrt(weight)[:, None]
        covariance = _covariance(a, chosen)
        own = np.einsum("mp,pq,mq->m", every, covariance, every)
        # The fit has taken its part of a reading it used whole; one it did not use adds its own uncertainty.
        variance = 1 + own * (1 - 2 * weight)
        known = variance > JUDGED
        student = np.where(known, standard / np.sqrt(np.where(known, variance, 1.0)), 0.0)
        freedom = float(weight.sum() - (weight * own).sum())
        spread = 1.0
        if freedom >= 2:
            spread = max(1.0, float(np.sqrt((weight * standard**2).sum() / freedom)))
        z = (values - self.before)[chosen] / self.prior[chosen]
        tests = _tests(every[:, chosen], standard, z, use)
        return FitSolution(values, chosen, at, off, _covariance(a / spread, chosen), student, tests, spread)

    def outcome(self, found: FitSolution, use: Flags, slips: list[int]) -> CalibrationResult:
        """What a solution says of machine and hanging. use: (m,) bool; slips: numbers of the readings left out."""
        suspects = list(dict.fromkeys(found.suspects(use) + differing_repeats(self.readings, use)))
        covariance = found.covariance * np.outer(self.prior, self.prior)
        uncertainty = np.sqrt(np.diag(covariance))
        machine, hanging = write_all(self.parameters, found.values, self.machine, self.hanging)
        calibration = CalibrationFit(
            tuple(p.name for p in self.parameters),
            tuple(found.values.tolist()),
            tuple(tuple(row) for row in covariance.tolist()),
            int(use.sum()),
        )
        fitted = tuple(
            FittedParameter(p, float(b), float(v), float(u), float(s), not c)
            for p, b, v, u, s, c in zip(
                self.parameters, self.before, found.values, uncertainty, self.prior, found.fitted, strict=True
            )
        )
        return CalibrationResult(
            machine,
            msgspec.structs.replace(hanging, calibration=calibration),
            fitted,
            covariance,
            found.residuals,
            tuple(OutlierReading(k, float(found.residuals[k])) for k in slips),
            tuple(OutlierReading(k, float(found.residuals[k])) for k in suspects),
            float(np.sqrt((found.residuals[use] ** 2).mean())),
            found.spread,
        )


def _tests(a: Floats, standard: Floats, z: Floats, use: Flags) -> Floats:
    """(m,) residuals over their standard uncertainties by least squares of the readings in use, (m,) bool, all alike.

    a: (m, p) derivatives and standard: (m,) residuals of readings over their uncertainty, and z: (p,) parameters by theirs,
    where another adjustment ended.
    """
    used = a[use]
    own = np.linalg.inv(used.T @ used + np.eye(len(z)))
    left = standard - a @ (own @ (used.T @ standard[use] + z))
    variance = 1 + np.where(use, -1.0, 1.0) * np.einsum("mp,pq,mq->m", a, own, a)
    known = variance > JUDGED
    return np.where(known, left / np.sqrt(np.where(known, variance, 1.0)), 0.0)


def _covariance(a: Floats, chosen: Flags) -> Floats:
    """(p, p), in prior units: of the fitted parameters with those held carried through.

    With H = AᵀA + 1 over the fitted ones, a held one off by d moves them by G d, G = -H⁻¹ Aᵀ A_held.
    """
    p = len(chosen)
    fitted, held = np.flatnonzero(chosen), np.flatnonzero(~chosen)
    own = np.linalg.inv(a[:, fitted].T @ a[:, fitted] + np.eye(len(fitted)))
    result = np.eye(p)
    carried = -own @ a[:, fitted].T @ a[:, held]
    result[np.ix_(fitted, fitted)] = own + carried @ carried.T
    result[np.ix_(fitted, held)] = carried
    result[np.ix_(held, fitted)] = carried.T
    return result
