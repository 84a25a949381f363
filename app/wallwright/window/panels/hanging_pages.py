"""The property page of a hanging."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QFormLayout, QPushButton, QWidget

from wallwright.document import edits_hangings
from wallwright.document.document import Document
from wallwright.document.edits import set_field
from wallwright.document.language import N_, tr
from wallwright.document.quantity import Quantity
from wallwright.document.wall import COORDINATE
from wallwright.jobs.hanging_position import anchor_positions
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.window.canvas.hangings_layer import handover_lines
from wallwright.window.model.items import HangingItem
from wallwright.window.model.models import Models
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.panels.forms import Forms
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.number_field import NumberField


def build_hanging_page(forms: Forms, item: HangingItem) -> None:
    """One hanging: its anchors, its starting point, and how it meets its neighbours."""
    number = item.number
    path = f"hangings.{number}"
    forms.add_title(tr("Hanging"))
    form = forms.add_form()
    forms.add_text(form, f"{path}.name", tr("Name"))
    forms.column.addWidget(caution_note(Occasion.ANCHORS, forms.models.project))
    for side, title in (("left", tr("Left anchor")), ("right", tr("Right anchor"))):
        forms.add_title(title)
        forms.add_numbers(f"{path}.{side}", skip=("x", "y") if (number, side) == (0, "left") else ())
    forms.add_title(
        tr("Starting point"),
        tr("Where the pen is when the job starts."),
    )
    form = forms.add_form()
    forms.add_point(form, f"{path}.datum", tr("Pen at"))
    _add_pen_change(forms, form, number)
    if len(forms.models.project.document.hangings) > 1:
        _add_neighbours(forms, number)


def _add_pen_change(forms: Forms, form: QFormLayout, number: int) -> None:
    """Where pens are changed, when not at the starting point."""

    def point() -> tuple[float, float]:
        hanging = forms.models.project.document.hangings[number]
        return hanging.pen_change or hanging.datum

    def moved(x: float, y: float) -> Document:
        document = forms.models.project.document
        own = None if (x, y) == document.hangings[number].datum else (x, y)
        return set_field(document, f"hangings.{number}.pen_change", own)

    help = tr(
        "Where pens are changed: inside the draw zone, where hands reach, off wet ink. Measured like the starting point; "
        "the same numbers as there: at the starting point."
    )
    forms.add_pair(form, tr("Pens are changed at"), point, moved, help)
    path, wall = f"hangings.{number}.priming", forms.models.project.document.wall

    def primed(on: bool) -> None:
        hanging = forms.models.project.document.hangings[number]
        corner = (hanging.datum[0], wall.floor - 0.25 * wall.height) if on else None
        forms.models.project.set_field(tr("Priming strip"), path, corner)

    box = QCheckBox(tr("Priming strip"))
    explain(box, tr("Each pen draws a few lines on a strip of tape before it begins, so that its ink flows."))
    box.clicked.connect(primed)

    def show() -> None:
        box.setChecked(forms.models.project.document.hangings[number].priming is not None)

    forms.refreshers.append(show)
    show()
    form.addRow("", box)
    forms.add_refreshed(
        lambda: forms.models.project.document.hangings[number].priming is not None,
        lambda on: forms.add_point(forms.add_form(), path, tr("Strip at")) if on else None,
    )


def _add_neighbours(forms: Forms, number: int) -> None:
    """Where a hanging is against those drawn before it, and where it meets the one on its right."""
    document = forms.models.project.document
    if number != document.from_left[-1]:
        forms.add_title(
            tr("Handover line"),
            tr("Where this hanging hands over to the next one on the right. You can also drag it on the wall."),
        )
        meets = HandoverField(forms.models, number)
        forms.refreshers.append(meets.refresh)
        forms.column.addWidget(meets)
    if number:
        forms.add_title(tr("Measured from the previous hanging's anchors"))
        note = forms.add_note("")
        forms.refreshers.append(
            lambda: note.setText(
                "\n".join(
                    f"{p.words}: {p.distance_text}" for p in anchor_positions(forms.models.project.document, number)
                )
            )
        )
        forms.refreshers[-1]()


class HandoverField(QWidget):
    """Where a hanging meets its neighbour on the right: a number, or the middle of what both can draw."""

    def __init__(self, models: Models, number: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.models, self._number = models, number
        title = N_("Handover line at")
        help = N_(
            "To the right of the first hanging's left anchor. Strokes that only one of the two can draw are "
            "not affected by the line."
        )
        quantity = Quantity("meets", "mm", -COORDINATE, COORDINATE, 0.0, title, help, "")
        self._field = NumberField(quantity, 0.0)
        self._field.entered.connect(self._set)
        self._field.refused.connect(models.messages.say)
        self._middle = QPushButton(tr("Centre it"))
        explain(self._middle, tr("Puts the line in the middle of the area that both hangings can draw."))
        self._middle.clicked.connect(lambda: self._set(None))
        form = QFormLayout(self)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.setContentsMargins(0, 0, 0, 0)
        form.addRow(tr(title), self._field)
        form.addRow("", self._middle)
        self.refresh()

    def refresh(self) -> None:
        x = handover_lines(self.models).get(self._number)
        if x is not None:
            self._field.show_value(round(x, 1))
        hangings = self.models.project.document.hangings
        self._middle.setEnabled(self._number < len(hangings) and hangings[self._number].meets is not None)

    def _set(self, x: float | None) -> None:
        document = edits_hangings.set_handover_line(self.models.project.document, self._number, x)
        self.models.project.edit(tr("Move a handover line"), document)
