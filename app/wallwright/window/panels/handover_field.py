"""Where a hanging meets its neighbour on the right: a number, or the middle of what both can draw."""

from __future__ import annotations

from PySide6.QtWidgets import QFormLayout, QPushButton, QWidget

from wallwright.document import edits_hangings
from wallwright.document.language import N_, tr
from wallwright.document.quantity import Quantity
from wallwright.document.wall import COORDINATE
from wallwright.window.canvas.hangings_layer import handover_lines
from wallwright.window.model.session import Session
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.number_field import NumberField


class HandoverField(QWidget):
    """Edits one meeting line."""

    def __init__(self, session: Session, number: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session, self._number = session, number
        title = N_("Meets at")
        help = N_(
            "Across, from the left anchor of the first hanging. Strokes that only one of the two can draw are "
            "its own wherever the line is."
        )
        quantity = Quantity("meets", "mm", -COORDINATE, COORDINATE, 0.0, title, help, "")
        self._field = NumberField(quantity, 0.0)
        self._field.entered.connect(self._set)
        self._field.refused.connect(session.trouble)
        self._middle = QPushButton(tr("In the middle"))
        explain(self._middle, tr("Puts the line in the middle of what both hangings can draw."))
        self._middle.clicked.connect(lambda: self._set(None))
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        form.addRow(tr(title), self._field)
        form.addRow("", self._middle)
        self.refresh()

    def refresh(self) -> None:
        x = handover_lines(self.session).get(self._number)
        if x is not None:
            self._field.show_value(round(x, 1))
        hangings = self.session.document.hangings
        self._middle.setEnabled(self._number < len(hangings) and hangings[self._number].meets is not None)

    def _set(self, x: float | None) -> None:
        document = edits_hangings.set_handover_line(self.session.document, self._number, x)
        self.session.edit(tr("Move a meeting line"), document)
