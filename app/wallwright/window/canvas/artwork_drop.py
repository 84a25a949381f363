"""Artwork that is dragged over the wall from another program or a folder. What can be dropped is only looked into then: the
window opens sooner without."""

from __future__ import annotations

from PySide6.QtGui import QDragEnterEvent, QDropEvent

from wallwright.window.canvas.view import View
from wallwright.window.model.models import Models


def accept_drag(event: QDragEnterEvent) -> None:
    """Lets it be dropped where artwork may be in it."""
    from wallwright.window.model.foreign_formats import is_usable

    if is_usable(event.mimeData()):
        event.acceptProposedAction()


def accept_drop(event: QDropEvent, models: Models, view: View) -> None:
    """Puts it on the wall at the pointer."""
    from wallwright.window.model.mime_import import import_mime

    if import_mime(models, event.mimeData(), view.to_wall(event.position())):
        event.acceptProposedAction()
