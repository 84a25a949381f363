"""Artwork that has no ink yet: as it was read, pale, until the strokes are there."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, QRectF
from PySide6.QtGui import QImage, QPainter, QTransform

from wallwright.document.document import Placement
from wallwright.document.language import tr
from wallwright.document.placing import placing_matrix
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import tag
from wallwright.window.model.models import Models

STRENGTH = 0.4
"""Opacity: what is not planned yet is not taken for ink."""


class UnseenLayer:
    """Keeps the pictures that are shown."""

    def __init__(self) -> None:
        self._images: dict[str, tuple[bytes, QImage]] = {}

    def paint(self, painter: QPainter, view: View, models: Models) -> None:
        """Paints what waits for its ink; says of the rest that it is being read."""
        planning, document = models.planning, models.project.document
        if not planning.unseen:
            self._images = {}
            return
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        for placement in document.placements:
            if placement.id in planning.unseen and placement.visible:
                image = self._image(placement.id, planning.pictures.get(placement.id))
                if image is not None:
                    _paint_image(painter, view, placement, image)
                else:
                    name = document.artwork(placement.artwork).name
                    tag(painter, view.to_screen(placement.x, placement.y), tr("Reading {0}", name))
        painter.restore()

    def _image(self, name: str, data: bytes | None) -> QImage | None:
        """None: not read yet."""
        if data is None:
            return None
        kept = self._images.get(name)
        if kept is None or kept[0] is not data:
            kept = self._images[name] = data, QImage.fromData(QByteArray(data))
        return kept[1]


def _paint_image(painter: QPainter, view: View, placement: Placement, image: QImage) -> None:
    """An image stretched over a placement's frame, mirrored and turned with it."""
    if image.isNull():
        return
    size = (float(image.width()), float(image.height()))
    (a, c, x), (b, d, y) = placing_matrix(placement, size).tolist()
    corner = view.to_screen(0.0, 0.0)
    painter.save()
    painter.setOpacity(STRENGTH)
    painter.setTransform(
        QTransform(a, b, c, d, x, y)
        * QTransform.fromScale(view.scale, view.scale)
        * QTransform.fromTranslate(corner.x(), corner.y()),
        True,
    )
    painter.drawImage(QRectF(0, 0, *size), image)
    painter.restore()
