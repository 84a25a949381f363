"""What the pages of the calibration share: the hanging that is calibrated, and the ways to change it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from wallwright.document.calibration import Survey, TapeReading
from wallwright.document.document import Document
from wallwright.document.edits import replace, with_field
from wallwright.document.language import tr
from wallwright.document.wall import Hanging
from wallwright.planning.calibration_figure import (
    figure_document,
    learnt_document,
    proposal_for,
    with_survey,
)
from wallwright.statics.calibration.figure_proposal import FigureProposal
from wallwright.statics.calibration.fit import CalibrationResult
from wallwright.window.features.export.dialog import proposed_folder
from wallwright.window.model.models import Models


@dataclass
class CalibrationState:
    """One hanging of a window's document, read again at every use."""

    models: Models
    index: int
    """Number of the hanging in the document."""
    chosen: Survey | None = None
    """A test drawing that was chosen and is not in the document yet: looking at its readings changes nothing."""

    @property
    def document(self) -> Document:
        """The present document."""
        return self.models.project.document

    @property
    def hanging(self) -> Hanging:
        """The hanging that is calibrated."""
        return self.document.hangings[self.index]

    @property
    def survey(self) -> Survey:
        """The test drawing and its readings."""
        present = self.hanging.survey
        return present if self.chosen is None or self.chosen.marks == present.marks else self.chosen

    def proposal(self, figure: str) -> FigureProposal:
        """Where the crosses of a test drawing go. Raises BadValue when there is no room for them."""
        return proposal_for(self.document, self.index, figure)

    def choose_figure(self, proposal: FigureProposal) -> None:
        """Takes a test drawing for what is measured next; it comes into the document with its first reading, or when it is
        exported. One of the same kind that is in the document stays, with its readings."""
        present = self.hanging.survey
        if present.figure == proposal.figure:
            # The same, should its readings be undone.
            self.chosen = replace(present, measures=tuple(replace(m, value=None) for m in present.measures))
        else:
            self.chosen = with_survey(self.document, self.index, proposal).hangings[self.index].survey

    def keep_figure(self, proposal: FigureProposal) -> None:
        """Makes a test drawing that of the hanging; readings of an earlier one go."""
        self.chosen = None
        self.models.project.edit(tr("Test drawing"), with_survey(self.document, self.index, proposal))

    def proposed_folder(self) -> Path:
        """Where the job of the test drawing goes, beside the project's own."""
        path = self.models.project.path
        return proposed_folder(path, "test")

    def export_figure(self, proposal: FigureProposal, folder: Path) -> None:
        """Keeps a test drawing and writes its job."""
        document = figure_document(self.document, self.index, proposal)
        self.keep_figure(proposal)
        self.models.planning.export(str(folder), document)

    def keep_readings(self, readings: tuple[TapeReading, ...]) -> None:
        """Puts readings in place of the present ones; edits in a row are one step of undo."""
        survey = replace(self.survey, measures=readings)
        document = with_field(self.document, f"hangings.{self.index}.survey", survey)
        self.models.project.edit(tr("Readings"), document, "readings")

    def keep_result(self, result: CalibrationResult) -> None:
        """Writes what was found into machine and hanging, as one edit."""
        document = learnt_document(self.document, self.index, self.survey, result, date.today().isoformat())
        self.models.project.edit(tr("Calibration"), document)
