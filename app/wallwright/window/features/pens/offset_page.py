"""What is read of the offset figure: how far each tip is off in its holder."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QLineEdit

from wallwright.document.document import Document, Pen
from wallwright.document.language import format_number, tr
from wallwright.document.typed_numbers import evaluate
from wallwright.planning.offset_figure import APART, OffsetReading, has_scales, offset_figure, read_offset
from wallwright.window.features.pens.reading_page import FigurePicture, ReadingPage, pen_label


class OffsetPage(ReadingPage):
    """Each pen's cross and scales beside those of the first pen."""

    def __init__(self, document: Document, hanging: int) -> None:
        super().__init__(
            tr(
                "Export the figure and draw it. {0} draws two scales for every other pen. That pen continues them with "
                "lines numbered from 0. Find the line that continues one of {0} exactly. Enter its number, or "
                "the half between two (12.5). If a pen's cross is clearly not {1:g} mm to the right of and below that of "
                "{0}, measure that with a ruler too; half a millimetre is enough.",
                document.pens[0].name,
                APART,
            ),
            tr("Export the offset figure…"),
        )
        self._document, self._hanging = document, hanging
        grid = QGridLayout()
        titles = (
            tr("Pen"),
            tr("Line, to the right"),
            tr("Line, below"),
            tr("Ruler, right, mm"),
            tr("Ruler, below, mm"),
        )
        for column, title in enumerate(titles):
            grid.addWidget(QLabel(title), 0, column)
        self.fields: dict[str, tuple[QLineEdit, QLineEdit, QLineEdit, QLineEdit]] = {}
        for row, pen in enumerate(document.pens[1:], start=1):
            grid.addWidget(pen_label(pen), row, 0)
            number = tr("Number of the line that continues one of the first pen's, on the scale with vertical lines.")
            below = tr("Number of the line that continues one of the first pen's, on the scale with horizontal lines.")
            fields = (
                self.add_field(tr("{0}: line, to the right", pen.name), number),
                self.add_field(tr("{0}: line, below", pen.name), below),
                self.add_field(
                    tr("{0}: to the right", pen.name),
                    tr("mm from the vertical line of the first pen's cross to this pen's."),
                ),
                self.add_field(
                    tr("{0}: below", pen.name),
                    tr("mm from the horizontal line of the first pen's cross down to this pen's."),
                ),
            )
            for column, field in enumerate(fields, start=1):
                grid.addWidget(field, row, column)
            if not has_scales(document.pens, row):
                for field in fields[:2]:
                    field.setEnabled(False)
                    field.setToolTip(tr("These pens are too broad for scales. Only their crosses are drawn."))
            self.fields[pen.id] = fields
        grid.setColumnStretch(5, 1)
        grid.setRowStretch(len(document.pens), 1)
        picture = QHBoxLayout()
        picture.addWidget(_OffsetPicture())
        picture.addStretch(1)
        self.column.addLayout(picture)
        self.column.addLayout(grid)
        self.column.addWidget(self.message)
        self.column.addStretch(1)
        self.export.setEnabled(len(document.pens) > 1)
        self.update_result()

    def drawing(self) -> Document:
        """The figure. Raises BadValue."""
        return offset_figure(self._document, self._hanging)

    def learnt(self, document: Document) -> Document:
        """The document with the tips as read. Raises BadValue."""
        ids = [pen.id for pen in document.pens]
        for pen in self.fields:
            right, down = self._readings(pen)
            if not right.is_empty and not down.is_empty:
                document = read_offset(document, self._hanging, ids.index(pen), right, down)
        return document

    def _readings(self, pen: str) -> tuple[OffsetReading, OffsetReading]:
        """What is typed of a pen, to the right and below. Raises BadValue."""
        right_line, lower_line, right, below = self.fields[pen]
        return OffsetReading(_number(right, "mm"), _number(right_line)), OffsetReading(
            _number(below, "mm"), _number(lower_line)
        )

    def update_result(self) -> None:
        typed = [[bool(field.text().strip()) for field in fields] for fields in self.fields.values()]
        directions = [(one[0] or one[2], one[1] or one[3]) for one in typed]
        self.is_read = any(all(pair) for pair in directions)
        self.is_good = all(any(pair) == all(pair) for pair in directions)
        if not self.fields:
            self.message.setText(tr("The project has one pen. Tip offsets need at least two pens."))
        elif not self.is_good:
            self.message.setText(tr("Enter a line or a ruler's reading of both directions, to the right and below."))
        else:
            found = self.learnt_or_message(self._document)
            if found is not None:
                self.message.setText(" ".join(self._sentences(found)))
        self.changed()

    def _sentences(self, found: Document) -> list[str]:
        """Of every pen that was read."""
        return [
            tr("{0}: tip {1}.", pen.name, tip_text(pen))
            for pen, before in zip(found.pens, self._document.pens, strict=True)
            if pen != before
        ]


