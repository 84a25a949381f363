"""The property page of a hanging."""

from __future__ import annotations

import math
from functools import partial

from PySide6.QtWidgets import QCheckBox, QFormLayout, QPushButton, QWidget

from wallwright.document import edits, edits_hangings
from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.language import N_, tr
from wallwright.document.new_wall import NewWall
from wallwright.document.origin import left_anchor
from wallwright.document.quantity import quantities
from wallwright.document.wall import Point, Side
from wallwright.jobs.hanging_position import anchor_positions
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.window.canvas.hangings_layer import handover_lines
from wallwright.window.model.items import HangingItem
from wallwright.window.model.models import Models
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.panels.forms import Forms
from wallwright.window.panels.position_fields import (
    add_coordinate,
    add_height,
    add_origin_choice,
    add_point_position,
    add_position,
    axis_title,
    position_quantity,
)
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.number_field import NumberField

SIDES: tuple[tuple[Side, str], ...] = (("left", N_("Left anchor")), ("right", N_("Right anchor")))


def build_hanging_page(forms: Forms, item: HangingItem) -> None:
    """One hanging: its anchors, its starting point, and how it meets its neighbours."""
    number = item.number
    path = f"hangings.{number}"
    forms.add_title(tr("Hanging"))
    form = forms.add_form()
    forms.add_text(form, f"{path}.name", tr("Name"))
    forms.column.addWidget(caution_note(Occasion.ANCHORS, forms.models.project))
    _add_distance(forms, number)
    add_origin_choice(forms)
    for side, title in SIDES:
        forms.add_title(tr(title))
        _add_anchor(forms, number, side)
    forms.add_title(
        tr("Starting point"),
        tr("Where the pen is when the job starts."),
    )
    add_height(forms, lambda: forms.models.project.document.hangings[number].start_point[1])
    add_point_position(forms, forms.add_form(), f"{path}.start_point")
    _add_pen_change(forms, number)
    if len(forms.models.project.document.hangings) > 1:
        _add_neighbours(forms, number)


def _add_distance(forms: Forms, number: int) -> None:
    """Adds the distance between the anchors; a change moves both."""
    project = forms.models.project
    quantity = quantities(NewWall)["distance"]
    quantity = replace(quantity, help=N_("From anchor to anchor. Both move; the middle between them stays."), reason="")

    def read() -> float:
        hanging = project.document.hangings[number]
        return round(math.dist((hanging.left.x, hanging.left.y), (hanging.right.x, hanging.right.y)), 4)

    def moved(distance: float) -> Document:
        return edits.set_anchor_distance(project.document, number, distance)

    forms.add_number(forms.add_form(), quantity, read, moved)


def _add_pen_change(forms: Forms, number: int) -> None:
    """Where pens are changed, when not at the starting point, and where they are primed."""
    path = f"hangings.{number}"
    titles = {
        "pen_change": (
            tr("Pens are changed at their own point"),
            tr(
                "A point inside the draw zone, where hands reach, off wet ink. Else pens are changed at the starting point."
            ),
        ),
        "cable": (
            tr("The cable is fixed at its own point"),
            tr(
                "Where the cable to the body comes from. Otherwise it is assumed to come from midway between the anchors."
            ),
        ),
        "priming": (
            tr("Priming strip"),
            tr("Each pen draws a few lines on a strip of tape before it begins, so that its ink flows."),
        ),
    }
    for name, (title, help) in titles.items():
        forms.add_refreshed(
            partial(_has_point, forms, number, name),
            partial(_add_own_point, forms, number, f"{path}.{name}", title, help),
        )


def _has_point(forms: Forms, number: int, name: str) -> bool:
    """Whether a hanging has its own point for something."""
    return getattr(forms.models.project.document.hangings[number], name) is not None


def _add_own_point(forms: Forms, number: int, path: str, title: str, help: str, is_set: bool) -> None:
    """A point that a hanging may have, with the tick that gives it one."""
    form, box = forms.add_form(), QCheckBox(title)
    explain(box, help)
    box.setChecked(is_set)

    def choose(on: bool) -> None:
        start_point = forms.models.project.document.hangings[number].start_point
        forms.models.project.set_field(title, path, start_point if on else None)

    box.clicked.connect(choose)
    form.addRow("", box)
    if is_set:
        add_point_position(forms, form, path)


def _add_anchor(forms: Forms, number: int, side: Side) -> None:
    """Where an anchor is, how high, and its fixing. What the others are measured from is measured from the first one."""
    project, is_origin = forms.models.project, side == "left" and forms.models.origin.kind == "anchor"

    def read() -> Point:
        anchor = project.document.hangings[number].anchor(side)
        return anchor.x, anchor.y

    def moved(x: float, y: float) -> Document:
        return edits.move_anchor(project.document, number, side, (x, y))

    form = forms.add_form()
    if not is_origin:
        add_position(forms, form, "", read, moved)
    elif number:
        first = project.document.hangings[0]
        for axis, title in enumerate(
            (tr("Right of the left anchor of {0}", first.name), tr("Below the left anchor of {0}", first.name))
        ):
            add_coordinate(
                forms,
                form,
                axis,
                "",
                read,
                moved,
                lambda: left_anchor(project.document, project.document.hangings[0]),
                title,
            )
    add_height(forms, lambda: read()[1])
    forms.add_numbers(f"hangings.{number}.{side}", skip=("x", "y"))


def _add_neighbours(forms: Forms, number: int) -> None:
    """Where a hanging is against those drawn before it, and where it meets the one on its right."""
    document = forms.models.project.document
    if number != document.from_left[-1]:
        forms.add_title(
            tr("Handover line"),
            tr("Where this hanging hands over to the next one on the right. You can also drag it on the wall."),
        )
        handover = HandoverField(forms.models, number)
        forms.refreshers.append(handover.refresh)
        forms.column.addWidget(handover)
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
        title = axis_title(models.origin.kind, 0)
        help = tr("Strokes that only one of the two can draw are not affected by the line.")
        self._field = NumberField(position_quantity(title, help), 0.0)
        self._field.entered.connect(lambda value: self._set(models.origin.present.to_wall(value, 0.0)[0]))
        self._field.refused_unseen.connect(models.messages.say)
        self._middle = QPushButton(tr("Centre it"))
        explain(self._middle, tr("Puts the line in the middle of the area that both hangings can draw."))
        self._middle.clicked.connect(lambda: self._set(None))
        form = QFormLayout(self)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.setContentsMargins(0, 0, 0, 0)
        form.addRow(title, self._field)
        form.addRow("", self._middle)
        self.refresh()

    def refresh(self) -> None:
        x = handover_lines(self.models).get(self._number)
        if x is not None:
            self._field.show_value(round(self.models.origin.present.from_wall(x, 0.0)[0], 1) + 0.0)
        hangings = self.models.project.document.hangings
        self._middle.setEnabled(self._number < len(hangings) and hangings[self._number].handover is not None)

    def _set(self, x: float | None) -> None:
        document = edits_hangings.set_handover_line(self.models.project.document, self._number, x)
        self.models.project.edit(tr("Move a handover line"), document)
