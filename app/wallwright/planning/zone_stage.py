"""Planning stage for draw zones: divides strokes among several hangings, and finds what lies outside."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from wallwright.document.arrays import Integers
from wallwright.document.document import Document
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Wall
from wallwright.planning.cache import Cache, key
from wallwright.planning.hanging_shares import row_of, shared_out
from wallwright.planning.outside_zone import OutsideZone, strokes_outside
from wallwright.planning.plan import PlacementReport, StrokePreview
from wallwright.planning.point_cache import PointCache
from wallwright.planning.register_marks import Marks, marks_of
from wallwright.statics.draw_zone import DrawZone, compute_zone
from wallwright.strokes.division import HangingRow, HangingShares
from wallwright.strokes.strokes import Strokes

Progress = Callable[[float], None]


class ZoneStage:
    """Caches its results by content."""

    def __init__(self) -> None:
        self._zones = Cache(32)
        self._shares = Cache(2)
        self._marks = Cache(2)
        self._outside = Cache(32)
        self._known_points = Cache(8)
        self._known_shared = Cache(8)

    def preview(
        self,
        document: Document,
        strokes: Strokes,
        owner: Integers,
        reports: tuple[PlacementReport, ...],
        progress: Progress,
    ) -> StrokePreview:
        """Returns the preview of all strokes, in file order. With several hangings they are divided among these, and
        those of each hanging are consecutive. owner: (m,) index of the placement of each shape."""
        if len(document.hangings) == 1:
            return StrokePreview(strokes, owner, reports, self._outside_of(document, 0, strokes, progress))
        row = row_of(document, self._zone)
        shares = self._shared(document, row, strokes, progress)
        marks = self._marks_of(document, strokes)
        each = []
        for number in range(len(document.hangings)):
            mine = shares.strokes.take(np.flatnonzero(shares.hanging == number))
            outside = self._outside_of(document, number, mine, progress)
            each.append(StrokePreview(mine, owner, reports, outside, (), marks, row))
        outside = OutsideZone.join([p.outside for p in each], [p.strokes for p in each])
        return StrokePreview(Strokes.join(p.strokes for p in each), owner, reports, outside, tuple(each), marks, row)

    def _outside_of(self, document: Document, hanging: int, strokes: Strokes, progress: Progress) -> OutsideZone:
        place = document.hangings[hanging]
        where = key(document.wall, document.machine, place)
        known = self._known_points.get(where, PointCache)
        if len(document.hangings) > 1:  # already tested when the strokes were divided
            known = self._known_shared.get(where, PointCache).copy()
        found = self._outside.get(
            key(strokes.points, strokes.offsets, where),
            lambda: strokes_outside(document, place, strokes, progress, known),
        )
        return found.of(strokes)  # cached by position alone: the pens may differ

    def _zone(self, wall: Wall, machine: Machine, hanging: Hanging) -> DrawZone:
        return self._zones.get(key(wall, machine, hanging), lambda: compute_zone(wall, machine, hanging))

    def _shared(self, document: Document, row: HangingRow, strokes: Strokes, progress: Progress) -> HangingShares:
        content = key(
            strokes.points,
            strokes.offsets,
            strokes.pen,
            strokes.source,
            strokes.is_fill,
            document.wall,
            document.machine,
            document.hangings,
            row.lines,
            document.pens,
            document.settings.joining,
        )

        def known(hanging: Hanging) -> PointCache:
            return self._known_shared.get(key(document.wall, document.machine, hanging), PointCache)

        return self._shares.get(content, lambda: shared_out(document, row, strokes, progress, known))

    def _marks_of(self, document: Document, strokes: Strokes) -> Marks:
        content = key(strokes.points, document.wall, document.machine, document.hangings, document.settings.joining)
        return self._marks.get(content, lambda: marks_of(document, strokes, self._zone))
