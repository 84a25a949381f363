"""Calibration fit for a machine that takes drawings and whose controller formula is unknown.

Readings of a test drawing made through the machine's own page depend on where the page placed it, on the controller's
formula and on how the body hangs. There are a few variants of the formula: a point instead of a body, exits some distance
apart, exits above the pen, or none of these. Each is fitted with priors for everything else; the variant with the largest
evidence wins.

The evidence is the probability of the readings under a variant, with all fitted parameters averaged over their priors
(Laplace's approximation; MacKay, Bayesian Interpolation, Neural Computation 4, 1992; for many readings it approaches
Schwarz's BIC). With the Jacobian A (readings and parameters over their standard uncertainties) and the residuals r at the
prior means, log p = -(rᵀ C⁻¹ r + log det C) / 2 with C = 1 + A Aᵀ, up to a constant.

Whether the page draws at the scale found by the proof drawing, or at a slightly different one, is decided in the same way.

What the best formula does not explain is modelled by a small smooth displacement of degree two or three. Its size is also
chosen by the evidence: without support from the readings there is none.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass, fields
from itertools import product

import msgspec
import numpy as np

from wallwright.document.arrays import Flags, Floats
from wallwright.document.calibration import Survey
from wallwright.document.errors import BadValue
from wallwright.document.language import N_, tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging
from wallwright.statics.calibration.fit import (
    FEWEST,
    HUBER,
    SEARCH_BOUND,
    CalibrationResult,
    FitProblem,
    FitSolution,
    fit_calibration,
    without_slips,
)
from wallwright.statics.calibration.formula_parameters import (
    FORMULA_PARAMETERS,
    REMAINDER_PARAMETERS,
    SCALE,
    SHIFTS,
    PageScale,
    no_remainder,
    page_scales,
    scale_parameter,
    unknown_formula_prior,
)
from wallwright.statics.calibration.measurement_model import PredictedMarks, Readings, predicted_marks
from wallwright.statics.calibration.parameters import parameters_of, read_all, write_all
from wallwright.statics.controller_kinematics import controller_to_belts
from wallwright.statics.formula_remainder import COUNTS, MONOMIALS, is_small

replace = msgspec.structs.replace

EXIT_PRIOR = 1.0
"""Standard uncertainty of exits in a formula, mm: somebody typed these numbers."""
LEAST_RISE = 3.0
"""Smallest height of the exits above the pen, mm, for which variants with them are tried."""
SIZES = (1.0, 3.0, 10.0)
"""Standard sizes of the remainder's coefficients that are tried, mm."""
READINGS_FOR_REMAINDER = 12
MOST_STEPS, LEAST_SHARE = 30, 0.05
"""Largest number of steps of the search, and smallest share of a step."""
ROUNDING = 1e-9
"""Difference up to which scores count as equal."""
LEAST_EVIDENCE = 3.0
"""Smallest gain in log evidence that justifies a remainder: odds of twenty to one (Kass and Raftery, Bayes Factors,
1995)."""
CONVERGED = 1e-3
"""Change in cost, in squared standard uncertainties, below which the search has converged."""


@dataclass(frozen=True)
class FormulaVariant:
    """A formula that a controller may use."""

    title: str
    spacing: float
    rise: float
    """Prior mean of the exits' height above the pen, mm."""
    spacing_prior: float = EXIT_PRIOR
    rise_prior: float = EXIT_PRIOR


@dataclass(frozen=True)
class DrawingFit(CalibrationResult):
    """Result of a fit of a machine that takes drawings."""

    variant: FormulaVariant
    remainder: int
    """Number of monomials of the remainder; 0: no remainder."""
    scale_before: float
    """Page scale at which the test drawing was made."""


def fit_survey(machine: Machine, hanging: Hanging, survey: Survey | None = None) -> CalibrationResult:
    """Fits a survey; with an unknown formula if it was drawn through the page of a machine that takes drawings. Raises
    BadValue as fit_calibration does."""
    survey = hanging.survey if survey is None else survey
    if machine.controller.takes == "drawing" and survey.marks and all(m.plane is not None for m in survey.marks):
        return fit_drawing_machine(machine, hanging, survey)
    return fit_calibration(machine, hanging, survey)


