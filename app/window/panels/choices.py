"""Small pieces of choices: a colour's swatch, a list that stays narrow."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QComboBox, QWidget


class _LeavesWheelAlone(QObject):
    """Lets the wheel scroll the page behind a field that has no focus."""

    def eventFilter(self, field: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Wheel and not field.hasFocus():
            event.ignore()
            return True
        return False


def calm(field: QWidget) -> QWidget:
    """A field that the wheel changes only once it has been chosen: scrolling past it changes nothing."""
    field.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    field.installEventFilter(_LeavesWheelAlone(field))
    return field


def swatch(colour: str) -> QIcon:
    """A square of a colour."""
    pixmap = QPixmap(16, 16)
    pixmap.fill(QColor("#808080"))
    painter = QPainter(pixmap)
    painter.fillRect(1, 1, 14, 14, QColor(colour))
    painter.end()
    return QIcon(pixmap)


def narrow(box: QComboBox, letters: int = 8) -> QComboBox:
    """A list that does not ask for the width of its longest entry, but for so many letters."""
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(letters)
    calm(box)
    return box
