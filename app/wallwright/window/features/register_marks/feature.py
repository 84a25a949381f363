"""Lining up by register marks: which marks the current hanging looks for, and the dialog about them."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from wallwright.document.register import RegisterMark
from wallwright.window.model.models import Models


class RegisterMarksFeature:
    """Of one window."""

    def __init__(self, models: Models, parent: QWidget) -> None:
        self._models, self._parent = models, parent

    @property
    def marks(self) -> tuple[RegisterMark, ...]:
        """Those that the current hanging looks for."""
        preview, hanging = self._models.planning.preview, self._models.selection.hanging
        kept = self._models.project.document.hangings[hanging].register.marks
        return kept or (preview.marks.get(hanging, ()) if preview is not None else ())

    def open(self) -> None:
        """Asks what was seen at the register marks, and corrects the anchors of the current hanging."""
        from wallwright.window.features.register_marks.dialog import LineUpDialog

        dialog = LineUpDialog(self._models, self.marks, self._parent)
        dialog.exec()
        dialog.deleteLater()
