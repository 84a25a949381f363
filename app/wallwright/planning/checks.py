"""The checks: everything looked at before hanging. One function a check, one table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from wallwright.artwork.drawing import Severity
from wallwright.document.arrays import Integers
from wallwright.document.document import Document
from wallwright.document.language import format_number, tr
from wallwright.document.placing import box_around
from wallwright.jobs.checks import Check, LimitShare, Remedy, Verdict
from wallwright.motion.plan import Estimate, Motion
from wallwright.planning import anchor_checks, machine_checks
from wallwright.planning.accuracy_checks import accuracy, formula
from wallwright.planning.check_context import CheckContext
from wallwright.planning.continuation_checks import lines_up, stopped
from wallwright.planning.drawing_checks import drawing_page, drawing_speed
from wallwright.planning.drawing_outside import can_be_drawn
from wallwright.planning.motion_checks import one_speed, pace, swing, travels
from wallwright.planning.motor_checks import supply, torque
from wallwright.planning.plan import StrokePreview
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import IMPOSSIBLE, PRIORITY, Limit, broken, describe_limits, limit_name
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.remaining import DrawnBefore
from wallwright.strokes.strokes import Strokes

FOR_ONE_HANGING = (Remedy.MOVE_IN, Remedy.SHRINK, Remedy.ADVISE_ANCHORS)
"""Remedies that look at the zone of a single hanging."""
MOST_NAMES = 6
"""Elements named in a check; more are counted."""
GOOD, NOTE, WARNING, BAD = Verdict.GOOD, Verdict.NOTE, Verdict.WARNING, Verdict.BAD


def all_checks(
    document: Document, hanging: int, whole: StrokePreview, strokes: Strokes, motion: Motion, estimate: Estimate,
    before: DrawnBefore | None = None,
) -> tuple[Check, ...]:  # fmt: skip
    """Every check of one hanging, worst first. whole: what all hangings draw together. before: what is drawn already, when
    only the rest is looked at."""
    preview = whole.of_hanging(hanging)
    place = document.hangings[hanging]
    rig = CableRobotModel.of(document.machine, place)
    looked = CheckContext(
        document,
        place,
        rig,
        inverse_kinematics(rig, np.array([place.datum])),
        preview,
        strokes,
        motion,
        estimate,
        number=hanging,
        elsewhere=_is_drawn_elsewhere(document, hanging, whole),
        before=before,
    )
    found = [_offering(document, check) for look in CHECKS for check in look(looked)]
    rank = [BAD, WARNING, NOTE, GOOD]
    return tuple(sorted(found, key=lambda c: rank.index(c.verdict)))


def _is_drawn_elsewhere(document: Document, hanging: int, whole: StrokePreview) -> bool:
    """Whether other hangings draw something of the artwork; of strokes that are clipped only what lies inside counts."""
    others = [p for number, p in enumerate(whole.by_hanging) if number != hanging]
    if document.settings.outside == "clip":
        return any((p.outside.bits == 0).any() for p in others)
    return any(len(p.strokes) for p in others)


def _offering(document: Document, check: Check) -> Check:
    """A check of the zone also offers more hangings; with several, what fits all artwork into one is no remedy."""
    if check.id != "zone" or not check.remedies:
        return check
    if len(document.hangings) == 1:
        return replace(check, remedies=(*check.remedies, Remedy.COVER_ARTWORK))
    remedies = tuple(r for r in check.remedies if r not in FOR_ONE_HANGING)
    return replace(check, remedies=(Remedy.COVER_ARTWORK, *remedies))


def drawable(looked: CheckContext) -> list[Check]:
    mode = looked.document.settings.outside
    if (looked.strokes.source >= 0).any() or (len(looked.preview.strokes) and mode != "clip"):
        return []  # without clipping the check of the zone says why none is left
    if len(looked.strokes) and looked.elsewhere:
        return []  # register marks for its neighbour
    if looked.elsewhere:
        text = tr(
            "The other hangings draw everything that can be drawn. Remove this one or move its anchors."
        )
        return [Check("drawable", WARNING, tr("Nothing to draw"), text)]
    document, preview = looked.document, looked.preview
    if len(preview.strokes):
        text = tr("All artwork is outside the draw zone and clipped: nothing is left. Move or shrink the "
                  "artwork, or move the anchors.")  # fmt: skip
        points = preview.strokes.points
        remedies = FOR_ONE_HANGING if len(document.hangings) == 1 else ()
        return [
            Check(
                "drawable",
                BAD,
                tr("Nothing to draw"),
                text,
                box_around(points[np.isfinite(points).all(axis=1)]),
                remedies,
            )
        ]
    uses = [use for report in preview.reports for use in report.colours]
    if not document.placements:
        text = tr("There is no artwork yet. Drop an SVG file or a picture on the wall.")
    elif not any(p.visible for p in document.placements):
        text = tr("All artwork is hidden. Show at least one artwork.")
    elif uses and all(use.pen < 0 for use in uses):
        text = tr("No colour of the shown artwork has a pen. Assign pens to its colours.")  # fmt: skip
    else:
        text = tr(
            "Nothing of the shown artwork can be drawn: it has no shapes, or they are covered or too small for "
            "the pen."
        )
    return [Check("drawable", BAD, tr("Nothing to draw"), text)]


def zone(looked: CheckContext) -> list[Check]:
    """Strokes outside the draw zone, with the limits they break."""
    outside, strokes = looked.preview.outside, looked.preview.strokes
    if not len(strokes):
        return []
    if not outside.bits.any():
        return [
            Check(
                "zone",
                GOOD,
                tr("Inside the draw zone"),
                tr("Every stroke stays within all limits."),
            )
        ]
    of = np.unique(strokes.stroke_of_point[outside.bits != 0])
    place = box_around(outside.pieces.points)
    lengths = outside.pieces.lengths() / 1000
    found = []
    for limit in PRIORITY:
        mine = np.flatnonzero((outside.broken & np.uint16(limit)) != 0)
        if len(mine):
            box = box_around(outside.pieces.take(mine).points)
            found.append(LimitShare(limit_name(limit), float(lengths[mine].sum()), box))
    shares = "; ".join(tr("{0:.2f} m because {1}", p.metres, describe_limits(Limit[p.limit])) for p in found)
    what = tr("{0} of {1} strokes leave the draw zone, over {2:.2f} m: {3}.", len(of), len(strokes),
              float(lengths.sum()), shares)  # fmt: skip
    if len(found) > 1:
        what += " " + tr("A stroke can have several reasons.")
    what += " " + tr("They belong to {0}.", _owners(looked, of))
    parts, figure = tuple(found), f"{format_number(lengths.sum(), '.2f')} m"
    mode = looked.document.settings.outside
    if mode == "clip":
        return [
            Check(
                "zone",
                NOTE,
                tr("Clipped to the draw zone"),
                what + " " + tr("They are cut at its edge."),
                place,
                parts=parts,
                figure=figure,
            )
        ]
    never = len(np.unique(strokes.stroke_of_point[(outside.bits & np.uint16(IMPOSSIBLE)) != 0]))
    if mode == "override" and never:
        return [
            Check(
                "zone",
                BAD,
                tr("Outside the draw zone"),
                what + " " + tr("{0} cannot be reached at all and are never drawn.", never),
                place,
                (Remedy.MOVE_IN, Remedy.SHRINK, Remedy.ADVISE_ANCHORS, Remedy.CLIP),
                parts,
                figure,
            )
        ]
    if mode == "override":
        return [
            Check(
                "zone",
                WARNING,
                tr("Drawing outside the zone anyway"),
                what + " " + tr("The limits are ignored; the machine may lose steps there."),
                place,
                (Remedy.MOVE_IN, Remedy.SHRINK, Remedy.ADVISE_ANCHORS, Remedy.CLIP),
                parts,
                figure,
            )
        ]
    remedies: tuple[Remedy, ...] = (Remedy.MOVE_IN, Remedy.SHRINK, Remedy.CLIP, Remedy.ADVISE_ANCHORS)
    if can_be_drawn(looked.document, looked.hanging, outside):
        remedies = (*remedies, Remedy.DRAW_OUTSIDE)
        advice = tr(
            "Move or shrink the artwork, clip it to the zone, or draw outside anyway. The estimate leaves "
            "these strokes out."
        )
    else:
        advice = tr(
            "Move or shrink the artwork, or clip it to the zone. The machine cannot draw there even if you ignore the "
            "limits. The estimate leaves these strokes out."
        )
    return [
        Check("zone", BAD, tr("Outside the draw zone"), f"{what} {advice}", place, remedies, parts, figure)
    ]


def _owners(looked: CheckContext, of: Integers) -> str:
    """Names of the artworks and elements that strokes come from, as a person finds them in the drawing program."""
    document = looked.document
    names = []
    for report in looked.preview.reports:
        artwork = document.artwork(document.placement(report.placement).artwork).name
        only = len(set(report.elements)) < 2
        names += [artwork if only else f"{artwork}: {name}" for name in report.elements]
    sources = np.unique(looked.preview.strokes.source[np.unique(of)])
    found = list(dict.fromkeys(names[i] for i in sources.tolist() if i >= 0))
    named = ", ".join(f"“{name}”" for name in found[:MOST_NAMES])
    return tr("{0} and {1} more", named, len(found) - MOST_NAMES) if len(found) > MOST_NAMES else named


def datum(looked: CheckContext) -> list[Check]:
    bits = int(broken(looked.document.wall, looked.document.machine, looked.rig, looked.datum)[0])
    x, y = looked.hanging.datum
    if bits:
        return [
            Check(
                "datum",
                BAD,
                tr("Starting point"),
                tr(
                    "The machine cannot start at {0:.0f}, {1:.0f} mm: {2}. Move the starting point into the "
                    "draw zone.",
                    x,
                    y,
                    describe_limits(bits),
                ),
                (x, y, x, y),
            )
        ]
    left, right = looked.datum.belts[0]
    return [
        Check(
            "datum",
            GOOD,
            tr("Starting point"),
            tr(
                "Pen {0:.0f} mm right of and {1:.0f} mm below the left anchor of the first hanging; belts "
                "{2:.1f} and {3:.1f} mm.",
                x,
                y,
                left,
                right,
            ),
            (x, y, x, y),
        )
    ]


def belts(looked: CheckContext) -> list[Check]:
    need, have = max(looked.estimate.longest_belt_mm), looked.document.machine.belt.length
    if need > have:
        return [
            Check(
                "belts",
                BAD,
                tr("Belt length"),
                tr("The job needs {0:.0f} mm of belt; there is {1:.0f} mm.", need, have),
                figure=f"{format_number(need, '.0f')} mm",
            )
        ]
    return [
        Check(
            "belts",
            GOOD,
            tr("Belt length"),
            tr("The job needs up to {0:.0f} mm of belt; there is {1:.0f} mm.", need, have),
            figure=f"{format_number(need, '.0f')} mm",
        )
    ]


def wall(looked: CheckContext) -> list[Check]:
    space = looked.document.wall
    found = []
    for name, anchor in (("left", looked.hanging.left), ("right", looked.hanging.right)):
        if not (space.left <= anchor.x <= space.right and space.top <= anchor.y <= space.floor):
            found.append(
                Check(
                    "wall",
                    BAD,
                    tr("Anchor on the wall"),
                    tr("The left anchor is off the wall.")
                    if name == "left"
                    else tr("The right anchor is off the wall."),
                    (anchor.x, anchor.y, anchor.x, anchor.y),
                )
            )
    return found


def artwork(looked: CheckContext) -> list[Check]:
    """What reading left out."""
    found = []
    for report in looked.preview.reports:
        bad = [f for f in report.findings if f.severity is not Severity.NOTE]
        name = looked.document.artwork(looked.document.placement(report.placement).artwork).name
        if bad:
            # What is said of the file as a whole needs no name: the title has it.
            examples = "; ".join(f.text if f.element == name else f"{f.element}: {f.text}" for f in bad[:3])
            more = "; " + tr("and {0} more", len(bad) - 3) if len(bad) > 3 else ""
            title = tr("{0}: not everything is drawn", name)
            found.append(Check("artwork", WARNING, title, examples + more + ".", figure=str(len(bad))))
    return found


def ink_spacing(looked: CheckContext) -> list[Check]:
    fill, pens = looked.document.settings.fill, looked.document.pens
    widest = max(p.width for p in pens)
    if fill.kind != "none" and looked.strokes.is_fill.any() and fill.spacing < 0.5 * widest:
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


def register(looked: CheckContext) -> list[Check]:
    """Whether a hanging that meets an earlier one can be lined up, and was."""
    document, number = looked.document, looked.number
    if not document.settings.joining.marks or not document.earlier_neighbours(number):
        return []
    title, found = tr("Register marks"), looked.hanging.register
    marks = looked.preview.marks.get(number, ())
    if len(marks) < 2:
        text = tr("This hanging and the one before it share no area for register marks. Move them closer "
                  "together, or measure the anchors carefully: the parts only meet as well as the anchors are "
                  "known.")  # fmt: skip
        return [Check("register", WARNING, title, text)]
    xs, ys = [m.x for m in marks], [m.y for m in marks]
    place = (min(xs), min(ys), max(xs), max(ys))
    if found.sightings:
        text = tr("Lined up by {0} marks: parts meet to within about {1:.1f} mm; {2:.1f} mm of the readings "
                  "remain unexplained.", len(found.sightings), 2 * found.expected, found.left_over)  # fmt: skip
        figure = f"{format_number(2 * found.expected, '.1f')} mm"
        return [Check("register", GOOD, title, text, place, figure=figure)]
    text = tr("Line it up by the marks {0} before drawing. The parts then meet even if the anchors are a "
              "little off.",
              ", ".join(m.name for m in marks))  # fmt: skip
    return [Check("register", NOTE, title, text, place, (Remedy.LINE_UP,))]


CHECKS: tuple[Callable[[CheckContext], list[Check]], ...] = (
    drawable,
    zone,
    datum,
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
    wall,
    machine_checks.lift,
    machine_checks.body,
    machine_checks.keep_outs,
    supply,
    register,
    artwork,
    ink_spacing,
    lines_up,
    stopped,
)
