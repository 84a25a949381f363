"""Sizes of dialogs, limited to the screen; where it is too low, they scroll."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QDialog, QScrollArea, QVBoxLayout, QWidget

FRAME = QSize(16, 44)
"""Assumed size of the desktop's title bar and frame, px; the true size is known only after the dialog is shown."""


def resize_within_screen(dialog: QWidget, width: int, height: int) -> None:
    """Resizes a dialog, px, within the screen."""
    dialog.resize(QSize(width, height).boundedTo(dialog.screen().availableSize() - FRAME))


def scrolled(body: QWidget) -> QScrollArea:
    """Returns a scroll area as wide as the body needs, which scrolls vertically if necessary."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setWidget(body)
    area.setMinimumWidth(body.minimumSizeHint().width() + area.verticalScrollBar().sizeHint().width())
    return area


def lay_out_scrolling(dialog: QDialog, body: QWidget, *below: QWidget) -> None:
    """Lays out a dialog with a body that scrolls if necessary, and widgets below it that stay visible."""
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
