"""What is read of the friction figure: how hard each pen rubs on the wall."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QFileDialog, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QPushButton

from wallwright.artwork.media import PICTURE_FILES
from wallwright.document.document import Document
from wallwright.document.language import format_number, tr
from wallwright.document.typed_numbers import evaluate
from wallwright.planning.friction_figure import DISTANCES, LINES, READING_SIGMA, SPACING, friction_figure, read_friction
from wallwright.planning.friction_photo import FrictionPhotoReading
from wallwright.window.features.pens.photo_dialog import FrictionPhotoDialog
from wallwright.window.features.pens.reading_page import FigurePicture, ReadingPage, friction_text, pen_label
from wallwright.window.model.settings import keep_folder, last_folder
from wallwright.window.widgets.explain import explain

FIELD_WIDTH = 270
"""Pixels: room for six distances with two decimals."""


class FrictionPage(ReadingPage):
    """Both combs of each pen."""

    def __init__(self, document: Document, hanging: int) -> None:
        super().__init__(
            tr(
                "Export the figure and draw it. Each pen draws two combs of lines to and fro, {0:g} mm apart. Friction "
                "makes wide and narrow distances alternate. Measure the {1} distances between neighbouring lines in the "
                "middle of their lengths, and enter them in order, with spaces between them. Half a millimetre is enough; "
                "one comb will do. Or take a photo of the figure from in front.",
                SPACING,
                DISTANCES,
            ),
            tr("Export the friction figure…"),
        )
        self._document, self._hanging = document, hanging
        self._from_photo: dict[tuple[str, int], tuple[str, tuple[float, ...], float]] = {}
        """By pen and comb: what its field says, the distances, and their uncertainty, mm."""
        photo = QPushButton(tr("Read from a photo…"))
        explain(photo, tr("Finds the lines in a photo of the figure, and enters the distances between them."))
        photo.setAutoDefault(False)
        photo.clicked.connect(self._choose_photo)
        self.buttons.insertWidget(1, photo)
        grid = QGridLayout()
        for column, title in enumerate((tr("Pen"), tr("First comb, mm"), tr("Second comb, mm"))):
            grid.addWidget(QLabel(title), 0, column)
        self.fields: dict[str, tuple[QLineEdit, QLineEdit]] = {}
        for row, pen in enumerate((pen for pen in document.pens if not pen.same_as), start=1):
            grid.addWidget(pen_label(pen), row, 0)
            help = tr("Distances between neighbouring lines, in order, such as 11.2 8.9 11.1 9.")
            fields = (
                self.add_field(tr("{0}: first comb", pen.name), help),
                self.add_field(tr("{0}: second comb", pen.name), help),
            )
            for column, field in enumerate(fields, start=1):
                field.setMaximumWidth(FIELD_WIDTH)
                grid.addWidget(field, row, column)
            self.fields[pen.id] = fields
        grid.setColumnStretch(1, 1)
        grid.setColumnStretch(2, 1)
        picture = QHBoxLayout()
        picture.addWidget(_CombPicture())
        picture.addStretch(1)
        self.column.addLayout(picture)
        self.column.addLayout(grid)
        self.column.addWidget(self.message)
        self.column.addStretch(1)
        self.update_result()

    def drawing(self) -> Document:
        """The figure."""
        return friction_figure(self._document, self._hanging)

    def learnt(self, document: Document) -> Document:
        """The document with the friction as read. Raises BadValue."""
        ids = [pen.id for pen in document.pens]
        for pen, fields in self.fields.items():
            if any(field.text().strip() for field in fields):
                (first, a), (second, b) = (self._distances(pen, comb, field) for comb, field in enumerate(fields))
                document = read_friction(document, self._hanging, ids.index(pen), (first, second), (a, b))
        return document

    def _distances(self, pen: str, comb: int, field: QLineEdit) -> tuple[list[float], float]:
        """mm, in order, and how well they are known. Raises BadValue."""
        text = field.text().strip()
        if (pen, comb) in self._from_photo:
            shown, distances, uncertainty = self._from_photo[pen, comb]
            if text == shown:
                return list(distances), uncertainty
        return [evaluate(part, "mm") for part in re.split(r"[\s;]+", text) if part], READING_SIGMA

    def _choose_photo(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, tr("Photo of the friction figure"), last_folder("friction photo"), tr("Pictures ({0})", PICTURE_FILES)
        )
        if name:
            keep_folder("friction photo", Path(name))
            self.open_photo(Path(name))

    def open_photo(self, path: Path) -> None:
        """Shows what a photo says, and enters it if the person agrees."""
        dialog = FrictionPhotoDialog(self._document, self._hanging, path, self)
        if dialog.exec() and dialog.reading is not None:
            self.enter_photo(dialog.reading)
        dialog.deleteLater()

    def enter_photo(self, reading: FrictionPhotoReading) -> None:
        """Fills in the distances that a photo shows."""
        for comb in reading.combs:
            pen = self._document.pens[comb.comb.pen].id
            text = " ".join(format_number(distance, ".2f") for distance in comb.distances)
            self._from_photo[pen, comb.comb.number] = text, comb.distances, comb.uncertainty
            self.fields[pen][comb.comb.number].setText(text)

    def update_result(self) -> None:
        self.is_read = any(field.text().strip() for fields in self.fields.values() for field in fields)
        self.is_good = True
        found = self.learnt_or_message(self._document)
        if found is not None:
            self.message.setText(
                " ".join(
                    friction_text(pen)
                    for pen, before in zip(found.pens, self._document.pens, strict=True)
                    if pen != before
                )
            )
        self.changed()


class _CombPicture(FigurePicture):
    """A comb with its distances, and the way in which the second comb lies."""

    WIDE, NARROW = 11.2, 8.9
    """mm: friction moves the lines to and fro by about half a millimetre each."""
    SCALE = 4.2
    """Pixels per mm across the lines."""
    TOP, HEIGHT = 10.0, 112.0
    """Pixels of the lines."""

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        line, mark = self.palette().windowText().color(), QColor("#c04040")
        places = [12.0]
        for number in range(DISTANCES):
            places.append(places[-1] + self.SCALE * self._distance(number))
        ends = (self.TOP, self.TOP + self.HEIGHT)
        comb = [QPointF(x, ends[end ^ (k % 2)]) for k, x in enumerate(places) for end in (0, 1)]
        painter.setPen(QPen(line, 3, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
        painter.drawPolyline(QPolygonF(comb))
        middle = self.TOP + self.HEIGHT / 2
        painter.setPen(QPen(mark, 1))
        for number, (left, right) in enumerate(itertools.pairwise(places)):
            _span(painter, left + 3, right - 3, middle)
            box = QRectF(left, middle - 20, right - left, 16)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, format_number(self._distance(number), ".1f"))
        self._paint_second(painter, line, places[-1] + 34)

    def _distance(self, number: int) -> float:
        return self.NARROW if number % 2 else self.WIDE

    def _paint_second(self, painter: QPainter, line: QColor, left: float) -> None:
        """The second comb: the same at a right angle."""
        painter.setPen(QPen(line, 3, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
        y, ends, comb = self.TOP, (left, left + self.HEIGHT), []
        for number in range(LINES):
            comb += [QPointF(ends[end ^ (number % 2)], y) for end in (0, 1)]
            y += self._distance(number) * self.HEIGHT / (DISTANCES * SPACING)
        painter.drawPolyline(QPolygonF(comb))


def _span(painter: QPainter, left: float, right: float, y: float) -> None:
    """A level line with a head at each end."""
    painter.drawLine(QLineF(left, y, right, y))
    for end, into in ((left, 5.0), (right, -5.0)):
        for side in (-3.0, 3.0):
            painter.drawLine(QLineF(end, y, end + into, y + side))
