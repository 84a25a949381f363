"""The check of the draw zone: strokes outside it, the limits they exceed, and what helps."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Integers
from wallwright.document.language import format_number, tr
from wallwright.document.placing import box_around
from wallwright.jobs.checks import Check, LimitShare, Remedy, Verdict
from wallwright.planning.check_context import CheckContext
from wallwright.planning.drawing_outside import can_be_drawn
from wallwright.statics.limits import IMPOSSIBLE, PRIORITY, Limit, describe_limits, limit_name

MOST_NAMES = 6
"""Elements named in a check; more are counted."""
OK, NOTE, WARNING, ERROR = Verdict.OK, Verdict.NOTE, Verdict.WARNING, Verdict.ERROR


def zone(context: CheckContext) -> list[Check]:
    """Strokes outside the draw zone, with the limits they break."""
    outside, strokes = context.preview.outside, context.preview.strokes
    if not len(strokes):
        return []
    if not outside.bits.any():
        return [
            Check(
                "zone",
                OK,
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
    what = tr(
        "{0} of {1} strokes leave the draw zone, over {2:.2f} m: {3}.",
        len(of),
        len(strokes),
        float(lengths.sum()),
        shares,
    )
    if len(found) > 1:
        what += " " + tr("A stroke can have several reasons.")
    what += " " + tr("They belong to {0}.", _owners(context, of))
    parts, figure = tuple(found), f"{format_number(lengths.sum(), '.2f')} m"
    mode = context.document.settings.outside
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
    if mode == "draw-anyway" and never:
        return [
            Check(
                "zone",
                ERROR,
                tr("Outside the draw zone"),
                what + " " + tr("{0} cannot be reached at all and are never drawn.", never),
                place,
                (Remedy.MOVE_IN, Remedy.SHRINK, Remedy.ADVISE_ANCHORS, Remedy.CLIP),
                parts,
                figure,
            )
        ]
    if mode == "draw-anyway":
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
    if can_be_drawn(context.document, context.hanging, outside):
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
    return [Check("zone", ERROR, tr("Outside the draw zone"), f"{what} {advice}", place, remedies, parts, figure)]


def _owners(context: CheckContext, of: Integers) -> str:
    """Names of the artworks and elements that strokes come from, as a person finds them in the drawing program."""
    document = context.document
    names = []
    for report in context.preview.reports:
        artwork = document.artwork(document.placement(report.placement).artwork).name
        only = len(set(report.elements)) < 2
        names += [artwork if only else f"{artwork}: {name}" for name in report.elements]
    sources = np.unique(context.preview.strokes.source[np.unique(of)])
    found = list(dict.fromkeys(names[i] for i in sources.tolist() if i >= 0))
    named = ", ".join(f"“{name}”" for name in found[:MOST_NAMES])
    return tr("{0} and {1} more", named, len(found) - MOST_NAMES) if len(found) > MOST_NAMES else named
