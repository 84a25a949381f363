"""Divides strokes between hangings: draw zones sampled along them, and the lines where neighbours meet."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np

from wallwright.document.arrays import Flags, Floats
from wallwright.document.document import Document
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Wall
from wallwright.planning.outside_zone import TEST_SPACING, points_outside
from wallwright.planning.point_cache import PointCache
from wallwright.statics.draw_zone import DrawZone, compute_zone
from wallwright.strokes.dense_points import densify
from wallwright.strokes.division import HangingRow, HangingShares, divide_strokes
from wallwright.strokes.strokes import Strokes


def row_of(document: Document, zone: Callable[[Wall, Machine, Hanging], DrawZone] = compute_zone) -> HangingRow:
    """Returns the hangings from left to right, and where neighbours meet: where the user set it, else in the middle of
    what both can draw. zone: returns a hanging's zone on a grid over the wall, the same for all."""
    order = document.from_left
    lines = []
    for a, b in itertools.pairwise(order):
        one, other = document.hangings[a].as_planned, document.hangings[b].as_planned
        if one.handover is not None:
            lines.append(one.handover)
            continue
        left, right = (zone(document.wall, document.machine, h) for h in (one, other))
        lines.append(_middle(left, right, default=(one.right.x + other.left.x) / 2))
    return HangingRow(order, tuple(lines))


def _middle(left: DrawZone, right: DrawZone, default: float) -> float:
    """Returns x of the middle of what two neighbours can both draw, over all heights; if that is nothing, between the
    two."""
    both = (left.bits == 0) & (right.bits == 0)
    rows = both.any(axis=1)
    if rows.any():
        low = left.x[np.argmax(both[rows], axis=1)]
        high = left.x[both.shape[1] - 1 - np.argmax(both[rows, ::-1], axis=1)]
        return float(np.mean((low + high) / 2))
    of_left, of_right = left.bounds(), right.bounds()
    return default if of_left is None or of_right is None else (of_left[2] + of_right[0]) / 2


def shared_out(
    document: Document,
    row: HangingRow,
    strokes: Strokes,
    progress: Callable[[float], None] = lambda done: None,
    known: Callable[[Hanging], PointCache] = lambda hanging: PointCache(),
) -> HangingShares:
    """Divides the strokes of a document between its hangings. known: cache of results at points of whole strokes, by
    hanging; updated."""
    dense = densify(strokes, TEST_SPACING)
    count = len(document.hangings)
    can = np.zeros((count, len(dense.points)), dtype=bool)
    for number, hanging in enumerate(h.as_planned for h in document.hangings):
        some = np.flatnonzero(between_anchors(document.machine, hanging, dense.points[:, 0]))

        def part(done: float, number: int = number) -> None:
            progress((number + done) / count)

        points, before = dense.points[some], known(hanging)
        bits, is_known = before.look_up(points)
        bits[~is_known] = points_outside(document, hanging, points[~is_known], part)
        before.keep(points, bits)
        can[number, some] = bits == 0
    widths = np.array([p.width for p in document.pens])
    return divide_strokes(strokes, dense, can, row, document.settings.joining, widths)


def between_anchors(machine: Machine, hanging: Hanging, x: Floats) -> Flags:
    """Returns (n,) bool: where the pen may be at all. Nothing but the belts pushes the body sideways, so one exit is to
    the right of the left anchor or the other to the left of the right one, and no exit is farther from the pen than its
    own arm."""
    arm = max(np.hypot(*e) for e in (machine.body.left_exit, machine.body.right_exit)) + machine.body.roller
    between: Flags = (x >= hanging.left.x - arm) & (x <= hanging.right.x + arm)
    return between
