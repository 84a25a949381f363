"""A large button with a title and an explanation in the theme's text sizes; Qt's own always uses 9 points, whatever the
system's text size."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRect, QSize, Qt
from PySide6.QtGui import QFont, QFontMetrics, QIcon, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QPushButton, QSizePolicy, QStyle, QStyleOptionButton, QWidget

from wallwright.window.widgets.theme import CLOSE, NEAR, TextSize, font_of

LEAST_LETTERS = 18
"""Least number of characters of the explanation per line."""
WIDE_ENOUGH = 10_000
"""Width in which each text takes one line, px."""
WRAPPED = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop) | int(Qt.TextFlag.TextWordWrap)
TITLE = WRAPPED | int(Qt.TextFlag.TextShowMnemonic)


class CommandButton(QPushButton):
    """The button; its text is the title."""

    def __init__(self, title: str, description: str, parent: QWidget | None = None) -> None:
        super().__init__(title, parent)
        self._description = description
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def description(self) -> str:
        """The line below the title."""
        return self._description

    @property
    def _side(self) -> int:
        """Side of the icon, px."""
        return QFontMetrics(font_of(TextSize.BODY)).height() + 2

    def _boxes(self, width: int) -> tuple[QRect, QRect]:
        """Returns the rectangles of title and explanation in a button of a width, px."""
        left = NEAR + self._side + CLOSE
        room = QRect(left, NEAR, max(width - left - NEAR, 1), WIDE_ENOUGH)
        title = _measured(font_of(TextSize.BODY, is_strong=True), room, TITLE, self.text())
        below = room.translated(0, title.height())
        return title, _measured(font_of(TextSize.BODY), below, WRAPPED, self._description)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return self._boxes(width)[1].bottom() + 1 + NEAR

    def minimumSizeHint(self) -> QSize:
        letters = LEAST_LETTERS * QFontMetrics(font_of(TextSize.BODY)).averageCharWidth()
        return QSize(NEAR + self._side + CLOSE + letters + NEAR, self.heightForWidth(WIDE_ENOUGH))

    def sizeHint(self) -> QSize:
        width = 2 * self.minimumSizeHint().width()
        return QSize(width, self.heightForWidth(width))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.updateGeometry()

    def paintEvent(self, event: QPaintEvent) -> None:
        option, painter = QStyleOptionButton(), QPainter(self)
        self.initStyleOption(option)
        option.text, option.icon = "", QIcon()
        self.style().drawControl(QStyle.ControlElement.CE_PushButton, option, painter, self)
        side, (title, below) = self._side, self._boxes(self.width())
        self.icon().paint(painter, QRect(NEAR, NEAR, side, side))
        painter.setPen(self.palette().color(QPalette.ColorRole.ButtonText))
        for font, box, flags, text in (
            (font_of(TextSize.BODY, is_strong=True), title, TITLE, self.text()),
            (font_of(TextSize.BODY), below, WRAPPED, self._description),
        ):
            painter.setFont(font)
            painter.drawText(box, flags, text)
        painter.end()


def _measured(font: QFont, room: QRect, flags: int, text: str) -> QRect:
    """Returns a rectangle as wide as the room and as high as the text."""
    used = QFontMetrics(font).boundingRect(room, flags, text)
    return QRect(room.topLeft(), QSize(room.width(), used.height()))
