"""What a job takes, in a few lines: time, then each pen with its time and ink."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QPushButton, QWidget

from wallwright.document.document import Document
from wallwright.document.language import duration, format_number, plural, tr
from wallwright.motion.plan import Estimate
from wallwright.window.widgets.choices import swatch
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.theme import CLOSE, NEAR, StyledLabel, TextSize

MOST_PENS = 6
"""Rows; what more pens take is summed up in one."""


class JobSummary(QFrame):
    """Of one hanging."""

    def __init__(self, estimate: Estimate, document: Document, about: str = "", parent: QWidget | None = None) -> None:
        """about: which of several hangings it is, and what all take; "" for one."""
        super().__init__(parent)
        self.setObjectName("card")
        self._grid = grid = QGridLayout(self)
        grid.setContentsMargins(NEAR, NEAR, NEAR, NEAR)
        grid.setHorizontalSpacing(NEAR)
        grid.setVerticalSpacing(CLOSE // 2)
        grid.setColumnStretch(1, 1)
        ink = sum(part.ink_m for part in estimate.per_pen)
        total = duration(estimate.total_s)
        title = StyledLabel(tr("{0}, {1:.1f} m of ink", total, ink), TextSize.TITLE, is_strong=True)
        self.shorter = QPushButton(tr("Shorter…"))
        explain(self.shorter, tr("Lists changes that shorten the drawing time, with about how much each saves."))
        self.shorter.setAutoDefault(False)
        first = QHBoxLayout()
        first.addWidget(title, 1)
        first.addWidget(self.shorter, 0, Qt.AlignmentFlag.AlignTop)
        grid.addLayout(first, 0, 0, 1, 4)
        if about:
            self._about = StyledLabel(about, TextSize.SMALL)
            self._about.setWordWrap(True)
            grid.addWidget(self._about, grid.rowCount(), 0, 1, 4)
        if estimate.changing_s:
            changes = max(len(estimate.per_pen) - 1, 1)
            text = plural(
                "plus {1} for {0} pen change", "plus {1} for {0} pen changes", changes, duration(estimate.changing_s)
            )
            grid.addWidget(StyledLabel(text, TextSize.SMALL), grid.rowCount(), 0, 1, 4)
        if any(estimate.drying_s):
            text = tr("of these {0} to let ink dry", duration(sum(estimate.drying_s)))
            grid.addWidget(StyledLabel(text, TextSize.SMALL), grid.rowCount(), 0, 1, 4)
        if estimate.ink_price:
            text = tr("ink for about {0}", format_number(estimate.ink_price, ".2f"))
            grid.addWidget(StyledLabel(text, TextSize.SMALL), grid.rowCount(), 0, 1, 4)
        for part in estimate.per_pen[:MOST_PENS]:
            pen = document.pens[part.pen]
            patch = QLabel()
            patch.setPixmap(swatch(pen.colour).pixmap(16, 16))
            seconds = part.drawing_s + part.travel_s + part.lifting_s
            self._add(patch, pen.name, duration(seconds), part.ink_m)
        rest = estimate.per_pen[MOST_PENS:]
        if rest:
            seconds = sum(part.drawing_s + part.travel_s + part.lifting_s for part in rest)
            name = plural("{0} more pen", "{0} more pens", len(rest))
            self._add(QLabel(), name, duration(seconds), sum(part.ink_m for part in rest))

    def _add(self, patch: QLabel, name: str, time: str, ink: float) -> None:
        row, right = self._grid.rowCount(), Qt.AlignmentFlag.AlignRight
        self._grid.addWidget(patch, row, 0)
        self._grid.addWidget(QLabel(name), row, 1)
        self._grid.addWidget(QLabel(time), row, 2, right)
        self._grid.addWidget(QLabel(tr("{0:.1f} m", ink)), row, 3, right)
