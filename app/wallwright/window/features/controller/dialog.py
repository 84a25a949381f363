"""Settings of the controller's program on the left, the lines that result on the right."""

from __future__ import annotations

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QHBoxLayout, QVBoxLayout, QWidget

from wallwright.document.language import tr
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.model.models import Models
from wallwright.window.panels.code_form import add_code
from wallwright.window.panels.forms import Forms
from wallwright.window.panels.machine_page import add_whole_part
from wallwright.window.panels.program_preview import ProgramPreview
from wallwright.window.widgets.screen_size import resize_within_screen
from wallwright.window.widgets.theme import StyledLabel, TextSize

SIZE = (1100, 700)
"""Pixels, where the screen has so many."""


class ControllerForms(Forms):
    """Pen lift, controller and program of the machine."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(models, parent)
        page = self._begin()
        for part in ("lift", "controller"):
            add_whole_part(self, part)
        add_code(self, has_preview=False)
        self.column.addStretch(1)
        self.setWidget(page)
        self._align()
        models.project.changed.connect(self.refresh)
        models.project.refused.connect(self.refresh)

    def refresh(self) -> None:
        """Shows what the document has."""
        for one in self.refreshers:
            one()


class ControllerDialog(QDialog):
    """Each change counts at once and can be undone."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._models = models
        self.setWindowTitle(tr("Controller: {0}", models.project.document.machine.name))
        self.forms, self.preview = ControllerForms(models), ProgramPreview()
        beside = QVBoxLayout()
        beside.addWidget(StyledLabel(tr("Resulting lines"), is_strong=True))
        note = tr("Of a small corner drawn near the starting point. Lines that your last change made are marked.")
        beside.addWidget(StyledLabel(note, TextSize.SMALL))
        beside.addWidget(self.preview, 1)
        row = QHBoxLayout()
        row.addWidget(self.forms, 1)
        row.addLayout(beside, 1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        add_help_button(buttons, "files")
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addLayout(row, 1)
        column.addWidget(buttons)
        resize_within_screen(self, *SIZE)
        models.project.changed.connect(self._show_lines)
        self._show_lines()

    def _show_lines(self) -> None:
        self.preview.show_document(self._models.project.document, self._models.selection.hanging)
