"""What a fit found, in sentences."""

from __future__ import annotations

import numpy as np

from app.document.calibration import Survey
from app.statics.calibration.fit import Fitted, Outcome

ALIKE = 0.9
"""Correlation from which two parameters are said not to be told apart."""
LITTLE = 0.2
"""Share of a parameter's uncertainty that readings must take away to have told it."""


def changes(outcome: Outcome) -> list[tuple[str, str, str, str]]:
    """Rows of a table: title, before, now, in words how well it is known."""
    rows = []
    for f in outcome.parameters:
        known = (
            "kept: too few readings"
            if f.held
            else "not told by these readings"
            if f.told < LITTLE
            else _known(f)
        )
        rows.append((f.parameter.title, _shown(f, f.before), _shown(f, f.value), known))
    return rows


def _known(f: Fitted) -> str:
    shown = f.parameter.shown
    low, high = shown(f.value - f.uncertainty), shown(f.value + f.uncertainty)
    return f"± {abs(high - low) / 2:.{f.parameter.digits}f} {f.parameter.unit}"


def _shown(f: Fitted, value: float) -> str:
    rounded = round(f.parameter.shown(value), f.parameter.digits) + 0.0  # no minus zero
    return f"{rounded:.{f.parameter.digits}f} {f.parameter.unit}"


def remarks(outcome: Outcome, survey: Survey) -> list[str]:
    """Sentences: slips first, then how well the readings agree, what was kept, what cannot be told apart."""
    found = []
    for slip in outcome.slips:
        measure = survey.read[slip.measure]
        found.append(
            f"{measure.words} disagrees by {abs(slip.disagreement):.0f} mm with the other readings and was left out: "
            "measure it again."
        )
    used = len(survey.read) - len(outcome.slips)
    found.append(f"{used} readings agree with each other within {outcome.agreement:.1f} mm.")
    if outcome.spread > 1.5:
        found.append(
            f"That is {outcome.spread:.1f} times what their uncertainties allow; all uncertainties were raised so far. "
            "Something that is not in the model may be at work: a belt that skipped, a body that rubs."
        )
    held = [f.parameter.title.lower() for f in outcome.parameters if f.held]
    if held:
        fitted = len(outcome.parameters) - len(held)
        found.append(
            f"With so few readings only {fitted} numbers were fitted; kept as they were: {', '.join(held)}."
        )
    found.extend(_alike(outcome))
    return found


def _alike(outcome: Outcome) -> list[str]:
    scale = np.sqrt(np.diag(outcome.covariance))
    correlation = outcome.covariance / np.outer(scale, scale)
    found = []
    for i, a in enumerate(outcome.parameters):
        for j in range(i):
            b = outcome.parameters[j]
            if abs(correlation[i, j]) > ALIKE and not (a.held or b.held) and min(a.told, b.told) > LITTLE:
                what = "difference" if correlation[i, j] > 0 else "sum"
                found.append(
                    f"{b.parameter.title} and {a.parameter.title.lower()} are hard to tell apart by these readings: "
                    f"their {what} is known better than either."
                )
    return found
