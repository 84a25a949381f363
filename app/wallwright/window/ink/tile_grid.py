"""The grid of tiles on a sheet."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from PySide6.QtCore import QRect, QRectF

TILE = 256
"""Side of a tile, px: rendered in a few ms, and few enough in a view to copy quickly."""

_SLACK = 1e-6
"""Tolerance in tiles, so that rounding of an edge at two scales does not add a row."""


class TileRange(NamedTuple):
    """Columns left to right and rows top to bottom, both ends included."""

    left: int
    top: int
    right: int
    bottom: int

    @staticmethod
    def over(area: QRectF, scale: float) -> TileRange:
        """Returns the tiles that an area in mm touches at a scale in px/mm."""
        k = scale / TILE
        right, bottom = (area.x() + area.width()) * k, (area.y() + area.height()) * k
        return TileRange(
            math.floor(area.x() * k + _SLACK),
            math.floor(area.y() * k + _SLACK),
            math.ceil(right - _SLACK) - 1,
            math.ceil(bottom - _SLACK) - 1,
        )

    @property
    def size(self) -> int:
        """Number of tiles."""
        return max(0, self.right - self.left + 1) * max(0, self.bottom - self.top + 1)

    def places(self) -> Iterator[tuple[int, int]]:
        """Yields column and row of each tile, row by row."""
        columns = range(self.left, self.right + 1)
        return ((x, y) for y in range(self.top, self.bottom + 1) for x in columns)

    def grown(self, by: int, within: TileRange) -> TileRange:
        """Returns the range extended by a number of tiles on each side, limited to another range."""
        return TileRange(
            max(self.left - by, within.left),
            max(self.top - by, within.top),
            min(self.right + by, within.right),
            min(self.bottom + by, within.bottom),
        )


def tile_box(place: tuple[int, int]) -> QRect:
    """Returns the pixels of the tile in a column and row."""
    return QRect(place[0] * TILE, place[1] * TILE, TILE, TILE)


def tile_area(place: tuple[int, int], scale: float) -> QRectF:
    """Returns the area of a tile at a scale in px/mm, mm."""
    side = TILE / scale
    return QRectF(place[0] * side, place[1] * side, side, side)


def scaled(area: QRectF, factor: float) -> QRectF:
    return QRectF(area.x() * factor, area.y() * factor, area.width() * factor, area.height() * factor)
