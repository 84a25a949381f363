"""Sizes of dialogs: as wanted, but never larger than the screen that they open on; where that is too low, they scroll."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QDialog, QScrollArea, QVBoxLayout, QWidget

FRAME = QSize(16, 44)
"""Pixels that the desktop's title bar and frame add; their size is only known once they are there."""


def resize_within_screen(dialog: QWidget, width: int, height: int) -> None:
    """Gives a dialog its size, pixels, as far as the screen has room for it."""
    dialog.resize(QSize(width, height).boundedTo(dialog.screen().availableSize() - FRAME))


def scrolled(body: QWidget) -> QScrollArea:
    """A body in an area that is as wide as it needs and scrolls up and down where it is too low."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setWidget(body)
    area.setMinimumWidth(body.minimumSizeHint().width() + area.verticalScrollBar().sizeHint().width())
    return area


def lay_out_scrolling(dialog: QDialog, body: QWidget, *below: QWidget) -> None:
    """Fills a dialog with a body that scrolls where the screen is too low for it, and with what stays in sight below it."""
    area = scrolled(body)
    column = QVBoxLayout(dialog)
    column.addWidget(area, 1)
    for widget in below:
        column.addWidget(widget)
    narrowest = area.minimumWidth() - area.verticalScrollBar().sizeHint().width()
    height = body.heightForWidth(narrowest) if body.hasHeightForWidth() else body.sizeHint().height()
    wanted = dialog.sizeHint()
    more = max(height, body.sizeHint().height()) - area.sizeHint().height()
    resize_within_screen(dialog, wanted.width(), wanted.height() + more)
