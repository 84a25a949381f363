"""What is seen on the sample strip: how each pen draws on this wall, and how the machine's lift works."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPaintEvent, QPen, QPixmap, QPolygonF
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from wallwright.artwork.inks.ink_model import InkModel
from wallwright.artwork.raster.tone import srgb
from wallwright.document.document import Document, Pen
from wallwright.document.edits import replace
from wallwright.document.errors import BadValue
from wallwright.document.language import format_number, tr
from wallwright.document.quantity import quantities
from wallwright.document.typed_numbers import evaluate, value_of
from wallwright.planning.sample_strip import (
    CLOSING,
    FAST,
    OVER,
    SLOW,
    TONES,
    USUAL,
    bar_pen,
    pen_strip,
    sample_strip,
    strip_speeds,
)
from wallwright.planning.strip_readings import WHITE_EVERYWHERE, LineSeen, StripReading, with_strip_read
from wallwright.window.features.pens.reading_page import ReadingPage
from wallwright.window.widgets.choices import calm, narrow, swatch
from wallwright.window.widgets.explain import explain

PICTURE = 250
"""Pixels: width of the picture of a pen's part."""
CHIP = QSize(66, 22)
"""Pixels of a colour that ink may have over the dark bar."""


@dataclass(frozen=True)
class _Line:
    """Fields of one line of the strip."""

    speed: float
    """mm/s."""
    width: QLineEdit
    gaps: QCheckBox
    bleeds: QCheckBox


@dataclass(frozen=True)
class _PenFields:
    """Of one pen."""

    lines: list[_Line]
    half_tone: QComboBox
    closed: QComboBox
    opacity: QComboBox | None
    late: QLineEdit
    tail: QLineEdit
    dots: QCheckBox

    def reading(self) -> StripReading:
        """What is entered. Raises BadValue."""
        width = quantities(Pen)["width"]
        lines = (
            LineSeen(line.speed, value_of(width, line.width.text()), line.gaps.isChecked(), line.bleeds.isChecked())
            for line in self.lines
            if line.width.text().strip()
        )
        return StripReading(
            tuple(lines),
            self.half_tone.currentData(),
            self.closed.currentData(),
            None if self.opacity is None else self.opacity.currentData(),
            _length(self.late),
            _length(self.tail),
            self.dots.isChecked(),
        )


