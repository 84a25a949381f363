"""Parts of strokes outside the draw zone, and strokes clipped at its edge."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.document import Document
from wallwright.document.parallel import in_parts
from wallwright.document.wall import Hanging
from wallwright.planning.interior_grid import well_inside
from wallwright.planning.point_cache import Bits, PointCache
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.dense_points import densify
from wallwright.strokes.strokes import Strokes

TEST_SPACING = 10.0
"""Largest distance between tested points, mm: a limit may be violated between two points of a long straight stroke; the
zone's edge bends less than this."""
HALVINGS = 12
"""Number of bisections of TEST_SPACING when a stroke is cut at the edge: to 0.0025 mm."""
AT_ONCE = 20_000


def points_outside(
    document: Document,
    hanging: Hanging,
    points: Points,
    progress: Callable[[float], None] = lambda done: None,
) -> Integers:
    """Returns (n,) uint16 bits of statics.limits.Limit that each point violates, 0 inside. points: (n, 2) mm."""
    rig = CableRobotModel.of(document.machine, hanging)
    bits = np.zeros(len(points), dtype=np.uint16)
    open_ = np.arange(len(points))
    if len(points) > AT_ONCE:
        open_ = np.flatnonzero(~well_inside(document, rig, points))
    parts = [open_[i : i + AT_ONCE] for i in range(0, len(open_), AT_ONCE)]

    def look(part: Integers) -> None:
        bits[part] = broken(document.wall, document.machine, rig, inverse_kinematics(rig, points[part]))

    in_parts(look, parts, progress)
    return bits


@dataclass(frozen=True)
class OutsideZone:
    """Parts of some strokes outside the draw zone."""

    bits: Bits
    """(n,) uint16 per point of the strokes: bits violated there or on the leg that begins there."""
    pieces: Strokes
    """The parts outside, cut at the zone's edge and wherever the violated limits change."""
    broken: Bits
    """(k,) uint16: bits that each piece violates."""
    stroke: Integers
    """(k,) int64: index of the stroke of each piece."""

    @staticmethod
    def nothing(points: int) -> OutsideZone:
        """Returns the result for this many points that all lie inside."""
        none = np.zeros(0, dtype=np.uint16)
        return OutsideZone(np.zeros(points, dtype=np.uint16), Strokes.empty(), none, np.zeros(0, dtype=np.int64))

    def of(self, strokes: Strokes) -> OutsideZone:
        """Returns the same for strokes with identical points but possibly other pens or sources."""
        own = self.stroke
        pieces = dataclasses.replace(
            self.pieces, pen=strokes.pen[own], source=strokes.source[own], is_fill=strokes.is_fill[own]
        )
        return dataclasses.replace(self, pieces=pieces)

    @staticmethod
    def join(parts: Sequence[OutsideZone], strokes: Sequence[Strokes]) -> OutsideZone:
        """Returns the result for concatenated strokes."""
        before = np.cumsum([0, *(len(s) for s in strokes[:-1])])
        return OutsideZone(
            np.concatenate([p.bits for p in parts]),
            Strokes.join(p.pieces for p in parts),
            np.concatenate([p.broken for p in parts]),
            np.concatenate([p.stroke + b for p, b in zip(parts, before, strict=True)]),
        )


