"""The draw zone as it is painted: the outside shaded, a quiet outline, and a colour map when one is asked for."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QObject, QRectF, QTimer
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from wallwright.document.document import Document
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Wall
from wallwright.statics.draw_zone import compute_zone
from wallwright.window.canvas.view import View

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from wallwright.statics.draw_zone import DrawZone
    from wallwright.window.canvas.zone_map import ZoneMap

COARSE, FINE = 1500, 9000
"""Grid points of the zone while what decides it is dragged, and after."""
FINER_AFTER_MS = 120
EDGE = QColor(28, 39, 51, 210)
"""The same in light and dark mode: the wall is light in both."""
SHADE = QColor(28, 39, 51, 38)
"""Over what of the wall is outside the zone."""


OUTLINE = "outline"
"""Stands for the draw zone without a map, where the name of a layer stands for one with it."""
FIRST_MAP = "lowest tension"
"""The map that is shown as long as no other one was chosen."""


class ZoneChoice:
    """What a person wants to see of the draw zone. While what decides it is edited, it has a map by itself."""

    def __init__(self) -> None:
        self.choice = OUTLINE
        """The name of a layer, OUTLINE, or "" for nothing."""
        self._last_map = FIRST_MAP
        self._maps_edited = False

    def choose(self, choice: str) -> None:
        """Takes a choice, which counts also for as long as the zone is edited now."""
        if choice not in ("", OUTLINE):
            self._last_map = choice
        self.choice, self._maps_edited = choice, False

    def edit(self, is_edited: bool) -> None:
        """Something else is selected; is_edited: that decides the zone, as anchors and machine do."""
        self._maps_edited = is_edited

    @property
    def toggled(self) -> str:
        """The choice that hides the map, or shows the last one chosen when there is none."""
        return OUTLINE if self.map_name else self._last_map

    @property
    def map_name(self) -> str:
        """The layer whose map is seen; "": none."""
        if self.choice != OUTLINE:
            return self.choice
        return self._last_map if self._maps_edited else ""


class ZonePicture:
    """One draw zone, ready to be painted with any map."""

    def __init__(self, wall: Wall, machine: Machine, zone: DrawZone, exact_edge: bool = True) -> None:
        """exact_edge: False leaves the edge as coarse as the grid, which is quick enough for every mouse move."""
        # These take a moment to import, and the start page has no zone.
        from shapely import get_coordinates, get_parts, get_rings

        from wallwright.statics.zone_boundary import zone_polygons
        from wallwright.window.canvas.contours import coarse_region, region_path

        self.zone = zone
        self._region: BaseGeometry = zone_polygons(wall, machine, zone) if exact_edge else coarse_region(zone)
        self._edge = region_path(self._region)
        rings = [get_coordinates(ring) for ring in get_rings(get_parts(self._region))]
        pieces = [np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings]
        self.edge: npt.NDArray[np.float64] = np.concatenate([np.zeros((0, 2, 2)), *pieces])
        """(m, 2, 2) segments of the edge, mm."""
        self._outside = QPainterPath()
        self._outside.addRect(QRectF(wall.left, wall.top, wall.width, wall.height))
        self._outside.addPath(self._edge)  # odd and even: what is in the wall but not in the zone
        self._maps: dict[str, ZoneMap] = {}

    def area_in(self, left: float, top: float, right: float, bottom: float) -> float:
        """mm² of the zone within a box of the wall, mm."""
        from shapely import box

        return float(self._region.intersection(box(left, top, right, bottom)).area)

    def map_of(self, name: str) -> ZoneMap:
        """The map of a layer, made when it is first asked for."""
        from wallwright.window.canvas.zone_map import ZoneMap

        if name not in self._maps:
            self._maps[name] = ZoneMap(self.zone, self._region, name)
        return self._maps[name]

    def paint(self, painter: QPainter, view: View, map_name: str = "") -> None:
        """map_name: the layer whose map fills the zone; "": none."""
        painter.save()
        painter.scale(view.scale, view.scale)
        painter.translate(-view.left, -view.top)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)  # the outline covers the shade's border
        painter.fillPath(self._outside, SHADE)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if map_name:
            self.map_of(map_name).paint(painter)
        pen = QPen(EDGE, 1.0)  # wider ones take Qt's general stroker, which is six times as slow
        pen.setCosmetic(True)
        painter.strokePath(self._edge, pen)
        painter.restore()


@lru_cache(maxsize=8)
def zone_picture(wall: Wall, machine: Machine, hanging: Hanging, points: int) -> ZonePicture:
    """The picture of a zone of about so many points. The last ones are kept, for undo and for other hangings."""
    zone = compute_zone(wall, machine, hanging, points=points)
    return ZonePicture(wall, machine, zone, points >= FINE)


class LiveZone(QObject):
    """The zone that belongs to the document as it is: coarse while something is dragged, fine after."""

    def __init__(self, refined: Callable[[], None], parent: QObject | None) -> None:
        """refined: called when a finer picture has been made."""
        super().__init__(parent)
        self.picture: ZonePicture | None = None
        self._of: tuple[Wall, Machine, Hanging] | None = None
        """What the zone depends on."""
        self._points = 0
        self._refined = refined
        self._finer = QTimer(self, singleShot=True, interval=FINER_AFTER_MS)
        self._finer.timeout.connect(self._refine)

    def of(self, document: Document, coarse: bool, hanging: int = 0) -> ZonePicture:
        """The picture of the zone of one hanging of a document."""
        of = (document.wall, document.machine, document.hangings[hanging])
        if self.picture is None or self._of != of:
            self._of = of
            self.picture = self._made(of, COARSE if coarse else FINE)
        return self.picture

    def refine_soon(self) -> None:
        """After a drag: the fine picture in a moment."""
        self._finer.start()

    def _made(self, of: tuple[Wall, Machine, Hanging], points: int) -> ZonePicture:
        self._points = points
        return zone_picture(*of, points)

    def _refine(self) -> None:
        if self._of is not None and self._points < FINE:
            self.picture = self._made(self._of, FINE)
            self._refined()
