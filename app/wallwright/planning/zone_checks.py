"""Check of the draw zone: strokes outside it, the limits they violate, and remedies."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Integers
from wallwright.document.columns import row_all
from wallwright.document.language import format_number, tr
from wallwright.document.placing import box_around
from wallwright.document.wall import Point
from wallwright.jobs.checks import Check, LimitShare, Remedy, Verdict
from wallwright.planning.check_context import CheckContext
from wallwright.planning.drawing_outside import can_be_drawn
from wallwright.planning.move_in import MarginedZone
from wallwright.statics.limits import IMPOSSIBLE, PRIORITY, Limit, describe_limits, limit_name

MOST_NAMES = 2
"""Largest number of an artwork's elements named in a check; others are counted."""
MUCH_SMALLER = 0.75
"""Factor below which artwork that has to shrink to fit counts as too large."""
PART = 0.3
"""Share of its width that one hanging can draw at least of artwork that several can cover."""
OK, NOTE, WARNING, ERROR = Verdict.OK, Verdict.NOTE, Verdict.WARNING, Verdict.ERROR


def zone(context: CheckContext) -> list[Check]:
    """Checks for strokes outside the draw zone, with the limits they violate."""
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
    total = float(lengths.sum())
    parts, figure = tuple(found), f"{format_number(total, '.2f' if total < 10 else '.0f')} m"
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
                figure=figure,
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
                figure=figure,
            )
        ]
    move, is_too_wide = _room(context)
    first = (Remedy.MOVE_IN, Remedy.SHRINK) if move is not None else (Remedy.SHRINK,)
    if is_too_wide:
        first = (Remedy.COVER_ARTWORK, *first)
        parted = tr("The artwork is too wide for one hanging. With more hangings it is drawn in parts, side by side.")
        what = f"{parted} {what}"
    remedies: tuple[Remedy, ...] = (*first, Remedy.CLIP, Remedy.ADVISE_ANCHORS)
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
    title = tr("Outside the draw zone")
    return [Check("zone", ERROR, title, f"{what} {advice}", place, remedies, parts, move, figure)]


def _room(context: CheckContext) -> tuple[Point | None, bool]:
    """Returns how far all artwork must move to lie in the zone, None if it does not fit or several hangings share it; and
    whether only its width is far too large for one hanging."""
    if len(context.document.hangings) > 1:
        return None, False
    points = context.preview.strokes.points
    box = left, top, right, bottom = box_around(points[row_all(np.isfinite(points))])
    zone = MarginedZone(context.document, context.number)
    move = zone.nearest(box)
    if move is not None:
        return move, False
    width, height = right - left, bottom - top
    shrunk = left, top, left + MUCH_SMALLER * width, top + MUCH_SMALLER * height
    part = left, top, left + PART * width, bottom
    return None, zone.nearest(shrunk) is None and zone.nearest(part) is not None


def _owners(context: CheckContext, of: Integers) -> str:
    """Returns the artworks that strokes come from, each with a few element names as they appear in the drawing program."""
    document = context.document
    artworks: list[str] = []
    elements: list[str] = []
    for report in context.preview.reports:
        name = document.artwork(document.placement(report.placement).artwork).name
        artworks += [name] * len(report.elements)
        elements += report.elements if len(set(report.elements)) > 1 else [""] * len(report.elements)
    sources = np.unique(context.preview.strokes.source[np.unique(of)])
    found: dict[str, dict[str, None]] = {}
    for source in sources[sources >= 0].tolist():
        found.setdefault(artworks[source], {})[elements[source]] = None
    return "; ".join(_owner(name, [e for e in own if e]) for name, own in found.items())


def _owner(artwork: str, elements: list[str]) -> str:
    if not elements:
        return tr("“{0}”", artwork)
    named = ", ".join(elements[:MOST_NAMES])
    if len(elements) > MOST_NAMES:
        named = tr("{0} and {1} more", named, len(elements) - MOST_NAMES)
    return tr("“{0}” ({1})", artwork, named)