def strokes_outside(
    document: Document,
    hanging: Hanging,
    strokes: Strokes,
    progress: Callable[[float], None] = lambda done: None,
    known: PointCache | None = None,
) -> OutsideZone:
    """Tests all strokes, every TEST_SPACING mm at least. known: cache of results for the same wall, machine and hanging;
    its content is replaced."""
    if not len(strokes):
        return OutsideZone.nothing(0)
    dense = densify(strokes, TEST_SPACING)
    points, stroke, index = dense.points, dense.stroke, dense.leg
    known = known or PointCache()
    bits, is_known = known.look_up(points)
    bits[~is_known] = points_outside(document, hanging, points[~is_known], progress)
    known.keep(points, bits)
    at_point = np.zeros(len(strokes.points), dtype=np.uint16)
    np.bitwise_or.at(at_point, index, bits)
    if not bits.any():
        return OutsideZone.nothing(len(at_point))
    change, _, edge = _crossings(document, hanging, points, stroke, bits == 0)
    out = np.flatnonzero(bits)
    corner = np.append(True, index[1:] != index[:-1])
    beside = np.where(bits[change] != 0, change, change - 1)
    keys = np.concatenate([out.astype(float), change - 0.5])
    order = np.argsort(keys, kind="stable")
    keys = keys[order]
    of = np.concatenate([out, beside])[order]
    places = np.concatenate([points[out], edge])[order]
    kept = np.concatenate([corner[out], np.ones(len(edge), dtype=bool)])[order]
    joined = np.append(False, ~_apart(keys, stroke[of]))
    # Where the limits change, the point ends one piece and begins the next.
    changes = joined & np.append(False, bits[of[1:]] != bits[of[:-1]])
    twice = np.repeat(np.arange(len(keys)), 1 + changes)
    begins = ~joined[twice]
    begins[np.cumsum(1 + changes)[changes] - 1] = True
    ends = np.append(begins[1:], True)
    # Only corners and the ends of a piece are needed.
    twice, begins = (a[kept[twice] | begins | ends] for a in (twice, begins))
    offsets = np.append(np.flatnonzero(begins), len(twice)).astype(np.int64)
    first = of[twice[offsets[:-1]]]
    owner = stroke[first]
    pieces = Strokes(places[twice], offsets, strokes.pen[owner], strokes.source[owner], strokes.is_fill[owner])
    # A change at the very end of a stroke leaves a point without a leg; a dot is a stroke of one point.
    whole = np.flatnonzero((np.diff(offsets) > 1) | (np.diff(strokes.offsets)[owner] == 1))
    return OutsideZone(at_point, pieces.take(whole), bits[first[whole]], owner[whole])


def _crossings(
    document: Document, hanging: Hanging, points: Points, stroke: Integers, inside: Flags
) -> tuple[Integers, Points, Points]:
    """Returns where strokes cross the zone's edge, found by bisection: (m,) index of the point after it, and the last
    place inside and the first outside, (m, 2) mm each."""
    same = np.zeros(len(points), dtype=bool)
    same[1:] = stroke[1:] == stroke[:-1]
    change = np.flatnonzero(same & (inside != np.roll(inside, 1)))
    good = np.where(inside[change], change, change - 1)
    bad = np.where(inside[change], change - 1, change)
    near, far = points[good], points[bad]
    for _ in range(HALVINGS):
        middle = (near + far) / 2
        hit = points_outside(document, hanging, middle) == 0
        near, far = np.where(hit[:, None], middle, near), np.where(hit[:, None], far, middle)
    return change, near, far


def _apart(keys: Floats, stroke: Integers) -> Flags:
    """Returns (m - 1,) bool: an entry is not joined to the next. keys: (m,) ascending, integers for points and halves for
    crossings between them; stroke: (m,)."""
    step = np.diff(keys)
    both_cross = (keys[1:] % 1 > 0) & (keys[:-1] % 1 > 0)  # the point between them is missing
    apart: Flags = (step > 1.0) | (both_cross & (step > 0)) | (stroke[1:] != stroke[:-1])
    return apart


def clip_to_zone(document: Document, hanging: Hanging, strokes: Strokes) -> Strokes:
    """Returns the strokes without their parts outside the draw zone, cut at its edge."""
    if not len(strokes):
        return strokes
    dense = densify(strokes, TEST_SPACING)
    points, stroke = dense.points, dense.stroke
    inside = points_outside(document, hanging, points) == 0
    change, near, _ = _crossings(document, hanging, points, stroke, inside)
    # The new ends are inserted before the point they lead to, or after the point they leave.
    keys = np.concatenate([np.flatnonzero(inside).astype(float), change - 0.5])
    all_points = np.concatenate([points[inside], near])
    all_stroke = np.concatenate([stroke[inside], stroke[change]])
    order = np.argsort(keys, kind="stable")
    keys, all_points, all_stroke = keys[order], all_points[order], all_stroke[order]
    gap = np.append(True, _apart(keys, all_stroke))[: len(keys)]
    first = np.flatnonzero(gap)
    offsets = np.append(first, len(keys)).astype(np.int64)
    owner = all_stroke[first] if len(first) else np.zeros(0, dtype=np.int64)
    cut = Strokes(
        all_points,
        offsets if len(first) else np.zeros(1, dtype=np.int64),
        strokes.pen[owner],
        strokes.source[owner],
        strokes.is_fill[owner],
    )
    return cut.take(np.flatnonzero((np.diff(cut.offsets) >= 2) & (cut.lengths() > 1e-3))) if len(cut) else cut
