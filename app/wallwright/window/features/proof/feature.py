"""The proof drawing of a machine that takes drawings: when it makes sense, and its dialog."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from wallwright.window.model.models import Models


class ProofFeature:
    """Of one window."""

    def __init__(self, models: Models, parent: QWidget) -> None:
        self._models, self._parent = models, parent

    @property
    def makes_sense(self) -> bool:
        """Whether the machine takes drawings."""
        return self._models.project.document.machine.controller.takes == "drawing"

    def open(self) -> None:
        """Offers the proof drawing's files, and asks its four tape readings."""
        from wallwright.window.features.proof.dialog import ProofDialog

        dialog = ProofDialog(self._models, self._parent)
        dialog.exec()
        dialog.deleteLater()
