"""One-click remedies for strokes outside the draw zone, as edits of the document. No widgets."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING

import numpy as np

from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.edits_arrangement import carry_placements
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.placing import bounding_box, part_of_page
from wallwright.document.wall import Box, Point
from wallwright.planning.hanging_shares import row_of
from wallwright.planning.move_in import MarginedZone, nearest_fit, zone_with_reserve
from wallwright.statics.anchor_placement import AnchorProposal, hanging_margin, propose_anchors
from wallwright.statics.draw_zone import DrawZone

if TYPE_CHECKING:
    from wallwright.planning.plan import StrokePreview

Parts = Mapping[str, Box]
"""Drawn part of the page by placement id; without an entry, the whole page."""
SHARES = np.linspace(1.0, 0.1, 37)
"""Scale factors tried when artwork is shrunk."""
LEAST_IN_PLACE = 0.4
"""Least scale factor in place; artwork that would have to shrink further is moved in instead."""
LARGEST_POINTS = 20_000
"""Number of zone points for finding the largest size: 12 mm apart on a usual wall."""
LARGEST_TOLERANCE = 0.005
"""Relative tolerance of the largest size."""
LEAST_DRAWN = 1e-3
"""Least side of a box, mm, since a vertical or horizontal line has no area."""
LARGEST_PAGE = 20.0
"""Largest page size in widths of the wall, for a page that is almost empty."""
SPARED = (0.005, 0.01, 0.015, 0.02, 0.03)
"""Reductions of the size that are tried to centre the artwork."""


def drawn_parts(document: Document, preview: StrokePreview) -> Parts:
    """Returns the drawn parts of a document's artworks from the strokes of a preview. Strokes clipped to the zone do not
    show everything; whole pages count then."""
    strokes = preview.strokes
    if document.settings.outside == "clip" or not len(strokes):
        return {}
    is_of_artwork = strokes.source >= 0
    placement = np.where(is_of_artwork, preview.placement_of_source[strokes.source], -1)[strokes.stroke_of_point]
    found = {}
    for number in np.unique(placement[placement >= 0]).tolist():
        of = document.placements[number]
        found[of.id] = part_of_page(of, strokes.points[placement == number])
    return found


def moved_in(document: Document, parts: Parts | None = None) -> Document:
    """Moves all shown artwork together by the least distance that puts its box in the zone with a margin.

    Raises BadValue when it does not fit at its present size.
    """
    offset = MarginedZone(document).nearest(_box(document, parts))
    if offset is None:
        raise BadValue(tr("The artwork does not fit into the draw zone at this size. Shrink it"))
    return _shifted(document, *offset)


def shrunk(document: Document, parts: Parts | None = None) -> Document:
    """Shrinks all shown artwork together about its middle, by the least factor that puts it in the zone; also moves it in
    where it is too far outside.

    Raises BadValue when even a tenth does not fit.
    """
    zone = MarginedZone(document)
    left, top, right, bottom = _box(document, parts)
    x, y = (left + right) / 2, (top + bottom) / 2
    stays = 1e-6 * max(right - left, bottom - top)
    found: tuple[float, Point] | None = None
    for share in SHARES:
        w, h = (right - left) * share / 2, (bottom - top) * share / 2
        offset = zone.nearest((x - w, y - h, x + w, y + h))
        if offset is not None and np.hypot(*offset) <= stays and share >= LEAST_IN_PLACE:
            return _scaled(document, x, y, float(share))
        if offset is not None and found is None:
            found = float(share), offset
    if found is not None:
        return _shifted(_scaled(document, x, y, found[0]), *found[1])
    raise BadValue(tr("There is hardly any draw zone on this wall. Check the anchors and the machine"))


def as_large_as_fits(
    document: Document,
    ids: Collection[str],
    hanging: int,
    zone: DrawZone | None = None,
    parts: Parts | None = None,
) -> Document:
    """Scales and moves artworks together so that their drawn box is the largest in a hanging's zone with the recommended
    motor reserve. Locked ones stay. zone: the result of zone_with_reserve, if known.

    Raises BadValue when there is nothing to scale or no zone.
    """
    chosen = [p for p in document.placements if p.id in ids and p.visible and not p.locked]
    if not chosen:
        raise BadValue(tr("There is no artwork to move"))
    place = document.hangings[hanging]
    zone = zone or zone_with_reserve(document, hanging, LARGEST_POINTS)
    left, top, right, bottom = bounding_box(chosen, parts)
    width, height = max(right - left, LEAST_DRAWN), max(bottom - top, LEAST_DRAWN)
    pages = bounding_box(chosen)
    pages_width, middle_of_pages = pages[2] - pages[0], ((pages[0] + pages[2]) / 2, (pages[1] + pages[3]) / 2)
    # The zone is as wide as the anchor distance, so the middle of the largest box is searched there.
    x, y = (place.left.x + place.right.x) / 2, (place.left.y + place.right.y) / 2

    def fit(size: float) -> tuple[float, float] | None:
        w, h = size * width / 2, size * height / 2
        return nearest_fit(zone, (x - w, y - h, x + w, y + h))

    low, high = 0.0, max(document.wall.width / width, document.wall.height / height)
    high = min(high, LARGEST_PAGE * document.wall.width / pages_width)
    while high - low > LARGEST_TOLERANCE * high:
        middle = (low + high) / 2
        low, high = (middle, high) if fit(middle) is not None else (low, middle)
    if low <= 0.0:
        raise BadValue(tr("There is hardly any draw zone on this wall. Check the anchors and the machine"))
    # A slightly smaller size may fit exactly in the middle, which looks better than the last hundredth of the size. The
    # pages' width and common middle are whole mm.
    tried = (max(math.floor(pages_width * low * (1 - spare)), 1) / pages_width for spare in SPARED)
    offsets = [(share, offset) for share in tried if (offset := fit(share)) is not None]
    if not offsets:
        raise BadValue(tr("There is hardly any draw zone on this wall. Check the anchors and the machine"))
    centred = (found for found in offsets if abs(found[1][0]) < 1.0)
    share, (dx, dy) = next(centred, offsets[0])
    dx = 0.0 if abs(dx) < 1.0 else dx
    to = (
        round(x + dx + share * (middle_of_pages[0] - (left + right) / 2)),
        round(y + dy + share * (middle_of_pages[1] - (top + bottom) / 2)),
    )
    return carry_placements(document, [p.id for p in chosen], middle_of_pages, to, share)


def anchors_advised(document: Document, hanging: int = 0) -> Document:
    """Moves the anchors of a hanging to the positions with the largest margin for its artwork.

    The starting point moves to the middle between them. Raises BadValue when no positions work.
    """
    found = advice_for(document, hanging)
    return with_anchors(document, found.left, found.right, hanging)


def advice_for(document: Document, hanging: int = 0) -> AnchorProposal:
    """Returns the best anchors for a hanging's artwork, and all tries. Raises BadValue when there are none."""
    return propose_anchors(document.wall, document.machine, document.hangings[hanging], _points(document, hanging))


