"""A flat button with a state icon, text that is elided to fit in one or two lines, and a figure at the right end."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QEnterEvent,
    QFont,
    QFontMetrics,
    QPainter,
    QPaintEvent,
    QPalette,
    QPen,
    QPolygonF,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from wallwright.window.widgets.state_icons import State, paint_state

PAD, GAP = 4, 5
"""Padding at the left and right edge, and distance between icon, text and figure, px."""
LEAST_LETTERS = 9
"""Least number of visible characters of the text."""


class StateButton(QAbstractButton):
    """Shows a state. The tool tip is the whole line, followed by the help set by `explain`."""

    def __init__(self, state: State = State.OK, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.state, self.share, self.figure = state, 0.0, ""
        self.has_arrow = False
        """Whether it has an arrow that opens and closes the part below, by its checked state."""
        self.is_bold = False
        self.wraps = False
        """Whether long text takes two lines. Must be set before layout."""
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def show_state(self, state: State, text: str, figure: str = "", share: float = 0.0) -> None:
        """Shows a state with its text. share: progress, 0 to 1."""
        is_wider = text != self.text() or figure != self.figure
        self.state, self.figure, self.share = state, figure, share
        self.setText(text)
        if is_wider:
            self.updateGeometry()
        self.update()

    # Sizes.

    def _side(self) -> int:
        """Returns the side of the icon, px."""
        return max(16, self.fontMetrics().height())

    def _text_font(self) -> QFont:
        font = QFont(self.font())
        font.setBold(self.is_bold)
        return font

    def _fixed_width(self) -> int:
        """Returns the width of everything but the text, px."""
        arrow = self._side() // 2 + GAP if self.has_arrow else 0
        figure = self.fontMetrics().horizontalAdvance(self.figure) + GAP if self.figure else 0
        return 2 * PAD + arrow + self._side() + GAP + figure

    def sizeHint(self) -> QSize:
        text = QFontMetrics(self._text_font()).horizontalAdvance(self.text())
        return QSize(self._fixed_width() + text + 2, self._side() + 8)

    def minimumSizeHint(self) -> QSize:
        least = LEAST_LETTERS * self.fontMetrics().averageCharWidth()
        return QSize(min(self._fixed_width() + least, self.sizeHint().width()), self._side() + 8)

    def hasHeightForWidth(self) -> bool:
        return self.wraps

    def heightForWidth(self, width: int) -> int:
        lines = len(self._lines(width - self._fixed_width()))
        return self._side() + 8 + (lines - 1) * self.fontMetrics().lineSpacing()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self.wraps:  # layouts within a scrolled page give less than the height for a width
            self.setMinimumHeight(self.heightForWidth(event.size().width()))

    def _lines(self, width: int) -> list[str]:
        """Returns the one or two lines of the text at a width, px."""
        metrics = QFontMetrics(self._text_font())
        text, first = self.text(), ""
        if self.wraps and metrics.horizontalAdvance(text) > width:
            words = text.split(" ")
            count = len(words) - 1
            while count and metrics.horizontalAdvance(" ".join(words[:count])) > width:
                count -= 1
            first, text = " ".join(words[:count]), " ".join(words[count:])
        elided = metrics.elidedText(text, Qt.TextElideMode.ElideRight, width + 1)
        return [first, elided] if first else [elided]

    # Painting.

    def enterEvent(self, event: QEnterEvent) -> None:
        super().enterEvent(event)
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, palette = QPainter(self), self.palette()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.isEnabled() and (self.underMouse() or self.isDown()):
            self._fill(painter, palette, 40 if self.isDown() else 22)
        side, left = self._side(), float(PAD)
        top = (self.height() - side) / 2
        if self.has_arrow:
            self._paint_arrow(painter, QRectF(left, top, side / 2, side))
            left += side // 2 + GAP
        if not self.isEnabled():
            painter.setOpacity(0.55)
        paint_state(painter, QRectF(left, top, side, side), self.state, palette, self.share)
        painter.setOpacity(1.0)
        left += side + GAP
        painter.setPen(palette.color(QPalette.ColorRole.WindowText))
        width = self.width() - PAD - left
        if self.figure:
            place = QRectF(left, 0, width, self.height())
            painter.setFont(self.font())
            painter.drawText(place, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, self.figure)
            width -= self.fontMetrics().horizontalAdvance(self.figure) + GAP
        font = self._text_font()
        painter.setFont(font)
        lines, high = self._lines(int(width)), QFontMetrics(font).lineSpacing()
        upper = (self.height() - high * len(lines)) / 2
        for number, line in enumerate(lines):
            place = QRectF(left, upper + number * high, width + 1, high)
            painter.drawText(place, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, line)
        if self.hasFocus() and self.window().testAttribute(Qt.WidgetAttribute.WA_KeyboardFocusChange):
            painter.setPen(QPen(palette.color(QPalette.ColorRole.Highlight), 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 3, 3)
        painter.end()

    def _fill(self, painter: QPainter, palette: QPalette, strength: int) -> None:
        colour = QColor(palette.color(QPalette.ColorRole.WindowText))
        colour.setAlpha(strength)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colour)
        painter.drawRoundedRect(QRectF(self.rect()), 3, 3)

    def _paint_arrow(self, painter: QPainter, place: QRectF) -> None:
        middle, half = place.center(), place.width() / 3
        corners = ((-half, -half / 2), (0.0, half / 2), (half, -half / 2))  # down; to the right when closed
        points = [QPointF(x, y) if self.isChecked() else QPointF(y, x) for x, y in corners]
        pen = QPen(self.palette().color(QPalette.ColorRole.WindowText), 1.5)
        painter.setPen(pen)
        painter.drawPolyline(QPolygonF([middle + point for point in points]))
