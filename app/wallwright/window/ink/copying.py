"""Copying painted pictures to the screen."""

from __future__ import annotations

import os

from PySide6.QtCore import QRect, QRectF
from PySide6.QtGui import QPainter, QTransform

from wallwright.window.ink.tile import TilePicture

# Qt shares a copy of more than a few thousand pixels between threads and waits for all of them. While the workers
# keep the other processors busy the waiting takes longer than the copying. Qt reads this at its first such copy.
os.environ.setdefault("QT_NO_GUI_THREADPOOL", "1")


def copy_picture(
    painter: QPainter, picture: TilePicture, to_device: QTransform, part: QRectF | None = None
) -> None:
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
