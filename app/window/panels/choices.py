"""Small pieces of choices: a colour's swatch, a list that stays narrow."""

from __future__ import annotations

from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QComboBox


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
    return box
