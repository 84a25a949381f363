"""One group of strokes as it appears on screen: its tiles, and what stands in while tiles are not ready."""

from __future__ import annotations

import itertools
import math
import os
from enum import Enum, IntEnum, auto
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRect, QRectF
from PySide6.QtGui import QPainter, QTransform

from wallwright.window.ink.frame import ViewFrame
from wallwright.window.ink.stroke_geometry import StrokeGeometry
from wallwright.window.ink.tile import ALL, InkStyle, PaintOrder, TilePicture
from wallwright.window.ink.tile_cache import TileCache
from wallwright.window.ink.tile_grid import TILE, TileRange, scaled, tile_area, tile_box

# Qt shares a copy of more than a few thousand pixels between threads and waits for all of them. While the workers
# keep the other processors busy the waiting takes longer than the copying. Qt reads this at its first such copy.
os.environ.setdefault("QT_NO_GUI_THREADPOOL", "1")

_OVERVIEW_PX = 768
"""Longer side of the picture of the whole sheet that stands in when nothing better is at hand."""
_OVERVIEW_SCALE = 4.0
"""px/mm it is painted at at most."""
_STAND_IN_SCALES = 4
"""Other scales that are tried."""
_MOST_STAND_INS = 16
"""Tiles of another scale that may stand in for one tile, or view's worth of them for the view."""
_AHEAD = 1
"""Tiles painted beyond each edge of the view, to be there when it is panned."""

_serials = itertools.count()


class TilePriority(IntEnum):
    """How urgent a picture is."""

    LIKENESS = 0
    SEEN = 1
    OVERVIEW = 2
    AHEAD = 3


class OverviewKind(Enum):
    """The two pictures of the whole sheet."""

    LIKENESS = auto()
    """Of a sample of the strokes, painted quickly."""
    WHOLE = auto()


class TileKey(NamedTuple):
    """A tile of a sheet."""

    scale: float
    """px/mm."""
    column: int
    row: int


class PictureKey(NamedTuple):
    """What a picture is known by."""

    sheet: int
    """Serial number of the sheet."""
    picture: TileKey | OverviewKind


class TileRequest(NamedTuple):
    """A picture a sheet wants."""

    rank: TilePriority
    distance: float
    """Tiles from the middle of the view."""
    key: PictureKey
    order: PaintOrder


