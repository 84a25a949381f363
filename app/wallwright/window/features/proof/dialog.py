"""The proof drawing: its files to draw, its four tape readings, and what they say of the machine's page."""

from __future__ import annotations

from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.document import edits
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.typed_numbers import evaluate
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.planning.proof_drawing import proof_document, proof_result
from wallwright.statics.calibration.proof import STAY, ProofResult, proof_sentences, undecided_sentence
from wallwright.window.features.export.dialog import ExportDialog, proposed_folder
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.model.models import Models
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.screen_size import lay_out_scrolling


class ProofDialog(QDialog):
    """Corrects what is known of the machine's page, as one edit."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._models = models
        self._document, self._hanging = models.project.document, models.selection.hanging
        self._found: ProofResult | None = None
        self.setWindowTitle(tr("Proof drawing: {0}", self._document.hangings[self._hanging].name))
        note = QLabel(
            tr(
                "Two crosses and a line, drawn in a few minutes, show what the machine's page does with a drawing. "
                "Export it and draw it as its hanging sheet says; you may close this window meanwhile. Then measure from "
                "the middle of both crosses to the middle of both anchors. Cross A is the one beside the line."
            )
            + " "
            + tr(STAY)
        )
        note.setWordWrap(True)
        note.setMinimumWidth(460)
        self.export = QPushButton(tr("Export the proof drawing…"))
        explain(self.export, tr("Writes its file and its hanging sheet to a separate folder."))
        self.export.setAutoDefault(False)
        self.export.clicked.connect(self._export)
        form = QFormLayout()
        names = (
            tr("A to the left anchor"),
            tr("A to the right anchor"),
            tr("B to the left anchor"),
            tr("B to the right anchor"),
        )
        self.readings = [self._field(name, form) for name in names]
        self._message = QLabel()
        self._message.setWordWrap(True)
        self._message.setMinimumHeight(8 * self._message.fontMetrics().lineSpacing())
        buttons = QDialogButtonBox()  # Tab goes in the order of adding
        self.apply = buttons.addButton(tr("Correct the page"), QDialogButtonBox.ButtonRole.AcceptRole)
        explain(
            self.apply,
            tr("Sets unit, size, directions and place of the machine's page as measured; it can be undone."),
        )
        buttons.addButton(QDialogButtonBox.StandardButton.Cancel)
        add_help_button(buttons, "calibration")
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        body = QWidget()
        layout = QVBoxLayout(body)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(note)
        layout.addWidget(self.export)
        layout.addLayout(form)
        layout.addWidget(self._message)
        layout.addStretch(1)
        self._update()
        lay_out_scrolling(self, body, caution_note(Occasion.LADDER, models.project), buttons)
        self.apply.setDefault(True)

    def _field(self, name: str, form: QFormLayout) -> QLineEdit:
        field = QLineEdit()
        explain(field, tr("In mm, by tape, from middle to middle."), name)
        field.textChanged.connect(self._update)
        form.addRow(name, field)
        return field

    def _export(self) -> None:
        """Plans and writes the proof drawing as a separate job."""
        try:
            document = proof_document(self._document, self._hanging)
        except BadValue as error:
            self._message.setText(f"{error}.")
            return
        folder = proposed_folder(self._models.project.path, "proof")
        dialog = ExportDialog(folder, document.machine.controller, self, project=self._models.project)
        if dialog.exec():
            self._models.planning.export(str(dialog.folder), document)

    def _update(self) -> None:
        """Says what the readings so far tell."""
        self._found = None
        texts = [field.text().strip() for field in self.readings]
        if not all(texts):
            self._message.setText(tr("Enter all four readings."))
        else:
            try:
                a, b, c, d = (evaluate(text, "mm") for text in texts)
                self._found = proof_result(self._document, self._hanging, (a, b, c, d))
            except BadValue as error:
                self._message.setText(f"{error}.")
            else:
                page = self._document.machine.controller.page
                self._message.setText(" ".join(proof_sentences(page, self._found)))
        self.apply.setEnabled(self._found is not None)

    def accept(self) -> None:
        """Keeps what was found."""
        if self._found is not None:
            changed = edits.replace(self._models.project.document, machine=self._found.machine)
            self._models.project.edit(tr("Proof drawing"), changed)
            text = tr("The machine's page is corrected. Export again: the files and the numbers to type have changed.")
            self._models.messages.say(" ".join(filter(None, (text, undecided_sentence(self._found.machine)))))
        super().accept()
