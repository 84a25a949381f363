"""Opening the guided calibration beside the window, once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from wallwright.window.model.models import Models

if TYPE_CHECKING:
    from wallwright.window.features.calibration.wizard import CalibrationWizard


class CalibrationFeature:
    """Of one window."""

    def __init__(self, models: Models, parent: QWidget) -> None:
        self._models, self._parent = models, parent
        self.wizard: CalibrationWizard | None = None
        models.project.loaded.connect(self._close)

    def open(self) -> None:
        """Shows the wizard for the current hanging; the one that is open, when there is one."""
        from wallwright.window.features.calibration.wizard import CalibrationWizard

        if self.wizard is None:
            self.wizard = CalibrationWizard(self._models, self._models.selection.hanging, self._parent)
            self.wizard.finished.connect(self._forget)
        self.wizard.show()
        self.wizard.raise_()

    def _close(self) -> None:
        """Another project is shown: the hanging that is calibrated is gone."""
        if self.wizard is not None:
            self.wizard.reject()

    def _forget(self) -> None:
        if self.wizard is not None:
            self.wizard.deleteLater()
            self.wizard = None
