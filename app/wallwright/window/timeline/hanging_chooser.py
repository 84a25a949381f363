"""Chooses the hanging in hand, where there are several."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QWidget

from wallwright.document.language import tr
from wallwright.window.model.session import Session
from wallwright.window.widgets.choices import narrow
from wallwright.window.widgets.explain import explain


class HangingChooser(QComboBox):
    """Lists the hangings in the order in which they are drawn; seen only when there are several."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        narrow(self, 14)
        explain(
            self,
            tr("The hanging in hand: zone, plan, checks and this strip are about it."),
            tr("Hanging in hand"),
        )
        self.activated.connect(lambda number: session.select(f"hanging:{number}"))
        for signal in (session.document_changed, session.hanging_changed):
            signal.connect(self._fill)
        self._fill()

    def beside(self, widget: QWidget) -> QHBoxLayout:
        """A line with the chooser and a widget that takes the rest."""
        line = QHBoxLayout()
        line.addWidget(self, 0, Qt.AlignmentFlag.AlignTop)
        line.addWidget(widget, 1)
        return line

    def _fill(self) -> None:
        names = [h.name for h in self.session.document.hangings]
        if names != [self.itemText(i) for i in range(self.count())]:
            self.clear()
            self.addItems(names)
        self.setCurrentIndex(self.session.hanging)
        self.setVisible(len(names) > 1)
