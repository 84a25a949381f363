"""The page of the guided start for pens and artwork."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor
from PySide6.QtWidgets import (
    QCheckBox,
    QColorDialog,
    QFileDialog,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QWidget,
)

from wallwright.artwork.colour import name_of
from wallwright.artwork.inks.markers import MARKERS
from wallwright.artwork.media import ARTWORK_FILES
from wallwright.document.document import Pen
from wallwright.document.edits import replace
from wallwright.document.language import tr
from wallwright.document.quantity import quantities
from wallwright.document.start_answers import StartAnswers
from wallwright.window.features.start.guided_start_pages import GuidedStartPage
from wallwright.window.features.start.line_widths import LineWidths
from wallwright.window.model.settings import keep_folder, last_folder
from wallwright.window.widgets.choices import swatch
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.number_field import NumberField
from wallwright.window.widgets.theme import CLOSE, Kind, as_kind

PENS_ACROSS = 2
USUAL_WIDTH = Pen("", "", "#000000").width
"""mm, of a line by a pen that nobody measured."""


class PensPage(GuidedStartPage):
    """The pens that the person owns, and what they draw."""

    artwork_chosen = Signal(object)
    """Path of a file; None: no artwork yet."""
    demo_chosen = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Tick the pens you own. Colours of the artwork are mixed from them."), parent)
        self._boxes: dict[str, QCheckBox] = {}
        self._width = USUAL_WIDTH
        """Of the pens that were ticked last, mm."""
        self._is_answered = False
        """Whether the person has ticked or unticked a pen; until then there is a usual one."""
        self._grid = QGridLayout()
        self._grid.setVerticalSpacing(0)
        for marker in MARKERS:
            if marker.pen_name:
                self._add_box(marker.colour, tr(marker.pen_name))
        other = as_kind(QPushButton(tr("Other colour…")), Kind.QUIET)
        explain(other, tr("Choose the colour of another pen."))
        other.clicked.connect(self._choose_other)
        self._other = other
        self._place_other()
        self.column.addLayout(self._grid)
        self.width_field = NumberField(quantities(Pen)["width"], USUAL_WIDTH)
        self.width_field.setToolTip(
            tr("Draw a line with one of your pens and measure how wide it is, or hold it beside the lines below.")
            + "\n"
            + self.width_field.toolTip()
        )
        self.width_field.entered.connect(self._enter_width)
        self.width_field.refused_unseen.connect(self.refused)
        width = QFormLayout()
        width.addRow(tr("Line width"), self.width_field)
        self.column.addLayout(width)
        self.widths = LineWidths()
        self.widths.chosen.connect(self._enter_width)
        self.column.addWidget(self.widths)
        row = QHBoxLayout()
        row.setSpacing(CLOSE)
        self.choose = QPushButton()
        explain(self.choose, tr("What to draw: an SVG file or a picture. You can add more at any time."))
        self.choose.clicked.connect(self._choose_artwork)
        self.demo = as_kind(QPushButton(tr("Use the demo's harbour")), Kind.QUIET)
        explain(self.demo, tr("A harbour in four colours, with its own pens."))
        self.demo.clicked.connect(self.demo_chosen)
        self.remove = as_kind(QPushButton(tr("Remove artwork")), Kind.QUIET)
        explain(self.remove, tr("The project begins without artwork."))
        self.remove.clicked.connect(self._remove_artwork)
        row.addWidget(self.choose)
        row.addWidget(self.demo)
        row.addWidget(self.remove)
        row.addStretch(1)
        self.column.addLayout(row)
        self.column.addStretch(1)
        self.forget_files()

    def forget_files(self) -> None:
        self.show_artwork("")
        self._is_answered = False

    def show_artwork(self, name: str) -> None:
        """Shows the name of the chosen artwork; "": none."""
        self.choose.setText(name or tr("Choose artwork…"))
        self.remove.setVisible(bool(name))

    def _remove_artwork(self) -> None:
        self.show_artwork("")
        self.choose.setFocus()
        self.artwork_chosen.emit(None)

    @property
    def is_without_pen(self) -> bool:
        """Whether the person has unticked the last pen."""
        return self._is_answered and not self.answers.pens

    def show_answers(self, answers: StartAnswers) -> None:
        super().show_answers(answers)
        usual = () if self._is_answered else (Pen("black", tr("Black marker"), "#202020"),)
        pens = {pen.colour: pen for pen in answers.pens or usual}
        for colour, pen in pens.items():
            if colour not in self._boxes:
                self._add_box(colour, pen.name)
                self._place_other()
        for colour, box in self._boxes.items():
            box.setChecked(colour in pens)
        self._width = next((pen.width for pen in pens.values()), self._width)
        self.width_field.show_value(self._width)
        self.widths.show_width(self._width)

    def _add_box(self, colour: str, name: str) -> None:
        box = QCheckBox(name)
        box.setIcon(swatch(colour))
        explain(box, tr("Whether you own this pen."))
        box.clicked.connect(self._say)
        number = len(self._boxes)
        self._boxes[colour] = box
        self._grid.addWidget(box, number // PENS_ACROSS, number % PENS_ACROSS)

    def _place_other(self) -> None:
        """After the last pen."""
        number = len(self._boxes)
        self._grid.addWidget(self._other, number // PENS_ACROSS, number % PENS_ACROSS, Qt.AlignmentFlag.AlignLeft)
        for row in range(self._grid.rowCount()):  # all as far apart as the one with the button
            self._grid.setRowMinimumHeight(row, self._other.sizeHint().height())

    def _say(self) -> None:
        """The pens that are ticked, as wide as before."""
        self._enter_width(self._width)

    def _enter_width(self, width: float) -> None:
        self._width, self._is_answered = float(width), True
        old = {pen.colour: pen for pen in self.answers.pens}
        pens = []
        for number, (colour, box) in enumerate(self._boxes.items()):
            if box.isChecked():
                pen = old.get(colour) or Pen(f"pen-{number + 1}", box.text(), colour)
                pens.append(replace(pen, width=float(width)))
        self.answered.emit(replace(self.answers, pens=tuple(pens)))

    def _choose_other(self) -> None:
        colour = QColorDialog.getColor(QColor("#2f7d4f"), self, tr("Pen colour"))
        if colour.isValid():
            if colour.name() not in self._boxes:
                self._add_box(colour.name(), name_of(colour.name()))
                self._place_other()
            self._boxes[colour.name()].setChecked(True)
            self._say()

    def _choose_artwork(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, tr("Add artwork"), last_folder("artwork"), tr("Artwork ({0})", ARTWORK_FILES)
        )
        if name:
            keep_folder("artwork", Path(name))
            self.show_artwork(Path(name).name)
            self.artwork_chosen.emit(Path(name))
