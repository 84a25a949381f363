"""Artwork that is dragged over the wall from another program or a folder."""

from __future__ import annotations

from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QWidget

from wallwright.window.canvas.view import View
from wallwright.window.model.models import Models


class ArtworkDropTarget(QWidget):
    """Brings what is dropped on it onto the wall, its middle at the pointer. What can be dropped is only loaded then: the
    window opens sooner without."""

    models: Models
    view: View

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        from wallwright.window.model.foreign_formats import is_usable

        if is_usable(event.mimeData()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        from wallwright.window.model.mime_import import import_mime

        if import_mime(self.models, event.mimeData(), self.view.to_wall(event.position())):
            event.acceptProposedAction()
