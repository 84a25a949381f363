"""Checks of a job before it is hung: one function per check, one table."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from wallwright.artwork.drawing import Severity
from wallwright.document.columns import row_all
from wallwright.document.document import Document
from wallwright.document.language import format_apart, format_number, tr
from wallwright.document.origin import height_text
from wallwright.document.placing import box_around
from wallwright.document.wall import FIXING_RESERVE
from wallwright.jobs.checks import Check, Remedy, Verdict
from wallwright.motion.plan import Estimate, Motion
from wallwright.planning import anchor_checks, machine_checks, pen_checks
from wallwright.planning.accuracy_checks import accuracy, formula
from wallwright.planning.assumed_values import assumed_text
from wallwright.planning.check_context import CheckContext
from wallwright.planning.colour_checks import colours
from wallwright.planning.continuation_checks import lines_up, stopped
from wallwright.planning.drawing_checks import drawing_page, drawing_speed
from wallwright.planning.motion_checks import long_job, one_speed, pace, swing, travels
from wallwright.planning.motor_checks import supply, torque
from wallwright.planning.overlap_checks import overlapping
from wallwright.planning.plan import StrokePreview
from wallwright.planning.push_checks import pushes
from wallwright.planning.zone_checks import zone
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import broken, describe_limits
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.remaining import DrawnBefore
from wallwright.strokes.strokes import Strokes

OK, NOTE, WARNING, ERROR = Verdict.OK, Verdict.NOTE, Verdict.WARNING, Verdict.ERROR


def all_checks(
    document: Document,
    hanging: int,
    whole: StrokePreview,
    strokes: Strokes,
    motion: Motion,
    estimate: Estimate,
    before: DrawnBefore | None = None,
) -> tuple[Check, ...]:
    """Returns every check of one hanging, worst first. whole: what all hangings draw together. before: what is already
    drawn, if only the remainder is checked."""
    preview = whole.of_hanging(hanging)
    place = document.hangings[hanging]
    rig = CableRobotModel.of(document.machine, place)
    context = CheckContext(
        document,
        place,
        rig,
        inverse_kinematics(rig, np.array([place.start_point])),
        preview,
        whole,
        strokes,
        motion,
        estimate,
        number=hanging,
        is_drawn_elsewhere=_is_drawn_elsewhere(document, hanging, whole),
        before=before,
    )
    found = [check for look in CHECKS for check in look(context)]
    rank = [ERROR, WARNING, NOTE, OK]
    return tuple(sorted(found, key=lambda c: rank.index(c.verdict)))


def _is_drawn_elsewhere(document: Document, hanging: int, whole: StrokePreview) -> bool:
    """Returns whether other hangings draw some of the artwork; of clipped strokes only what lies inside counts."""
    others = [p for number, p in enumerate(whole.by_hanging) if number != hanging]
    if document.settings.outside == "clip":
        return any((p.outside.bits == 0).any() for p in others)
    return any(len(p.strokes) for p in others)


def drawable(context: CheckContext) -> list[Check]:
    mode = context.document.settings.outside
    if (context.strokes.source >= 0).any() or (len(context.preview.strokes) and mode != "clip"):
        return []  # without clipping, the zone check says why none is left
    if len(context.strokes) and context.is_drawn_elsewhere:
        return []  # register marks for its neighbour
    if context.is_drawn_elsewhere:
        text = tr("The other hangings draw everything that can be drawn. Remove this one or move its anchors.")
        return [Check("drawable", WARNING, tr("Nothing to draw"), text)]
    document, preview = context.document, context.preview
    if len(preview.strokes):
        text = tr(
            "All artwork is outside the draw zone and clipped: nothing is left. Move or shrink the "
            "artwork, or move the anchors."
        )
        points = preview.strokes.points
        remedies: tuple[Remedy, ...] = (Remedy.MOVE_IN, Remedy.SHRINK)
        if len(document.hangings) == 1:
            remedies = (*remedies, Remedy.ADVISE_ANCHORS)
        return [
            Check(
                "drawable",
                ERROR,
                tr("Nothing to draw"),
                text,
                box_around(points[row_all(np.isfinite(points))]),
                remedies,
            )
        ]
    uses = [use for report in preview.reports for use in report.colours]
    if not document.placements:
        text = tr("There is no artwork yet. Drop an SVG file or a picture on the wall.")
    elif not any(p.visible for p in document.placements):
        text = tr("All artwork is hidden. Show at least one artwork.")
    elif uses and all(use.pen < 0 for use in uses):
        text = tr("No colour of the shown artwork has a pen. Assign pens to its colours.")
    else:
        text = tr(
            "Nothing of the shown artwork can be drawn: it has no shapes, or they are covered or too small for the pen."
        )
    return [Check("drawable", ERROR, tr("Nothing to draw"), text)]


def start_point(context: CheckContext) -> list[Check]:
    bits = int(broken(context.document.wall, context.document.machine, context.rig, context.start_pose)[0])
    x, y = context.hanging.start_point
    if bits:
        return [
            Check(
                "start-point",
                ERROR,
                tr("Starting point"),
                tr(
                    "The machine cannot start with the pen {0}: {1}. Move the starting point into the draw zone.",
                    context.origin.text(x, y),
                    describe_limits(bits),
                ),
                (x, y, x, y),
                (Remedy.MOVE_START_IN,),
            )
        ]
    left, right = context.start_pose.belts[0]
    return [
        Check(
            "start-point",
            OK,
            tr("Starting point"),
            tr(
                "Pen {0}, {1}; belts {2:.1f} and {3:.1f} mm.",
                context.origin.text(x, y),
                height_text(context.document, y),
                left,
                right,
            ),
            (x, y, x, y),
        )
    ]


def belts(context: CheckContext) -> list[Check]:
    """Checks whether the belts are long enough, and report the pull that they must hold."""
    machine, motion = context.document.machine, context.motion
    need, have = max(context.estimate.longest_belt_mm), machine.belt.length
    shown = format_apart(need, have, 0)
    text = tr("The job needs up to {0} mm of belt; there is {1:.0f} mm.", shown, have)
    if len(motion.tension):
        pull = float(motion.tension.max())
        text += " " + tr(
            "Largest pull on a belt: {0:.1f} N. Common practice, no source: it should be rated for at least {1:g} times the "
            "pull, here {2:.0f} N.",
            pull,
            FIXING_RESERVE,
            FIXING_RESERVE * pull,
        )
    text += assumed_text(machine, "belt.length")
    verdict = ERROR if need > have else OK
    return [Check("belts", verdict, tr("Belts"), text, figure=f"{shown} mm")]


def wall(context: CheckContext) -> list[Check]:
    space = context.document.wall
    found = []
    for is_left, anchor in ((True, context.hanging.left), (False, context.hanging.right)):
        if not (space.left <= anchor.x <= space.right and space.top <= anchor.y <= space.floor):
            text = tr("The left anchor is off the wall.") if is_left else tr("The right anchor is off the wall.")
            text += " " + tr("Move the anchors onto the wall, or correct the size of the wall.")
            place = (anchor.x, anchor.y, anchor.x, anchor.y)
            found.append(Check("wall", ERROR, tr("Anchor on the wall"), text, place, (Remedy.ANCHORS_ONTO_WALL,)))
    return found


def artwork(context: CheckContext) -> list[Check]:
    """Reports what was ignored when the artwork was read."""
    found = []
    for report in context.preview.reports:
        bad = [f for f in report.findings if f.severity is not Severity.NOTE]
        name = context.document.artwork(context.document.placement(report.placement).artwork).name
        if bad:
            # A finding about the whole file needs no name: it is in the title.
            examples = "; ".join(f.text if f.element == name else f"{f.element}: {f.text}" for f in bad[:3])
            more = "; " + tr("and {0} more", len(bad) - 3) if len(bad) > 3 else ""
            title = tr("{0}: not everything is drawn", name)
            found.append(Check("artwork", WARNING, title, examples + more + ".", figure=str(len(bad))))
    return found


def ink_spacing(context: CheckContext) -> list[Check]:
    fill, pens = context.document.settings.fill, context.document.pens
    widest = max(p.width for p in pens)
    if fill.kind != "none" and context.strokes.is_fill.any() and fill.spacing < 0.5 * widest:
        return [
            Check(
                "spacing",
                WARNING,
                tr("Fill spacing"),
                tr(
                    "Lines {0:g} mm apart with a {1:g} mm pen overlap; ink may run. Widen the spacing.",
                    fill.spacing,
                    widest,
                ),
                figure=f"{format_number(fill.spacing)} mm",
            )
        ]
    return []


def register(context: CheckContext) -> list[Check]:
    """Checks whether a hanging that meets an earlier one can be lined up, and was."""
    document, number = context.document, context.number
    if not document.settings.joining.marks or not document.earlier_neighbours(number):
        return []
    title, found = tr("Register marks"), context.hanging.register
    marks = context.preview.marks.get(number, ())
    if len(marks) < 2:
        text = tr(
            "This hanging and the one before it share no area for register marks. Move them closer "
            "together, or measure the anchors carefully: the parts only meet as well as the anchors are "
            "known."
        )
        return [Check("register", WARNING, title, text)]
    xs, ys = [m.x for m in marks], [m.y for m in marks]
    place = (min(xs), min(ys), max(xs), max(ys))
    if found.sightings:
        text = tr(
            "Lined up by {0} marks: parts meet to within about {1:.1f} mm; {2:.1f} mm of the readings "
            "remain unexplained.",
            len(found.sightings),
            2 * found.expected,
            found.left_over,
        )
        figure = f"{format_number(2 * found.expected, '.1f')} mm"
        return [Check("register", OK, title, text, place, figure=figure)]
    text = tr(
        "Line it up by the marks {0} before drawing. The parts then meet even if the anchors are a little off.",
        ", ".join(m.name for m in marks),
    )
    return [Check("register", NOTE, title, text, place, (Remedy.LINE_UP,))]


CHECKS: tuple[Callable[[CheckContext], list[Check]], ...] = (
    wall,  # anchors in the air are why the others fail
    drawable,
    zone,
    start_point,
    anchor_checks.fixings,
    anchor_checks.cables,
    torque,
    pace,
    swing,
    one_speed,
    drawing_speed,
    drawing_page,
    travels,
    belts,
    formula,
    accuracy,
    pushes,
    machine_checks.lift,
    machine_checks.stops,
    machine_checks.own_code,
    colours,
    pen_checks.pen_order,
    pen_checks.wet_ink,
    pen_checks.dark_ink,
    pen_checks.ink_left,
    pen_checks.unknown_ink,
    long_job,
    pen_checks.uncapped,
    pen_checks.pen_change_point,
    machine_checks.body,
    machine_checks.keep_outs,
    supply,
    register,
    artwork,
    overlapping,
    ink_spacing,
    lines_up,
    stopped,
)
