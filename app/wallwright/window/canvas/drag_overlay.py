"""What is painted only while something is dragged: the rectangle that selects, and the numbers at the pointer."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPalette, QPen

from wallwright.document.language import format_number, tr
from wallwright.window.canvas.artwork_layer import CHOSEN
from wallwright.window.canvas.interaction import Interaction
from wallwright.window.canvas.snapping import SnapLine
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import RULER
from wallwright.window.widgets.theme import OnWall, on_wall

GUIDE = on_wall(OnWall.SNAP)
HALO = QColor(255, 255, 255, 205)
TICK = 5.0
"""Pixels to either side that end a gap."""


def paint_interaction(painter: QPainter, view: View, interaction: Interaction, at: QPointF, palette: QPalette) -> None:
    """at: the pointer on the widget."""
    painter.save()
    if (band := interaction.band) is not None:
        painter.setPen(QPen(CHOSEN, 1.0, Qt.PenStyle.DashLine))
        painter.setBrush(QColor(CHOSEN.red(), CHOSEN.green(), CHOSEN.blue(), 30))
        painter.drawRect(view.rect_to_screen(band.left(), band.top(), band.right(), band.bottom()))
    for guide in interaction.guides:
        _paint_guide(painter, view, guide, QRectF(0, 0, *_size(painter)))
    if interaction.readout:
        paint_readout(painter, interaction.readout, at, palette)
    painter.restore()


def _size(painter: QPainter) -> tuple[float, float]:
    """Of what is painted on, logical pixels."""
    device = painter.device()
    return device.width(), device.height()


def _paint_guide(painter: QPainter, view: View, guide: SnapLine, room: QRectF) -> None:
    """Across the whole canvas thin, thick along what the line belongs to, and named."""
    if guide.gaps:
        _paint_gaps(painter, view, guide)
        return
    if guide.is_vertical:
        at = view.to_screen(guide.at, guide.low).x()
        whole = (QPointF(at, 0), QPointF(at, room.height()))
        own = (view.to_screen(guide.at, guide.low), view.to_screen(guide.at, guide.high))
        label = QPointF(at + 6, RULER + 16)
    else:
        at = view.to_screen(guide.low, guide.at).y()
        whole = (QPointF(0, at), QPointF(room.width(), at))
        own = (view.to_screen(guide.low, guide.at), view.to_screen(guide.high, guide.at))
        label = QPointF(RULER + 8, at - 6)
    painter.setPen(QPen(GUIDE, 1.0, Qt.PenStyle.DashLine))
    painter.drawLine(*whole)
    painter.setPen(QPen(GUIDE, 2.5))
    painter.drawLine(*own)
    _paint_text(painter, label, tr(guide.what))


def _paint_gaps(painter: QPainter, view: View, guide: SnapLine) -> None:
    """Each gap as a line from thing to thing with its length; the first one says that they are equal."""
    for number, gap in enumerate(guide.gaps):
        ends = ((gap.low, gap.across), (gap.high, gap.across))
        a, b = (view.to_screen(*(end if guide.is_vertical else end[::-1])) for end in ends)
        tick = QPointF(0, TICK) if guide.is_vertical else QPointF(TICK, 0)
        painter.setPen(QPen(GUIDE, 2.0))
        for start, end in ((a, b), (a - tick, a + tick), (b - tick, b + tick)):
            painter.drawLine(start, end)
        text = format_number(gap.high - gap.low, ".1f")
        if number == 0:
            text = f"{tr(guide.what)}: {text}"
        size = QFontMetricsF(painter.font()).size(0, text)
        middle = (a + b) / 2
        if guide.is_vertical:
            _paint_text(painter, QPointF(middle.x() - size.width() / 2, middle.y() - TICK), text)
        else:
            _paint_text(painter, QPointF(middle.x() + TICK + 3, middle.y() + size.height() / 3), text)


def _paint_text(painter: QPainter, at: QPointF, text: str) -> None:
    size = QFontMetricsF(painter.font()).size(0, text)
    painter.fillRect(QRectF(at.x() - 3, at.y() - size.height() + 3, size.width() + 6, size.height()), HALO)
    painter.drawText(at, text)


def paint_readout(painter: QPainter, text: str, at: QPointF, palette: QPalette) -> None:
    """A small box with lines of text beside a point of the widget."""
    font = QFontMetricsF(painter.font())
    size = font.size(0, text)
    box = QRectF(at.x() + 18, at.y() + 14, size.width() + 12, size.height() + 6)
    device = painter.device()
    room = QRectF(0, 0, device.width(), device.height())
    box.moveRight(min(box.right(), room.right() - 4))
    box.moveBottom(min(box.bottom(), room.bottom() - 4))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(palette.color(QPalette.ColorRole.Mid))
    painter.setBrush(palette.color(QPalette.ColorRole.ToolTipBase))
    painter.drawRoundedRect(box, 3, 3)
    painter.setPen(palette.color(QPalette.ColorRole.ToolTipText))
    painter.drawText(box.adjusted(6, 3, 0, 0), Qt.AlignmentFlag.AlignLeft, text)
