"""Second page: the readings, one line each, with a picture of the one to take."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
    QWizardPage,
)

from wallwright.document.calibration import LEFT, RIGHT, Survey, TapeReading, reading_titles
from wallwright.document.edits import replace
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.typed_numbers import evaluate, shown
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.statics.calibration.fit import FEWEST
from wallwright.statics.calibration.measurement_model import Readings
from wallwright.window.features.calibration.state import CalibrationState
from wallwright.window.features.calibration.survey_picture import SurveyPicture
from wallwright.window.model.caution_memory import is_dismissed
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.theme import StyledLabel, TextSize
from wallwright.window.widgets.whole_text import WholeTextDelegate

WHAT, ABOUT, READING, SURE = range(4)
KINDS = ("distance", "across", "down")
DOUBTFUL = 100.0
"""mm. A reading further than this from what is expected is rather a slip than a machine: the budget before calibration,
which trusts neither survey nor machine, says about ± 40 mm."""


class ReadingDelegate(WholeTextDelegate):
    """Return ends a reading at once. The usual delegate does it when all keys that wait are read: what was typed ahead while
    the computer was busy would go into the reading before."""

    def eventFilter(self, editor: QObject, event: QEvent) -> bool:
        is_press = event.type() == QEvent.Type.KeyPress
        key = event.key() if is_press and isinstance(event, QKeyEvent) else None
        if not isinstance(editor, QWidget) or key not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            return super().eventFilter(editor, event)
        self.commitData.emit(editor)
        self.closeEditor.emit(editor, QAbstractItemDelegate.EndEditHint.SubmitModelCache)
        return True


class ReadingsTable(QTableWidget):
    """Return goes on to the next reading, as on paper. It never presses the wizard's button."""

    def __init__(self, rows: int, columns: int) -> None:
        super().__init__(rows, columns)
        self.setItemDelegate(ReadingDelegate(self))

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        super().closeEditor(editor, hint)
        if hint == QAbstractItemDelegate.EndEditHint.SubmitModelCache:
            self._go_on()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.state() != self.State.EditingState:
            self._go_on()
        else:
            super().keyPressEvent(event)

    def _go_on(self) -> None:
        if (row := self.currentRow()) < self.rowCount() - 1:
            self.setCurrentCell(row + 1, self.currentColumn())


