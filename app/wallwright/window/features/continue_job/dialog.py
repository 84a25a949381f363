"""Going on with a job that stopped: two questions, the wall with what is left, and its export."""

from __future__ import annotations

from html import escape
from pathlib import Path

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QHBoxLayout,
    QInputDialog,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.continuation import Continuation, Interruption, StrokePlace
from wallwright.document.document import Document
from wallwright.document.edits_interruption import remember_interruption
from wallwright.document.errors import BadValue
from wallwright.document.language import duration, tr
from wallwright.document.wall import Hanging
from wallwright.document.whole_file import open_regular_file
from wallwright.jobs.checks import Verdict
from wallwright.jobs.hanging_position import folder_of
from wallwright.jobs.place_by_line import place_by_line
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.planning.plan import Plan, Response
from wallwright.strokes.remaining import point_at, strokes_digest
from wallwright.strokes.strokes import Strokes
from wallwright.window.features.continue_job.position_form import PositionForm
from wallwright.window.features.continue_job.stop_form import StopForm
from wallwright.window.features.continue_job.wall_picture import ContinuePicture, legend
from wallwright.window.features.export.dialog import ExportDialog, proposed_folder
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.model.background_work import BackgroundWork
from wallwright.window.model.limits_ignored import limits_ignored_now
from wallwright.window.model.models import Models
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.screen_size import resize_within_screen, scrolled
from wallwright.window.widgets.theme import StyledLabel

SIZE = 1080, 690
"""Pixels: with a title bar it fits a screen of 768."""
SOON_MS = 250
"""After a change, until the rest is planned: a person may still be turning a wheel."""
FORM_WIDTH = 430
MOST_FORM_WIDTH = 640
"""Pixels of the form: at least, and at most where its texts are long."""


class LineSearch(BackgroundWork):
    """Finds, beside the window, the place at a line of a file that ran. Read `place` or `trouble` when it has finished."""

    def __init__(
        self, file: Path, line: int, document: Document, hanging: Hanging, strokes: Strokes, parent: QWidget
    ) -> None:
        """strokes: of the whole job."""
        super().__init__(parent)
        self._asked = (line, document.machine, hanging, strokes, document.pens)
        self._file = file
        self.place: StrokePlace | None = None

    def work(self) -> None:
        with open_regular_file(self._file, str(self._file)) as lines:
            self.place = place_by_line(lines, *self._asked)


