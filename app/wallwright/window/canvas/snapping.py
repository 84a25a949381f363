"""Snapping: lines of the wall that what is dragged snaps to. No widgets.

Plumb lines have an x, level lines a y. A dragged box snaps with an edge or its centre; each line says with which.
The cost of a move is that of the lines, never of what the artworks are made of.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

import msgspec
import numpy as np
import numpy.typing as npt

from wallwright.document.document import Document
from wallwright.document.language import N_
from wallwright.document.placing import placement_box
from wallwright.document.wall import Side
from wallwright.window.canvas.gaps import Box, Boxes, Gap, equal_gap_positions

Segments = npt.NDArray[np.float64]
"""(m, 2, 2): start and end, x and y, mm."""


class SnapLine(msgspec.Struct, frozen=True):
    """A line that things snap to."""

    is_vertical: bool
    at: float
    """x of a vertical line, y of a horizontal one, mm."""
    low: float
    high: float
    """Where what it belongs to begins and ends along it, mm."""
    what: str
    edges: bool = True
    """Whether edges of a box snap to it."""
    centre: bool = True
    """Whether the centre of a box does."""
    gaps: tuple[Gap, ...] = ()
    """Those that are equal when the centre of a box is here: they are shown instead of the line."""


class Snap(msgspec.Struct, frozen=True):
    """How far to move on, mm, and the lines that are then reached."""

    dx: float = 0.0
    dy: float = 0.0
    guides: tuple[SnapLine, ...] = ()


class Snapping:
    """Lines, compared again at every move."""

    def __init__(
        self,
        lines: Iterable[SnapLine],
        zone_edge: Segments | None = None,
        things: Boxes | None = None,
        wall: Box = (0.0, 0.0, 0.0, 0.0),
    ) -> None:
        """zone_edge: (m, 2, 2) segments of the draw zone's edge, mm; things: (n, 4) boxes on the wall that a dragged box
        may keep equal gaps to, mm."""
        self._lines = tuple(lines)
        self._zone_edge = zone_edge
        self._things, self._wall = things, wall

    def box(self, box: Box, reach: float) -> Snap:
        """For a box, mm; reach: how near a line has to be, mm."""
        lines = (*self._lines, *zone_lines(self._zone_edge, box), *self._gap_lines(box, reach))
        middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        return _nearest(lines, ((box[0], box[2]), (box[1], box[3])), middle, reach)

    def _gap_lines(self, box: Box, reach: float) -> list[SnapLine]:
        if self._things is None:
            return []
        return [
            SnapLine(
                is_vertical,
                place.centre,
                *((box[1], box[3]) if is_vertical else (box[0], box[2])),
                N_("equal gaps"),
                edges=False,
                gaps=place.gaps,
            )
            for is_vertical in (True, False)
            for place in equal_gap_positions(self._things, self._wall, box, is_vertical, reach)
        ]

    def point(self, x: float, y: float, reach: float) -> Snap:
        """For a point, mm, which snaps to any line."""
        return _nearest(self._lines, ((x,), (y,)), (x, y), reach, is_point=True)


def _nearest(
    lines: Iterable[SnapLine],
    edges: tuple[tuple[float, ...], tuple[float, ...]],
    middle: tuple[float, float],
    reach: float,
    is_point: bool = False,
) -> Snap:
    """The smallest move per axis, and every line that is reached by it."""
    moves: tuple[list[tuple[float, SnapLine]], ...] = ([], [])
    for line in lines:
        axis = 0 if line.is_vertical else 1
        places = edges[axis] if line.edges or is_point else ()
        for place in (*places, middle[axis]) if line.centre else places:
            if abs(line.at - place) <= reach:
                moves[axis].append((line.at - place, line))
    nearest = [min((m for m, _ in found), key=abs, default=0.0) for found in moves]
    guides = {
        (line.is_vertical, line.at, line.gaps): line
        for found, move in zip(moves, nearest, strict=True)
        for m, line in reversed(found)
        if abs(m - move) < 1e-6
    }
    return Snap(nearest[0], nearest[1], tuple(guides.values()))


def lines_for(
    document: Document,
    without: Collection[str] = (),
    without_keep_out: int = -1,
    without_guide_line: int | None = None,
) -> list[SnapLine]:
    """The lines of a document: wall, thirds, anchors, artworks and keep-outs but those that are dragged."""
    wall = document.wall
    lines = []
    for is_vertical, low, size, start, end in (
        (True, wall.left, wall.width, wall.top, wall.floor),
        (False, wall.top, wall.height, wall.left, wall.right),
    ):
        lines.append(SnapLine(is_vertical, low + size / 2, start, end, N_("middle of the wall"), edges=False))
        lines += [SnapLine(is_vertical, low + size * k / 3, start, end, N_("third of the wall")) for k in (1, 2)]
        lines += [
            SnapLine(is_vertical, low + size * k, start, end, N_("edge of the wall"), centre=False) for k in (0, 1)
        ]
    for number, guide in enumerate(document.guide_lines):
        if number != without_guide_line:
            what = N_("vertical guide line") if guide.is_vertical else N_("horizontal guide line")
            ends = (wall.top, wall.floor) if guide.is_vertical else (wall.left, wall.right)
            lines.append(SnapLine(guide.is_vertical, guide.at, *ends, what))
    for hanging in document.hangings:
        top, low = sorted((hanging.left.y, hanging.right.y))
        middle = (hanging.left.x + hanging.right.x) / 2
        lines.append(SnapLine(True, middle, top, low, N_("between the anchors"), edges=False))
    for placement in document.placements:
        if placement.visible and placement.id not in without:
            lines += _box_lines(placement_box(placement))
    for number, keep_out in enumerate(document.wall.keep_outs):
        if number != without_keep_out:
            corners = np.array(keep_out.outline)
            lines += _box_lines((*corners.min(axis=0).tolist(), *corners.max(axis=0).tolist()))
    return lines


def lines_for_anchor(document: Document, number: int, side: Side) -> list[SnapLine]:
    """Lines for dragging an anchor: level with the other one, and as far from the middle of the wall as that."""
    hanging, wall = document.hangings[number], document.wall
    other = hanging.right if side == "left" else hanging.left
    middle = wall.left + wall.width / 2
    return [
        SnapLine(False, other.y, other.x, other.x, N_("level with the other anchor")),
        SnapLine(
            True,
            2 * middle - other.x,
            wall.top,
            wall.floor,
            N_("as far from the middle as the other anchor"),
        ),
    ]


def _box_lines(box: Box) -> list[SnapLine]:
    left, top, right, bottom = box
    edge, centre = N_("edge"), N_("centre")
    return [
        SnapLine(True, left, top, bottom, edge, centre=False),
        SnapLine(True, right, top, bottom, edge, centre=False),
        SnapLine(True, (left + right) / 2, top, bottom, centre, edges=False),
        SnapLine(False, top, left, right, edge, centre=False),
        SnapLine(False, bottom, left, right, edge, centre=False),
        SnapLine(False, (top + bottom) / 2, left, right, centre, edges=False),
    ]


def zone_lines(zone_edge: Segments | None, box: Box) -> list[SnapLine]:
    """Where a box just touches the draw zone's edge when it moves straight across or down.

    zone_edge: (m, 2, 2) segments, mm. In the band that the box sweeps, the edge's nearest point on either side of the
    box's middle.
    """
    if zone_edge is None or not len(zone_edge):
        return []
    lines = []
    for is_vertical, low, high in ((True, 0, 2), (False, 1, 3)):
        along, across = (1, 0) if is_vertical else (0, 1)
        start, end = (box[1], box[3]) if is_vertical else (box[0], box[2])
        a, b = zone_edge[:, 0], zone_edge[:, 1]
        first, last = np.minimum(a[:, along], b[:, along]), np.maximum(a[:, along], b[:, along])
        near = (last >= start) & (first <= end)
        a, b = a[near], b[near]
        if not len(a):
            continue
        run = b[:, along] - a[:, along]
        run = np.where(run == 0, 1e-12, run)
        shares = np.clip((np.array([start, end])[:, None] - a[:, along]) / run, 0, 1)
        at = (a[:, across] + shares * (b - a)[:, across]).ravel()
        middle = (box[low] + box[high]) / 2
        for limit in (at[at < middle].max(initial=-np.inf), at[at > middle].min(initial=np.inf)):
            if np.isfinite(limit):
                lines.append(SnapLine(is_vertical, float(limit), start, end, N_("edge of the draw zone"), centre=False))
    return lines
