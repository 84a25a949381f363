"""Lining up by register marks: what was seen at each, and what that says of the anchors."""

from __future__ import annotations

import dataclasses
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QLabel,
    QLineEdit,
    QMessageBox,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.document import edits
from wallwright.document.errors import BadValue
from wallwright.document.language import format_number, tr, unbroken_units
from wallwright.document.origin import height_text, left_anchor
from wallwright.document.register import AWAY, RegisterMark, Sighting
from wallwright.document.typed_numbers import evaluate
from wallwright.jobs.file_names import VISIT, name_for
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.statics.calibration.register_fit import RegisterFit, line_up
from wallwright.statics.calibration.register_text import agreement, doubts, left_out, moves
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.model.limits_ignored import limits_ignored_now
from wallwright.window.model.models import Models
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.screen_size import lay_out_scrolling

PLACE_LETTERS = 48
"""Of a mark's place in one line."""


def _unexplained(x: float, y: float) -> str:
    """What the fit leaves unexplained of a reading: mm to the right and down."""
    return f"{format_number(x, '+.1f')}; {format_number(y, '+.1f')} mm"


@dataclasses.dataclass(frozen=True)
class _Row:
    mark: RegisterMark
    right: QLineEdit
    down: QLineEdit
    left: QLabel
    """What the fit leaves unexplained."""


class LineUpDialog(QDialog):
    """Corrects the anchors of the current hanging, as one edit."""

    def __init__(self, models: Models, marks: tuple[RegisterMark, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._models, self._document, self._hanging = (
            models,
            models.project.document,
            models.selection.hanging,
        )
        self._found: RegisterFit | None = None
        self._doubts: list[str] = []
        """Why the result cannot be trusted."""
        self.setWindowTitle(
            tr("Line up by marks: {0}", models.project.document.hangings[models.selection.hanging].name)
        )
        text = tr(
            "Hang the machine, set the belts to their starting lengths and run {0}. The machine goes to "
            "each mark with the pen up and pauses. Write down how far the pen is right of and below the "
            "mark; left and above are negative. Leave unread marks empty.",
            name_for(VISIT, self._document.machine.controller, bool(limits_ignored_now(models))),
        )
        note = QLabel(text)
        note.setWordWrap(True)
        note.setMinimumWidth(620)
        body = QWidget()
        layout = QVBoxLayout(body)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(note)
        grid = QGridLayout()
        layout.addLayout(grid)
        layout.addStretch(1)
        origin = left_anchor(self._document, self._document.hangings[self._hanging])
        titles = (tr("Mark"), tr("Pen right of it, mm"), tr("Pen below it, mm"), tr("Unexplained"), tr("Where it is"))
        for column, title in enumerate(titles):
            grid.addWidget(QLabel(f"<b>{title}</b>"), 0, column)
        self._rows: list[_Row] = []
        for number, mark in enumerate(marks, start=1):
            right = self._field(tr("Pen right of {0}", mark.name))
            down = self._field(tr("Pen below {0}", mark.name))
            row = _Row(mark, right, down, QLabel())
            place = QLabel(unbroken_units(f"{origin.text(mark.x, mark.y)}, {height_text(self._document, mark.y)}"))
            place.setWordWrap(True)
            place.setMinimumWidth(PLACE_LETTERS * place.fontMetrics().averageCharWidth())
            row.left.setMinimumWidth(row.left.fontMetrics().horizontalAdvance(_unexplained(-AWAY, -AWAY)))
            for column, widget in enumerate((QLabel(mark.name), row.right, row.down, row.left, place)):
                grid.addWidget(widget, number, column)
            self._rows.append(row)
        grid.setColumnStretch(len(titles) - 1, 1)
        self._message = QLabel()
        self._message.setTextFormat(Qt.TextFormat.RichText)
        self._message.setWordWrap(True)
        self._message.setMinimumHeight(6 * self._message.fontMetrics().lineSpacing())
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        add_help_button(buttons, "hangings")
        self.apply = buttons.addButton(tr("Correct the anchors"), QDialogButtonBox.ButtonRole.AcceptRole)
        explain(self.apply, tr("Moves both anchors to where the marks show they are. You can undo this."))
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        for button in buttons.buttons():
            if isinstance(button, QPushButton):
                button.setAutoDefault(False)  # Return in a field presses nothing that was not meant
        self._look()
        lay_out_scrolling(self, body, self._message, caution_note(Occasion.LADDER, models.project), buttons)

    def _field(self, name: str) -> QLineEdit:
        field = QLineEdit()
        explain(field, tr("In mm. Read to half a millimetre."), name)
        field.textChanged.connect(self._look)
        return field

    def _sightings(self) -> tuple[Sighting, ...]:
        """Of the rows that are filled in. Raises BadValue with the cross."""
        found = []
        for row in self._rows:
            texts = row.right.text().strip(), row.down.text().strip()
            if not any(texts):
                continue
            if not all(texts):
                raise BadValue(tr("{0}: enter both numbers; 0 where the pen is exactly on the mark", row.mark.name))
            right, down = (evaluate(text, "mm") for text in texts)
            if max(abs(right), abs(down)) > AWAY:
                raise BadValue(
                    tr(
                        "{0}: more than {1:.0f} mm off; that was another mark",
                        row.mark.name,
                        AWAY,
                    )
                )
            found.append(Sighting(row.mark, right, down))
        return tuple(found)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._look()  # the box of buttons has just made the first one that accepts the default

    def _look(self) -> None:
        """Fits what is there, and says what it tells."""
        self._found, self._doubts = None, []
        for row in self._rows:
            row.left.clear()
        try:
            sightings = self._sightings()
            self._found = line_up(self._document, self._hanging, sightings)
        except BadValue as trouble:
            self._message.setText(escape(f"{trouble}."))
        else:
            self._show_fit(self._found, sightings)
        self.apply.setEnabled(self._found is not None)
        self.apply.setDefault(self._found is not None and not self._doubts)

    def _show_fit(self, found: RegisterFit, sightings: tuple[Sighting, ...]) -> None:
        rows = {row.mark.name: row for row in self._rows}
        for sighting, (x, y) in zip(sightings, found.residuals.tolist(), strict=True):
            rows[sighting.mark.name].left.setText(_unexplained(x, y))
        names = [sighting.mark.name for sighting in sightings]
        self._doubts = doubts(found, names)
        first = [f"<b>{escape(text)}</b>" for text in (*self._doubts, *left_out(found, names))]
        self._message.setText("<br>".join([*first, *(escape(text) for text in (*moves(found), *agreement(found)))]))

    def _agrees(self) -> bool:
        """Whether the person wants a result although it cannot be trusted."""
        box = QMessageBox(QMessageBox.Icon.Warning, self.windowTitle(), tr("Correct the anchors anyway?"), parent=self)
        box.setInformativeText("\n\n".join(self._doubts))
        correct = box.addButton(tr("Correct the anchors"), QMessageBox.ButtonRole.AcceptRole)
        box.setDefaultButton(box.addButton(QMessageBox.StandardButton.Cancel))
        box.exec()
        is_wanted = box.clickedButton() is correct
        box.deleteLater()
        return is_wanted

    def accept(self) -> None:
        """Corrects the anchors, after a question where the result cannot be trusted; nothing when the document has changed
        meanwhile."""
        if self._doubts and not self._agrees():
            return
        if self._found is not None and self._models.project.document is self._document:
            document = edits.with_field(self._document, f"hangings.{self._hanging}", self._found.hanging)
            self._models.project.edit(tr("Line up by marks"), document)
        super().accept()
