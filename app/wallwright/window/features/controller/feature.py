"""The dialog with the settings of the controller's program, and when it makes sense."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from wallwright.window.model.models import Models


class ControllerFeature:
    """Of one window."""

    def __init__(self, models: Models, parent: QWidget) -> None:
        self._models, self._parent = models, parent

    @property
    def makes_sense(self) -> bool:
        """Whether the machine runs programs."""
        return self._models.project.document.machine.controller.takes != "drawing"

    def open(self) -> None:
        """Shows settings and lines side by side; each change counts at once and can be undone."""
        from wallwright.window.features.controller.dialog import ControllerDialog

        dialog = ControllerDialog(self._models, self._parent)
        dialog.exec()
        dialog.deleteLater()
