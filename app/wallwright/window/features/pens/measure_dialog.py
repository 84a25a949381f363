"""What is measured of pens: how far each tip is off in its holder, and at which speed each draws well.

Each page offers its small drawing to export, and has a field for everything that is read of it.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QLineF, QPointF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.document import Document, Pen
from wallwright.document.edits import with_field
from wallwright.document.errors import BadValue
from wallwright.document.language import format_number, tr, unbroken_units
from wallwright.document.quantity import quantities
from wallwright.document.typed_numbers import evaluate, value_of
from wallwright.planning.pen_figures import (
    APART,
    LineSeen,
    learnt_pen,
    offset_figure,
    read_offset,
    sample_strip,
    strip_speeds,
)
from wallwright.window.features.export.dialog import ExportDialog, proposed_folder
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.model.models import Models
from wallwright.window.widgets.choices import narrow, swatch
from wallwright.window.widgets.explain import explain

WIDTH = 520
"""Pixels of the texts."""


class MeasurePensDialog(QDialog):
    """Puts what was read into the pens, as one edit."""

    def __init__(self, models: Models, parent: QWidget | None = None, pen: str = "") -> None:
        """pen: id of the one whose line widths are asked for first."""
        super().__init__(parent)
        self._models = models
        document, hanging = models.project.document, models.selection.hanging
        self.setWindowTitle(tr("Measure pens"))
        self._tabs = QTabWidget()
        self.offsets = OffsetPage(document, hanging)
        self.strip = StripPage(document, hanging, pen)
        self._tabs.addTab(self.offsets, tr("Tip in the holder"))
        self._tabs.addTab(self.strip, tr("Width and speed"))
        if len(document.pens) < 2:
            self._tabs.setCurrentWidget(self.strip)
        buttons = QDialogButtonBox()  # Tab goes in the order of adding
        self.apply = buttons.addButton(tr("Apply to the pens"), QDialogButtonBox.ButtonRole.AcceptRole)
        explain(self.apply, tr("Enters your readings of both drawings into the pens. You can undo it."))
        buttons.addButton(QDialogButtonBox.StandardButton.Cancel)
        add_help_button(buttons, "pens")
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(self._tabs)
        column.addWidget(buttons)
        for page, kind in ((self.offsets, "offsets"), (self.strip, "strip")):
            page.changed = self._update
            page.export.clicked.connect(lambda _=False, page=page, kind=kind: self._export(page.drawing, kind))
        self._update()

    def _export(self, drawing: Callable[[], Document], kind: str) -> None:
        """Plans and writes one of the drawings as a separate job."""
        project = self._models.project
        try:
            document = drawing()
        except BadValue as trouble:
            self._models.messages.say(f"{trouble}.")
            return
        dialog = ExportDialog(proposed_folder(project.path, kind), document.machine.controller, self, project=project)
        if dialog.exec():
            self._models.planning.export(str(dialog.folder), document)

    def _update(self) -> None:
        self.apply.setEnabled(
            self.offsets.is_good and self.strip.is_good and (self.offsets.is_read or self.strip.is_read)
        )

    def accept(self) -> None:
        document = self.strip.learnt(self.offsets.learnt(self._models.project.document))
        self._models.project.edit(tr("Measure pens"), document)
        super().accept()


class _Page(QWidget):
    """One drawing and what is read of it."""

    def __init__(self, words: str, button: str) -> None:
        super().__init__()
        self.changed: Callable[[], None] = lambda: None
        """Called when what is read has changed."""
        self.is_good = True
        """Whether everything that is typed can be used."""
        self.is_read = False
        """Whether something is typed."""
        self.column = QVBoxLayout(self)
        note = QLabel(unbroken_units(words))
        note.setWordWrap(True)
        note.setMinimumWidth(WIDTH)
        self.column.addWidget(note)
        self.export = QPushButton(button)
        explain(self.export, tr("Writes its files and its hanging sheet to a separate folder."))
        self.export.setAutoDefault(False)
        row = QHBoxLayout()
        row.addWidget(self.export)
        row.addStretch(1)
        self.column.addLayout(row)
        self.message = QLabel()
        self.message.setWordWrap(True)

    def add_field(self, name: str, help: str) -> QLineEdit:
        """A field for a length in mm."""
        field = QLineEdit()
        field.setMaximumWidth(110)
        explain(field, help, name)
        field.textChanged.connect(self.update_result)
        return field

    def update_result(self) -> None:
        """Says what follows from what is read so far."""


class OffsetPage(_Page):
    """Each pen's cross beside one of the first pen."""

    def __init__(self, document: Document, hanging: int) -> None:
        super().__init__(
            tr(
                "{0} draws crosses. Every other pen draws a cross next to one of them, {1:g} mm to the right and {1:g} mm "
                "below. Export the figure and draw it. Then measure from the lines of {0} to those of the other pen, with "
                "a ruler or on a photo, to 0.1 mm. The difference from {1:g} mm shows how far that tip is off.",
                document.pens[0].name,
                APART,
            ),
            tr("Export the offset figure…"),
        )
        self._document, self._hanging = document, hanging
        grid = QGridLayout()
        for column, title in enumerate((tr("Pen"), tr("To the right, mm"), tr("Below, mm")), start=0):
            grid.addWidget(QLabel(title), 0, column)
        self.fields: dict[str, tuple[QLineEdit, QLineEdit]] = {}
        for row, pen in enumerate(document.pens[1:], start=1):
            grid.addWidget(_pen_label(pen), row, 0)
            right = self.add_field(
                tr("{0}: to the right", pen.name), tr("mm from the first pen's vertical line to this pen's.")
            )
            down = self.add_field(
                tr("{0}: below", pen.name), tr("mm from the first pen's horizontal line down to this pen's.")
            )
            grid.addWidget(right, row, 1)
            grid.addWidget(down, row, 2)
            self.fields[pen.id] = right, down
        grid.setColumnStretch(3, 1)
        grid.setRowStretch(len(document.pens), 1)
        beside = QHBoxLayout()
        beside.addLayout(grid, 1)
        beside.addWidget(_OffsetPicture(), 0, Qt.AlignmentFlag.AlignTop)
        self.column.addLayout(beside)
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
        for pen, (right, down) in self.fields.items():
            if right.text().strip() and down.text().strip():
                reading = evaluate(right.text(), "mm"), evaluate(down.text(), "mm")
                document = read_offset(document, self._hanging, ids.index(pen), *reading)
        return document

    def update_result(self) -> None:
        pairs = [[bool(field.text().strip()) for field in pair] for pair in self.fields.values()]
        self.is_read = any(all(pair) for pair in pairs)
        self.is_good = all(any(pair) == all(pair) for pair in pairs)
        if not self.fields:
            self.message.setText(tr("The project has one pen. Tip offsets need at least two pens."))
        elif not self.is_good:
            self.message.setText(tr("Enter both readings of each pen, to the right and below."))
        else:
            try:
                found = self.learnt(self._document)
            except BadValue as trouble:
                self.is_good = False
                self.message.setText(f"{trouble}.")
            else:
                self.message.setText(" ".join(self._sentences(found)))
        self.changed()

    def _sentences(self, found: Document) -> list[str]:
        """Of every pen that was read."""
        return [
            tr("{0}: tip {1}.", pen.name, tip_text(pen))
            for pen, before in zip(found.pens, self._document.pens, strict=True)
            if pen != before
        ]


