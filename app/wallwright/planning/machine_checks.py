"""Checks of the entered machine values and keep-outs: values that are in range individually, but inconsistent."""

from __future__ import annotations

import shapely

from wallwright.document.code_settings import PLACEHOLDERS, custom_texts
from wallwright.document.controller import Lift
from wallwright.document.edits_keep_outs import box_of, is_simple
from wallwright.document.language import tr
from wallwright.jobs.checks import Check, Verdict
from wallwright.jobs.code_verification import custom_actions
from wallwright.jobs.lift_events import WAIT_TOLERANCE
from wallwright.jobs.post_processor import PostProcessor
from wallwright.jobs.read_back import Mismatch
from wallwright.jobs.rs274 import pen_height
from wallwright.motion.friction import TAKE_UP_PAUSE, Drag
from wallwright.planning.check_context import CheckContext
from wallwright.statics.obstacles import LEAST_BODY, area_of

WARNING, ERROR = Verdict.WARNING, Verdict.ERROR
LEAST_LIFT = 0.01
"""Smallest step of Z that the digits of the file can show."""
LEAST_DIFFERENCE = 2 * WAIT_TOLERANCE
"""Smallest difference between two values in a file: each is written to the tolerance."""


def lift(context: CheckContext) -> list[Check]:
    """Checks that the pen is higher up than down, including each pen's offset. A spindle word has no such order: some
    servos turn the other way."""
    lift, pens = context.document.machine.lift, context.document.pens
    code = context.document.machine.controller.code
    for pen in pens:
        down = pen_height(lift, pen)
        if lift.kind == "axis":
            is_good = lift.up - down >= LEAST_LIFT
        elif lift.kind == "spindle":
            is_good = down > 0
        elif lift.kind == "servo":
            is_good = min(lift.up, lift.down) >= 0 and abs(lift.up - down) > LEAST_DIFFERENCE
        else:
            settle = (TAKE_UP_PAUSE,) if Drag.of(context.document).is_active else ()
            waits = [s * (1000 if code.dwell_unit == "ms" else 1) for s in (lift.raise_time, lift.lower_time, *settle)]
            apart = [lift.up - down, *(a - b for a in (lift.up, down) for b in waits)]
            is_good = min(lift.up, down) > 0 and min(map(abs, apart)) > LEAST_DIFFERENCE
        if not is_good:
            text = _lift_text(lift, down if pen.press else lift.down)
            if pen.press:
                text += " " + tr("The pen {0} adds {1:g} to the value that lowers it.", pen.name, pen.press)
            return [Check("lift", ERROR, tr("Pen lift"), text)]
    return []


def _lift_text(lift: Lift, down: float) -> str:
    """Returns what is wrong with a lift whose pen is lowered by a value."""
    if lift.kind == "servo":
        return tr(
            "S {0:g} raises the pen and S {1:g} lowers it. They must differ, and neither may be negative. Change "
            "one of them on the machine page.",
            lift.up,
            down,
        )
    if lift.kind == "dwell":
        return tr(
            "A wait of P {0:g} raises the pen and one of P {1:g} lowers it. They must be above 0, and differ from "
            "each other and from the raise and lower time. Change one of them on the machine page.",
            lift.up,
            down,
        )
    if lift.kind == "axis":
        return tr(
            "The pen is up at Z {0:g} and down at Z {1:g}. Up must be higher than down. Change one of them on "
            "the machine page.",
            lift.up,
            down,
        )
    return tr("M3 with S {0:g} lowers the pen; the S value must be above 0. Change it on the machine page.", down)


def stops(context: CheckContext) -> list[Check]:
    """Checks that belts that are wound in to stops are longer at the start: nothing winds them in any further."""
    machine = context.document.machine
    if machine.controller.code.start != "stop":
        return []
    start = context.start_pose.belts[0]
    short = [
        tr("the {0} belt ({1:.0f} mm, its stop is at {2:.0f} mm)", name, length, stop)
        for name, length, stop in (
            (tr("left"), start[0], machine.belt.left_stop),
            (tr("right"), start[1], machine.belt.right_stop),
        )
        if not length > stop
    ]
    title = tr("Wound-in start")
    if short:
        text = tr(
            "At the starting point these belts are shorter than at their stops: {0}. Move the starting point down, or "
            "enter the true lengths at the stops.",
            ", ".join(short),
        )
        return [Check("stops", ERROR, title, text)]
    text = tr(
        "From the stops the belts are let out by {0:.0f} and {1:.0f} mm while the body lies on a table; then it is hung.",
        start[0] - machine.belt.left_stop,
        start[1] - machine.belt.right_stop,
    )
    return [Check("stops", Verdict.OK, title, text)]


def own_code(context: CheckContext) -> list[Check]:
    """Checks that own lines do not move the machine: the plan would not include it."""
    controller = context.document.machine.controller
    if controller.takes == "drawing":
        return []
    try:
        for text in custom_texts(controller.code):
            custom_actions(text, PostProcessor(context.document.machine), dict.fromkeys(PLACEHOLDERS, "1"))
    except Mismatch as error:
        text = tr("Your own lines cannot be used: {0}. Change them on the machine page.", error)
        return [Check("own-code", ERROR, tr("Own lines of code"), text)]
    return []


def body(context: CheckContext) -> list[Check]:
    """Checks that the outline encloses a body, with pen and centre of mass at possible places."""
    given, centre = context.document.machine.body.outline, context.document.machine.body.centre
    title, found = tr("Outline of the body"), []
    left, top, right, bottom = box_of(given)
    hull, crosses = shapely.MultiPoint(given).convex_hull, not is_simple(given)
    area = hull.area if crosses else area_of(given)
    if min(right - left, bottom - top) < LEAST_BODY or area < LEAST_BODY**2:
        text = tr(
            "The outline is {0:g} by {1:g} mm with an area of {2:.1f} mm². A body is at least {3:g} mm "
            "wide and high. Measure the body and enter its corners.",
            right - left,
            bottom - top,
            area,
            LEAST_BODY,
        )
        return [Check("body", ERROR, title, text)]
    if crosses:
        text = tr(
            "The sides of the outline cross; the area around all corners is used. Enter the corners in order around "
            "the body."
        )
        found.append(Check("body", WARNING, title, text))
    if hull.distance(shapely.Point(0.0, 0.0)) > 0:
        text = tr(
            "The pen lies outside the body's outline. Corners are measured from the pen tip: left and above "
            "are negative."
        )
        found.append(Check("body-pen", WARNING, tr("Pen and body"), text))
    if (away := hull.distance(shapely.Point(centre))) > 0:
        text = tr(
            "The centre of mass is {0:.0f} mm outside the body's outline. Measure both from the pen tip.",
            away,
        )
        found.append(Check("mass-centre", ERROR, tr("Centre of mass"), text))
    return found


def keep_outs(context: CheckContext) -> list[Check]:
    """Checks for outlines that enclose nothing or cross themselves; the body still keeps clear of them."""
    found = []
    for keep_out in context.document.wall.keep_outs:
        if is_simple(keep_out.outline):
            continue
        text = tr(
            "The outline of “{0}” has no area, or its sides cross. The body keeps away from its lines and what "
            "they enclose. Draw it again.",
            keep_out.name,
        )
        found.append(Check("keep-out", WARNING, tr("Keep-out"), text, box_of(keep_out.outline)))
    return found
