"""The rows of colours of one artwork, and how much there is of a colour."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QTreeWidget

from wallwright.document.language import tr

if TYPE_CHECKING:
    from wallwright.strokes.stroke_composition import ColourUse

SMALL = 1e5
"""mm². Smaller areas are given in cm²."""
LINE_MM = 2.0
"""mm: as wide as a marker, so that lines and areas compare."""
COLUMNS, PEN = 5, 2
SPARED = (3, 1)
"""Columns that are left out first where there is no room: fill and amount, which the tip has too."""
MOST_LETTERS = 24
"""Of a pen's name that the others make room for; of two pens that are mixed, the tip has the rest."""


def size_of(use: ColourUse) -> str:
    """How much of a colour there is on the wall."""
    small = use.area < SMALL
    area = tr("{0:.0f} cm²", use.area / 100) if small else tr("{0:.2f} m²", use.area / 1e6)
    length = tr("{0:.1f} m", use.length / 1000)
    amounts = [area] * bool(use.area > 0) + [length] * bool(use.length > 0) or [length]
    return ", ".join(amount.replace(" ", "\u00a0") for amount in amounts)  # no line ends before a unit


def amount_of(use: ColourUse) -> float:
    """mm² of ink, about."""
    return use.area + LINE_MM * use.length


class ColourRows(QTreeWidget):
    """Leaves out what can be missed where the panel has no room for the names of the pens."""

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        wanted = min(self.sizeHintForColumn(PEN), MOST_LETTERS * self.fontMetrics().averageCharWidth())
        for column in SPARED:
            self.setColumnHidden(column, False)
        for column in SPARED:
            if self.columnWidth(PEN) < wanted:
                self.setColumnHidden(column, True)
