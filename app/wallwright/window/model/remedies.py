"""One-click remedies for strokes outside the draw zone, as edits of the document. No widgets."""

from __future__ import annotations

import math
from collections.abc import Collection

import numpy as np

from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.edits_arrangement import carry_placements
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.placing import bounding_box
from wallwright.document.wall import Box, Point
from wallwright.jobs.checks import ArtworkMove
from wallwright.planning.drawn_parts import Parts
from wallwright.planning.hanging_shares import row_of
from wallwright.planning.move_in import FreeSpace, MarginedZone, machine_with_reserve
from wallwright.planning.proposed_places import shown_boxes, start_clear_of_ink, start_inside
from wallwright.statics.anchor_placement import AnchorProposal, hanging_margin, propose_anchors

SHARES = np.linspace(1.0, 0.1, 37)
"""Scale factors tried when artwork is shrunk."""
WORTH_RESERVE = 0.4
"""Least ratio of the scale factors with and without the motors' reserve for which the reserve is kept."""
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


def moved_as_offered(document: Document, move: ArtworkMove) -> Document:
    """Returns the document with artworks moved as a check proposes."""
    for one in move.placements:
        p = document.placement(one)
        document = edits.set_placement(document, one, x=p.x + move.by[0], y=p.y + move.by[1])
    return document


def moved_in(document: Document, parts: Parts | None = None) -> Document:
    """Moves all shown artwork together by the least distance that puts its box in the zone with a margin.

    Raises BadValue when it does not fit at its present size.
    """
    offset = MarginedZone.of(document).nearest(_box(document, parts))
    if offset is None:
        raise BadValue(tr("The artwork does not fit into the draw zone at this size. Shrink it"))
    return _shifted(document, *offset)


def shrunk(document: Document, parts: Parts | None = None) -> Document:
    """Shrinks all shown artwork together and moves it, by as little of both as needed to lie in the zone. The motors keep
    their reserve where there is such a place.

    Raises BadValue when even a tenth does not fit.
    """
    left, top, right, bottom = box = _box(document, parts)
    found: tuple[float, Point] | None = None
    for zone in MarginedZone.of(document).best_first:
        other = _shrunk_into(zone, box)
        if other is not None and (found is None or found[0] < WORTH_RESERVE * other[0]):
            found = other
    if found is None:
        raise BadValue(tr("There is hardly any draw zone on this wall. Check the anchors and the machine"))
    share, offset = found
    return _shifted(_scaled(document, (left + right) / 2, (top + bottom) / 2, share), *offset)


def _shrunk_into(zone: MarginedZone, box: Box) -> tuple[float, Point] | None:
    """Returns the scale factor at which a box fits in the zone, and the required move, mm; None: at no scale. A move by a
    tenth of the diagonal weighs as much as a tenth of the size."""
    left, top, right, bottom = box
    x, y, diagonal = (left + right) / 2, (top + bottom) / 2, math.hypot(right - left, bottom - top)
    best: tuple[float, float, Point] | None = None
    for share in SHARES.tolist():
        if best is not None and share <= best[0]:
            break  # not even one that stays is better
        w, h = (right - left) * share / 2, (bottom - top) * share / 2
        offset = zone.nearest((x - w, y - h, x + w, y + h))
        if offset is None:
            continue
        moved = math.hypot(*offset) / diagonal
        if best is None or share - moved > best[0]:
            best = share - moved, share, offset if moved > 1e-6 else (0.0, 0.0)
    return None if best is None else best[1:]


def as_large_as_fits(
    document: Document,
    ids: Collection[str],
    parts: Parts | None = None,
    space: FreeSpace | None = None,
) -> Document:
    """Scales and moves artworks together so that their drawn box is the largest that the zones of all hangings hold with
    the recommended motor reserve. Locked ones stay. space: the zones with that reserve, if known.

    Raises BadValue when there is nothing to scale or no zone.
    """
    chosen = [p for p in document.placements if p.id in ids and p.visible and not p.locked]
    if not chosen:
        raise BadValue(tr("There is no artwork to move"))
    space = space or FreeSpace.of_hangings(document, machine_with_reserve(document.machine), LARGEST_POINTS)
    if not space.is_free.any():
        raise BadValue(tr("There is hardly any draw zone on this wall. Check the anchors and the machine"))
    left, top, right, bottom = bounding_box(chosen, parts)
    width, height = max(right - left, LEAST_DRAWN), max(bottom - top, LEAST_DRAWN)
    pages = bounding_box(chosen)
    pages_width, middle_of_pages = pages[2] - pages[0], ((pages[0] + pages[2]) / 2, (pages[1] + pages[3]) / 2)
    # The zone is as wide as the anchor distance, so the middle of the largest box is searched there.
    anchors = [a for hanging in document.hangings for a in (hanging.left, hanging.right)]
    x = (min(a.x for a in anchors) + max(a.x for a in anchors)) / 2
    y = sum(a.y for a in anchors) / len(anchors)

    def fit(size: float) -> tuple[float, float] | None:
        w, h = size * width / 2, size * height / 2
        return space.nearest((x - w, y - h, x + w, y + h))

    low, high = 0.0, max(document.wall.width / width, document.wall.height / height)
    high = min(high, LARGEST_PAGE * document.wall.width / pages_width)
    least = 1.0 / max(width, height)  # 1 mm
    while high - low > LARGEST_TOLERANCE * high and high > least:
        middle = (low + high) / 2
        low, high = (middle, high) if fit(middle) is not None else (low, middle)
    if low <= 0.0:
        raise BadValue(tr("There is hardly any draw zone on this wall. Check the anchors and the machine"))
    # A slightly smaller size may fit exactly in the middle, which looks better than the last hundredth of the size. The
    # pages' width, of a single one its own, and their common middle are whole mm.
    whole = chosen[0].width if len(chosen) == 1 else pages_width
    tried = (max(math.floor(whole * low * (1 - spare)), 1) / whole for spare in SPARED)
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
    """Returns the best anchors for what a hanging draws, and all tries. Raises BadValue when there are none."""
    points = _points(document, hanging)
    try:
        return propose_anchors(document.wall, document.machine, document.hangings[hanging], points)
    except BadValue as trouble:
        raise BadValue(f"{trouble}. {tr('Or share it between several hangings')}") from trouble


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
    """Moves a hanging's anchors, in whole mm, and its starting point clear of the artwork, or to the middle of the
    artwork's height where the zone has no other room."""
    _, top, _, bottom = _box(document)
    start_point = ((left[0] + right[0]) / 2, (top + bottom) / 2)
    document = edits.set_field(document, f"hangings.{hanging}.start_point", _whole(start_point))
    document = edits.move_anchor(document, hanging, "right", _whole(right))
    document = edits.move_anchor(document, hanging, "left", _whole(left))
    clear = start_clear_of_ink(document, hanging, shown_boxes(document, {}))
    return document if clear is None else edits.set_field(document, f"hangings.{hanging}.start_point", clear)


def start_moved_in(document: Document, hanging: int, parts: Parts | None = None) -> Document:
    """Moves the starting point of a hanging into its draw zone, off the ink where there is room. Raises BadValue when there
    is no zone."""
    start = start_inside(document, hanging, shown_boxes(document, parts or {}))
    if start is None:
        raise BadValue(tr("There is hardly any draw zone on this wall. Check the anchors and the machine"))
    return edits.set_field(document, f"hangings.{hanging}.start_point", start)


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