class InkSheet:
    """Strokes that move together, with their look. Belongs to the window's thread."""

    def __init__(self, geometry: StrokeGeometry, style: InkStyle, store: TileCache) -> None:
        self.geometry = geometry
        self.style = style
        self.moved = QTransform()
        """Where the sheet is shown: from the wall where it was made to the wall."""
        self.visible = True
        self._serial = next(_serials)
        self._store = store
        self._overview: TilePicture | None = None
        self._overview_is_likeness = False
        self.late = ALL
        """The earliest moment a tile of the last frame was painted up to that should show more."""

    def close(self) -> None:
        """Forgets all pictures."""
        self._store.drop(self._serial)
        self._overview = None

    def owns(self, key: PictureKey) -> bool:
        """Whether a picture is one of this sheet."""
        return key.sheet == self._serial

    def receive(self, key: PictureKey, picture: TilePicture) -> QRectF:
        """Takes a finished picture; returns the part of the wall that looks different now, mm."""
        if isinstance(key.picture, OverviewKind):
            self._overview = picture
            self._overview_is_likeness = key.picture is OverviewKind.LIKENESS
        else:
            scale, column, row = key.picture
            self._store.put(self._serial, scale, (column, row), picture)
        to_wall = QTransform.fromScale(1 / picture.scale, 1 / picture.scale) * self.moved
        return to_wall.mapRect(QRectF(picture.box))

    def nearest(self, x: float, y: float, reach: float) -> tuple[float, float, int, float] | None:
        """The point of a stroke nearest to (x, y) within reach, mm, as the sheet is shown: x, y, its pen and how far it
        is. None also while the strokes are not sorted yet: nobody waits for that."""
        back, possible = self.moved.inverted()
        if not possible:
            return None
        there = back.map(QPointF(x, y))
        per = math.sqrt(max(abs(back.determinant()), 1e-12))
        found = self.geometry.nearest(there.x(), there.y(), reach * per)
        if found is None:
            return None
        at = self.moved.map(QPointF(found[0], found[1]))
        return at.x(), at.y(), found[2], found[3] / per

    def wish(self, frame: ViewFrame, wishes: list[TileRequest]) -> bool:
        """Adds the pictures that are missing to wishes; returns whether every tile seen is there."""
        self.late = ALL
        area = self._inked_area(frame)
        if area is None:
            return True
        scale = frame.tile_scale(self.moved)
        seen = TileRange.over(area, scale)
        middle = frame.to_device(scale, self.moved).inverted()[0].map(frame.middle) / TILE
        complete = True
        for x, y in seen.places():
            tile = self._store.get(self._serial, scale, (x, y))
            shows = tile is not None and tile.shows(frame.until)
            if not shows:
                distance = math.hypot(x + 0.5 - middle.x(), y + 0.5 - middle.y())
                wishes.append(self._wish_tile(TilePriority.SEEN, distance, scale, (x, y), frame.until, tile))
            if tile is None:
                complete = False
            elif not shows:
                self.late = min(self.late, tile.until)
        self._wish_overview(frame, complete, wishes)
        if frame.settled and not self.moved.isScaling():
            self._wish_ahead(frame, scale, seen, wishes)
        return complete

    def paint(self, painter: QPainter, frame: ViewFrame) -> None:
        """Draws what is at hand, painter in device pixels."""
        area = self._inked_area(frame)
        if area is None:
            return
        scale = frame.tile_scale(self.moved)
        seen = TileRange.over(area, scale)
        tiles = {place: self._store.get(self._serial, scale, place) for place in seen.places()}
        missing = [place for place, tile in tiles.items() if tile is None]
        others = self._store.scales_near(self._serial, scale)[:_STAND_IN_SCALES] if missing else []
        if 2 * len(missing) > seen.size:  # a whole picture rather than patches, which also is quicker
            for other in others:
                if self._copy_all(painter, frame, other, area, 4 * seen.size):
                    return
        to_device = frame.to_device(scale, self.moved)
        for tile in tiles.values():
            if tile is not None:
                _copy_picture(painter, tile, to_device)
        for place in missing:
            box = tile_area(place, scale)
            shown = box.intersected(area)
            if not any(self._copy_all(painter, frame, other, shown, _MOST_STAND_INS, box) for other in others):
                self._copy_overview(painter, frame, box)

    def _inked_area(self, frame: ViewFrame) -> QRectF | None:
        """What of the sheet is seen and may have ink, mm before moving."""
        back, possible = self.moved.inverted()
        if self.geometry.bounds is None or not possible or not self.visible:
            return None
        area = back.mapRect(frame.view).intersected(self._bounds(frame.scale))
        return None if area.isEmpty() else area

    def _bounds(self, scale: float) -> QRectF:
        """The strokes' bounds with half the widest pen, mm."""
        if self.geometry.bounds is None:
            return QRectF()
        left, top, right, bottom = self.geometry.bounds
        grow = (self.style.widest_px(scale) / 2 + 1) / scale
        return QRectF(left - grow, top - grow, right - left + 2 * grow, bottom - top + 2 * grow)

    def _copy_all(
        self,
        painter: QPainter,
        frame: ViewFrame,
        scale: float,
        area: QRectF,
        most: int,
        box: QRectF | None = None,
    ) -> bool:
        """Draws an area, mm, from the tiles of a scale, cut to a box, mm, if all are there and not more than most."""
        places = TileRange.over(area, scale)
        if places.size > most:
            return False
        tiles = []
        for place in places.places():
            tile = self._store.get(self._serial, scale, place)
            if tile is None or tile.until > frame.until:
                return False
            tiles.append(tile)
        to_device, part = frame.to_device(scale, self.moved), None if box is None else scaled(box, scale)
        for tile in tiles:
            _copy_picture(painter, tile, to_device, part)
        return True

    def _copy_overview(self, painter: QPainter, frame: ViewFrame, box: QRectF) -> None:
        overview = self._overview
        if overview is not None and overview.until <= frame.until:
            part = scaled(box, overview.scale)
            _copy_picture(painter, overview, frame.to_device(overview.scale, self.moved), part)

    def _wish_tile(
        self,
        rank: TilePriority,
        distance: float,
        scale: float,
        place: tuple[int, int],
        until: int,
        earlier: TilePicture | None = None,
    ) -> TileRequest:
        order = PaintOrder(self.geometry, self.style, scale, tile_box(place), until, earlier)
        return TileRequest(rank, distance, PictureKey(self._serial, TileKey(scale, *place)), order)

    def _wish_ahead(self, frame: ViewFrame, scale: float, seen: TileRange, wishes: list[TileRequest]) -> None:
        inked = TileRange.over(self._bounds(frame.scale), scale)
        for place in seen.grown(_AHEAD, inked).places():
            if self._store.get(self._serial, scale, place) is None:
                wishes.append(self._wish_tile(TilePriority.AHEAD, 0.0, scale, place, frame.until))

    def _wish_overview(self, frame: ViewFrame, complete: bool, wishes: list[TileRequest]) -> None:
        """Wishes the overview; first a likeness of it where nothing at all can be shown."""
        old = self._overview
        if old is None and not complete and self.geometry.is_large and frame.until == ALL:
            wishes.append(self._wish_picture(TilePriority.LIKENESS, OverviewKind.LIKENESS, ALL))
        if frame.until != ALL and complete:
            return  # painting the whole drawing anew for every moment would keep the workers from the tiles
        if old is None or self._overview_is_likeness or not old.shows(frame.until):
            wishes.append(self._wish_picture(TilePriority.OVERVIEW, OverviewKind.WHOLE, frame.until))

    def _wish_picture(self, rank: TilePriority, kind: OverviewKind, until: int) -> TileRequest:
        left, top, right, bottom = self.geometry.bounds or (0.0, 0.0, 0.0, 0.0)
        scale = min(_OVERVIEW_SCALE, _OVERVIEW_PX / max(right - left, bottom - top, 1.0))
        box = scaled(self._bounds(scale), scale).toAlignedRect()
        is_likeness = kind is OverviewKind.LIKENESS
        earlier = None if is_likeness else self._overview
        order = PaintOrder(self.geometry, self.style, scale, box, until, earlier, is_likeness)
        return TileRequest(rank, 0.0, PictureKey(self._serial, kind), order)


def _copy_picture(painter: QPainter, picture: TilePicture, to_device: QTransform, part: QRectF | None = None) -> None:
    """Copies a picture, or the part of it given in its own pixels, painter in device pixels.

    Edges are rounded to whole device pixels where nothing is turned, so neighbours meet without a seam.
    """
    if picture.image is None:
        return
    place = QRectF(picture.place)
    shown = place if part is None else place.intersected(part)
    if shown.isEmpty():
        return
    if part is None and not to_device.isScaling():
        x, y = round(to_device.dx()), round(to_device.dy())
        painter.drawImage(picture.place.topLeft() + QRect(x, y, 1, 1).topLeft(), picture.image)
        return
    source = shown.translated(-place.topLeft())
    if not to_device.isRotating() and to_device.m11() > 0 and to_device.m22() > 0:
        box = to_device.mapRect(shown)
        left, top, right, bottom = (round(v) for v in (box.left(), box.top(), box.right(), box.bottom()))
        if right > left and bottom > top:
            painter.drawImage(QRectF(left, top, right - left, bottom - top), picture.image, source)
        return
    painter.save()
    painter.setWorldTransform(to_device, True)
    painter.drawImage(shown, picture.image, source)
    painter.restore()