def formula_variants(machine: Machine) -> tuple[FormulaVariant, ...]:
    """Returns the variants to try for a machine, the configured one first."""
    body, controller = machine.body, machine.controller
    wide = body.right_exit[0] - body.left_exit[0]
    high = -(body.left_exit[1] + body.right_exit[1]) / 2
    found = [
        FormulaVariant(N_("as set"), controller.assumed_spacing, controller.assumed_rise),
        FormulaVariant(N_("two straight belts to a point"), 0.0, 0.0),
        FormulaVariant(N_("exits apart"), wide, 0.0),
    ]
    if abs(high) > LEAST_RISE:
        found.append(FormulaVariant(N_("exits above the pen"), 0.0, high))
        found.append(FormulaVariant(N_("exits apart and above the pen"), wide, high))
    found.append(FormulaVariant(N_("exits somewhere"), wide / 2, high / 2, wide / 2 + 10, abs(high) / 2 + 20))
    places = [(v.spacing, v.rise, v.spacing_prior) for v in found]
    return tuple(v for k, v in enumerate(found) if places[k] not in places[:k])


class DrawingProblem(FitProblem):
    """Readings of a drawing with known positions on the page."""

    def __init__(
        self,
        machine: Machine,
        hanging: Hanging,
        survey: Survey,
        readings: Readings,
        variant: FormulaVariant,
        scale: PageScale,
        count: int,
        size: float,
    ) -> None:
        """count, size: number of monomials of the remainder, and the standard size of their coefficients, mm."""
        # The typed distance stays as it was, wherever the anchors turn out to be.
        page = machine.controller.page
        controller = replace(
            machine.controller,
            page=replace(page, scale=scale.value),
            assumed_distance=survey.typed_distance or machine.controller.assumed_distance,
            assumed_spacing=variant.spacing,
            assumed_rise=variant.rise,
        )
        self._typed_distance = survey.typed_distance
        self._own_distance = machine.controller.assumed_distance
        self.plane = np.array([m.plane for m in survey.marks], dtype=float).reshape(-1, 2)
        self._scale_centre, self._scale = np.array(survey.scale_centre), survey.page_scale or page.scale
        low, high = self.plane.min(axis=0), self.plane.max(axis=0)
        middle = (low + high) / 2 + [page.shift_right, page.shift_down]
        centre, reach = (float(middle[0]), float(middle[1])), max(float((high - low).max()) / 2, 1.0)
        hanging = replace(hanging, remainder=no_remainder(centre, reach, count) if count else None)
        super().__init__(replace(machine, controller=controller), hanging, survey, readings)
        self.parameters = (
            *parameters_of(machine),
            *FORMULA_PARAMETERS,
            *SHIFTS,
            *((scale_parameter(survey.scale_centre),) if scale.is_free else ()),
            *REMAINDER_PARAMETERS[: 2 * count],
        )
        self.prior = unknown_formula_prior(machine, self.parameters, variant.spacing_prior, variant.rise_prior)
        self.prior[len(self.parameters) - 2 * count :] = size
        self.before = read_all(self.parameters, self.machine, self.hanging)
        self.fitted = np.ones(len(self.parameters), dtype=bool)
        """(p,) bool: parameters that solve fits."""

        self._near = self.meant
        """(n, 2) mm: last predicted marks, the starting point of the next prediction."""

    def at(self, values: Floats) -> PredictedMarks:
        """Returns the marks predicted with parameter values (p,), each in its own unit; mm."""
        machine, hanging = write_all(self.parameters, values, self.machine, self.hanging)
        page = machine.controller.page
        plane = self._scale_centre + (self.plane - self._scale_centre) * (page.scale / self._scale)
        plane += [page.shift_right, page.shift_down]
        belts = controller_to_belts(machine, hanging, "plane", plane)
        marks = predicted_marks(machine, hanging, self.parameters, belts, self._near)
        found = marks.points[: len(self.meant)]
        self._near = np.where(np.isfinite(found), found, self.meant)
        return marks

    def solve(self, use: Flags) -> FitSolution:
        """Solves by Gauss-Newton with Huber weights; a step that increases the cost is halved. The problem is nearly
        linear, and each evaluation needs the statics of every mark. use: (m,) bool, readings to use."""
        chosen, values = self._choice(use), self.before.copy()
        at, off, cost = self._evaluate(values, use)
        for _ in range(MOST_STEPS):
            weight = np.sqrt(np.minimum(1.0, HUBER / np.maximum(np.abs(off), 1e-12)))
            a = self.scaled_jacobian(at, use)[:, chosen] * weight[:, None]
            z = ((values - self.before) / self.prior)[chosen]
            step = np.linalg.solve(a.T @ a + np.eye(len(z)), -(a.T @ (weight * off) + z))
            share = 1.0
            while True:
                trial = values.copy()
                moved = np.clip(z + share * step, -SEARCH_BOUND, SEARCH_BOUND)
                trial[chosen] = self.before[chosen] + moved * self.prior[chosen]
                evaluated = self._evaluate(trial, use)
                if evaluated[2] <= cost or share < LEAST_SHARE:
                    break
                share /= 2
            gain = cost - evaluated[2]
            if gain < 0.0:
                break
            values, (at, off, cost) = trial, evaluated
            if gain < CONVERGED:
                break
        every = self.readings.predicted(at.points) - self.readings.value
        return self._judged(values, chosen, at, every, use)

    def _evaluate(self, values: Floats, use: Flags) -> tuple[PredictedMarks, Floats, float]:
        """Returns marks, residuals over their uncertainty of the readings in use, and Huber cost including the priors."""
        at = self.at(values)
        off = np.nan_to_num((self.readings.predicted(at.points) - self.readings.value) / self.readings.sigma, nan=1e4)[
            use
        ]
        size = np.abs(off)
        loss = np.where(size <= HUBER, size**2, 2 * HUBER * size - HUBER**2)
        return at, off, float(loss.sum() + (((values - self.before) / self.prior) ** 2).sum())

    def solve_with_doubt(self, name: str, use: Flags) -> FitSolution:
        """Returns the solution that keeps the named parameter fixed, with the uncertainty it would have if it were fitted
        too; the change from fitting it adds one standard uncertainty. use: (m,) bool, by number of the reading."""
        every = self.fitted
        self.fitted = every & np.array([p.name != name for p in self.parameters])
        kept = self.solve(use)
        self.fitted = every
        changed = (self.solve(use).values - kept.values) / self.prior
        best_remainder = self._judged(kept.values, every, kept.at, kept.residuals, use)
        return dataclasses.replace(best_remainder, covariance=best_remainder.covariance + np.outer(changed, changed))

    def _choice(self, use: Flags) -> Flags:
        return self.fitted

    def result(
        self,
        found: FitSolution,
        use: Flags,
        slips: list[int],
        variant: FormulaVariant,
        count: int,
    ) -> DrawingFit:
        """Returns the result, with the controller's distance as it was set. use: (m,) bool, readings in use."""
        plain = self.outcome(found, use, slips)
        controller = replace(plain.machine.controller, assumed_distance=self._own_distance)
        values = {f.name: getattr(plain, f.name) for f in fields(plain)}
        values["machine"] = replace(plain.machine, controller=controller)
        if (calibration := plain.hanging.calibration) is not None:
            calibration = replace(calibration, typed_distance=self._typed_distance)
            values["hanging"] = replace(plain.hanging, calibration=calibration)
        return DrawingFit(**values, variant=variant, remainder=count, scale_before=self._scale)


