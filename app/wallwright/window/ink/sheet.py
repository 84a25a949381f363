"""A group of strokes on screen: its tiles, and stand-ins while tiles are not ready."""

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

# Qt splits a copy of more than a few thousand pixels among threads and waits for all of them. While the workers keep the
# other processors busy, waiting takes longer than copying. Qt reads this at its first such copy.
os.environ.setdefault("QT_NO_GUI_THREADPOOL", "1")

_OVERVIEW_PX = 768
"""Longer side of the overview of the whole sheet, px, shown when nothing better is available."""
_OVERVIEW_SCALE = 4.0
"""Largest scale of the overview, px/mm."""
_STAND_IN_SCALES = 4
"""Number of other scales that are tried as stand-ins."""
_MOST_STAND_INS = 16
"""Largest number of tiles of another scale that replace one tile; the same factor applies to the whole view."""
_AHEAD = 1
"""Number of tiles rendered beyond each edge of the view, ready for panning."""

_serials = itertools.count()


class TilePriority(IntEnum):
    """Urgency of a picture."""

    LIKENESS = 0
    SEEN = 1
    OVERVIEW = 2
    AHEAD = 3


class OverviewKind(Enum):
    """Kinds of pictures of the whole sheet."""

    LIKENESS = auto()
    """A sample of the strokes, rendered quickly."""
    WHOLE = auto()


class TileKey(NamedTuple):
    """Key of a tile within a sheet."""

    scale: float
    """Scale, px/mm."""
    column: int
    row: int


class PictureKey(NamedTuple):
    """Key of a picture."""

    sheet: int
    """Serial number of the sheet."""
    picture: TileKey | OverviewKind


class TileRequest(NamedTuple):
    """A picture that a sheet needs."""

    rank: TilePriority
    distance: float
    """Distance from the middle of the view, in tiles."""
    key: PictureKey
    order: PaintOrder


class InkSheet:
    """Strokes that move together, with their style. For use in the GUI thread."""

    def __init__(self, geometry: StrokeGeometry, style: InkStyle, store: TileCache) -> None:
        self.geometry = geometry
        self.style = style
        self.moved = QTransform()
        """Transform on the wall from the sheet's original position to the shown one."""
        self.visible = True
        self._serial = next(_serials)
        self._store = store
        self._overview: TilePicture | None = None
        self._overview_is_likeness = False
        self.late = ALL
        """Earliest end moment of the last frame's outdated tiles."""

    def close(self) -> None:
        """Drops all pictures."""
        self._store.drop(self._serial)
        self._overview = None

    def owns(self, key: PictureKey) -> bool:
        """Whether a picture belongs to this sheet."""
        return key.sheet == self._serial

    def receive(self, key: PictureKey, picture: TilePicture) -> QRectF:
        """Stores a finished picture; returns the changed part of the wall, mm."""
        if isinstance(key.picture, OverviewKind):
            self._overview = picture
            self._overview_is_likeness = key.picture is OverviewKind.LIKENESS
        else:
            scale, column, row = key.picture
            self._store.put(self._serial, scale, (column, row), picture)
        to_wall = QTransform.fromScale(1 / picture.scale, 1 / picture.scale) * self.moved
        return to_wall.mapRect(QRectF(picture.box))

    def nearest(self, x: float, y: float, reach: float) -> tuple[float, float, int, float] | None:
        """Returns the nearest point of the shown strokes to (x, y) within reach, mm: x, y, its pen and its distance. None
        also while the strokes are not sorted yet."""
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
        """Adds missing pictures to wishes; returns whether every visible tile exists."""
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
        """Paints the available pictures, painter in device pixels."""
        area = self._inked_area(frame)
        if area is None:
            return
        scale = frame.tile_scale(self.moved)
        seen = TileRange.over(area, scale)
        tiles = {place: self._store.get(self._serial, scale, place) for place in seen.places()}
        missing = [place for place, tile in tiles.items() if tile is None]
        others = self._store.scales_near(self._serial, scale)[:_STAND_IN_SCALES] if missing else []
        if 2 * len(missing) > seen.size:  # one picture instead of patches: more uniform and faster
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
        """Returns the visible part of the sheet that may have ink, mm before the transform."""
        back, possible = self.moved.inverted()
        if self.geometry.bounds is None or not possible or not self.visible:
            return None
        area = back.mapRect(frame.view).intersected(self._bounds(frame.scale))
        return None if area.isEmpty() else area

    def _bounds(self, scale: float) -> QRectF:
        """Returns the strokes' bounds plus half the widest pen, mm."""
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
        """Paints an area, mm, from the tiles of a scale, clipped to a box, mm, if all exist and number at most `most`."""
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
        """Requests the overview, or first a likeness of it if nothing else can be shown."""
        old = self._overview
        if old is None and not complete and self.geometry.is_large and frame.until == ALL:
            wishes.append(self._wish_picture(TilePriority.LIKENESS, OverviewKind.LIKENESS, ALL))
        if frame.until != ALL and complete:
            return  # rendering the whole drawing for every moment would delay the tiles
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
    """Copies a picture, or a part of it in its own pixels, painter in device pixels.

    Without rotation, edges are rounded to whole device pixels, so that neighbours meet without a seam.
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
