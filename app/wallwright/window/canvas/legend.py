"""The legend: what the colours of the draw zone mean, and which limits strokes break. It stands in the corner of the wall's
view where it hides least; where every corner hides an anchor, in the middle of a side."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import msgspec
from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPalette, QPixmap

from wallwright.document.language import Language, current_language, format_number, tr
from wallwright.statics.draw_zone import LAYERS
from wallwright.statics.limits import SENTENCES, Limit
from wallwright.window.canvas.colour_map import MAP_OPACITY, STEPS, colours_of
from wallwright.window.canvas.limit_styles import paint_swatch, swatch_size
from wallwright.window.canvas.pixmap_cache import Value, alike
from wallwright.window.canvas.wall_layer import PAPER

if TYPE_CHECKING:
    from wallwright.window.canvas.zone_map import ZoneMap  # brings shapely, and most legends have no map

ROOM = 10.0
"""Logical pixels between the frame and the text."""


class _Content(msgspec.Struct, frozen=True):
    """What a legend explains, and what its picture depends on besides."""

    map_name: str
    """Layer of the map that is shown; "": none."""
    low: float
    high: float
    """Numbers at the ends of the map's colours."""
    limits: tuple[Limit, ...]
    hidden: tuple[Limit, ...]
    clipped: bool
    hangings: tuple[str, ...]
    ratio: float
    palette: int
    font: str
    language: Language


class Legend:
    """Cached as a picture: it changes seldom, and is shown in every frame."""

    def __init__(self) -> None:
        self._picture = QPixmap()
        self._content: _Content | None = None
        self._place = 0
        self.box = QRectF()
        """Area of the last painting; empty: none."""
        self._chosen_for: tuple[Value, ...] | None = None

    def paint(
        self,
        painter: QPainter,
        area: QRectF,
        palette: QPalette,
        zone_map: ZoneMap | None,
        limits: tuple[Limit, ...],
        clipped: bool,
        hangings: tuple[str, ...] = (),
        hidden: tuple[Limit, ...] = (),
        hides: Callable[[QRectF], tuple[float, ...]] = lambda box: (0.0,),
        of: tuple[Value, ...] = (),
    ) -> None:
        """At the edge of an area of the widget. zone_map: that is shown; limits: that marked strokes break; clipped: whether
        those are cut off; hangings: lines about the hangings; hidden: limits whose marks all lie under others; hides: how
        much lies under a box, what matters most first, and first of all how many anchors; of: as long as it is the same, the
        place is too. Nothing is painted where there is nothing to explain."""
        self.box = QRectF()
        if zone_map is None and not limits and not hangings:
            return
        name, low, high = (zone_map.name, zone_map.low, zone_map.high) if zone_map is not None else ("", 0.0, 0.0)
        content = _Content(
            name,
            low,
            high,
            limits,
            hidden,
            clipped,
            hangings,
            painter.device().devicePixelRatioF(),
            palette.cacheKey(),
            painter.font().toString(),
            current_language(),
        )
        if content != self._content:
            self._content, self._picture = content, _picture(painter.font(), palette, content)
            self._chosen_for = None
        places = legend_places(area, self._picture.deviceIndependentSize())
        if not alike(of, self._chosen_for):
            self._chosen_for = of
            self._place = min(range(CORNERS), key=lambda k: hides(places[k]))
            if hides(places[self._place])[0] > 0:
                self._place = min(range(len(places)), key=lambda k: hides(places[k]))
        self.box = places[self._place]
        painter.drawPixmap(self.box.topLeft().toPoint(), self._picture)


CORNERS = 3
"""Of legend_places: the first ones."""


def legend_places(area: QRectF, size: QSizeF) -> list[QRectF]:
    """Where a legend of a size may stand in an area, the usual place first. In the lower left corner stand the numbers of
    the machine."""
    right, bottom = area.right() - size.width(), area.bottom() - size.height()
    left, top, middle, half = area.left(), area.top(), (area.left() + right) / 2, (area.top() + bottom) / 2
    corners = ((right, bottom), (right, top), (left, top))
    sides = ((right, half), (middle, bottom), (left, half), (middle, top))
    return [QRectF(QPointF(x, y), size) for x, y in (*corners, *sides)]


