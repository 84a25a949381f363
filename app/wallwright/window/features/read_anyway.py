"""The question whether a file is read although it costs more than usual."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QMessageBox, QWidget

from wallwright.document import edits
from wallwright.document.language import tr
from wallwright.window.model.models import Models


class ReadAnywayQuestion(QObject):
    """Asks the person of one window, once for each artwork of the document."""

    def __init__(self, models: Models, window: QWidget) -> None:
        super().__init__(window)
        self._window, self._project = window, models.project
        self._asked: set[str] = set()
        """Digests of artworks of the document."""
        models.imports.costly.connect(self._ask_before_reading)
        models.planning.costly.connect(self._ask_before_planning)

    def _ask_before_reading(self, cost: str, read: Callable[[], None]) -> None:
        if self._is_agreed(cost):
            read()

    def _ask_before_planning(self, cost: str, artwork: str) -> None:
        digest = self._project.document.artwork(artwork).digest
        if digest in self._asked:
            return
        self._asked.add(digest)
        if self._is_agreed(cost):
            self._project.edit(tr("Read anyway"), edits.agree_to_read(self._project.document, artwork))

    def _is_agreed(self, cost: str) -> bool:
        box = QMessageBox(
            QMessageBox.Icon.Question,
            tr("A costly file"),
            cost,
            QMessageBox.StandardButton.Cancel,
            self._window,
        )
        box.setInformativeText(tr("The window stays usable meanwhile, and Cancel ends the reading at once."))
        read = box.addButton(tr("Read it anyway"), QMessageBox.ButtonRole.AcceptRole)
        box.setDefaultButton(QMessageBox.StandardButton.Cancel)
        box.exec()
        is_agreed = box.clickedButton() is read
        box.deleteLater()
        return is_agreed
