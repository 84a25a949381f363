"""Labels that adapt to the available width: text that does not fit is shortened, or moved to the tool tip."""

from __future__ import annotations

import html
from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent, QTextDocument
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

BETWEEN = "&nbsp;&nbsp; "


class ElidedLabel(QLabel):
    """A line of parts, the most important first; parts that do not fit are replaced by an ellipsis."""

    def __init__(self, least_letters: int = 6, sample: str = "", parent: QWidget | None = None) -> None:
        """sample: a text of the largest length, for which the label requests room. "": it takes the remaining width."""
        super().__init__(parent)
        self._sample, self._tip = sample, ""
        self._least, self._parts, self._between = least_letters, [""], BETWEEN
        self._shorter: tuple[list[str], ...] = ()
        self.setTextFormat(Qt.TextFormat.RichText)
        across = QSizePolicy.Policy.Maximum if sample else QSizePolicy.Policy.Ignored
        self.setSizePolicy(across, QSizePolicy.Policy.Fixed)

    def show_parts(self, parts: list[str], tip: str = "", shorter: Sequence[list[str]] = ()) -> None:
        """parts: rich text. tip: tool tip; "": all parts, if some do not fit. shorter: shorter and shorter wordings of the
        parts, used if not all fit."""
        self._tip = tip
        self._parts, self._between, self._shorter = parts, BETWEEN, tuple(shorter)
        self._elide()

    def show_text(self, text: str) -> None:
        """Shows plain text, each word a part."""
        self._tip = ""
        self._parts, self._between, self._shorter = [html.escape(word) for word in text.split(" ")], " ", ()
        self._elide()

    def ask_for(self, sample: str) -> None:
        """Requests the width of another sample text."""
        self._sample = sample
        self.updateGeometry()

    @property
    def whole(self) -> str:
        """Full content as rich text."""
        return self._between.join(self._parts)

    def minimumSizeHint(self) -> QSize:
        return QSize(self._least * self.fontMetrics().averageCharWidth(), self.fontMetrics().height() + 4)

    def sizeHint(self) -> QSize:
        least = self.minimumSizeHint()
        width = self.fontMetrics().horizontalAdvance(self._sample) + 2
        return QSize(max(least.width(), width), least.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._elide()

    def _elide(self) -> None:
        parts = self._parts
        for shorter in self._shorter:
            if self._width(self._line(parts, len(parts))) <= self.width():
                break
            parts = shorter
        count = len(parts)
        while count > 1 and self._width(self._line(parts, count)) > self.width():
            count -= 1
        self.setText(self._line(parts, count))
        end = "<br>" if self._between == BETWEEN else " "
        is_whole = parts is self._parts and count == len(parts)
        self.setToolTip(self._tip or ("" if is_whole else end.join(self._parts)))

    def _line(self, parts: list[str], count: int) -> str:
        end = f"{self._between}…" if count < len(parts) else ""
        return self._between.join(parts[:count]) + end

    def _width(self, text: str) -> float:
        page = QTextDocument()
        page.setDocumentMargin(0)
        page.setDefaultFont(self.font())
        page.setHtml(text)
        return page.idealWidth()
