"""What the panels with pages have in common: wide enough for the page, and reached and walked through by keys."""

from __future__ import annotations

import operator

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QLayout, QScrollArea, QWidget

from wallwright.window.widgets.focus_ring import FocusRing

MOST, USUAL_SCREEN = 1.1, 1280
"""A page may demand so many times the least width of its panel on a screen so many pixels wide; on others in proportion."""


def controls_of(widget: QWidget) -> list[QWidget]:
    """What Tab stops at within a widget, in the order of its layout, which is that of reading."""
    layout = widget.layout()
    if layout is not None and widget.focusPolicy() == Qt.FocusPolicy.NoFocus:
        return _laid_out(layout)
    if bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus) and widget.focusProxy() is None:
        return [widget]
    if widget.focusPolicy() != Qt.FocusPolicy.NoFocus:
        return []
    # A picture lays out its fields itself; they were added in the order of reading.
    fields = widget.findChildren(QWidget, options=Qt.FindChildOption.FindDirectChildrenOnly)
    return [control for field in fields for control in controls_of(field)]


def _laid_out(layout: QLayout) -> list[QWidget]:
    found: list[QWidget] = []
    for index in range(layout.count()):
        item = layout.itemAt(index)
        if item is None:
            continue
        if (widget := item.widget()) is not None:
            found += controls_of(widget)
        elif (inner := item.layout()) is not None:
            found += _laid_out(inner)
    return found


class PageArea(QScrollArea):
    """Scrolls a page up and down, and sideways once the page asks for more than its share of the screen.

    A page made anew comes last among all controls of the window unless it is put in order.
    """

    def __init__(self, least: int, parent: QWidget | None = None) -> None:
        """least: width, px, in which its pages fit; slightly more is requested for all pages."""
        super().__init__(parent)
        self._least = least
        self._in_order: list[QWidget] = []
        self._widest = 0
        """Pixels that a page has asked for, as far as it may."""
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setMinimumWidth(min(int(MOST * least), self.most_width()))
        self._ring = FocusRing(self)

    def most_width(self) -> int:
        """Pixels of width that a page may demand: two panels and the wall fit beside each other on the screen."""
        width = max(self.screen().availableSize().width(), self.window().width())
        return int(MOST * self._least * width / USUAL_SCREEN)

    def sizeHint(self) -> QSize:
        return QSize(max(self._least, self.minimumWidth()), super().sizeHint().height())

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._settle()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._widest = 0

    def setWidget(self, page: QWidget) -> None:
        self._in_order = []
        super().setWidget(page)
        self._settle()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.widget() and event.type() == QEvent.Type.LayoutRequest:
            self._settle()
        return super().eventFilter(watched, event)

    def _demand(self, width: int) -> None:
        if width == self.minimumWidth():
            return
        self.setMinimumWidth(width)
        # While layouts are under way Qt widens a dock without placing it anew, and it ends beyond the window.
        part: QWidget | None = self
        while part is not None and not part.isWindow():
            if (layout := part.layout()) is not None:
                layout.activate()
            part.updateGeometry()
            part = part.parentWidget()

    def _settle(self) -> None:
        page = self.widget()
        if page is None:
            return
        bar = self.verticalScrollBar().sizeHint().width()
        # The wall would change its size with each page: the panel is wide enough for nearly all from the beginning, and
        # stays as wide as the widest so far.
        needed, most = page.minimumSizeHint().width() + bar, self.most_width()
        self._widest = max(self._widest, min(needed, most))
        wanted = max(int(MOST * self._least), self._widest)
        self._demand(min(wanted, most))
        self.setHorizontalScrollBarPolicy(
            Qt.ScrollBarPolicy.ScrollBarAsNeeded if needed > most else Qt.ScrollBarPolicy.ScrollBarAlwaysOff
        )
        if self.widget() is not page:
            return  # the new width made another page, which is in order already
        controls = controls_of(page)
        if len(controls) == len(self._in_order) and all(map(operator.is_, controls, self._in_order)):
            return  # compared by identity: those of an earlier page may be gone
        self._in_order = controls
        before: QWidget = self
        for control in controls:
            QWidget.setTabOrder(before, control)
            before = control