class StripPage(_Page):
    """Three lines of one pen."""

    def __init__(self, document: Document, hanging: int, pen: str) -> None:
        super().__init__(
            tr(
                "Each pen draws a line at three speeds, patches of six coverages and a row of dashes. Export the strip "
                "and draw it. Where it pauses between the speeds of one pen, resume without a change. Then measure how wide "
                "the lines are, and tick what you see. The pen gets the highest speed "
                "without gaps and bleeding, and its width there. Short dashes, or dashes with a tail, show that the lift "
                "needs more time: lower and raise time are on the machine's page."
            ),
            tr("Export the sample strip…"),
        )
        self._document, self._hanging = document, hanging
        self._rows: dict[str, list[tuple[float, QLineEdit, QCheckBox, QCheckBox]]] = {}
        self.pens = narrow(QComboBox(), 20)
        explain(self.pens, tr("Whose lines are entered below. Each pen keeps its own."), tr("Pen"))
        self._pages: dict[str, QWidget] = {}
        for one in document.pens:
            self.pens.addItem(swatch(one.colour), one.name, one.id)
            self._pages[one.id] = self._page(one)
        self.column.addWidget(self.pens)
        for page in self._pages.values():
            self.column.addWidget(page)
        self.column.addWidget(self.message)
        self.column.addStretch(1)
        self.pens.currentIndexChanged.connect(self._show_pen)
        self.pens.setCurrentIndex(max(self.pens.findData(pen), 0))
        self._show_pen()

    def _page(self, pen: Pen) -> QWidget:
        """The rows of one pen."""
        page = QWidget()
        grid = QGridLayout(page)
        grid.setContentsMargins(0, 0, 0, 0)
        for column, title in enumerate((tr("Line, from the top"), tr("Width, mm"), tr("Gaps"), tr("Bleeds"))):
            grid.addWidget(QLabel(title), 0, column)
        self._rows[pen.id] = []
        for row, speed in enumerate(strip_speeds(self._document, pen), start=1):
            title = tr("at {0:g} mm/s", speed)
            name = tr("{0} at {1:g} mm/s", pen.name, speed)
            width = self.add_field(tr("{0}: width", name), tr("mm, measured across the line."))
            gaps, bleeds = QCheckBox(), QCheckBox()
            explain(gaps, tr("The line has gaps: the pen was too fast."), tr("{0}: gaps", name))
            explain(bleeds, tr("The line bleeds or is blotchy: the pen was too slow."), tr("{0}: bleeds", name))
            for tick in (gaps, bleeds):
                tick.clicked.connect(self.update_result)
            grid.addWidget(QLabel(title), row, 0)
            for column, widget in enumerate((width, gaps, bleeds), start=1):
                grid.addWidget(widget, row, column)
            self._rows[pen.id].append((speed, width, gaps, bleeds))
        grid.setColumnStretch(4, 1)
        return page

    def rows_of(self, pen: str) -> list[tuple[float, QLineEdit, QCheckBox, QCheckBox]]:
        """Speed, width, gaps and bleeding of a pen's lines."""
        return self._rows[pen]

    def _show_pen(self) -> None:
        for pen, page in self._pages.items():
            page.setVisible(pen == self.pens.currentData())
        self.update_result()

    def drawing(self) -> Document:
        """The strip. Raises BadValue."""
        return sample_strip(self._document, self._hanging)

    def learnt(self, document: Document) -> Document:
        """The document with widths and speeds as seen. Raises BadValue."""
        for number, pen in enumerate(document.pens):
            seen = self._seen(pen.id)
            if seen:
                document = with_field(document, f"pens.{number}", learnt_pen(pen, seen))
        return document

    def _seen(self, pen: str) -> list[LineSeen]:
        """What was typed of a pen's lines. Raises BadValue."""
        rows = [row for row in self._rows[pen] if row[1].text().strip()]
        return [
            LineSeen(speed, value_of(quantities(Pen)["width"], width.text()), gaps.isChecked(), bleeds.isChecked())
            for speed, width, gaps, bleeds in rows
        ]

    def update_result(self) -> None:
        self.is_good, self.is_read, text = True, False, ""
        for pen in self._document.pens:
            try:
                seen = self._seen(pen.id)
                found = learnt_pen(pen, seen) if seen else None
            except BadValue as trouble:
                self.is_good = False
                if pen.id == self.pens.currentData():
                    text = f"{trouble}."
                continue
            self.is_read |= found is not None
            if pen.id == self.pens.currentData() and found is not None:
                text = tr("{0}: {1:g} mm/s, {2} mm wide.", pen.name, found.speed, format_number(found.width))
        self.message.setText(text or tr("Leave out lines that you did not measure."))
        self.changed()


