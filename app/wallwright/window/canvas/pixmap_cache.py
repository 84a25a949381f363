"""Pictures that are painted once and copied while the wall is only moved about."""

from __future__ import annotations

import math
from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, QSize, QSizeF
from PySide6.QtGui import QFont, QImage, QPainter

from wallwright.window.canvas.view import View

Value = object
"""Something that a picture depends on: plain values are compared as such, all else by identity."""

AROUND = 500.0
"""Logical pixels that a picture reaches beyond the view, so that panning goes on in it."""


class PixmapCache:
    """One opaque picture of a part of the wall."""

    def __init__(self, across: bool = True, down: bool = True) -> None:
        """across, down: which ways the view moves over the picture."""
        self._room = (AROUND if across else 0.0, AROUND if down else 0.0)
        self._of: tuple[Value, ...] | None = None
        self._picture: QImage | None = None
        self._corner = View()
        """Top left corner of the picture."""
        self._size = QSizeF()
        """Logical pixels."""

    def paint(
        self,
        painter: QPainter,
        view: View,
        seen: QRectF,
        of: tuple[Value, ...],
        paint: Callable[[QPainter, View, QRectF], None],
    ) -> None:
        """Paints what is seen, logical pixels, with paint(painter, view, area) or from a picture made by it.

        of: values that, with the scale, decide how it looks; all but plain values are compared by identity.
        """
        ratio = painter.device().devicePixelRatioF()
        of = (*of, view.scale, ratio, seen.size())
        if not alike(of, self._of):
            # A new scale or an edit may hold for one frame only: a picture would cost more than it saves.
            self._of, self._picture = of, None
            paint(painter, view, seen)
            return
        picture = self._picture
        if picture is None or not QRectF(self._place(view, seen), self._size).contains(seen):
            picture = self._picture = self._made(view, seen, ratio, painter.font(), paint)
        painter.drawImage(self._place(view, seen), picture)

    def _made(
        self,
        view: View,
        seen: QRectF,
        ratio: float,
        font: QFont,
        paint: Callable[[QPainter, View, QRectF], None],
    ) -> QImage:
        across, down = self._room
        self._corner = view.moved(across, down)
        self._size = QSizeF(seen.width() + 2 * across, seen.height() + 2 * down)
        image = QImage(
            math.ceil(self._size.width() * ratio),
            math.ceil(self._size.height() * ratio),
            QImage.Format.Format_RGB32,  # copied in half the time that a transparent one takes
        )
        image.setDevicePixelRatio(ratio)
        painter = QPainter(image)
        painter.setFont(font)
        paint(painter, self._corner, QRectF(QPointF(0, 0), self._size))
        painter.end()
        return image

    def _place(self, view: View, seen: QRectF) -> QPointF:
        """Where its corner is on screen: at a whole pixel, so that it is copied and not drawn anew."""
        at = view.to_screen(self._corner.left, self._corner.top)
        across, down = self._room
        return QPointF(round(at.x()) if across else seen.left(), round(at.y()) if down else seen.top())


class FrameCache:
    """A whole frame, cached as soon as it has been the same twice."""

    def __init__(self) -> None:
        self._of: tuple[Value, ...] | None = None
        self._picture: QImage | None = None

    def forget(self) -> None:
        """It may look different."""
        self._of = self._picture = None

    def paint(self, painter: QPainter, size: QSize, of: tuple[Value, ...], paint: Callable[[QPainter], None]) -> None:
        """Paints a frame of a size, logical pixels, with paint(painter) or from the cached picture. of: see
        PixmapCache.paint."""
        ratio = painter.device().devicePixelRatioF()
        of = (*of, ratio, size)
        if not alike(of, self._of):
            self._of, self._picture = of, None
            paint(painter)
            return
        if self._picture is None:
            image = QImage(size * ratio, QImage.Format.Format_RGB32)
            image.setDevicePixelRatio(ratio)
            anew = QPainter(image)
            anew.setFont(painter.font())
            paint(anew)
            anew.end()
            self._picture = image
        painter.drawImage(0, 0, self._picture)


def alike(new: tuple[Value, ...], old: tuple[Value, ...] | None) -> bool:
    """Whether what something was made of is the same: plain values by their value, others by identity, which is quick."""
    plain = (int, float, str, tuple, QSize, QSizeF, View)
    return (
        old is not None
        and len(new) == len(old)
        and all(a is b or (isinstance(a, plain) and a == b) for a, b in zip(new, old, strict=True))
    )
