"""Check of external forces on the body: which of them matter on this machine, and how to measure them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.language import N_, format_number, tr
from wallwright.document.machine import Machine
from wallwright.document.pen import Pen
from wallwright.jobs.checks import Check, Remedy, Verdict
from wallwright.planning.check_context import CheckContext
from wallwright.statics.cable_robot import GRAVITY
from wallwright.statics.error_budget import DRAG, ErrorSource, changing_sources, error_budget_of, force_source
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.strokes import Strokes

POSES = 200
"""Number of sample points of the strokes."""
WORTH_MEASURING = 0.3
"""Displacement of the pen, mm, below which a force is not worth measuring: it is hidden by the width of the line."""
USUAL_FEET = 0.2
"""Typical friction of unmeasured feet, N. Common practice, no source."""
USUAL_DIFFERENCE = 5.0
"""Typical difference between two unweighed markers, g."""
MINUTE = 60.0


@dataclass(frozen=True)
class Push:
    """An external force and its uncorrected effect."""

    source: ErrorSource
    advice: str
    """How to measure it; "" if done."""


def pushes(context: CheckContext) -> list[Check]:
    """Reports how far each uncorrected force moves the pen, largest first."""
    points = context.strokes.points[:: max(1, len(context.strokes.points) // POSES)]
    if not len(points):
        return []
    found = _pushes(context.document.machine, context.drawing_pens)
    budget = error_budget_of(context.rig, inverse_kinematics(context.rig, points), tuple(push.source for push in found))
    sizes = np.nan_to_num(budget.by_cause)
    large = [k for k in np.argsort(-sizes, kind="stable").tolist() if sizes[k] >= WORTH_MEASURING]
    title = tr("Pushes on the pen")
    if not large:
        text = tr(
            "Friction, cable, pens' masses, creep and temperature move the pen by less than {0:g} mm each.",
            WORTH_MEASURING,
        )
        return [Check("pushes", Verdict.OK, title, text)]
    parts = [
        tr("{0} ({1}): ± {2:.1f} mm", tr(found[k].source.title), tr(found[k].source.size), sizes[k]) for k in large
    ]
    text = tr("What still pushes the pen off its place, largest first: {0}.", "; ".join(parts))
    advice = list(dict.fromkeys(found[k].advice for k in large if found[k].advice))
    one_way = _one_way(context, [found[k] for k in large])
    text = " ".join([text, *map(tr, advice), *one_way])
    figure = f"± {format_number(float(sizes[large[0]]), '.1f')} mm"
    verdict = Verdict.NOTE if advice or one_way else Verdict.OK
    remedies = [Remedy.MEASURE_FRICTION] * (DRAG_ADVICE in advice) + [Remedy.FILL_ONE_WAY] * bool(one_way)
    return [Check("pushes", verdict, title, text, remedies=tuple(remedies), figure=figure)]


DRAG_ADVICE = N_(
    "Measure the friction of your pens: “Pens › Measure pens › Friction”. The belts are then corrected for it."
)
CABLE_ADVICE = N_("Weigh how the cable pulls, and enter it on the machine page; the hanging says where it is fixed.")
FEET_ADVICE = N_("Measure the drag of the feet with a spring balance, and enter it on the machine page.")
MASS_ADVICE = N_("Weigh the pens, and enter what each is heavier than the one that the body was weighed with.")


def _pushes(machine: Machine, pens: list[Pen]) -> list[Push]:
    drag, cable, creep, temperature = changing_sources(machine, pens)
    found = [
        Push(drag, "" if all(pen.drag for pen in pens) else DRAG_ADVICE),
        Push(cable, "" if machine.body.cable_pull else CABLE_ADVICE),
        Push(creep, ""),
        Push(temperature, ""),
    ]
    if machine.body.stand_off and not machine.body.drag:
        found.append(Push(force_source(N_("friction of the feet"), USUAL_FEET), FEET_ADVICE))
    if len(pens) > 1 and not any(pen.extra_mass for pen in pens):
        weight = USUAL_DIFFERENCE / 1000 * GRAVITY
        found.append(
            Push(
                ErrorSource(N_("masses of the pens"), f"{format_number(USUAL_DIFFERENCE)} g", (("push y", weight),)),
                MASS_ADVICE,
            )
        )
    return found


def _one_way(context: CheckContext, large: list[Push]) -> list[str]:
    """Returns the cost of drawing the lines of fills in one direction, if their friction is not corrected or known too
    roughly: two neighbouring lines drawn in opposite directions are displaced by it to opposite sides."""
    seconds = one_way_seconds(context.strokes, context.document.machine)
    if (
        context.document.settings.order.fill_lines == "one-way"
        or not seconds
        or all(push.source.title != DRAG for push in large)
    ):
        return []
    minutes = max(seconds / MINUTE, 1.0)
    if any(push.advice == DRAG_ADVICE for push in large):
        return [
            tr(
                "Until then, fill lines that all run in one direction are at least evenly spaced: that takes about {0:.0f} "
                "min longer.",
                minutes,
            )
        ]
    return [
        tr(
            "Friction is measured, but too roughly for evenly spaced fill lines. Lines that all run in one direction are "
            "evenly spaced; that takes about {0:.0f} min longer.",
            minutes,
        )
    ]


def one_way_seconds(strokes: Strokes, machine: Machine) -> float:
    """Returns the additional time, s, for drawing the lines of fills in one direction: the way back along every second
    one, twice."""
    legs = np.diff(strokes.points, axis=0)
    length = np.hypot(*legs.T)
    length[strokes.offsets[1:-1] - 1] = 0.0
    total = np.add.reduceat(np.append(length, 0.0), strokes.offsets[:-1])
    limits = machine.limits
    ways = total[strokes.is_fill]
    return float((ways / limits.travel_speed).sum())
