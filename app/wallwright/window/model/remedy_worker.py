"""A remedy computed beside the window: the search for a place or for anchors takes a second."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject

from wallwright.document.document import Document
from wallwright.window.model.background_work import BackgroundWork


class RemedyWorker(BackgroundWork):
    """Computes a new document from an old one. Read `after` or `trouble` when it has finished."""

    def __init__(
        self, title: str, function: Callable[[Document], Document], before: Document, parent: QObject
    ) -> None:
        super().__init__(parent)
        self.title, self.before = title, before
        self.after: Document | None = None
        self._function = function

    def work(self) -> None:
        self.after = self._function(self.before)
