"""Sizes of dialogs: as wanted, but never larger than the screen that they open on."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QWidget

FRAME = QSize(16, 44)
"""Pixels that the desktop's title bar and frame add; their size is only known once they are there."""


def resize_within_screen(dialog: QWidget, width: int, height: int) -> None:
    """Gives a dialog its size, pixels, as far as the screen has room for it."""
    dialog.resize(QSize(width, height).boundedTo(dialog.screen().availableSize() - FRAME))
