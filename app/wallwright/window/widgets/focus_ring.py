"""A focus ring around a large part of the window, for keyboard users (WCAG 2.2, 2.4.7)."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QRectF, Qt
from PySide6.QtGui import QFocusEvent, QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import QWidget

BY_KEYS = (
    Qt.FocusReason.TabFocusReason,
    Qt.FocusReason.BacktabFocusReason,
    Qt.FocusReason.ShortcutFocusReason,
)


class FocusRing(QWidget):
    """An overlay, transparent to the mouse, shown while its part has the focus by keyboard."""

    def __init__(self, part: QWidget) -> None:
        super().__init__(part)
        self._part = part
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.hide()
        part.installEventFilter(self)

    def eventFilter(self, part: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.FocusIn and isinstance(event, QFocusEvent):
            self.setGeometry(self._part.rect())
            self.raise_()
            self.setVisible(event.reason() in BY_KEYS)
        elif event.type() == QEvent.Type.FocusOut:
            self.hide()
        elif event.type() == QEvent.Type.Resize:
            self.setGeometry(self._part.rect())
        return False

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        # Two colours, so that one of them is visible on any ground.
        for role, width, inset in (
            (QPalette.ColorRole.Highlight, 2.0, 0.0),
            (QPalette.ColorRole.Base, 1.0, 2.0),
        ):
            pen = QPen(self.palette().color(QPalette.ColorGroup.Active, role), width)
            pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
            painter.setPen(pen)
            by = inset + width / 2
            painter.drawRect(QRectF(self.rect()).adjusted(by, by, -by, -by))
        painter.end()
