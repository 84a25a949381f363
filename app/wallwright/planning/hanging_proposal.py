"""Proposes further hangings so that their zones meet over the artwork, and the number that covers it.

All hangings have the anchor distance and level of one; its zone, computed on an unbounded wall, is then the zone of each,
shifted. Over the artwork's height the zone is at least as wide as its narrowest row, and neighbours share a strip of it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.edits_hangings import MOST_HANGINGS
from wallwright.document.language import tr
from wallwright.document.origin import wall_corner
from wallwright.document.placing import WHOLE_PAGE, bounding_box, placement_box
from wallwright.document.wall import Box, Hanging, Point
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.draw_zone import compute_zone
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics

Placed = tuple[Point, Point, Point]
"""Left anchor, right anchor, starting point, mm."""

SHARED = 30.0
"""Smallest width that both zones share beyond the stagger of the cuts, mm: room for a misplaced anchor."""
FROM_EDGE = 40.0
"""Smallest distance between an anchor and the wall's edge, mm: a fixing nearer breaks out of a plastered edge. Common
practice, no source."""
ROWS, ACROSS = 21, 10.0
"""Number of sample rows over the artwork's height, and distance between points of a row, mm."""
COVERAGE_POINTS = 3000
"""Number of points of the wall at which a proposal's coverage of the artwork is tested."""
TOUCH = 1e-3
"""Width of a gap, mm, up to which it counts as rounding error."""
BEYOND = 20.0
"""Distance, mm, that the outer zones extend beyond the artwork."""
WORTH = 0.5
"""Largest share of the undrawn artwork that proposed hangings may leave undrawn: others are not worth drilling for."""
NO_PARTS: Mapping[str, Box] = {}


@dataclass(frozen=True)
class HangingProposal:
    """Proposed hangings, and what a person must know about them."""

    places: tuple[Placed, ...]
    warning: str = ""
    is_covered: bool = False
    """True: the existing hangings cover the artwork."""


@dataclass(frozen=True)
class _Span:
    """Width of a hanging's zone at every height of the artwork, mm from its left anchor."""

    left: float
    right: float

    @property
    def width(self) -> float:
        return self.right - self.left


def completing(document: Document, parts: Mapping[str, Box] = NO_PARTS) -> HangingProposal:
    """Proposes the hangings that are missing to cover the visible artwork; existing ones stay where they are.

    parts: drawn part of the page by placement id; without an entry, the whole page counts.

    New ones have the anchor distance and level of the first hanging. They are placed left and right of the existing ones
    and in gaps between them, evenly, so that neighbours share at least the width that they need to meet.
    """
    base, wall = document.hangings[0], document.wall
    shown = [p for p in document.placements if p.visible]
    if not shown:
        return HangingProposal((), _no_artwork())
    left, _, right, _ = bounding_box(shown, parts)
    span, shared = _span(document, base, parts), _shared(document)
    step = span.width - shared
    if step < 0.1 * base.distance:
        return HangingProposal((), _too_narrow())
    spans = [(h.left.x, _span(document, h, parts)) for h in document.hangings]
    drawn = [(x + own.left, x + own.right) for x, own in spans if own.width > 0]
    xs = [x - span.left for x in missing_zones(sorted(drawn), left, right, span.width, shared)]
    if len(xs) + len(document.hangings) > MOST_HANGINGS:
        return HangingProposal((), _too_many(len(xs) + len(document.hangings)))
    low, high = wall.left + FROM_EDGE, wall.right - FROM_EDGE - (base.right.x - base.left.x)
    if low <= high:
        xs = [min(max(x, low), high) for x in xs]
    xs = sorted(set(np.round(xs).tolist()) - {h.left.x for h in document.hangings})
    there = [_hanging_at(base, x) for x in xs]
    missed = _missed(document, [*document.hangings, *there], parts)
    warning = _not_all(document, missed[0]) if missed else ""
    if missed and len(missed) > WORTH * len(_missed(document, document.hangings, parts)):
        return HangingProposal((), warning)
    return HangingProposal(tuple(_moved(base, x - base.left.x) for x in xs), warning, is_covered=not xs and not missed)