def margin_now(document: Document, hanging: int = 0) -> float:
    """Returns the margin of the present anchors for a hanging's artwork; at most 0 when some of it is outside the zone."""
    return hanging_margin(document.wall, document.machine, document.hangings[hanging], _points(document, hanging))


def _points(document: Document, hanging: int) -> np.ndarray:
    """Returns (49, 2) points, mm, over the part of the box of all shown artwork between a hanging's handover lines. Raises
    BadValue when there is no such part."""
    left, top, right, bottom = _box(document)
    if len(document.hangings) > 1:
        grounds = row_of(document).ground()
        left, right = max(left, float(grounds[0][hanging])), min(right, float(grounds[1][hanging]))
        if left >= right:
            raise BadValue(tr("{0} has no artwork to draw", document.hangings[hanging].name))
    x, y = np.meshgrid(np.linspace(left, right, 7), np.linspace(top, bottom, 7))
    return np.column_stack([x.ravel(), y.ravel()])


def with_anchors(document: Document, left: Point, right: Point, hanging: int = 0) -> Document:
    """Moves a hanging's anchors, in whole mm, and its starting point to the middle of the artwork's height."""
    _, top, _, bottom = _box(document)
    start_point = ((left[0] + right[0]) / 2, (top + bottom) / 2)
    document = edits.set_field(document, f"hangings.{hanging}.start_point", _whole(start_point))
    document = edits.move_anchor(document, hanging, "right", _whole(right))
    return edits.move_anchor(document, hanging, "left", _whole(left))


def _whole(point: Point) -> Point:
    """Rounds to whole mm, as measured with a tape."""
    return round(point[0]), round(point[1])


def _box(document: Document, parts: Parts | None = None) -> Box:
    visible = [p for p in document.placements if p.visible]
    if not visible:
        raise BadValue(tr("There is no artwork to move"))
    return bounding_box(visible, parts)


def _shifted(document: Document, dx: float, dy: float) -> Document:
    for p in document.placements:
        if p.visible:
            document = edits.set_placement(document, p.id, x=p.x + dx, y=p.y + dy)
    return document


def _scaled(document: Document, x: float, y: float, share: float) -> Document:
    for p in document.placements:
        if p.visible:
            document = edits.set_placement(
                document,
                p.id,
                x=x + (p.x - x) * share,
                y=y + (p.y - y) * share,
                width=p.width * share,
                height=p.height * share,
            )
    return document
