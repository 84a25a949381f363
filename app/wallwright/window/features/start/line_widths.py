"""Lines of usual widths, drawn as wide as they are: who holds a line of the own pen beside them finds its width."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QIcon, QPainter, QPainterPath, QPalette, QPen, QPixmap, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QToolButton, QWidget

from wallwright.document.language import format_number, tr
from wallwright.window.model.screen_scale import pixels_per_mm
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.theme import TIGHT

WIDTHS = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0)
"""mm: fine liners to broad markers."""
PICTURE = QSize(44, 32)
"""Logical pixels of each line's picture."""


class LineWidths(QWidget):
    """Emits `chosen` with a width, mm."""

    chosen = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(TIGHT)
        self._buttons: dict[float, QToolButton] = {}
        for width in WIDTHS:
            button = QToolButton()
            button.setCheckable(True)
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextUnderIcon)
            button.setIconSize(PICTURE)
            number = format_number(width, "g")
            button.setText(number)
            explain(
                button,
                tr("Draw a line with one of your pens and hold it beside this one: it is {0} mm wide.", number),
                tr("{0} mm", number),
            )
            button.clicked.connect(lambda _=False, width=width: self.chosen.emit(width))
            self._buttons[width] = button
            row.addWidget(button)
        row.addStretch(1)

    def show_width(self, width: float) -> None:
        """Marks the line of this width, if there is one."""
        for own, button in self._buttons.items():
            button.setChecked(abs(own - width) < 1e-6)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        for width, button in self._buttons.items():  # what the screen's pixels are is known only now
            button.setIcon(self._picture(width))

    def _picture(self, width: float) -> QIcon:
        ratio = self.devicePixelRatioF()
        pixmap = QPixmap(PICTURE * ratio)
        pixmap.setDevicePixelRatio(ratio)
        pixmap.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixmap)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        pen = QPen(self.palette().color(QPalette.ColorRole.WindowText), width * pixels_per_mm(self.screen()) / ratio)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        inset, middle = pen.widthF() / 2 + 1, PICTURE.height() / 2
        line = QPainterPath(QPointF(inset, middle))
        line.lineTo(PICTURE.width() - inset, middle)
        painter.drawPath(line)
        painter.end()
        return QIcon(pixmap)