def missing_zones(
    drawn: list[tuple[float, float]], left: float, right: float, width: float, shared: float
) -> list[float]:
    """Returns the left edges of the missing zones between left and right, from left to right, mm.

    drawn: existing zones, left and right edges in order; those beside the artwork do not count. Each new zone is `width`
    wide and shares at least `shared` with its neighbours; where there is room, the outermost extend BEYOND the artwork.
    """
    drawn = [(begin, end) for begin, end in drawn if begin < right and end > left]
    if not drawn:
        count = 1 + max(0, math.ceil((right - left - width) / (width - shared) - 1e-9))
        return np.linspace(left, right - width, count).tolist() if count > 1 else [(left + right - width) / 2]
    found: list[float] = []
    first, reach = drawn[0]
    if left < first - TOUCH:
        gap = first - left
        count = math.ceil(gap / (width - shared) - 1e-9)
        each = min((gap + BEYOND) / count, width - shared)
        found += [first - each * k for k in range(count, 0, -1)]
    for begin, end in drawn[1:]:
        low, high = max(reach, left), min(begin, right)
        if low < high - TOUCH:  # an uncovered gap
            count = math.ceil((high - low + shared) / (width - shared) - 1e-9)
            share = (count * width - (high - low)) / (count + 1)
            found += [low - share + k * (width - share) for k in range(count)]
        reach = max(reach, end)
    if reach < right - TOUCH:
        gap = right - reach
        count = math.ceil(gap / (width - shared) - 1e-9)
        each = min((gap + BEYOND) / count, width - shared)
        found += [reach - width + each * k for k in range(1, count + 1)]
    return found


def _hanging_at(base: Hanging, x: float) -> Hanging:
    """Returns the same hanging with its left anchor at x."""
    by = x - base.left.x
    return replace(base, left=replace(base.left, x=base.left.x + by), right=replace(base.right, x=base.right.x + by))


def _no_artwork() -> str:
    return tr("There is no artwork to cover. Add some first.")


def _too_narrow() -> str:
    return tr(
        "At the artwork's height this machine can only draw a narrow strip. Move the artwork or the anchors first."
    )


def _too_many(count: int) -> str:
    return tr("This needs {0} hangings; a project can have {1}.", count, MOST_HANGINGS)


def _not_all(document: Document, missed: Point) -> str:
    return tr(
        "Part of the artwork cannot be reached by any of these hangings: {0}. Shrink or move the artwork, or change the "
        "height of the anchors or their distance.",
        wall_corner(document).text(*missed),
    )


def propose_beside(document: Document, to_right: bool) -> HangingProposal:
    """Proposes one more hanging beside the outermost one, as far away as lets both zones meet over the artwork's height."""
    base, wall = document.hangings[document.from_left[-1 if to_right else 0]], document.wall
    span = _span(document, base)
    step = max(span.width - _shared(document), 0.2 * base.distance)
    x = base.left.x + (step if to_right else -step)
    width = base.right.x - base.left.x
    low, high = wall.left + FROM_EDGE, wall.right - FROM_EDGE - width
    placed = min(max(x, low), high) if low <= high else x
    warning = ""
    if low > high or abs(placed - base.left.x) < 0.1 * step:
        placed = x
        warning = tr(
            "The wall is too short for another hanging there: its anchors would be off the wall. "
            "Place them closer together, or widen the wall."
        )
    elif abs(placed - x) > 1:
        warning = tr("The wall ends there, so the hanging is {0:.0f} mm closer than it could be.", abs(placed - x))
    return HangingProposal((_moved(base, round(placed) - base.left.x),), warning)