def _picture(font: QFont, palette: QPalette, content: _Content) -> QPixmap:
    metrics, line = QFontMetricsF(font), QFontMetricsF(font).height()
    swatch = swatch_size(metrics)
    layer, ratio, hangings = LAYERS.get(content.map_name), content.ratio, content.hangings
    scale = f"{tr(layer.title)}, {layer.unit}" if layer is not None else ""
    title = tr("Strokes cut off because:") if content.clipped else tr("Strokes outside because:")
    limits = content.limits + content.hidden
    rows = [tr(SENTENCES[limit]) for limit in content.limits]
    rows += [tr("{0} (only where marked for another reason)", tr(SENTENCES[limit])) for limit in content.hidden]
    width, height = 0.0, 0.0
    if layer is not None:
        width, height = max(190.0, metrics.horizontalAdvance(scale) + 2 * ROOM), 4.2 * line
    if hangings:
        width = max(width, *(metrics.horizontalAdvance(text) + 2 * ROOM for text in hangings))
        height += 8 + 1.2 * line * len(hangings)
    if rows:
        widest = max(metrics.horizontalAdvance(row) for row in rows) + swatch.width() + 8
        width = max(width, widest + 2 * ROOM, metrics.horizontalAdvance(title) + 2 * ROOM)
        height += 8 + 1.3 * line * (len(rows) + 1)
    pixmap = QPixmap(round((width + 1) * ratio), round((height + 1) * ratio))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setFont(font)
    base = QColor(palette.color(QPalette.ColorRole.Base))
    base.setAlpha(235)
    painter.setPen(palette.color(QPalette.ColorRole.Mid))
    painter.setBrush(base)
    painter.drawRoundedRect(QRectF(0.5, 0.5, width - 1, height - 1), 4, 4)
    text = palette.color(QPalette.ColorRole.Text)
    y = 6.0
    painter.setPen(text)
    for sentence in hangings:
        painter.drawText(QPointF(ROOM, y + metrics.ascent()), sentence)
        y += 1.2 * line
    y += 8 if hangings else 0
    if rows:
        painter.setPen(text)
        painter.drawText(QPointF(ROOM, y + metrics.ascent()), title)
        for limit, row in zip(limits, rows, strict=True):
            y += 1.3 * line
            paint_swatch(painter, QRectF(ROOM, y, swatch.width(), swatch.height()), limit)
            painter.setPen(text)
            painter.drawText(QPointF(ROOM + swatch.width() + 8, y + metrics.ascent()), row)
        y += 1.3 * line + 8
    if layer is not None:
        painter.setPen(text)
        _paint_scale(painter, QRectF(ROOM, y, width - 2 * ROOM, 4.2 * line - 12), scale, content)
    painter.end()
    return pixmap


def _paint_scale(painter: QPainter, box: QRectF, title: str, content: _Content) -> None:
    """The map's colours with numbers."""
    font = QFontMetricsF(painter.font())
    painter.drawText(box, Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft, title)
    bar = QRectF(box.left(), box.top() + font.height() + 4, box.width(), font.height() * 0.8)
    for i in range(STEPS):
        r, g, b = colours_of(i / (STEPS - 1)).tolist()
        colour = QColor(r, g, b, MAP_OPACITY)
        piece = QRectF(bar.left() + i * bar.width() / STEPS, bar.top(), bar.width() / STEPS, bar.height())
        painter.fillRect(piece, PAPER)  # as it shows on the wall, thin over its paper
        painter.fillRect(piece, colour)
    for value, side in (
        (content.low, Qt.AlignmentFlag.AlignLeft),
        (content.high, Qt.AlignmentFlag.AlignRight),
    ):
        painter.drawText(box, Qt.AlignmentFlag.AlignBottom | side, format_number(value, ".1f"))