def fit_drawing_machine(machine: Machine, hanging: Hanging, survey: Survey) -> DrawingFit:
    """Fits a survey whose marks have known positions on the page. Raises BadValue for fewer than three readings or
    unknown marks."""
    readings = Readings.of(survey.marks, survey.read)
    if len(readings.kind) < FEWEST:
        raise BadValue(tr("{0} readings are too few. Take at least {1}", len(readings.kind), FEWEST))

    def problem(variant: FormulaVariant, scale: PageScale, count: int, size: float = SIZES[0]) -> DrawingProblem:
        return DrawingProblem(machine, hanging, survey, readings, variant, scale, count, size)

    options, scales = formula_variants(machine), page_scales(machine)
    # A misread tape contradicts even the most flexible model; other contradictions may be the model's fault.
    _, use, slips = without_slips(problem(options[-1], scales[-1], len(MONOMIALS), SIZES[-1]))

    def best_remainder(variant: FormulaVariant, scale: PageScale) -> tuple[float, int, float]:
        """Returns the largest evidence over all remainders of a variant, and that remainder."""
        trial = problem(variant, scale, len(MONOMIALS))
        trial.fitted[-2 * len(MONOMIALS) :] = False
        solution = trial.solve(use)
        scores = [
            (
                _evidence(trial, solution, use, count, size) - scale.penalty - (LEAST_EVIDENCE if count else 0.0),
                count,
                size,
            )
            for count, size in _remainders(int(use.sum()))
        ]
        return scores[first_best([score for score, _, _ in scores])]

    # The page's scale does not depend on the variant: the most flexible variant decides it.
    freest = options[-1]
    by_scale = [best_remainder(freest, scale) for scale in scales]
    k = first_best([score for score, _, _ in by_scale])
    scale = scales[k]
    found = {variant: best_remainder(variant, scale) for variant in options[:-1]} | {freest: by_scale[k]}
    variant = list(found)[first_best([score for score, _, _ in found.values()])]
    _, count, size = found[variant]
    if count:
        in_doubt = dataclasses.replace(scale, is_free=scale.is_free or len(scales) > 1)
        last = problem(variant, in_doubt, len(MONOMIALS), size)
        # Remainder coefficients that are not fitted stay 0 and their uncertainty is carried into the result. The same holds
        # for a scale that was not fitted: next to a remainder, evidence does not show that it is right.
        last.fitted[len(last.parameters) - 2 * (len(MONOMIALS) - count) :] = False
        if scale.is_free or len(scales) == 1:
            solution = last.solve(use)
        else:
            solution = last.solve_with_doubt(SCALE, use)
    else:
        last = problem(variant, scale, 0, size)
        solution = last.solve(use)
    result = last.result(solution, use, slips, variant, count)
    if result.hanging.remainder is None or is_small(result.hanging.remainder):
        return result
    last = problem(variant, scale, 0)  # nothing small explains these readings: the spread shows it
    return last.result(last.solve(use), use, slips, variant, 0)