def propose_covering(document: Document, hanging: int = 0, parts: Mapping[str, Box] = NO_PARTS) -> HangingProposal:
    """Proposes the fewest hangings that cover the visible artwork, with the anchor distance of an existing one.

    parts: as in completing.
    """
    base, wall = document.hangings[hanging], document.wall
    shown = [p for p in document.placements if p.visible]
    if not shown:
        return HangingProposal((), _no_artwork())
    left, _, right, _ = bounding_box(shown, parts)
    span, shared = _span(document, base, parts), _shared(document)
    width = base.right.x - base.left.x
    if span.width < shared + 0.1 * base.distance:
        return HangingProposal((), _too_narrow())
    count = 1 + max(0, math.ceil((right - left - span.width) / (span.width - shared) - 1e-9))
    if count > MOST_HANGINGS:
        return HangingProposal((), _too_many(count))
    if count == 1:
        first = last = (left + right) / 2 - (span.left + span.right) / 2
    else:  # the ends extend a little beyond the artwork where the overlaps leave room for it
        spare = (count - 1) * (span.width - shared) - (right - left - span.width)
        beyond = min(BEYOND, spare / 2)
        first, last = left - span.left - beyond, right - span.right + beyond
    low, high = wall.left + FROM_EDGE, wall.right - FROM_EDGE - width
    if low <= high:
        first, last = min(max(first, low), high), min(max(last, low), high)
    xs = np.round(np.linspace(first, last, count)).tolist()
    missed = _missed(document, [_hanging_at(base, x) for x in xs], parts)
    warning = _not_all(document, missed[0]) if missed else ""
    return HangingProposal(tuple(_moved(base, x - base.left.x) for x in xs), warning)


def is_better_anew(document: Document, anew: HangingProposal) -> bool:
    """Returns whether hangings in other places cover the artwork, which the existing ones do not."""
    now = {(h.left.x, h.left.y, h.right.x, h.right.y) for h in document.hangings}
    return bool(anew.places) and not anew.warning and {(*left, *right) for left, right, _ in anew.places} != now


def _missed(document: Document, hangings: Sequence[Hanging], parts: Mapping[str, Box]) -> list[Point]:
    """Returns evenly spaced points of the artwork's boxes that none of the hangings draws."""
    left = np.ones((0, 0), dtype=bool)
    for there in hangings:
        zone = compute_zone(document.wall, document.machine, there, points=COVERAGE_POINTS)
        left = (zone.bits != 0) if not left.size else left & (zone.bits != 0)
    covered = np.zeros_like(left)
    for placement in document.placements:
        if placement.visible:
            a, b, c, d = placement_box(placement, parts.get(placement.id, WHOLE_PAGE))
            covered |= ((zone.x >= a) & (zone.x <= c)) & ((zone.y >= b) & (zone.y <= d))[:, None]
    rows, columns = np.nonzero(left & covered)
    return list(zip(zone.x[columns].tolist(), zone.y[rows].tolist(), strict=True))


def _shared(document: Document) -> float:
    return 2 * document.settings.joining.stagger + SHARED


def _moved(of: Hanging, by: float) -> Placed:
    return (of.left.x + by, of.left.y), (of.right.x + by, of.right.y), (of.start_point[0] + by, of.start_point[1])


def _span(document: Document, hanging: Hanging, parts: Mapping[str, Box] = NO_PARTS) -> _Span:
    """Returns the span over the rows of the artwork's height at which the hanging draws at all; over every row if there
    is no artwork."""
    wall, far = document.wall, 0.25 * hanging.distance + 500.0  # beyond its anchors it hangs nowhere
    endless = replace(wall, left=hanging.left.x - far, width=hanging.right.x - hanging.left.x + 2 * far, keep_outs=())
    shown = [p for p in document.placements if p.visible]
    _, top, _, bottom = bounding_box(shown, parts) if shown else (0.0, wall.top, 0.0, wall.floor)
    x = np.arange(endless.left, endless.right, ACROSS)
    grid = np.stack(np.meshgrid(x, np.linspace(top, bottom, ROWS)), axis=2).reshape(-1, 2)
    rig = CableRobotModel.of(document.machine, hanging)
    inside = (broken(endless, document.machine, rig, inverse_kinematics(rig, grid)) == 0).reshape(ROWS, -1)
    # A row that is hardly drawn at all would need an unlimited number of hangings; the checks report what is left out.
    wide = inside.sum(axis=1)
    rows = inside[wide >= 0.5 * max(wide.max(), 1)]
    if not len(rows):
        return _Span(0.0, 0.0)
    left = x[np.argmax(rows, axis=1)].max()
    right = x[len(x) - 1 - np.argmax(rows[:, ::-1], axis=1)].min()
    return _Span(float(left - hanging.left.x), float(right - hanging.left.x))
