"""A layout of widgets side by side, in as many rows as the width takes."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget


class FlowLayout(QLayout):
    """Fills row by row from the left; its height follows from its width."""

    def __init__(self, spacing: int, parent: QWidget | None = None) -> None:
        """spacing: pixels between widgets both ways."""
        super().__init__(parent)
        self._items: list[QLayoutItem] = []
        self.setSpacing(spacing)
        self.setContentsMargins(0, 0, 0, 0)

    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    def count(self) -> int:
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return self._places(width)[1]

    def sizeHint(self) -> QSize:
        return self.minimumSize()

    def minimumSize(self) -> QSize:
        size = QSize(0, 0)
        for item in self._items:
            size = size.expandedTo(item.minimumSize())
        return size

    def setGeometry(self, rect: QRect) -> None:
        super().setGeometry(rect)
        for item, place in zip(self._items, self._places(rect.width())[0], strict=True):
            item.setGeometry(place.translated(rect.topLeft()))

    def _places(self, width: int) -> tuple[list[QRect], int]:
        """Where each item goes in a width, pixels, and the height that they take together."""
        places: list[QRect] = []
        left = top = row = 0
        for item in self._items:
            size = QSize(min(item.sizeHint().width(), max(width, 1)), item.sizeHint().height())
            if left and left + size.width() > width:
                left, top, row = 0, top + row + self.spacing(), 0
            places.append(QRect(QPoint(left, top), size))
            left += size.width() + self.spacing()
            row = max(row, size.height())
        return places, top + row