class StripPage(ReadingPage):
    """One pen's part of the strip at a time."""

    def __init__(self, document: Document, hanging: int, pen: str) -> None:
        text = tr(
            "Export the strip and draw it: each pen draws its part without a pause. Then enter what you see. Leave out what "
            "you cannot judge. Lines and patches give the pen's width, speed and spread of ink. The dark bar gives its "
            "opacity, and the dashes how long the lift needs."
        )
        if document.machine.controller.takes == "drawing":
            text += " " + tr(
                "Your machine gets a drawing for each speed of a pen: set the speed that the sheet names for it."
            )
        super().__init__(text, tr("Export the sample strip…"))
        self._document, self._hanging = document, hanging
        self._fields: dict[str, _PenFields] = {}
        self.pens = narrow(QComboBox(), 20)
        explain(self.pens, tr("Whose part of the strip is entered below. Each pen keeps its own."), tr("Pen"))
        self._pages: dict[str, QWidget] = {}
        for number, one in enumerate(document.pens):
            self.pens.addItem(swatch(one.colour), one.name, one.id)
            self._pages[one.id] = self._page(number)
        self.column.addWidget(self.pens)
        for page in self._pages.values():
            self.column.addWidget(page)
        self.column.addWidget(self.message)
        self.column.addStretch(1)
        self.pens.currentIndexChanged.connect(self._show_pen)
        self.pens.setCurrentIndex(max(self.pens.findData(pen), 0))
        self._show_pen()

    def _page(self, number: int) -> QWidget:
        """The fields of one pen, and a picture of what it draws."""
        page, pen = QWidget(), self._document.pens[number]
        row, left = QHBoxLayout(page), QVBoxLayout()
        row.setContentsMargins(0, 0, 0, 0)
        grid = QGridLayout()
        lines = self._add_lines(grid, pen)
        left.addLayout(grid)
        left.addLayout(self._add_rest(number, lines))
        left.addStretch(1)
        row.addLayout(left, 1)
        row.addWidget(_StripPicture(self._document, number), 0, Qt.AlignmentFlag.AlignTop)
        return page

    def _add_lines(self, grid: QGridLayout, pen: Pen) -> list[_Line]:
        """A row for each of the three lines."""
        for column, title in enumerate((tr("Line, from the top"), tr("Width, mm"), tr("Gaps"), tr("Bleeds"))):
            grid.addWidget(QLabel(title), 0, column)
        found = []
        for row, speed in enumerate(strip_speeds(self._document, pen), start=1):
            name = tr("{0} at {1:g} mm/s", pen.name, speed)
            width = self.add_field(tr("{0}: width", name), tr("mm, measured across the line."))
            gaps, bleeds = QCheckBox(), QCheckBox()
            explain(gaps, tr("The line has gaps: the pen was too fast."), tr("{0}: gaps", name))
            explain(bleeds, tr("The line bleeds or is blotchy: the pen was too slow."), tr("{0}: bleeds", name))
            for tick in (gaps, bleeds):
                tick.clicked.connect(self.update_result)
            grid.addWidget(QLabel(tr("at {0:g} mm/s", speed)), row, 0)
            for column, widget in enumerate((width, gaps, bleeds), start=1):
                grid.addWidget(widget, row, column)
            found.append(_Line(speed, width, gaps, bleeds))
        grid.setColumnStretch(4, 1)
        return found

    def _add_rest(self, number: int, lines: list[_Line]) -> QFormLayout:
        """What patches, bar and dashes show."""
        pen, form = self._document.pens[number], QFormLayout()
        unknown = (tr("not read"), None)
        tones = range(min(TONES), max(TONES) + 1, 5)
        half = self._add_choice(
            form,
            pen,
            tr("As dark as the stripes"),
            tr(
                "Step back and half close your eyes until the stripes below the first row run together. Choose the patch "
                "that is as dark, or a number between two."
            ),
            [unknown, *((tr("{0} %", tone), float(tone)) for tone in tones)],
        )
        closed = self._add_choice(
            form,
            pen,
            tr("First patch without white"),
            tr("The lowest number in whose patch no white is left between the lines."),
            [
                unknown,
                *((tr("{0} %", patch), float(patch)) for patch in sorted({*TONES, *CLOSING})),
                (tr("white in each"), WHITE_EVERYWHERE),
            ],
        )
        opacity, bar = None, bar_pen(self._document, number)
        if bar is not None:
            opacity = self._add_choice(
                form,
                pen,
                tr("Over the dark bar it looks like"),
                tr("Choose the colour that comes nearest to the pen's ink where it lies over the dark bar."),
                [unknown, *((tr("{0} % hidden", share), float(share)) for share in range(0, 101, 10))],
            )
            opacity.setIconSize(CHIP)
            for item in range(1, opacity.count()):
                opacity.setItemIcon(item, _chip(self._document.pens[bar], pen, opacity.itemData(item) / 100))
        late = self.add_field(
            tr("{0}: dashes begin late by", pen.name), tr("mm that are missing where each dash begins. 0: none.")
        )
        tail = self.add_field(
            tr("{0}: dashes have a tail of", pen.name),
            tr("mm that each dash runs into the gap behind it. 0: none."),
        )
        dots = QCheckBox(tr("Dashes begin with a dot"))
        explain(dots, tr("The pen stands on the wall before it moves: the lower time is too long."))
        dots.clicked.connect(self.update_result)
        form.addRow(tr("Dashes begin late by, mm"), late)
        form.addRow(tr("Dashes have a tail of, mm"), tail)
        form.addRow("", dots)
        self._fields[pen.id] = _PenFields(lines, half, closed, opacity, late, tail, dots)
        return form

    def _add_choice(
        self, form: QFormLayout, pen: Pen, title: str, help: str, choices: list[tuple[str, float | None]]
    ) -> QComboBox:
        box = QComboBox()
        calm(box)
        explain(box, help, tr("{0}: {1}", pen.name, title))
        for text, value in choices:
            box.addItem(text, value)
        box.activated.connect(self.update_result)
        form.addRow(title, box)
        return box

    def fields_of(self, pen: str) -> _PenFields:
        """Of one pen, by its id."""
        return self._fields[pen]

    def _show_pen(self) -> None:
        for pen, page in self._pages.items():
            page.setVisible(pen == self.pens.currentData())
        self.update_result()

    def drawing(self) -> Document:
        """The strip. Raises BadValue."""
        return sample_strip(self._document, self._hanging)

    def learnt(self, document: Document) -> Document:
        """The document with pens and lift as seen. Raises BadValue."""
        read = {pen.id: self._fields[pen.id].reading() for pen in document.pens if pen.id in self._fields}
        return with_strip_read(document, {pen: reading for pen, reading in read.items() if not reading.is_empty})

    def update_result(self) -> None:
        self.is_good, self.is_read = True, False
        found = self.learnt_or_message(self._document)
        if found is not None:
            fields = self._fields.values()
            self.is_read = any(not one.reading().is_empty for one in fields)
            self.message.setText(" ".join(self._sentences(found)) or tr("Leave out what you did not measure."))
        self.changed()

    def _sentences(self, found: Document) -> list[str]:
        """What changes of the pen that is shown, and of the lift."""
        sentences = []
        before, after = (one.pen(self.pens.currentData()) for one in (self._document, found))
        if not self._fields[after.id].reading().is_empty:
            sentences.append(
                tr(
                    "{0}: {1:g} mm/s, {2} mm wide, spread of ink {3:+.0f} %, opacity {4:.0f} %.",
                    after.name,
                    after.speed or self._document.machine.limits.draw_speed,
                    format_number(after.width, ".2f"),
                    100 * after.gain,
                    100 * after.opacity,
                )
            )
        if after.speed > self._document.machine.limits.draw_speed and after.speed != before.speed:
            sentences.append(
                tr("The machine's drawing speed of {0:g} mm/s still applies.", self._document.machine.limits.draw_speed)
            )
        lift, own = self._document.machine.lift, found.machine.lift
        if own != lift:
            sentences.append(
                tr(
                    "Lift: lower time {0:.2f} s (was {1:.2f}), raise time {2:.2f} s (was {3:.2f}).",
                    own.lower_time,
                    lift.lower_time,
                    own.raise_time,
                    lift.raise_time,
                )
            )
        return sentences


