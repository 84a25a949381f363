"""Chooses the hanging in hand, where there are several."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QWidget

from wallwright.document.language import tr
from wallwright.window.model.items import HangingItem
from wallwright.window.model.models import Models
from wallwright.window.widgets.choices import narrow
from wallwright.window.widgets.explain import explain


class HangingChooser(QComboBox):
    """Lists the hangings in the order in which they are drawn; seen only when there are several."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.models = models
        narrow(self, 14)
        explain(
            self,
            tr("The hanging in hand: zone, plan, checks and this strip are about it."),
            tr("Hanging in hand"),
        )
        self.activated.connect(lambda number: models.selection.select(HangingItem(number)))
        for signal in (models.project.changed, models.selection.hanging_changed):
            signal.connect(self._fill)
        self._fill()

    def beside(self, widget: QWidget) -> QHBoxLayout:
        """A line with the chooser and a widget that takes the rest."""
        line = QHBoxLayout()
        line.addWidget(self, 0, Qt.AlignmentFlag.AlignTop)
        line.addWidget(widget, 1)
        return line

    def _fill(self) -> None:
        names = [h.name for h in self.models.project.document.hangings]
        if names != [self.itemText(i) for i in range(self.count())]:
            self.clear()
            self.addItems(names)
        self.setCurrentIndex(self.models.selection.hanging)
        self.setVisible(len(names) > 1)
