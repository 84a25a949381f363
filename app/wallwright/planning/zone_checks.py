"""Check of the draw zone: strokes outside it, the limits they violate, and remedies."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from wallwright.document.arrays import Integers
from wallwright.document.columns import row_all
from wallwright.document.document import Document
from wallwright.document.language import format_number, plural, tr
from wallwright.document.placing import box_around, overlaps, union
from wallwright.document.wall import Box, Point
from wallwright.jobs.checks import ArtworkMove, Check, LimitShare, Remedy, Verdict
from wallwright.planning.check_context import CheckContext
from wallwright.planning.drawing_outside import can_be_drawn
from wallwright.planning.drawn_parts import drawn_parts, ink_boxes, placement_of_stroke
from wallwright.planning.hanging_proposal import completing, is_better_anew, propose_covering
from wallwright.planning.move_in import MarginedZone
from wallwright.planning.outside_zone import OutsideZone
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
    elsewhere = _outside_elsewhere(context)
    if not outside.bits.any() and elsewhere:
        text = tr("Every stroke of this hanging stays within all limits.")
        shares = _shares_text(elsewhere)
        return [
            Check(
                "zone",
                NOTE,
                tr("Outside where other hangings draw"),
                f"{text} {tr('Where other hangings draw, strokes are outside: {0}.', shares)}",
                parts=elsewhere,
            )
        ]
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
    found = _limit_shares(outside)
    shares = _shares_text(found)
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
    if elsewhere:
        what += " " + tr("Where other hangings draw, strokes are outside: {0}.", _shares_text(elsewhere))
    total = float(lengths.sum())
    named = {share.limit for share in found}
    parts = (*found, *(share for share in elsewhere if share.limit not in named))
    figure = f"{format_number(total, '.2f' if total < 10 else '.0f')} m"
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
    room, several = MarginedZone.of(context.document), len(context.document.hangings) > 1
    move, costs = _move_in(context, room)
    what = f"{what} {costs}".rstrip()
    moving: tuple[Remedy, ...] = () if move is None else (Remedy.MOVE_IN,)
    if move is not None and len(move.placements) < len([p for p in context.document.placements if p.visible]):
        moving = (*moving, Remedy.MOVE_ALL_IN)
    advice_of_anchors = () if several else (Remedy.ADVISE_ANCHORS,)
    never = len(np.unique(strokes.stroke_of_point[(outside.bits & np.uint16(IMPOSSIBLE)) != 0]))
    if mode == "draw-anyway":
        if never:
            verdict, title = ERROR, tr("Outside the draw zone")
            what += " " + tr("{0} cannot be reached at all and are never drawn.", never)
        else:
            verdict, title = WARNING, tr("Drawing outside the zone anyway")
            what += " " + tr("The limits are ignored; the machine may lose steps there.")
        remedies = _with_hangings(context, (*moving, Remedy.SHRINK, *advice_of_anchors, Remedy.CLIP))
        return [Check("zone", verdict, title, what, place, remedies, parts, move, figure)]
    remedies = (*moving, Remedy.SHRINK, Remedy.CLIP, *advice_of_anchors)
    if move is None and not several and _is_too_wide(context, room):
        remedies = (Remedy.COVER_ARTWORK, *remedies)
        parted = tr("The artwork is too wide for one hanging. With more hangings it is drawn in parts, side by side.")
        what = f"{parted} {what}"
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
    title, remedies = tr("Outside the draw zone"), _with_hangings(context, remedies)
    return [Check("zone", ERROR, title, f"{what} {advice}", place, remedies, parts, move, figure)]


def _limit_shares(outside: OutsideZone) -> tuple[LimitShare, ...]:
    """Returns the shares of strokes outside by limit, the most important first."""
    lengths, found = outside.pieces.lengths() / 1000, []
    for limit in PRIORITY:
        mine = np.flatnonzero((outside.broken & np.uint16(limit)) != 0)
        if len(mine):
            box = box_around(outside.pieces.take(mine).points)
            found.append(LimitShare(limit_name(limit), float(lengths[mine].sum()), box))
    return tuple(found)


def _shares_text(shares: Sequence[LimitShare]) -> str:
    """Returns how much is outside because of each limit."""
    return "; ".join(tr("{0:.2f} m because {1}", share.metres, describe_limits(Limit[share.limit])) for share in shares)


def _outside_elsewhere(context: CheckContext) -> tuple[LimitShare, ...]:
    """Returns the shares of what other hangings draw: the wall shows their strokes outside as well."""
    others = [part for number, part in enumerate(context.whole.by_hanging) if number != context.number]
    return _limit_shares(OutsideZone.join([p.outside for p in others], [p.strokes for p in others])) if others else ()


def _is_too_wide(context: CheckContext, zone: MarginedZone) -> bool:
    """Returns whether only the width of the artwork, which does not fit, is far too large for one hanging."""
    points = context.preview.strokes.points
    left, top, right, bottom = box_around(points[row_all(np.isfinite(points))])
    width, height = right - left, bottom - top
    shrunk = left, top, left + MUCH_SMALLER * width, top + MUCH_SMALLER * height
    part = left, top, left + PART * width, bottom
    return zone.nearest(shrunk) is None and zone.nearest(part) is not None


def _with_hangings(context: CheckContext, remedies: tuple[Remedy, ...]) -> tuple[Remedy, ...]:
    """Returns the remedies with more hangings: first if some are missing to cover the artwork, not at all if none helps."""
    document = context.document
    if Remedy.COVER_ARTWORK in remedies:
        return remedies
    if len(document.hangings) == 1:
        return (*remedies, Remedy.COVER_ARTWORK)
    parts = drawn_parts(document, context.whole)
    missing = completing(document, parts)
    if missing.places and not missing.warning:
        return (Remedy.COVER_ARTWORK, *remedies)
    if missing.places or is_better_anew(document, propose_covering(document, context.number, parts)):
        return (*remedies, Remedy.COVER_ARTWORK)
    return remedies


def _move_in(context: CheckContext, zone: MarginedZone) -> tuple[ArtworkMove | None, str]:
    """Returns the move that puts artwork with strokes outside into the zones, None if it does not fit; and its drawbacks, as
    a sentence. A place with the motor reserve is preferred, then the shortest move. Other artwork is avoided if the move
    gets at most the artwork's diagonal longer."""
    document, whole = context.document, context.whole
    strokes = np.unique(whole.strokes.stroke_of_point[whole.outside.bits != 0])
    numbers = np.unique(placement_of_stroke(whole)[strokes])
    moved = tuple(document.placements[n].id for n in numbers.tolist() if n >= 0)
    if not moved:
        return None, ""
    boxes = ink_boxes(document, whole)
    box = union([boxes[one] for one in moved])
    beside = {one: other for one, other in boxes.items() if one not in moved and not overlaps(other, box)}
    by, has_reserve = _weighed_way(zone, box, list(beside.values()))
    if by is None or by == (0.0, 0.0):
        return None, ""
    there = box[0] + by[0], box[1] + by[1], box[2] + by[0], box[3] + by[1]
    covered = tuple(one for one, other in beside.items() if overlaps(other, there))
    costs = []
    if covered:
        names = [tr("“{0}”", document.artwork(document.placement(one).artwork).name) for one in covered]
        costs.append(tr("After this move it overlaps {0}.", ", ".join(names)))
    if not has_reserve:
        costs.append(
            tr(
                "After this move the motors have less than the recommended reserve. “Shrink to fit” keeps it if possible."
            )
        )
    return ArtworkMove(moved, _subject(document, moved), by), " ".join(costs)


def _weighed_way(zone: MarginedZone, box: Box, beside: Sequence[Box]) -> tuple[Point | None, bool]:
    """Returns the move, mm, of a box into a zone, and whether the motors keep their reserve there. beside: boxes that are
    avoided if the move gets at most the box's diagonal longer."""
    diagonal = math.hypot(box[2] - box[0], box[3] - box[1])
    for number, part in enumerate(zone.best_first):
        near = part.nearest(box)
        if near is None:
            continue
        apart = part.nearest(box, beside) if beside else near
        is_worth_it = apart is not None and math.hypot(*apart) <= math.hypot(*near) + diagonal
        return apart if is_worth_it else near, number == 0
    return None, False


def _subject(document: Document, moved: tuple[str, ...]) -> str:
    """Returns the name of moved artworks on a button; "" for the only one."""
    shown = [p for p in document.placements if p.visible]
    if len(shown) == 1:
        return ""
    if len(moved) == len(shown):
        return tr("all artwork")
    if len(moved) == 1:
        return tr("“{0}”", document.artwork(document.placement(moved[0]).artwork).name)
    return plural("{0} artwork", "{0} artworks", len(moved))


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
