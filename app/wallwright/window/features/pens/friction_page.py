"""What is read of the friction figure: how hard each pen rubs on the wall."""

from __future__ import annotations

import re

from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit

from wallwright.document.document import Document
from wallwright.document.language import tr
from wallwright.document.typed_numbers import evaluate
from wallwright.planning.friction_figure import DISTANCES, SPACING, friction_figure, read_friction
from wallwright.window.features.pens.reading_page import ReadingPage, pen_label

FIELD_WIDTH = 230
"""Pixels: room for six distances."""


class FrictionPage(ReadingPage):
    """Both combs of each pen."""

    def __init__(self, document: Document, hanging: int) -> None:
        super().__init__(
            tr(
                "Export the figure and draw it. Each pen draws two combs of lines to and fro, {0:g} mm apart. Friction "
                "makes wide and narrow distances alternate. Measure the {1} distances between neighbouring lines in the "
                "middle of their lengths, and enter them in order, with spaces between them. Half a millimetre is enough; "
                "one comb will do.",
                SPACING,
                DISTANCES,
            ),
            tr("Export the friction figure…"),
        )
        self._document, self._hanging = document, hanging
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
                first, second = (_distances(field) for field in fields)
                document = read_friction(document, self._hanging, ids.index(pen), (first, second))
        return document

    def update_result(self) -> None:
        self.is_read = any(field.text().strip() for fields in self.fields.values() for field in fields)
        self.is_good = True
        found = self.learnt_or_message(self._document)
        if found is not None:
            self.message.setText(
                " ".join(
                    tr("{0}: {1:.2f} ± {2:.2f} N.", pen.name, pen.drag, pen.drag_uncertainty)
                    for pen, before in zip(found.pens, self._document.pens, strict=True)
                    if pen != before
                )
            )
        self.changed()


def _distances(field: QLineEdit) -> list[float]:
    """mm, in order. Raises BadValue."""
    return [evaluate(part, "mm") for part in re.split(r"[\s;]+", field.text().strip()) if part]
