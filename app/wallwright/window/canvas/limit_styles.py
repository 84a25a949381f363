"""How strokes that break a limit of the draw zone are marked: a colour, a texture and a letter each, so that no one of
them is the only carrier."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QIcon, QImage, QPainter, QPen, QPixmap

from wallwright.document.language import N_, tr
from wallwright.statics.limits import PRIORITY, Limit
from wallwright.window.canvas.view import View
from wallwright.window.widgets.theme import OnWall, on_wall

PERIOD = 8
"""Pixels after which a texture repeats."""
LETTER_ROOM = 20.0
"""Pixels between two letters."""
ASIDE = sorted(
    (QPointF(LETTER_ROOM * i, LETTER_ROOM * j) for i in range(-3, 4) for j in range(-3, 4)),
    key=lambda step: math.hypot(step.x(), step.y()),
)
"""Displacements from a stroke to the places beside it, the nearest first."""
GROUND = 0.62
"""Share of white in the ground of a texture."""
LETTERS = N_("H O B K A W M S T")
"""One letter for each limit in the order of PRIORITY, of a word that people connect with it: hang, over, belt, keep-out,
anchor, wall, motor, slack, tilt. All of them differ."""

# Colours that stay apart for colour-blind eyes: Okabe and Ito, "Color Universal Design", 2008 (values from memory); the
# yellow is darkened to be seen on paper, grey and a dark brown are added.
COLOURS = {
    Limit.UNREACHABLE: "#000000",
    Limit.UNSTABLE: "#5b5b5b",
    Limit.BELT_LENGTH: "#7a4a12",
    Limit.KEEP_OUT: "#cc79a7",
    Limit.ANCHOR: "#56b4e9",
    Limit.EDGE: "#009e73",
    Limit.LOST_STEPS: "#d55e00",
    Limit.SLACK: "#0072b2",
    Limit.TILT: "#c9a400",
}


def _pattern(limit: Limit) -> npt.NDArray[np.bool_]:
    """(PERIOD, PERIOD) where the texture is dark. Wide bars: a band of seven pixels has to show them."""
    row, column = np.mgrid[:PERIOD, :PERIOD]
    rising, falling = (row + column) % PERIOD, (row - column) % PERIOD
    patterns: dict[Limit, npt.NDArray[np.bool_]] = {
        Limit.UNREACHABLE: (row % 4 < 2) | (column % 4 < 2),  # all black would pass for a thick stroke
        Limit.UNSTABLE: (rising < 2) | (falling < 2),
        Limit.BELT_LENGTH: (row % 4 < 2) | (column < 2),
        Limit.KEEP_OUT: (row // 4 + column // 4) % 2 == 0,
        Limit.ANCHOR: (row % 4 < 2) & (column % 4 < 2),
        Limit.EDGE: row < 4,
        Limit.LOST_STEPS: column < 4,
        Limit.SLACK: rising < 4,
        Limit.TILT: falling < 4,
    }
    return patterns[limit]


@functools.cache
def texture(limit: Limit, times: int = 1) -> QImage:
    """Opaque, repeats without a seam. times: device pixels for each pixel of it."""
    colour = QColor(COLOURS[limit])
    dark = np.array([colour.red(), colour.green(), colour.blue()], dtype=np.float64)
    light = dark + GROUND * (255 - dark)
    pixels = np.where(_pattern(limit)[..., None], dark, light)
    pixels = np.kron(pixels, np.ones((times, times, 1)))
    rgba = np.ascontiguousarray(np.dstack([pixels, np.full(pixels.shape[:2], 255)]).astype(np.uint8))
    side = PERIOD * times
    return QImage(rgba.data, side, side, 4 * side, QImage.Format.Format_RGBA8888).convertToFormat(
        QImage.Format.Format_RGB32
    )


def letter(limit: Limit) -> str:
    return tr(LETTERS).split()[PRIORITY.index(limit)]


def paint_swatch(painter: QPainter, box: QRectF, limit: Limit) -> None:
    """The texture in a box, with its letter on white in the middle."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setBrushOrigin(box.topLeft())
    painter.fillRect(box, QBrush(texture(limit)))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    font = QFontMetricsF(painter.font())
    side = font.height()
    label = QRectF(box.center().x() - side / 2, box.center().y() - side / 2, side, side)
    painter.setPen(QPen(QColor(COLOURS[limit]), 1.0))
    painter.setBrush(QColor("#ffffff"))
    painter.drawEllipse(label.adjusted(0.5, 0.5, -0.5, -0.5))
    painter.setPen(on_wall(OnWall.TEXT))
    painter.drawText(label, Qt.AlignmentFlag.AlignCenter, letter(limit))
    painter.restore()


