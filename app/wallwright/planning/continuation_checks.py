"""Checks of an interrupted job and of its continuation."""

from __future__ import annotations

from wallwright.document.language import N_, format_number, tr
from wallwright.jobs.checks import Check, Remedy, Verdict
from wallwright.planning.accuracy_checks import UNCALIBRATED
from wallwright.planning.check_context import CheckContext
from wallwright.strokes.remaining import strokes_digest

KNOWN_BY = {
    "start": N_("The belts are set by tape at the starting point"),
    "tape": N_("The pen's position was measured"),
    "slip": N_("The slip was worked out from the drawing"),
}


def lines_up(context: CheckContext) -> list[Check]:
    """Checks how well the continuation will join what is already drawn."""
    before = context.before
    if before is None:
        return []
    typical, worst = before.lines_up
    rest, x, y = before.rest, *map(float, context.strokes.points[0])
    text = tr("Drawing continues at stroke {0} of {1}, {2}.", before.first + 1, before.of, context.origin.text(x, y))
    text += " " + tr(
        "{0}, so what is left joins the drawing to within about ± {1:.1f} mm, ± {2:.1f} mm at worst.",
        tr(KNOWN_BY[rest.known_by]),
        typical,
        worst,
    )
    good = worst <= UNCALIBRATED
    if not good and context.document.machine.controller.takes != "drawing":
        text += " " + tr(
            "Check before the pen goes down: the machine pauses once where the line continues. If the pen is "
            "off, measure how far, enter it and export again."
        )
    return [
        Check(
            "continued",
            Verdict.OK if good else Verdict.NOTE,
            tr("Join with what is drawn"),
            text,
            (x, y, x, y),
            figure=f"± {format_number(worst, '.1f')} mm",
        )
    ]


def stopped(context: CheckContext) -> list[Check]:
    """Reports an interrupted job that is stored in the project."""
    found = context.document.stopped
    if found is None or context.before is not None:
        return []
    title, hangings = tr("Interrupted"), context.document.hangings
    if found.hanging >= len(hangings):  # the hanging has been removed since
        return []
    if hangings[found.hanging] is not context.hanging:
        text = tr(
            "It stopped in {0}, at stroke {1} of {2}. Make that the current hanging to continue.",
            hangings[found.hanging].name,
            found.place.stroke + 1,
            found.of,
        )
        return [Check("stopped", Verdict.NOTE, title, text, None, (Remedy.DISCARD_INTERRUPTION,))]
    if found.of != len(context.strokes) or strokes_digest(context.strokes) != found.digest:
        text = tr(
            "It stopped at stroke {0} of {1}, but the strokes have changed since. Find the position on the wall.",
            found.place.stroke + 1,
            found.of,
        )
        return [Check("stopped", Verdict.NOTE, title, text, None, (Remedy.DISCARD_INTERRUPTION,))]
    text = tr("{0} of {1} strokes are drawn.", found.place.stroke, found.of)
    figure = tr("{0} of {1}", found.place.stroke, found.of)
    remedies = (Remedy.CONTINUE, Remedy.DISCARD_INTERRUPTION)
    return [Check("stopped", Verdict.NOTE, title, text, None, remedies, figure=figure)]