def first_best(scores: Sequence[float]) -> int:
    """Returns the index of the highest score; among scores that differ only by rounding, the first."""
    return next(i for i, score in enumerate(scores) if score >= max(scores) - ROUNDING)


def _remainders(readings: int) -> list[tuple[int, float]]:
    """Returns the remainders (monomials, size) that this many readings may support; none first."""
    if readings < READINGS_FOR_REMAINDER:
        return [(0, SIZES[0])]
    return [(0, SIZES[0]), *product(COUNTS, SIZES)]


def _evidence(trial: DrawingProblem, solution: FitSolution, use: Flags, count: int, size: float) -> float:
    """Returns the log evidence of a variant with count monomials of a size, from its solution without them."""
    a = trial.scaled_jacobian(solution.at, use)
    z = (solution.values - trial.before) / trial.prior
    residual = (solution.residuals / trial.readings.sigma)[use] - a @ z
    every = 2 * len(MONOMIALS)
    a = np.column_stack([a[:, :-every], a[:, -every:][:, : 2 * count] * size / SIZES[0]])
    if not (np.isfinite(a).all() and np.isfinite(residual).all()):
        return -np.inf
    covariance = np.eye(len(residual)) + a @ a.T
    _, determinant = np.linalg.slogdet(covariance)
    return -0.5 * float(residual @ np.linalg.solve(covariance, residual) + determinant)
