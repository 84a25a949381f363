"""A remedy computed beside the window: the search for a place or for anchors takes a second."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QThread

from app.document.document import Document
from app.document.errors import BadValue


class Mending(QThread):
    """Computes a new document from an old one. Read `after` or `trouble` when it has finished."""

    def __init__(
        self, title: str, function: Callable[[Document], Document], before: Document, parent: QObject
    ) -> None:
        super().__init__(parent)
        self.title, self.before = title, before
        self.after: Document | None = None
        self.trouble = ""
        self._function = function

    def run(self) -> None:
        try:
            self.after = self._function(self.before)
        except BadValue as trouble:
            self.trouble = f"{trouble}."
