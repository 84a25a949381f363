"""Sentences that report the result of a fit."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.calibration import Survey, TapeReading, reading_titles
from wallwright.document.language import format_number, mid_sentence, tr
from wallwright.statics.calibration.drawing_fit import DrawingFit
from wallwright.statics.calibration.fit import CalibrationResult, FittedParameter
from wallwright.statics.calibration.formula_parameters import REMAINDER_PARAMETERS, SCALE

HIGH_CORRELATION = 0.9
"""Correlation above which two parameters are reported as indistinguishable."""
SAME = 1e-6
"""Log ratio below which two scales count as equal."""
INCH = 25.4
LEAST_REDUCTION = 0.2
"""Smallest share of a parameter's uncertainty that readings must remove to count as having determined it."""


def changes(outcome: CalibrationResult) -> list[tuple[str, str, str, str]]:
    """Returns the rows of a table: title, before, now, uncertainty in words."""
    rows = []
    for f in _named(outcome):
        known = (
            tr("unchanged: too few readings")
            if f.held
            else _hardly_known(f)
            if f.uncertainty_reduction < LEAST_REDUCTION
            else _known(f)
        )
        rows.append((tr(f.parameter.title), _shown(f, f.before), _shown(f, f.value), known))
    return rows


def _named(outcome: CalibrationResult) -> list[FittedParameter]:
    """Returns the parameters that a person knows by name; a remainder's coefficients come last and mean nothing alone."""
    return [f for f in outcome.parameters if f.parameter not in REMAINDER_PARAMETERS]


def _known(f: FittedParameter) -> str:
    shown = f.parameter.shown
    low, high = shown(f.value - f.uncertainty), shown(f.value + f.uncertainty)
    return f"± {format_number(abs(high - low) / 2, f'.{f.parameter.digits}f')} {f.parameter.unit}"


def _hardly_known(f: FittedParameter) -> str:
    """Returns the text for a value that the readings hardly determine. It may still change slightly through correlation
    with better determined ones."""
    if _shown(f, f.before) == _shown(f, f.value):
        return tr("cannot be found from these readings")
    return tr("{0}: hardly better known than before", _known(f))


def _shown(f: FittedParameter, value: float) -> str:
    rounded = round(f.parameter.shown(value), f.parameter.digits) + 0.0  # no minus zero
    return f"{format_number(rounded, f'.{f.parameter.digits}f')} {f.parameter.unit}"


def remarks(outcome: CalibrationResult, survey: Survey) -> list[str]:
    """Returns sentences on outliers, suspect readings, overall agreement, unchanged values, and indistinguishable
    parameters."""
    found, titles = [], reading_titles(survey.read)
    for slip in outcome.slips:
        found.append(
            tr(
                "{0} differs by {1:.0f} mm from the other readings and was left out. Measure it again.",
                titles[slip.measure],
                abs(slip.disagreement),
            )
        )
    if outcome.suspects:
        found.append(
            tr(
                "One of these readings may be wrong: {0}. All were used. Measure them again.",
                ", ".join(titles[suspect.measure] for suspect in outcome.suspects),
            )
        )
    used = len(survey.read) - len(outcome.slips)
    found.append(tr("{0} readings agree to within {1:.1f} mm.", used, outcome.agreement))
    if isinstance(outcome, DrawingFit):
        found.extend(_other_size(outcome))
        found.append(_formula(outcome))
    if outcome.spread > 1.5:
        found.append(
            tr(
                "That is {0:.1f} times the scatter expected; the uncertainties were increased to match. "
                "Perhaps a belt slipped or the body rubs on the wall.",
                outcome.spread,
            )
        )
    held = [_within(f) for f in _named(outcome) if f.held]
    if held:
        fitted = len(outcome.parameters) - len(held)
        found.append(
            tr(
                "Too few readings for everything: {0} values were fitted; unchanged: {1}.",
                fitted,
                ", ".join(held),
            )
        )
    found.extend(_alike(outcome))
    return found


def moved_sentence(moved: Floats) -> str:
    """Returns how far the pen was off according to the fit, from moved, (n,) mm at points; nan: unknown. "" if all are
    nan."""
    known = moved[np.isfinite(moved)]
    if not len(known):
        return ""
    return tr(
        "The pen was off by {0:.1f} mm on average, by up to {1:.1f} mm. The result puts this right.",
        float(np.sqrt((known**2).mean())),
        float(known.max()),
    )


def twice_sentence(measures: Sequence[TapeReading]) -> str:
    """Returns which readings of a proposal are taken twice, and why; "" if none."""
    keys = [(m.kind, m.a, m.b) for m in measures]
    twice = [m.words for k, m in enumerate(measures) if keys[k] in keys[k + 1 :]]
    if not twice:
        return ""
    return tr("No other reading checks these, so take them twice: {0}.", ", ".join(twice))


def _formula(outcome: DrawingFit) -> str:
    """Returns which formula the controller uses, and whether a remainder was found."""
    formula = tr("The controller's formula: {0}.", tr(outcome.variant.title))
    if not outcome.remainder:
        return formula + " " + tr("Nothing beside it is supported by the readings.")
    return (
        formula
        + " "
        + tr("It does something besides; a smooth correction of {0} numbers makes up for it.", 2 * outcome.remainder)
    )


def _other_size(outcome: DrawingFit) -> list[str]:
    """Returns the unit of a different size that the page turned out to use."""
    page = outcome.machine.controller.page
    if abs(np.log(page.scale / outcome.scale_before)) < SAME or any(
        f.parameter.name == SCALE for f in outcome.parameters
    ):
        return []  # a fitted scale is in the table
    if page.unit == "px":
        return [tr("The page reads the file's numbers as pixels of 1/{0} inch.", format_number(INCH / page.number_mm))]
    return [tr("The page makes {0} mm of 1 mm; the files make up for it.", format_number(page.scale, ".4g"))]


def _within(f: FittedParameter) -> str:
    """Returns the parameter's title for use within a sentence."""
    return mid_sentence(tr(f.parameter.title))


def _alike(outcome: CalibrationResult) -> list[str]:
    scale = np.sqrt(np.diag(outcome.covariance))
    correlation = outcome.covariance / np.outer(scale, scale)
    found = []
    for i, a in enumerate(_named(outcome)):
        for j in range(i):
            b = outcome.parameters[j]
            if (
                abs(correlation[i, j]) > HIGH_CORRELATION
                and not (a.held or b.held)
                and min(a.uncertainty_reduction, b.uncertainty_reduction) > LEAST_REDUCTION
            ):
                what = tr("difference") if correlation[i, j] > 0 else tr("sum")
                found.append(
                    tr(
                        "These readings hardly tell “{0}” and “{1}” apart: their {2} is better known than either.",
                        tr(b.parameter.title),
                        tr(a.parameter.title),
                        what,
                    )
                )
    return found