def tip_text(pen: Pen) -> str:
    """Where a tip is in its holder."""
    across = tr("{0} mm right", format_number(pen.tip_right, ".1f"))
    if pen.tip_right < 0:
        across = tr("{0} mm left", format_number(-pen.tip_right, ".1f"))
    down = tr("{0} mm below the holder's centre", format_number(pen.tip_down, ".1f"))
    if pen.tip_down < 0:
        down = tr("{0} mm above the holder's centre", format_number(-pen.tip_down, ".1f"))
    return tr("{0}, {1}", across, down)


def _pen_label(pen: Pen) -> QWidget:
    """Swatch and name."""
    label = QWidget()
    row = QHBoxLayout(label)
    row.setContentsMargins(0, 0, 8, 0)
    patch = QLabel()
    patch.setPixmap(swatch(pen.colour).pixmap(16, 16))
    row.addWidget(patch)
    row.addWidget(QLabel(pen.name), 1)
    return label


class _OffsetPicture(QWidget):
    """Both crosses, and what is measured between them."""

    def sizeHint(self) -> QSize:
        return QSize(170, 150)

    minimumSizeHint = sizeHint

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        line, other = self.palette().windowText().color(), QColor("#c04040")
        for x, y, colour in ((60.0, 50.0, line), (100.0, 90.0, other)):
            painter.setPen(QPen(colour, 3))
            painter.drawLine(QLineF(x - 50, y, x + 50, y))
            painter.drawLine(QLineF(x, y - 45, x, y + 45))
        painter.setPen(QPen(line, 1))
        _arrow(painter, QPointF(60, 18), QPointF(100, 18))
        _arrow(painter, QPointF(24, 50), QPointF(24, 90))
        painter.setPen(QPen(other, 1, Qt.PenStyle.DotLine))
        painter.drawLine(QLineF(100, 12, 100, 45))
        painter.drawLine(QLineF(16, 90, 50, 90))


def _arrow(painter: QPainter, begin: QPointF, end: QPointF) -> None:
    """A line with a head at its end, horizontal or upright."""
    painter.drawLine(QLineF(begin, end))
    along = QPointF(6, 0) if begin.y() == end.y() else QPointF(0, 6)
    across = QPointF(along.y() / 2, along.x() / 2)
    for side in (across, -across):
        painter.drawLine(QLineF(end, end - along + side))