class ContinueDialog(QDialog):
    """Stays beside the window while the person is at the wall; belongs to one window."""

    place_changed = Signal(object)
    """Where it goes on, for the canvas; None once the dialog is over."""

    def __init__(self, models: Models, place: StrokePlace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.models = models
        self._plan: Plan | None = None
        self._rest: Continuation | None = None
        self._planned: Continuation | None = None
        self._exporting = False
        self._finding: LineSearch | None = None
        self.setWindowTitle(tr("Continue from here"))
        self.where, self.hang, self.picture = StopForm(), PositionForm(), ContinuePicture()
        self.summary, self.trouble = StyledLabel(is_strong=True), QLabel()
        self.summary.setMinimumHeight(3 * self.summary.fontMetrics().lineSpacing())
        self.trouble.setMinimumHeight(2 * self.trouble.fontMetrics().lineSpacing())
        self.summary.setAccessibleName(tr("Remaining part"))
        self.cautions = caution_note(Occasion.CONTINUE, models.project)
        for label in (self.summary, self.trouble):
            label.setWordWrap(True)
        self.remember = QCheckBox(tr("Remember in the project where it stopped"))
        explain(self.remember, tr("The project then shows how much is drawn and offers to continue."))
        self.remember.setChecked(True)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        add_help_button(buttons, "stops")
        self.export = QPushButton(tr("Export what is left…"))
        explain(
            self.export,
            tr("Writes job files and a sheet for the remaining part. The files of the whole job are kept."),
        )
        buttons.addButton(self.export, QDialogButtonBox.ButtonRole.ActionRole)
        for button in buttons.findChildren(QPushButton):
            button.setAutoDefault(False)  # Return ends a number, and neither exports nor closes
        self.export.clicked.connect(self._export)
        buttons.rejected.connect(self.reject)
        self._lay_out(buttons)
        self._soon = QTimer(self, singleShot=True, interval=SOON_MS)
        self._soon.timeout.connect(self._ask)
        self.where.changed.connect(self._changed)
        self.hang.changed.connect(self._changed)
        for form in (self.where, self.hang):
            form.refused.connect(self._say)
        self.picture.chosen.connect(self._picked)
        self.where.find_line.connect(self._find_line)
        models.planning.plan_changed.connect(self._plan_changed)
        models.planning.continuation_answered.connect(self._answered)
        self._plan_changed()
        if self._plan is not None and place.stroke < len(self._plan.strokes):
            self.where.go_to(place)
        self.where.stroke.setFocus()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._make_room()

    def _make_room(self) -> None:
        """Whoever reads down the form need not scroll sideways too, unless large text wants more than there is."""
        bar = self._area.verticalScrollBar().sizeHint().width()
        needed = self._forms.minimumSizeHint().width() + bar
        self._area.setMinimumWidth(min(max(needed, FORM_WIDTH), MOST_FORM_WIDTH))

    def _lay_out(self, buttons: QDialogButtonBox) -> None:
        forms = self._forms = QWidget()
        column = QVBoxLayout(forms)
        column.setContentsMargins(0, 0, 8, 0)
        for widget in (self.where, self.hang, self.cautions):
            column.addWidget(widget)
        column.addStretch(1)
        area = self._area = QScrollArea()
        area.setWidget(forms)
        area.setWidgetResizable(True)
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        area.setMinimumWidth(FORM_WIDTH)
        area.setWhatsThis(tr("Two questions: where did the job stop, and where is the machine now?"))
        right = QVBoxLayout()
        right.addWidget(self.picture, 1)
        right.addWidget(legend())
        said = QWidget()  # scrolls where large text leaves it no room
        lines = QVBoxLayout(said)
        lines.setContentsMargins(0, 0, 0, 0)
        for label in (self.summary, self.trouble):
            lines.addWidget(label)
        right.addWidget(scrolled(said))
        row = QHBoxLayout()
        row.addWidget(area)
        row.addLayout(right, 1)
        whole = QVBoxLayout(self)
        whole.addLayout(row, 1)
        whole.addWidget(self.remember)
        whole.addWidget(buttons)
        resize_within_screen(self, *SIZE)

    # What is asked for.

    def _plan_changed(self) -> None:
        """Only the plan of the document as it is now is gone on with."""
        models = self.models
        plan = models.planning.fresh_plan
        if plan is None or plan.is_provisional or not len(plan.strokes):
            self._plan = None
            self.export.setEnabled(False)
            return
        if plan is self._plan:
            return
        self._plan = plan
        self._planned = None
        self.hang.show_document(models.project.document, plan.hanging)
        self.where.show_plan(plan, models.project.document)
        self._make_room()

    def _changed(self) -> None:
        """Shows at once what is asked for, and plans it soon."""
        plan = self._plan
        if plan is None:
            return
        self._rest = None
        self.export.setEnabled(False)
        place = self.where.place
        try:
            rest = self.where.rest()
            place = rest.place
            if not self.hang.slip.isChecked():
                self.hang.go_to(point_at(plan.strokes, place))
            self._rest = self.hang.hung(rest)
            self.trouble.clear()
            self.summary.setText(tr("Planning what is left…"))
        except BadValue as trouble:
            self.summary.clear()
            self._say(f"{trouble}.")
        document = self.models.project.document
        start = None
        if self._rest is not None:
            start = self._rest.start or document.hangings[plan.hanging].start_point
        seen = self.hang.seen if self.hang.slip.isChecked() else None
        self.picture.show_place(document, plan, place, start, seen)
        self.place_changed.emit(place)
        if self._rest is not None:
            self._soon.start()

    def _picked(self, place: StrokePlace) -> None:
        """A click on the picture: where a slip was measured while that is asked for, else where it goes on."""
        if self.hang.slip.isChecked() and self._plan is not None:
            self.hang.go_to(point_at(self._plan.strokes, place))
            self._changed()
        else:
            self.where.go_to(place)

    def _find_line(self) -> None:
        """Asks for the file that ran and the line it stopped at, and looks where that is."""
        if self._plan is None or self._finding is not None:
            return
        start = str(self._program())
        name, _ = QFileDialog.getOpenFileName(self, tr("The file that was running"), start, "RS-274 (*.ngc);;(*)")
        if not name:
            return
        line, good = QInputDialog.getInt(
            self,
            tr("Line in the file"),
            tr("The line at which the controller stopped, counted from 1"),
            1,
            1,
            2**31 - 1,
        )
        if good:
            document, plan = self.models.project.document, self._plan
            hanging = document.hangings[plan.hanging]
            self._finding = LineSearch(Path(name), line, document, hanging, plan.strokes, self)
            self._finding.finished.connect(self._found_line)
            self._finding.start()

    def _found_line(self) -> None:
        finding, self._finding = self._finding, None
        if finding is None:
            return
        if finding.place is not None and self._plan is not None:
            self.where.go_to(finding.place)
        elif finding.trouble:
            self._say(finding.trouble)
        finding.deleteLater()

    def _say(self, sentence: str) -> None:
        self.trouble.setText(f"<b>{escape(sentence)}</b>")

    def _ask(self) -> None:
        if self._plan is None or self._rest is None:
            return
        self._planned = self._rest
        self.models.planning.plan_continuation(self._rest)

    def _answered(self, answer: Response) -> None:
        if self._exporting:
            self._exporting = False
            if answer.files:
                self.accept()
                return
        if answer.trouble:
            self.summary.clear()
            self._say(answer.trouble)
        elif answer.plan is not None and self._planned is self._rest:
            self._show(answer.plan)

    def _show(self, rest: Plan) -> None:
        before, pens = rest.before, self.models.project.document.pens
        if before is None:
            raise ValueError("a plan of what is left says what is drawn before it")
        names = ", ".join(pens[b.pen].name for b in rest.motion.blocks)
        text = tr(
            "Strokes {0} to {1} of {1}, about {2}: {3}.",
            before.first + 1,
            before.of,
            duration(rest.estimate.total_s),
            names,
        )
        typical, worst = before.lines_up
        text += " " + tr("It joins the drawing to within about ± {0:.1f} mm, ± {1:.1f} mm at worst.", typical, worst)
        self.summary.setText(text)
        bad = [c for c in rest.checks if c.verdict is Verdict.ERROR]
        warned = [c for c in rest.checks if c.verdict is Verdict.WARNING]
        if bad or warned:
            self._say(" ".join(f"{c.title}: {c.text}" for c in bad or warned))
        else:
            self.trouble.clear()
        self.export.setEnabled(not bad)

    # What is done.

    def _interruption(self, plan: Plan) -> Interruption:
        """Where it stopped, as the project keeps it."""
        strokes = plan.strokes
        return Interruption(self.where.place, len(strokes), strokes_digest(strokes), plan.hanging)

    def _export(self) -> None:
        rest, plan = self._rest, self._plan
        if rest is None or plan is None:
            return
        dialog = ExportDialog(
            self._folder(),
            self.models.project.document.machine.controller,
            self,
            rest_from=rest.place.stroke + 1,
            project=self.models.project,
            ignored=limits_ignored_now(self.models),
        )
        if not dialog.exec():
            return
        if self.remember.isChecked():
            after = remember_interruption(self.models.project.document, self._interruption(plan))
            if after != self.models.project.document:
                self.models.project.edit(tr("Remember where it stopped"), after)
        self._exporting = True
        self.summary.setText(tr("Exporting what is left…"))
        self.models.planning.plan_continuation(rest, str(dialog.folder))

    def _folder(self) -> Path:
        """Where the whole job of this hanging is proposed to go."""
        folder = proposed_folder(self.models.project.path)
        has_several = len(self.models.project.document.hangings) > 1
        return folder / folder_of(self._plan.hanging) if has_several and self._plan is not None else folder

    def _program(self) -> Path:
        """The program of this hanging that ran, as far as that is known."""
        has_several = len(self.models.project.document.hangings) > 1
        for path in map(Path, self.models.planning.exported_files):
            is_own = not has_several or self._plan is None or path.parent.name == folder_of(self._plan.hanging)
            if path.suffix == ".ngc" and is_own:
                return path
        return self._folder() / "belts.ngc"

    def done(self, result: int) -> None:
        if self._finding is not None:
            self._finding.abandon()
        self._soon.stop()
        self.place_changed.emit(None)
        self.picture.close_ink()
        super().done(result)
