"""The photo of the real wall, straightened once and then only copied."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import numpy as np
from PySide6.QtCore import QBuffer, QByteArray, QRectF, Qt, QTimer
from PySide6.QtGui import QImage, QImageReader, QPainter, QTransform

from wallwright.document.document import Document, Photo
from wallwright.document.errors import BadFile, UserError
from wallwright.document.homography import homography
from wallwright.document.language import tr
from wallwright.document.wall import Wall
from wallwright.window.canvas.view import View

MOST_PIXELS = 4_000_000
"""Of the straightened picture: finer than a screen shows of a whole wall."""


def photo_image(data: bytes, name: str) -> QImage:
    """A photo's picture, upright as its camera says. Raises BadFile."""
    carried = QByteArray(data)
    buffer = QBuffer(carried)
    buffer.open(QBuffer.OpenModeFlag.ReadOnly)
    reader = QImageReader(buffer)
    reader.setAutoTransform(True)
    image = reader.read()
    if image.isNull():
        raise BadFile(tr("{0} is not a picture that can be shown ({1}).", name, reader.errorString()))
    return image


def transform_of(photo: Photo) -> QTransform:
    """From the photo's pixels to the wall, mm."""
    m = homography(np.array(photo.seen), np.array(photo.places)).T  # Qt multiplies from the left
    return QTransform(*m.ravel().tolist())


class PhotoLayer:
    """Paints the photo of a document within the wall."""

    def __init__(self, report: Callable[[str], None]) -> None:
        """report: called once with a sentence when a photo cannot be shown."""
        self._report = report
        self._of: tuple[object, ...] | None = None
        self._straight = QImage()

    def paint(self, painter: QPainter, view: View, document: Document, alone: bool = False) -> None:
        """alone: as bright as it is, even when it is not shown."""
        photo = document.photo
        if photo is None or not (photo.shown or alone):
            return
        wall = document.wall
        artwork = document.artwork(photo.artwork)
        # The frame moves with the left anchor, the photo along with it: only where it is on the wall counts.
        places = tuple((x - wall.left, y - wall.top) for x, y in photo.places)
        of = (artwork.digest, photo.seen, places, wall.width, wall.height)
        if of != self._of:
            self._of, self._straight = of, QImage()
            try:
                self._straight = _straightened(artwork.data, artwork.name, photo, wall)
            except UserError as error:
                # Not from within painting: a report may change the window.
                QTimer.singleShot(0, partial(self._report, str(error)))
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.setOpacity(1.0 if alone else photo.opacity)
        painter.drawImage(view.rect_to_screen(wall.left, wall.top, wall.right, wall.floor), self._straight)
        painter.restore()


def _straightened(data: bytes, name: str, photo: Photo, wall: Wall) -> QImage:
    """The photo as it lies on the wall's rectangle."""
    scale = math.sqrt(MOST_PIXELS / (wall.width * wall.height))
    size = (max(1, round(wall.width * scale)), max(1, round(wall.height * scale)))
    straight = QImage(*size, QImage.Format.Format_ARGB32_Premultiplied)
    straight.fill(Qt.GlobalColor.transparent)
    image = photo_image(data, name)
    painter = QPainter(straight)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    onto = QTransform.fromTranslate(-wall.left, -wall.top) * QTransform.fromScale(
        size[0] / wall.width, size[1] / wall.height
    )
    painter.setTransform(transform_of(photo) * onto)
    painter.drawImage(QRectF(image.rect()), image)
    painter.end()
    return straight