class MeasurePage(QWizardPage):
    """A table of readings that takes units and arithmetic."""

    def __init__(self, state: CalibrationState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self.setTitle(tr("2. Measure"))
        self.setSubTitle(
            tr(
                "Measure from centre to centre of crosses or anchors. The first readings help most. Take at least three."
            )
        )
        how = StyledLabel(
            tr("“Right of”: from a plumb line that hangs from the other point. “Below”: with a spirit level."),
            TextSize.SMALL,
        )
        self.table = ReadingsTable(0, 4)
        heads = tr("Measure"), tr("Expected, mm"), tr("Reading, mm"), tr("Uncertainty ±, mm")
        # The unit goes below, so that what is to be measured keeps its room with large text.
        self.table.setHorizontalHeaderLabels([head.replace(" ", "\n", 1) for head in heads])
        self.table.verticalHeader().hide()
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.table.setAccessibleName(tr("Readings"))
        self.table.setWhatsThis(tr("Type the reading in mm, or with a unit: 1.203 m or 47.375 in."))
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(WHAT, QHeaderView.ResizeMode.Stretch)  # in two lines where the screen is narrow
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.currentCellChanged.connect(self._point_out)
        self.table.itemChanged.connect(self._typed)
        self._message = QLabel()
        self._message.setWordWrap(True)
        self._message.setMinimumHeight(2 * self._message.fontMetrics().lineSpacing())
        self.picture = SurveyPicture()
        self._kind, self._a, self._b = QComboBox(), QComboBox(), QComboBox()
        for box, name in (
            (self._kind, tr("Kind")),
            (self._a, tr("From")),
            (self._b, tr("To")),
        ):
            explain(box, tr("Another reading: what kind, and between which points."), name)
        for kind, title in zip(KINDS, (tr("Tape"), tr("Plumb line"), tr("Spirit level")), strict=True):
            self._kind.addItem(title, kind)
        add = QPushButton(tr("Add"))
        explain(add, tr("Add a reading of your own"))
        add.clicked.connect(self._add)
        own = QHBoxLayout()
        own.addWidget(QLabel(tr("Add:")))
        for widget in (self._kind, self._a, self._b, add):
            own.addWidget(widget)
        left = QVBoxLayout()
        left.addWidget(self.table, 1)
        left.addWidget(how)
        left.addWidget(self._message)
        left.addLayout(own)
        self._cautions = caution_note(Occasion.LADDER, state.models.project)
        left.addWidget(self._cautions)
        row = QHBoxLayout(self)
        row.addLayout(left, 3)
        row.addWidget(self.picture, 2)
        self._filling = False
        self._about = np.empty(0)
        self._listed: tuple[TapeReading, ...] = ()
        """Readings that the table shows."""
        state.models.project.changed.connect(self._follow)

    @property
    def survey(self) -> Survey:
        """The test drawing and its readings."""
        return self._state.survey

    def initializePage(self) -> None:
        survey, state = self.survey, self._state
        names = [*(m.name for m in survey.marks), LEFT, RIGHT]
        for box in (self._a, self._b):
            box.clear()
            box.addItems(names)
        self._b.setCurrentIndex(min(1, len(names) - 1))
        if is_dismissed(state.models.project, Occasion.LADDER.name):  # on the page before
            self._cautions.hide()
        self.picture.show_survey(state.document.wall, state.hanging, survey.marks)
        self._fill()
        self.table.setCurrentCell(0, READING)
        self.table.setFocus()

    def _fill(self) -> None:
        survey, hanging = self.survey, self._state.hanging
        points = [(m.x, m.y) for m in survey.marks]
        points += [(hanging.left.x, hanging.left.y), (hanging.right.x, hanging.right.y)]
        self._about = Readings.of(survey.marks, survey.measures).predicted(np.array(points, dtype=float))
        self._filling, self._listed = True, survey.measures
        self.table.setRowCount(len(survey.measures))
        titles = reading_titles(survey.measures)
        for row, measure in enumerate(survey.measures):
            reading = "" if measure.value is None else shown(float(measure.value))
            for column, text in enumerate(
                (titles[row], f"{self._about[row]:.0f}", reading, shown(float(measure.uncertainty)))
            ):
                item = QTableWidgetItem(text)
                flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
                if column in (READING, SURE):
                    flags |= Qt.ItemFlag.ItemIsEditable
                if column != WHAT:
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                item.setFlags(flags)
                self.table.setItem(row, column, item)
        self._filling = False
        self.completeChanged.emit()

    def _follow(self) -> None:
        """Undo and redo in the main window change the readings too."""
        if self.isVisible() and not self._filling and self.survey.measures != self._listed:
            self._fill()

    def _keep(self, readings: tuple[TapeReading, ...]) -> None:
        self._listed = readings
        self._state.keep_readings(readings)
        self._listed = self.survey.measures

    def _point_out(self, row: int, *_: int) -> None:
        measures = self.survey.measures
        self.picture.show_measure(measures[row] if 0 <= row < len(measures) else None)

    def _typed(self, item: QTableWidgetItem) -> None:
        if self._filling:
            return
        row, text = item.row(), item.text().strip()
        measure = self.survey.measures[row]
        try:
            if item.column() == READING:
                measure = replace(measure, value=evaluate(text, "mm") if text else None)
            else:
                sure = evaluate(text, "mm")
                if not 0.05 <= sure <= 100:
                    raise BadValue(tr("Enter an uncertainty from 0.05 to 100 mm"))
                measure = replace(measure, uncertainty=sure)
        except BadValue as error:
            self._message.setText(f"{error}.")
        else:
            self._message.setText(self._doubt(row, measure))
            self._keep((*self.survey.measures[:row], measure, *self.survey.measures[row + 1 :]))
        measure = self.survey.measures[row]
        value = measure.value if item.column() == READING else measure.uncertainty
        self._filling = True
        item.setText("" if value is None else shown(float(value)))
        self._filling = False
        self.completeChanged.emit()

    def _doubt(self, row: int, measure: TapeReading) -> str:
        """What is odd about a reading, while the tape is still at hand; "" when nothing is."""
        if measure.value is None or abs(measure.value - self._about[row]) <= DOUBTFUL:
            return ""
        return tr(
            "{0}: {1} mm is far from the expected {2:.0f} mm. Check the tape and the cross; if the reading is "
            "right, leave it.",
            measure.words,
            shown(float(measure.value)),
            self._about[row],
        )

    def _add(self) -> None:
        measure = TapeReading(self._kind.currentData(), self._a.currentText(), self._b.currentText())
        if measure.a == measure.b:
            self._message.setText(tr("A reading is between two different points."))
            return
        self._keep((*self.survey.measures, measure))
        self._fill()
        self.table.setCurrentCell(self.table.rowCount() - 1, READING)
        self.table.setFocus()

    def isComplete(self) -> bool:
        return len(self.survey.read) >= FEWEST
