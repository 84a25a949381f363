"""The wall as answered so far: openings, anchors, where the machine can draw, and the artwork as large as it will be."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRectF, QSize, QSizeF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QImageReader,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from wallwright.document.language import format_number, tr
from wallwright.document.placing import WHOLE_PAGE
from wallwright.document.wall import Box, Hanging, Wall
from wallwright.jobs.label_placing import LabelPlacer
from wallwright.statics.limits import TORQUE_RESERVE
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import tag, tag_size
from wallwright.window.widgets.theme import NEAR, OnWall, on_wall

SHOWN_BYTES = 2_000_000
"""Larger drawings are shown as a frame only: the picture must come at once."""
SHOWN_SIDE = 600
"""Pixels of the picture's longer side."""
USUAL_SHAPE = QSizeF(4.0, 3.0)
"""Width and height of artwork whose own is not known."""
SHADE = QColor(28, 39, 51, 38)

HIGHEST = 420
"""Pixels, of the picture of a high wall: it and what is said of it fit on a small screen."""
ANCHOR = 6.0
"""Pixels, radius."""
PLACES = 96
"""Number of points along the dashed line that are tried for its name."""
OF_ARTWORK = 0.3
"""Weight of the artwork for the placement of that name."""


class GuidedStartPicture(QWidget):
    """Shows one wall. Emits `appeared` after it was painted for the first time."""

    appeared = Signal()
    opening_dragged = Signal(int, float, float)
    """Index of the keep-out, and displacement to the right and down, mm."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._wall: Wall | None = None
        self._hanging: Hanging | None = None
        self._edges: tuple[npt.NDArray[np.float64], ...] = ()
        self._reserve_edges: tuple[npt.NDArray[np.float64], ...] = ()
        self._box: Box | None = None
        self._artwork = QImage()
        self.is_seen = False
        self.can_drag = True
        """Whether openings can be dragged."""
        self._dragged: int | None = None
        self._from, self._offset = QPointF(), QPointF()
        self.setMouseTracking(True)
        self.setMinimumSize(260, 220)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setAccessibleName(tr("Picture of the wall"))
        self.setWhatsThis(
            tr(
                "The wall with its anchors. The machine can draw within the light area. Doors and windows can be dragged."
            )
        )

    def sizeHint(self) -> QSize:
        return QSize(440, 360)

    def heightForWidth(self, width: int) -> int:
        """As high as the wall, so that what is said of it stands right below."""
        wall = self._wall
        return HIGHEST if wall is None else min(round(width * wall.height / wall.width), HIGHEST)

    def show_wall(
        self,
        wall: Wall,
        hanging: Hanging,
        edges: tuple[npt.NDArray[np.float64], ...],
        reserve_edges: tuple[npt.NDArray[np.float64], ...],
        box: Box | None,
        artwork: QImage,
    ) -> None:
        """Shows a wall. edges, reserve_edges: (n, 2) mm each, of the draw zone and of its part with motor reserve; box: of
        the artwork's page; artwork: null if there is none."""
        self._wall, self._hanging, self._edges, self._box, self._artwork = wall, hanging, edges, box, artwork
        self._reserve_edges = reserve_edges
        self.updateGeometry()
        self.update()

    def show_nothing(self) -> None:
        """Clears the picture, which would mislead while the answers do not fit together."""
        self._wall = None
        self.update()

    def _view(self, wall: Wall) -> View:
        box = (wall.left, wall.top, wall.right, wall.floor)
        return View.fitting(box, self.width(), self.height(), ANCHOR + 1)

    def _opening_at(self, at: QPointF) -> int | None:
        """Returns the keep-out under a point of the widget that can be dragged."""
        if self._wall is None or not self.can_drag:
            return None
        view = self._view(self._wall)
        for number, keep_out in enumerate(self._wall.keep_outs):
            outline = QPolygonF([view.to_screen(*point) for point in keep_out.outline])
            if outline.containsPoint(at, Qt.FillRule.WindingFill):
                return number
        return None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._dragged = self._opening_at(event.position())
            self._from, self._offset = event.position(), QPointF()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._dragged is not None:
            self._offset = event.position() - self._from
            self.update()
        elif self._opening_at(event.position()) is not None:
            self.setCursor(Qt.CursorShape.SizeAllCursor)
        else:
            self.unsetCursor()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        number, offset = self._dragged, self._offset
        self._dragged, self._offset = None, QPointF()
        if number is not None and self._wall is not None and not offset.isNull():
            scale = self._view(self._wall).scale
            self.opening_dragged.emit(number, offset.x() / scale, offset.y() / scale)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self.is_seen:
            self.is_seen = True
            QTimer.singleShot(0, self.appeared.emit)
        if self._wall is None or self._hanging is None:
            return
        painter, wall = QPainter(self), self._wall
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        view = self._view(wall)
        room = view.rect_to_screen(wall.left, wall.top, wall.right, wall.floor)
        painter.fillRect(room, on_wall(OnWall.PAPER))
        zone = QPainterPath()
        for edge in self._edges:
            zone.addPolygon(QPolygonF([view.to_screen(*point) for point in edge.tolist()]))
        outside = QPainterPath()
        outside.addRect(room)
        painter.fillPath(outside.subtracted(zone), SHADE)
        painter.strokePath(zone, QPen(on_wall(OnWall.TEXT), 1.0))
        inner = [QPolygonF([view.to_screen(*point) for point in edge.tolist()]) for edge in self._reserve_edges]
        painter.setPen(QPen(on_wall(OnWall.TEXT), 1.0, Qt.PenStyle.DashLine))
        for outline in inner:
            painter.drawPolygon(outline)
        painter.setPen(QPen(on_wall(OnWall.EDGE), 1.0))
        painter.drawRect(room)
        painter.setBrush(QColor(214, 210, 200))
        for number, keep_out in enumerate(wall.keep_outs):
            outline = QPolygonF([view.to_screen(*point) for point in keep_out.outline])
            if number == self._dragged:
                outline.translate(self._offset)
            painter.drawPolygon(outline)
            tag(painter, outline.boundingRect().center(), keep_out.name)
        if self._box is not None:
            self._paint_artwork(painter, view.rect_to_screen(*self._box))
        if inner:
            self._name_reserve(painter, view, room)
        anchors = [view.to_screen(a.x, a.y) for a in (self._hanging.left, self._hanging.right)]
        painter.setPen(QPen(on_wall(OnWall.CHOSEN), 1.0, Qt.PenStyle.DotLine))
        painter.drawLine(*anchors)
        painter.setPen(QPen(QColor("#ffffff"), 1.5))
        painter.setBrush(on_wall(OnWall.CHOSEN))
        for anchor in anchors:
            painter.drawEllipse(anchor, ANCHOR, ANCHOR)
        apart = self._hanging.right.x - self._hanging.left.x
        tag(painter, (anchors[0] + anchors[1]) / 2 - QPointF(0, NEAR), f"{apart:.0f} mm")
        painter.end()

    def _name_reserve(self, painter: QPainter, view: View, room: QRectF) -> None:
        """Paints the name of the dashed line on it, clear of names, openings and anchors, and far from the edge of the draw
        zone."""
        name = tr("Motor reserve {0}", format_number(TORQUE_RESERVE))
        size, placer = tag_size(name, painter.font()), LabelPlacer()
        for box in self._names_and_openings(painter, view):
            placer.keep_clear(box.left(), box.top(), box.right(), box.bottom())
        if self._box is not None:
            frame = view.rect_to_screen(*self._box)
            placer.keep_clear(frame.left(), frame.top(), frame.right(), frame.bottom(), OF_ARTWORK)
        edge = max(self._reserve_edges, key=lambda points: float(np.ptp(points[:, 0])))
        zone = np.concatenate(self._edges)
        points = points_along(edge, PLACES)
        apart = np.hypot(*(points[:, None] - zone[None]).transpose(2, 0, 1)).min(axis=1) * view.scale
        best, least = None, (np.inf, np.inf)
        for (x, y), gap in zip(points.tolist(), apart.tolist(), strict=True):
            place = placer.find(*view.to_screen(x, y).toTuple(), size.width(), size.height(), most=0)
            box = QRectF(QPointF(place.x - size.width() / 2, place.y - size.height() / 2), size)
            cost = (round(place.covered), -gap)
            if room.contains(box) and cost < least:
                best, least = box.center(), cost
        if best is not None:
            tag(painter, best, name)

    def _names_and_openings(self, painter: QPainter, view: View) -> list[QRectF]:
        """Returns what the name of the dashed line keeps clear of, on the widget."""
        if self._wall is None or self._hanging is None:
            return []
        found = []
        for keep_out in self._wall.keep_outs:
            box = QPolygonF([view.to_screen(*point) for point in keep_out.outline]).boundingRect()
            name = tag_size(keep_out.name, painter.font())
            found += [box, QRectF(box.center() - QPointF(name.width() / 2, name.height() / 2), name)]
        anchors = [view.to_screen(a.x, a.y) for a in (self._hanging.left, self._hanging.right)]
        found += [QRectF(at.x() - ANCHOR, at.y() - ANCHOR, 2 * ANCHOR, 2 * ANCHOR) for at in anchors]
        found.append(QRectF(anchors[0], anchors[1]).normalized().adjusted(0, -2 * NEAR, 0, 1))
        return found

    def _paint_artwork(self, painter: QPainter, place: QRectF) -> None:
        if not self._artwork.isNull():
            painter.drawImage(place, self._artwork)
        painter.setPen(QPen(on_wall(OnWall.CHOSEN), 1.2, Qt.PenStyle.DashLine))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(place)


