"""Widgets side by side, wrapped to as many rows as needed."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget


class FlowRow(QWidget):
    """Lays its widgets out in rows whenever its width requires other rows."""

    def __init__(self, widgets: Sequence[QWidget], spacing: int, parent: QWidget | None = None) -> None:
        """spacing: horizontal and vertical distance between widgets, px."""
        super().__init__(parent)
        self._widgets, self._spacing = tuple(widgets), spacing
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(spacing)
        self._shown: list[list[QWidget]] = []
        self._arrange([[widget] for widget in widgets])

    def minimumSizeHint(self) -> QSize:
        widest = max((widget.sizeHint().width() for widget in self._widgets), default=0)
        return QSize(widest, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange(self._rows_in(event.size().width()))

    def _rows_in(self, width: int) -> list[list[QWidget]]:
        """Returns the rows of widgets for a width, px."""
        rows: list[list[QWidget]] = []
        left = 0
        for widget in self._widgets:
            size = widget.sizeHint().width()
            if not rows or size > left:
                rows.append([])
                left = width
            rows[-1].append(widget)
            left -= size + self._spacing
        return rows

    def _arrange(self, rows: list[list[QWidget]]) -> None:
        if rows == self._shown:
            return
        self._shown = rows
        while (old := self._column.takeAt(0)) is not None:
            line = old.layout()
            while line is not None and line.takeAt(0) is not None:
                pass  # the widgets stay children of this one
        for row in rows:
            new = QHBoxLayout()
            new.setSpacing(self._spacing)
            for widget in row:
                new.addWidget(widget)
            new.addStretch(1)
            self._column.addLayout(new)
