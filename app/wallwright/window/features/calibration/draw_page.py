"""First page: which test drawing, and its job files."""

from __future__ import annotations

import math
from pathlib import Path

from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
    QWizardPage,
)

from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.planning.calibration_figure import proof_first
from wallwright.statics.calibration.figure_proposal import FIGURES, FigureProposal
from wallwright.statics.calibration.report_text import twice_sentence
from wallwright.window.features.calibration.state import CalibrationState
from wallwright.window.features.calibration.survey_picture import SurveyPicture
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.screen_size import scrolled


class DrawPage(QWizardPage):
    """To choose the figure, see where its crosses go, and export it."""

    def __init__(self, state: CalibrationState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self.proposal: FigureProposal | None = None
        """The chosen test drawing; None: it has no room on the wall."""
        self.setTitle(tr("1. Draw the test drawing"))
        self.setSubTitle(tr("Your machine draws a few crosses. Readings between them show its true values."))
        self.figure = QComboBox()
        for name, kind in FIGURES.items():
            self.figure.addItem(tr(kind.title), name)
        takes_drawing = state.document.machine.controller.takes == "drawing"  # its formula is to be found too
        usual = "grid" if takes_drawing else next(iter(FIGURES))
        self.figure.setCurrentIndex(max(self.figure.findData(state.survey.figure or usual), 0))
        explain(
            self.figure,
            tr("More crosses and readings give a more accurate result and take longer."),
            tr("Kind of test drawing"),
        )
        self._help, self._promise, self._trouble, self.written = QLabel(), QLabel(), QLabel(), QLabel()
        for label in (self._help, self._promise, self._trouble, self.written):
            label.setWordWrap(True)
        self.export = QPushButton(tr("Export the test drawing…"))
        explain(self.export, tr("Writes the job files and the hanging sheet for the test drawing."))
        self.export.clicked.connect(self._export)
        self.picture = SurveyPicture()
        form = QFormLayout()
        form.addRow(tr("Test drawing"), self.figure)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(form)
        for widget in (self._help, self._promise, self.export, self.written, self._trouble):
            column.addWidget(widget)
        column.addStretch(1)
        self._next = QLabel(
            tr(
                "Draw it with the first pen, with the numbers that “What to type” says. Leave the anchors as they are. If "
                "it is already drawn, continue."
            )
            if takes_drawing
            else tr(
                "Draw it with the first pen and leave the machine hanging. Do not reset the belts before you "
                "apply the result. If it is already drawn, continue."
            )
        )
        self._next.setWordWrap(True)
        column.addWidget(self._next)
        column.addWidget(caution_note(Occasion.LADDER, state.models.project))
        area = scrolled(body)
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        row = QHBoxLayout(self)
        row.addWidget(area, 1)
        row.addWidget(self.picture, 1)
        self.figure.currentIndexChanged.connect(self._propose)
        state.models.planning.exported.connect(self._show_written)

    def initializePage(self) -> None:
        self._propose()

    def _show_written(self, paths: tuple[str, ...]) -> None:
        """Says it here too: the wizard can cover the message in the main window. paths: of all files."""
        if paths:
            self.written.setText(tr("The test drawing is in the folder {0}.", Path(paths[-1]).parent.name))

    def _propose(self) -> None:
        self.written.clear()
        state, figure = self._state, self.figure.currentData()
        self._help.setText(tr(FIGURES[figure].help))
        try:
            proposal = state.proposal(figure)
        except BadValue as error:
            self.proposal = None
            self._promise.clear()
            self._trouble.setText(f"{error}.")
        else:
            self.proposal = proposal
            self._trouble.setText(proof_first(state.document))
            before, after = proposal.expected[0], proposal.expected[-1]
            heights = [state.document.wall.floor - m.y for m in proposal.marks]
            where = tr("The crosses are {0:.0f} to {1:.0f} mm above the floor.", min(heights), max(heights))
            self._promise.setText(
                tr(
                    "{0} crosses, {1} readings. Before calibrating, the pen may be off by ± {2:.0f} mm here; "
                    "after all readings by ± {3:.1f} mm.",
                    len(proposal.marks),
                    len(proposal.measures),
                    before,
                    after,
                )
                + " "
                + tr("An error of {0:.0f} mm in any of them shows.", math.ceil(max(proposal.detectable)))
                + " "
                + twice_sentence(proposal.measures)
                + " "
                + where
            )
            self.picture.show_survey(state.document.wall, state.hanging, proposal.marks)
        self.export.setEnabled(self.proposal is not None)
        self.completeChanged.emit()

    def _export(self) -> None:
        state, proposal = self._state, self.proposal
        dialog = ExportDialog(
            state.proposed_folder(),
            state.document.machine.controller,
            self,
            project=state.models.project,
        )
        if proposal is not None and dialog.exec():
            state.export_figure(proposal, dialog.folder)

    def validatePage(self) -> bool:
        """A drawing that was exported before, perhaps by another window, keeps its readings."""
        if self.proposal is not None and self._state.survey.figure != self.figure.currentData():
            self._state.choose_figure(self.proposal)
        return True

    def isComplete(self) -> bool:
        return self.proposal is not None or bool(self._state.survey.marks)