def points_along(outline: npt.NDArray[np.float64], count: int) -> npt.NDArray[np.float64]:
    """Returns (count, 2) points on an outline (n, 2) at equal distances along it, in its unit."""
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(outline, axis=0).T)))
    at = np.linspace(0.0, along[-1], count, endpoint=False)
    return np.column_stack([np.interp(at, along, outline[:, k]) for k in (0, 1)])


def drawn_part(image: QImage) -> Box:
    """Returns the inked part of a small picture on white: left, top, right, bottom as shares of its size; all of it if there
    is no ink."""
    from wallwright.artwork.raster.raster import inked_part  # not before there is a picture

    if image.isNull():
        return WHOLE_PAGE
    on_white = QImage(image.size(), QImage.Format.Format_RGB32)
    on_white.fill(Qt.GlobalColor.white)
    painter = QPainter(on_white)
    painter.drawImage(0, 0, image)
    painter.end()
    pixels = np.frombuffer(on_white.constBits(), np.uint8).reshape(on_white.height(), on_white.width(), 4)
    return inked_part(pixels[:, :, :3]) or WHOLE_PAGE


def picture_of_artwork(file: Path | None) -> tuple[QImage, QSizeF]:
    """A small picture of a file, null where there is none that comes at once, and its shape: width and height in any unit.
    It need not be right in every part: what is drawn is read anew, and by the program's own reader."""
    if file is None:
        return QImage(), USUAL_SHAPE
    if file.suffix.lower() in (".svg", ".svgz"):
        return _picture_of_svg(file)
    reader = QImageReader(str(file))
    reader.setAutoTransform(True)
    size = reader.size()
    if not size.isValid():
        return QImage(), USUAL_SHAPE
    reader.setScaledSize(size.scaled(SHOWN_SIDE, SHOWN_SIDE, Qt.AspectRatioMode.KeepAspectRatio))
    image = reader.read()
    return image, QSizeF(image.size()) if not image.isNull() else QSizeF(size)


def _picture_of_svg(file: Path) -> tuple[QImage, QSizeF]:
    from PySide6.QtSvg import QSvgRenderer  # the window starts sooner without

    try:
        if file.stat().st_size > SHOWN_BYTES:
            return QImage(), USUAL_SHAPE
    except OSError:
        return QImage(), USUAL_SHAPE
    renderer = QSvgRenderer(str(file))
    size = renderer.viewBoxF().size() if renderer.isValid() else QSizeF()
    if size.width() <= 0 or size.height() <= 0:
        return QImage(), USUAL_SHAPE
    pixels = size.scaled(SHOWN_SIDE, SHOWN_SIDE, Qt.AspectRatioMode.KeepAspectRatio).toSize().expandedTo(QSize(1, 1))
    image = QImage(pixels, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    renderer.render(painter)
    painter.end()
    return image, size
