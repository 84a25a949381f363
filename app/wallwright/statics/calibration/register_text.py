"""Sentences about what the readings at register marks say of the anchors."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wallwright.document.language import tr
from wallwright.statics.calibration.register_fit import READING_SIGMA, RegisterFit

NOTABLE_SPREAD = 1.5
"""Smallest spread of the readings that is mentioned."""


def doubts(found: RegisterFit, names: Sequence[str]) -> list[str]:
    """Returns why the result cannot be trusted; empty if it can. names: of the marks, in the order of the sightings."""
    sentences = []
    if found.suspects:
        wrong = ", ".join(names[i] for i in found.suspects)
        sentences.append(
            tr("This result cannot be trusted. One of these readings may be wrong: {0}. Read those marks again.", wrong)
        )
    if not found.is_plausible:
        farthest = np.abs(found.moved).max(axis=1)
        sentences.append(
            tr(
                "{0} would move by {1:.0f} mm. Anchors are rarely set more than {2:.0f} mm wrong. Check the readings and "
                "their signs, and measure from anchor to anchor.",
                _sides()[int(np.argmax(farthest))],
                farthest.max(),
                found.farthest,
            )
        )
    return sentences


def left_out(found: RegisterFit, names: Sequence[str]) -> list[str]:
    """Returns a sentence about each sighting that was left out. names: of the marks, in the order of the sightings."""
    return [
        tr(
            "{0} disagrees with the others by {1:.0f} mm and was left out. Read that mark again.",
            names[i],
            float(np.hypot(*found.residuals[i])),
        )
        for i in found.slips
    ]


def moves(found: RegisterFit) -> list[str]:
    """Returns how far both anchors are off, with twice the standard uncertainty."""
    return [
        tr(
            "{0}: {1:+.1f} mm to the right (± {2:.1f}), {3:+.1f} mm down (± {4:.1f})",
            side,
            moved[0],
            sure[0],
            moved[1],
            sure[1],
        )
        for side, moved, sure in zip(_sides(), found.moved.tolist(), (2 * found.uncertainty).tolist(), strict=True)
    ]


def agreement(found: RegisterFit) -> list[str]:
    """Returns how well the parts will meet, and how well the readings check each other."""
    sentences = [
        tr(
            "Parts then meet to within about {0:.1f} mm; {1:.1f} mm of the readings remain unexplained.",
            2 * found.expected,
            found.left_over,
        )
    ]
    if found.spread > NOTABLE_SPREAD and found.left_over > READING_SIGMA:
        sentences.append(
            tr(
                "The readings scatter {0:.1f} times as much as expected; the uncertainties were increased to match.",
                found.spread,
            )
        )
    if not found.is_checked:
        sentences.append(tr("Two marks fit exactly: read a third to check them."))
    return sentences


def _sides() -> tuple[str, str]:
    return tr("Left anchor"), tr("Right anchor")