def _length(field: QLineEdit) -> float | None:
    """mm typed in a field; None for nothing. Raises BadValue."""
    text = field.text().strip()
    if not text:
        return None
    value = evaluate(text, "mm")
    if value < 0:
        raise BadValue(tr("Enter a length of 0 mm or more"))
    return value


def _chip(dark: Pen, pen: Pen, opacity: float) -> QIcon:
    """A dark bar with a pen's ink over its middle, as the ink model has it."""
    light = InkModel.of_pens((dark, replace(pen, opacity=opacity))).primaries()
    colours = [QColor(*(int(v) for v in srgb(light[number]).round())) for number in (1, 2, 3)]
    pixmap = QPixmap(CHIP * 2)
    pixmap.setDevicePixelRatio(2)
    pixmap.fill(Qt.GlobalColor.white)
    painter = QPainter(pixmap)
    third, high = CHIP.width() / 3, CHIP.height()
    painter.fillRect(QRectF(0, high / 4, CHIP.width(), high / 2), colours[0])
    painter.fillRect(QRectF(third, 0, third, high), colours[1])
    painter.fillRect(QRectF(third, high / 4, third, high / 2), colours[2])
    painter.end()
    icon = QIcon()
    for mode in (QIcon.Mode.Normal, QIcon.Mode.Selected):
        icon.addPixmap(pixmap, mode)
    return icon


class _StripPicture(QWidget):
    """What one pen draws."""

    def __init__(self, document: Document, number: int) -> None:
        super().__init__()
        self._strip, self._pen, bar = pen_strip(document, number), document.pens[number], bar_pen(document, number)
        self._dark = None if bar is None else document.pens[bar]
        self._scale = PICTURE / (self._strip.width + self._pen.width)

    def sizeHint(self) -> QSize:
        return QSize(PICTURE, round(self._scale * (self._strip.height + self._pen.width)))

    minimumSizeHint = sizeHint

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), Qt.GlobalColor.white)
        painter.scale(self._scale, self._scale)
        painter.translate(self._pen.width / 2, 0)
        layers = [
            (self._dark, self._strip.bar),
            *((self._pen, self._strip.lines[k]) for k in (SLOW, USUAL, FAST, OVER)),
        ]
        for pen, lines in layers:
            if pen is not None:
                ink = QPen(QColor(pen.colour), pen.width)
                ink.setCapStyle(Qt.PenCapStyle.RoundCap)
                painter.setPen(ink)
                for points in lines:
                    painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in points.tolist()]))
