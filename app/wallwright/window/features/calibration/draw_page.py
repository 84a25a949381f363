"""First page: which test drawing, and its job files."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWizardPage,
)

from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.planning.calibration_figure import figure_document, proposal_for, with_survey
from wallwright.statics.calibration.test_figures import FIGURES
from wallwright.window.features.calibration.survey_picture import SurveyPicture
from wallwright.window.features.export.dialog import ExportDialog, proposed_folder
from wallwright.window.widgets.explain import explain

if TYPE_CHECKING:
    from wallwright.window.features.calibration.wizard import CalibrationWizard


class DrawPage(QWizardPage):
    """Choose the figure, look where its crosses go, export it."""

    def __init__(self, wizard: CalibrationWizard) -> None:
        super().__init__(wizard)
        self._wizard = wizard
        self.setTitle(tr("1. Draw the test drawing"))
        self.setSubTitle(
            tr("A few crosses, drawn by your machine as it hangs. What the tape says between them tells what the "
               "machine and its anchors really are.")
        )  # fmt: skip
        self.figure = QComboBox()
        for name, kind in FIGURES.items():
            self.figure.addItem(tr(kind.title), name)
        self.figure.setCurrentIndex(max(self.figure.findData(wizard.hanging.survey.figure), 0))
        explain(
            self.figure,
            tr("More crosses and readings give a surer result and take longer."),
            tr("Kind of test drawing"),
        )
        self._help, self._promise, self._trouble = QLabel(), QLabel(), QLabel()
        for label in (self._help, self._promise, self._trouble):
            label.setWordWrap(True)
        self.export = QPushButton(tr("Export the test drawing …"))
        explain(self.export, tr("Writes the job files and the hanging sheet of the test drawing."))
        self.export.clicked.connect(self._export)
        self.picture = SurveyPicture()
        form = QFormLayout()
        form.addRow(tr("Test drawing"), self.figure)
        column = QVBoxLayout()
        column.addLayout(form)
        for widget in (self._help, self._promise, self.export, self._trouble):
            column.addWidget(widget)
        column.addStretch(1)
        self._next = QLabel(
            tr("Then draw it with the first pen, and leave the machine hanging: the belts must not be reset before "
               "the result is kept. If it is drawn already, go on.")
        )  # fmt: skip
        self._next.setWordWrap(True)
        column.addWidget(self._next)
        row = QHBoxLayout(self)
        row.addLayout(column, 2)
        row.addWidget(self.picture, 3)
        self.figure.currentIndexChanged.connect(self._propose)

    def initializePage(self) -> None:
        self._propose()

    def _propose(self) -> None:
        wizard = self._wizard
        kind = FIGURES[self.figure.currentData()]
        self._help.setText(tr(kind.help))
        try:
            self.proposal = proposal_for(wizard.session.document, wizard.index, self.figure.currentData())
        except BadValue as trouble:
            self.proposal = None
            self._promise.clear()
            self._trouble.setText(f"{trouble}.")
        else:
            self._trouble.clear()
            before, after = self.proposal.expected[0], self.proposal.expected[-1]
            self._promise.setText(
                tr("{0} crosses, {1} readings. Trusting neither survey nor machine, as calibration begins, the pen may "
                   "be ± {2:.0f} mm off its place here; with all readings ± {3:.1f} mm.",
                   len(self.proposal.marks), len(self.proposal.measures), before, after)
            )  # fmt: skip
            self.picture.show_survey(wizard.session.document.wall, wizard.hanging, self.proposal.marks)
        self.export.setEnabled(self.proposal is not None)
        self.completeChanged.emit()

    def _export(self) -> None:
        wizard = self._wizard
        project = wizard.session.path
        folder = proposed_folder(project.with_name(f"{project.stem}-test") if project else None)
        dialog = ExportDialog(folder, wizard.session.document.machine.controller, self)
        if not dialog.exec():
            return
        document = figure_document(wizard.session.document, wizard.index, self.proposal)
        self._keep()
        wizard.session.export(str(dialog.folder), document)

    def _keep(self) -> None:
        wizard = self._wizard
        after = with_survey(wizard.session.document, wizard.index, self.proposal)
        wizard.session.edit(tr("Test drawing"), after)

    def validatePage(self) -> bool:
        """A drawing that was exported before, perhaps by another window, keeps its readings."""
        if self._wizard.hanging.survey.figure != self.figure.currentData():
            self._keep()
        return True

    def isComplete(self) -> bool:
        return getattr(self, "proposal", None) is not None or bool(self._wizard.hanging.survey.marks)
