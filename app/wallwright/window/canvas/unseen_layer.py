"""Artwork that has no ink yet: as it was read, in its own colours, pale, until its strokes are painted."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, QPointF, QRectF
from PySide6.QtGui import QImage, QPainter, QTransform

from wallwright.document.document import Placement
from wallwright.document.language import tr
from wallwright.document.placing import placing_matrix
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import tag
from wallwright.window.model.models import Models

STRENGTH = 0.4
"""Opacity: what is not planned yet is not taken for ink."""


def reading_tags(view: View, models: Models) -> list[tuple[QPointF, str]]:
    """Where on the widget it is said of which artwork that it is being read."""
    planning, document = models.planning, models.project.document
    return [
        (view.to_screen(p.x, p.y), tr("Reading {0}", document.artwork(p.artwork).name))
        for p in document.placements
        if p.id in planning.unseen and p.visible and p.id not in planning.pictures
    ]


class UnseenLayer:
    """Keeps the pictures that are shown."""

    def __init__(self) -> None:
        self._images: dict[str, tuple[bytes, QImage]] = {}

    @property
    def is_empty(self) -> bool:
        """Whether nothing is shown."""
        return not self._images

    def paint(self, painter: QPainter, view: View, models: Models, is_inked: bool) -> None:
        """Paints what waits for its ink; says of the rest that it is being read. is_inked: whether all ink that is known is
        on screen; until then pictures stay, else the wall would be empty meanwhile."""
        planning, document = models.planning, models.project.document
        waiting = planning.unseen or (() if is_inked else tuple(self._images))
        if not waiting:
            self._images = {}
            return
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        for placement in document.placements:
            if placement.id in waiting and placement.visible:
                is_read = placement.id not in planning.unseen
                image = self._image(placement.id, planning.pictures.get(placement.id), is_read)
                if image is not None:
                    _paint_image(painter, view, placement, image)
        for at, text in reading_tags(view, models):
            tag(painter, at, text)
        painter.restore()

    def _image(self, name: str, data: bytes | None, is_read: bool) -> QImage | None:
        """data: PNG; None: not read yet, or, where it is_read, no longer kept elsewhere. None where there is no picture."""
        kept = self._images.get(name)
        if data is None:
            return kept[1] if kept is not None and is_read else None
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