def swatch_size(font: QFontMetricsF) -> QSize:
    return QSize(round(2.0 * font.height()), round(font.height() + 1))


def picture(limit: Limit, font: QFontMetricsF, ratio: float) -> QPixmap:
    """A swatch by itself."""
    size = swatch_size(font)
    pixmap = QPixmap(size * ratio)
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    paint_swatch(painter, QRectF(QPointF(0, 0), size.toSizeF()), limit)
    painter.end()
    return pixmap


def icon(limit: Limit, font: QFontMetricsF, ratio: float) -> QIcon:
    """For a button."""
    return QIcon(picture(limit, font, ratio))


class LimitLetter(NamedTuple):
    """Letter of a limit at strokes that violate it, in mm on the wall or any other unit."""

    limit: Limit
    at: QPointF
    """Preferred place."""
    others: tuple[QPointF, ...] = ()
    """Other points of strokes that violate the limit nearby."""


class PlacedLetter(NamedTuple):
    """Letter on the widget, logical pixels."""

    limit: Limit
    at: QPointF
    stroke: QPointF | None = None
    """End of the leader line of a letter that stands beside its stroke."""


def placed_letters(view: View, letters: Sequence[LimitLetter]) -> list[PlacedLetter]:
    """Returns letters on strokes that violate their limit, clear of each other. Each limit gets at least one, beside its
    stroke if all its strokes are covered; other letters without a free place are left out."""
    first: dict[Limit, int] = {}
    for k, wanted in enumerate(letters):
        first.setdefault(wanted.limit, k)
    order = [*first.values(), *(k for k in range(len(letters)) if k not in first.values())]
    found: list[PlacedLetter] = []

    def is_free(place: QPointF) -> bool:
        return all((place - other.at).manhattanLength() >= LETTER_ROOM for other in found)

    for k in order:
        limit, at, others = letters[k]
        places = [view.to_screen(point.x(), point.y()) for point in (at, *others)]
        place = next(filter(is_free, places), None)
        if place is not None:
            found.append(PlacedLetter(limit, place))
        elif k in first.values():
            aside = next(filter(is_free, (places[0] + step for step in ASIDE)), None)
            if aside is not None:
                found.append(PlacedLetter(limit, aside, places[0]))
    return found


def paint_letters(painter: QPainter, view: View, letters: Sequence[LimitLetter], seen: QRectF) -> None:
    """Paints letters of limits at points of the wall, mm, as far as visible."""
    placed = placed_letters(view, letters)
    if not placed:
        return
    ratio, font = painter.device().devicePixelRatioF(), painter.font()
    for limit, place, stroke in placed:
        if stroke is not None:
            painter.setPen(QPen(QColor(COLOURS[limit]), 1.5))
            painter.drawLine(place, stroke)
    for limit, place, _ in placed:
        if seen.contains(place):
            disc = _disc(limit, font.toString(), round(ratio, 3), letter(limit))
            half = disc.deviceIndependentSize().width() / 2
            painter.drawImage(QPointF(round(place.x() - half), round(place.y() - half)), disc)


@functools.cache
def _disc(limit: Limit, font: str, ratio: float, text: str) -> QImage:
    """A letter on white, with a rim of the limit's colour."""
    given = QFont()
    given.fromString(font)
    given.setBold(True)
    side = round(QFontMetricsF(given).height() * 1.25)
    image = QImage(QSize(side, side) * ratio, QImage.Format.Format_ARGB32_Premultiplied)
    image.setDevicePixelRatio(ratio)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setFont(given)
    painter.setPen(QPen(QColor(COLOURS[limit]), 2.0))
    painter.setBrush(QColor("#ffffff"))
    painter.drawEllipse(QRectF(1.5, 1.5, side - 3, side - 3))
    painter.setPen(on_wall(OnWall.TEXT))
    painter.drawText(QRectF(0, 0, side, side), Qt.AlignmentFlag.AlignCenter, text)
    painter.end()
    return image
