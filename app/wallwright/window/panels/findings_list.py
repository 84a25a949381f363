"""Findings of reading an artwork: one line per sentence, worst first. Choosing a line shows a place on the wall, choosing it
again the next one."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from wallwright.artwork.drawing import Finding, Severity
from wallwright.document.language import plural, tr
from wallwright.window.widgets.state_icons import State, state_pixmap

WORST = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
ICONS = {
    Severity.ERROR: State.ERROR,
    Severity.WARNING: State.WARNING,
    Severity.NOTE: State.NOTE,
}
LINES = 9
"""Rows shown before the list scrolls."""


class FindingsList(QListWidget):
    """Emits `asked` with the finding whose place is wanted."""

    asked = Signal(object)

    def __init__(self, findings: Sequence[Finding], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        help = tr("What could not be drawn as in the file. Select a line to see its position on the wall.")
        self.setAccessibleName(tr("Reading"))
        self.setToolTip(help)
        self.setWhatsThis(help)
        self.setWordWrap(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        alike: dict[tuple[Severity, str], list[Finding]] = {}
        for finding in sorted(findings, key=lambda f: WORST.index(f.severity)):
            alike.setdefault((finding.severity, finding.text), []).append(finding)
        for same in alike.values():
            finding = same[0]
            others = len(same) - 1
            name = finding.element
            if others:
                name = plural("{1} and {0} more", "{1} and {0} more", others, name)
            item = QListWidgetItem(
                QIcon(state_pixmap(ICONS[finding.severity], self.palette())), f"{name}: {finding.text}", self
            )
            item.setToolTip(f"{item.text()}\n\n{help}")
            item.setData(Qt.ItemDataRole.UserRole, tuple(same))
        rows = min(len(alike), LINES)
        self.setFixedHeight(int((2.6 * rows + 0.8) * self.fontMetrics().lineSpacing()))
        self.itemClicked.connect(self._ask)
        self.itemActivated.connect(self._ask)

    def _ask(self, item: QListWidgetItem) -> None:
        first, *others = item.data(Qt.ItemDataRole.UserRole)
        item.setData(Qt.ItemDataRole.UserRole, (*others, first))
        self.asked.emit(first)
