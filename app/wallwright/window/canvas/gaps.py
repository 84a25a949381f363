"""Equal gaps: where a dragged box leaves as much room beside it as things in its row leave to each other. No widgets.

A row is what lies beside the box, seen straight across or straight down: artworks, keep-outs, and the wall's edges.
"""

from __future__ import annotations

from collections.abc import Collection

import msgspec
import numpy as np
import numpy.typing as npt

from wallwright.document.document import Document
from wallwright.document.placing import placement_box

Box = tuple[float, float, float, float]
"""Left, top, right, bottom, mm."""
Boxes = npt.NDArray[np.float64]
"""(n, 4): a box in each row."""
LEAST = 1.0
"""mm: things that are nearer touch, and leave no gap."""


class Gap(msgspec.Struct, frozen=True):
    """A distance between two things, mm."""

    low: float
    high: float
    """Where it begins and ends along the row."""
    across: float
    """Where it is seen, on the other axis."""


class SnapPosition(msgspec.Struct, frozen=True):
    """A place for the middle of a box, mm, and the gaps that are equal there."""

    centre: float
    gaps: tuple[Gap, ...]


def things_of(document: Document, without: Collection[str] = (), without_keep_out: int = -1) -> Boxes:
    """(n, 4) boxes of the artworks and keep-outs but those that are dragged, mm."""
    boxes = [placement_box(p) for p in document.placements if p.visible and p.id not in without]
    for number, keep_out in enumerate(document.wall.keep_outs):
        if number != without_keep_out:
            corners = np.array(keep_out.outline)
            boxes.append((*corners.min(axis=0).tolist(), *corners.max(axis=0).tolist()))
    return np.array(boxes, dtype=float).reshape(-1, 4)


def equal_gap_positions(things: Boxes, wall: Box, box: Box, is_vertical: bool, reach: float) -> list[SnapPosition]:
    """Where the box leaves equal gaps when it moves straight across (vertical lines) or down, by reach, mm, at most.

    things: (n, 4) boxes, mm. Between its two neighbours it may leave the same gap to both; beside one it may leave a gap
    that there is in the row already.
    """
    low, high, a, b = (0, 2, 1, 3) if is_vertical else (1, 3, 0, 2)
    row = things[(things[:, a] < box[b]) & (things[:, b] > box[a])]
    row = row[np.argsort(row[:, low], kind="stable")]
    start, end = box[low], box[high]
    size = end - start
    before, after = row[row[:, high] <= start + reach], row[row[:, low] >= end - reach]
    left, right = float(before[:, high].max(initial=wall[low])), float(after[:, low].min(initial=wall[high]))
    aside = (box[a] + box[b]) / 2

    def at(one: Boxes, edge: int, where: float) -> float:
        """Middle of what the box and its neighbour there have beside each other."""
        near = one[np.abs(one[:, edge] - where) < 1e-9]
        return float((max(box[a], near[0, a]) + min(box[b], near[0, b])) / 2) if len(near) else aside

    by_left, by_right = at(before, high, left), at(after, low, right)
    found = []
    room = (right - left - size) / 2
    if len(row) and room >= LEAST:
        found.append(
            SnapPosition(
                (left + right) / 2,
                (
                    Gap(left, left + room, by_left),
                    Gap(right - room, right, by_right),
                ),
            )
        )
    for gap in _gaps(row, wall, low, high, a, b):
        width = gap.high - gap.low
        # A gap that the box itself would lie in is none any more.
        if len(before) and not (gap.low < left + width + size and gap.high > left + 1e-9):
            found.append(SnapPosition(left + width + size / 2, (gap, Gap(left, left + width, by_left))))
        if len(after) and not (gap.low < right - 1e-9 and gap.high > right - width - size):
            found.append(SnapPosition(right - width - size / 2, (Gap(right - width, right, by_right), gap)))
    middle = (start + end) / 2

    def is_free(gap: Gap) -> bool:
        return not ((row[:, low] < gap.high - 1e-9) & (row[:, high] > gap.low + 1e-9)).any()

    return [p for p in found if abs(p.centre - middle) <= reach and all(map(is_free, p.gaps))]


def _gaps(row: Boxes, wall: Box, low: int, high: int, a: int, b: int) -> list[Gap]:
    """The gaps from each thing of a row to the next, and from the outermost to the wall's edges."""
    found, last = [], None
    until = wall[low]
    for thing in row:
        if thing[low] - until >= LEAST:
            beside = thing if last is None else (last if _narrower(last, thing, a, b) else thing)
            found.append(Gap(float(until), float(thing[low]), float((beside[a] + beside[b]) / 2)))
        if thing[high] > until:
            until, last = thing[high], thing
    if last is not None and wall[high] - until >= LEAST:
        found.append(Gap(float(until), float(wall[high]), float((last[a] + last[b]) / 2)))
    return found


def _narrower(one: Boxes, other: Boxes, a: int, b: int) -> bool:
    return bool(one[b] - one[a] < other[b] - other[a])