def tip_text(pen: Pen) -> str:
    """Where a tip is in its holder."""
    across = tr("{0} mm right", format_number(pen.tip_right, ".1f"))
    if pen.tip_right < 0:
        across = tr("{0} mm left", format_number(-pen.tip_right, ".1f"))
    down = tr("{0} mm below the holder's centre", format_number(pen.tip_down, ".1f"))
    if pen.tip_down < 0:
        down = tr("{0} mm above the holder's centre", format_number(-pen.tip_down, ".1f"))
    return tr("{0}, {1}", across, down)


def _number(field: QLineEdit, unit: str = "") -> float | None:
    """What is typed; None for nothing. Raises BadValue."""
    text = field.text().strip()
    return evaluate(text, unit) if text else None


class _OffsetPicture(FigurePicture):
    """Both crosses with what is measured between them, and a scale of which one line is continued."""

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        line, other = self.palette().windowText().color(), QColor("#c04040")
        for x, y, colour in ((55.0, 45.0, line), (90.0, 80.0, other)):
            painter.setPen(QPen(colour, 3))
            painter.drawLine(QLineF(x - 45, y, x + 45, y))
            painter.drawLine(QLineF(x, y - 40, x, y + 40))
        painter.setPen(QPen(line, 1))
        _arrow(painter, QPointF(55, 16), QPointF(90, 16))
        _arrow(painter, QPointF(22, 45), QPointF(22, 80))
        painter.setPen(QPen(other, 1, Qt.PenStyle.DotLine))
        painter.drawLine(QLineF(90, 10, 90, 40))
        painter.drawLine(QLineF(14, 80, 45, 80))
        self._paint_scale(painter, line, other)

    def _paint_scale(self, painter: QPainter, line: QColor, other: QColor) -> None:
        """Line 7 continues one of the first pen's: the tip is 1.4 mm off."""
        left, pitch, closer, met, middle = 175.0, 20.0, 18.5, 7, 50.0
        for number in range(13):
            x = left + pitch * number
            painter.setPen(QPen(line, 3))
            painter.drawLine(QLineF(x, middle - 30, x, middle - 3))
        for number in range(12):
            x = left + met * (pitch - closer) + closer * number
            painter.setPen(QPen(other, 3))
            painter.drawLine(QLineF(x, middle + 3, x, middle + (36 if number % 5 == 0 else 26)))
            if number % 5 == 0 or number == met:
                box = QRectF(x - 15, middle + 38, 30, 16)
                font = self.font()
                font.setBold(number == met)
                painter.setFont(font)
                painter.drawText(box, Qt.AlignmentFlag.AlignCenter, str(number))
        painter.setPen(QPen(line, 1))
        painter.drawEllipse(QPointF(left + met * pitch, middle + 12), 13, 47)


def _arrow(painter: QPainter, begin: QPointF, end: QPointF) -> None:
    """A line with a head at its end, horizontal or upright."""
    painter.drawLine(QLineF(begin, end))
    along = QPointF(6, 0) if begin.y() == end.y() else QPointF(0, 6)
    across = QPointF(along.y() / 2, along.x() / 2)
    for side in (across, -across):
        painter.drawLine(QLineF(end, end - along + side))
