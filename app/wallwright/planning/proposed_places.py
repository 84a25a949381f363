"""Proposed places for new artwork and the starting point, clear of existing artwork."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from wallwright.document import edits
from wallwright.document.arrays import Flags, Floats
from wallwright.document.document import Document
from wallwright.document.placing import WHOLE_PAGE, placement_box, union
from wallwright.document.wall import Box, Point
from wallwright.planning.drawn_parts import Parts
from wallwright.planning.move_in import FreeSpace, MarginedZone, zone_with_reserve
from wallwright.statics.limits import TORQUE_RESERVE

BETWEEN = 20.0
"""Distance, mm, between new artwork and existing artwork, and between the body at the starting point and ink."""

SMALL = 0.25
"""Share of the largest size in the draw zones below which new artwork is enlarged: it would be hard to see on the wall, and
covered by its handles on the screen. Own choice."""
SIZE_TOLERANCE = 0.02


def shown_boxes(document: Document, parts: Parts) -> list[Box]:
    """Returns the box around the drawn part of each shown artwork, mm."""
    return [placement_box(p, parts.get(p.id, WHOLE_PAGE)) for p in document.placements if p.visible]


def centre_with_room(document: Document, size: tuple[float, float], parts: Parts, near: Point | None) -> Point | None:
    """Returns the middle of new artwork of a size, mm: the place nearest to `near` (by default the middle of the existing
    artwork) in the draw zones and clear of all artwork, else the nearest in the zones. None if it does not fit at its size.
    parts: drawn parts by placement id."""
    boxes = shown_boxes(document, parts)
    if near is None:
        if not boxes:
            return None
        left, top, right, bottom = union(boxes)
        near = (left + right) / 2, (top + bottom) / 2
    (x, y), (width, height) = near, size
    box = (x - width / 2, y - height / 2, x + width / 2, y + height / 2)
    zone = MarginedZone.of(document)
    move = zone.nearest(box, [_wider(one, BETWEEN) for one in boxes]) or zone.nearest(box)
    return None if move is None else (round(x + move[0]), round(y + move[1]))


def readable_size(document: Document, size: tuple[float, float], parts: Parts) -> tuple[float, float]:
    """Returns the size of new artwork beside other artwork, mm. Artwork that is not SMALL keeps its size. Otherwise it is
    the largest size that fits beside the existing artwork, at most that of the first artwork; without room, the least size
    that is not small. Widths are whole mm. parts: drawn parts by placement id."""
    boxes = shown_boxes(document, parts)
    zone = MarginedZone.of(document).best_first[0]
    wall = document.wall
    room = _largest_scale(zone, size, [], min(wall.width / size[0], wall.height / size[1]))
    if not boxes or room * SMALL <= 1.0:
        return size
    left, top, right, bottom = boxes[0]
    most = max(min(max(right - left, bottom - top) / max(size), room), 1.0)
    scale = _largest_scale(zone, size, [_wider(one, BETWEEN) for one in boxes], most)
    width = float(math.floor(size[0] * (scale if scale >= 1.0 else min(SMALL * room, most))))
    return (width, width * size[1] / size[0]) if width > size[0] else size


def _largest_scale(zone: MarginedZone, size: tuple[float, float], beside: Sequence[Box], most: float) -> float:
    """Returns the largest scale, at most `most`, at which a box of a size, mm, fits into the zone beside others; 0 if it
    fits at none."""
    width, height = size

    def fits(scale: float) -> bool:
        return zone.nearest((0.0, 0.0, scale * width, scale * height), beside) is not None

    if fits(most):
        return most
    low, high = 0.0, most
    while high - low > SIZE_TOLERANCE * high and high * max(size) > 1.0:
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def start_clear_of_ink(document: Document, hanging: int, boxes: Sequence[Box]) -> Point | None:
    """Returns a starting point at which the body covers none of the boxes around ink, mm: above them, else beside, else
    below, within reach if possible. Pens are changed there without touching wet ink. None if the zone has no room, or if the
    page of the machine determines the start."""
    page = document.machine.controller.page
    if not boxes or page.start_right or page.start_down:
        return None
    space = _starting_space(document, hanging)
    x, y = _free_points(space)
    clear = _is_clear(document, x, y, boxes)
    x, y = x[clear], y[clear]
    if not len(x):
        return None
    columns = space.is_free.any(axis=0)
    left, top, right, bottom = union(boxes)
    outline = np.array(document.machine.body.outline)
    above, below = y + outline[:, 1].max() <= top, y + outline[:, 1].min() >= bottom
    height, settings = document.wall.floor - y, document.settings
    out_of_reach = (height < settings.reach_low) | (height > settings.reach_high)
    side = np.where(above, 0, np.where(below, 2, 1))
    own_left, own_right = max(left, float(space.x[columns].min())), min(right, float(space.x[columns].max()))
    nearest = np.hypot(x - (own_left + own_right) / 2, np.clip(y, top, bottom) - y)
    best = np.lexsort([nearest, side, out_of_reach])[0]
    return float(round(x[best])), float(round(y[best]))


def with_starts_clear_of_ink(document: Document, hangings: Iterable[int], parts: Parts) -> Document:
    """Returns the document with the starting points of some hangings, by index, moved off the ink if the body would cover it
    and the zone has room elsewhere. parts: drawn parts by placement id."""
    boxes = shown_boxes(document, parts)
    for number in hangings:
        if body_covers(document, document.hangings[number].start_point, boxes):
            start = start_clear_of_ink(document, number, boxes)
            if start is not None:
                document = edits.set_field(document, f"hangings.{number}.start_point", start)
    return document


def start_inside(document: Document, hanging: int, boxes: Sequence[Box]) -> Point | None:
    """Returns the nearest place in the zone for a starting point outside; clear of the boxes around ink, mm, if there is
    room. None if there is no zone."""
    x, y = _free_points(_starting_space(document, hanging))
    if not len(x):
        return None
    clear = _is_clear(document, x, y, boxes)
    if clear.any():
        x, y = x[clear], y[clear]
    now = document.hangings[hanging].start_point
    best = int(np.argmin(np.hypot(x - now[0], y - now[1])))
    return float(round(x[best])), float(round(y[best]))


def body_covers(document: Document, at: Point, boxes: Sequence[Box]) -> bool:
    """Returns whether the body, with its pen at a point, mm, covers one of the boxes."""
    return not bool(_is_clear(document, np.array([at[0]]), np.array([at[1]]), boxes, gap=0.0)[0])


def _starting_space(document: Document, hanging: int) -> FreeSpace:
    """Returns the space with the recommended motor reserve: at its starting point the body is at rest."""
    return FreeSpace.of_zone(zone_with_reserve(document, hanging, reserve=TORQUE_RESERVE))


def _free_points(space: FreeSpace) -> tuple[Floats, Floats]:
    """Returns (n,) x and y, mm, of free grid points whose neighbours are also free; of all free points if there are none."""
    wide = np.pad(space.is_free, 1)
    inner = np.logical_and.reduce(
        [wide[i : i + space.is_free.shape[0], j : j + space.is_free.shape[1]] for i in range(3) for j in range(3)]
    )
    rows, columns = np.nonzero(inner if inner.any() else space.is_free)
    return space.x[columns], space.y[rows]


def _is_clear(document: Document, x: Floats, y: Floats, boxes: Sequence[Box], gap: float = BETWEEN) -> Flags:
    """Returns (n,) bool: whether the level body, with its pen at each of n points, covers none of the boxes, mm."""
    outline = np.array(document.machine.body.outline)
    (low_x, low_y), (high_x, high_y) = outline.min(axis=0) - gap, outline.max(axis=0) + gap
    clear = np.ones(len(x), dtype=bool)
    for left, top, right, bottom in boxes:
        clear &= (x + high_x < left) | (x + low_x > right) | (y + high_y < top) | (y + low_y > bottom)
    return clear


def _wider(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by
