"""The legend: what the colours of the draw zone mean, and which limits strokes break."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPalette, QPixmap

from wallwright.document.language import current_language, format_number, tr
from wallwright.statics.draw_zone import LAYERS
from wallwright.statics.limits import SENTENCES, Limit
from wallwright.window.canvas.limit_styles import paint_swatch, swatch_size
from wallwright.window.canvas.wall_layer import PAPER
from wallwright.window.canvas.zone_layer import OPACITY, STEPS, ZoneLayer, colours_of

ROOM = 10.0


class Legend:
    """Kept as a picture: it changes seldom, and is shown in every frame."""

    def __init__(self) -> None:
        self._picture: QPixmap | None = None
        self._of: tuple | None = None

    def paint(
        self,
        painter: QPainter,
        corner: QPointF,
        palette: QPalette,
        layer: ZoneLayer | None,
        limits: tuple[Limit, ...],
        clipped: bool,
        hangings: tuple[str, ...] = (),
    ) -> None:
        """Its bottom right corner at a point of the widget. layer: the zone that is shown; limits: that marked strokes
        break; clipped: whether those are cut off; hangings: lines about the hangings. Nothing is painted where there is
        nothing to explain."""
        if layer is None and not limits and not hangings:
            return
        ratio = painter.device().devicePixelRatioF()
        zone = (layer.name, layer.low, layer.high) if layer is not None else None
        of = (
            zone,
            limits,
            clipped,
            hangings,
            ratio,
            palette.cacheKey(),
            painter.font().toString(),
            current_language(),
        )
        if of != self._of:
            self._of, self._picture = (
                of,
                _picture(painter.font(), palette, layer, limits, clipped, hangings, ratio),
            )
        size = self._picture.deviceIndependentSize()
        painter.drawPixmap(
            QPointF(round(corner.x() - size.width()), round(corner.y() - size.height())), self._picture
        )


def _picture(
    font: QFont,
    palette: QPalette,
    layer: ZoneLayer | None,
    limits: tuple[Limit, ...],
    clipped: bool,
    hangings: tuple[str, ...],
    ratio: float,
) -> QPixmap:
    metrics, line = QFontMetricsF(font), QFontMetricsF(font).height()
    swatch = swatch_size(metrics)
    scale = f"{tr(LAYERS[layer.name].title)}, {LAYERS[layer.name].unit}" if layer is not None else ""
    title = tr("Strokes cut off, because:") if clipped else tr("Strokes outside, because:")
    rows = [tr(SENTENCES[limit]) for limit in limits]
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
    for told in hangings:
        painter.drawText(QPointF(ROOM, y + metrics.ascent()), told)
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
        _paint_scale(painter, QRectF(ROOM, y, width - 2 * ROOM, 4.2 * line - 12), scale, layer)
    painter.end()
    return pixmap


def _paint_scale(painter: QPainter, box: QRectF, title: str, layer: ZoneLayer) -> None:
    """The zone's colours with numbers."""
    font = QFontMetricsF(painter.font())
    painter.drawText(box, Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft, title)
    bar = QRectF(box.left(), box.top() + font.height() + 4, box.width(), font.height() * 0.8)
    for i in range(STEPS):
        colour = QColor(*colours_of(i / (STEPS - 1)).tolist(), OPACITY)
        piece = QRectF(bar.left() + i * bar.width() / STEPS, bar.top(), bar.width() / STEPS, bar.height())
        painter.fillRect(piece, PAPER)  # as it shows on the wall, thin over its paper
        painter.fillRect(piece, colour)
    for value, side in ((layer.low, Qt.AlignmentFlag.AlignLeft), (layer.high, Qt.AlignmentFlag.AlignRight)):
        painter.drawText(box, Qt.AlignmentFlag.AlignBottom | side, format_number(value, ".1f"))
