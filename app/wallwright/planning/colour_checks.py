"""Checks of how accurately the pens reproduce the colours of the artwork."""

from __future__ import annotations

from wallwright.artwork.colour import names_of
from wallwright.artwork.inks.recipes import Tint
from wallwright.document.language import plural, tr
from wallwright.jobs.checks import Check, Verdict
from wallwright.planning.check_context import CheckContext
from wallwright.strokes.palette import LINE_AREA, difference
from wallwright.strokes.stroke_composition import ColourUse

DIFFERENT_COLOUR = 25.0
"""CIEDE2000 difference above which a colour looks like a different colour rather than a shade; common practice, no
source."""
SMALL_SHARE = 0.03
"""Share of an artwork's ink below which a colour hardly affects its appearance."""
MOST_NAMES = 3


def colours(context: CheckContext) -> list[Check]:
    """Checks for colours that come out as different ones although several pens are available."""
    pens = context.document.pens
    if len({pen.colour for pen in pens}) < 2:  # one pen gives tones, which nobody expects to match the colours
        return []
    unlike: dict[str, float] = {}
    for report in context.preview.reports:
        least = SMALL_SHARE * sum(map(_amount, report.colours))
        for use in report.colours:
            if use.pen >= 0 and not use.chosen and _amount(use) >= least:
                apart = difference(use.colour, pens, use.tints or (Tint(use.pen, 1.0),))
                if apart > DIFFERENT_COLOUR:
                    unlike[use.colour] = max(apart, unlike.get(use.colour, 0.0))
    if not unlike:
        return []
    worst = sorted(unlike, key=lambda colour: (-unlike[colour], colour))
    named = [f"{name} ({colour})" for colour, name in zip(worst, names_of(worst), strict=True)]
    shown, left = ", ".join(named[:MOST_NAMES]), len(named) - MOST_NAMES
    if left > 0:
        shown = plural("{1} and {0} more", "{1} and {0} more", left, shown)
    text = tr(
        "No pen comes near {0}. “Which pens to buy” under Colours and pens of the artwork names pens that help.", shown
    )
    figure = plural("{0} colour", "{0} colours", len(worst))
    return [Check("colours", Verdict.NOTE, tr("Colours without a pen"), text, figure=figure)]


def _amount(use: ColourUse) -> float:
    return use.area + LINE_AREA * use.length
