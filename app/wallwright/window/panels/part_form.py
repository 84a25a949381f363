"""How a part of an artwork is drawn, all its colours at once: pen, edge, and the fill with its numbers."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, get_args

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QComboBox, QFormLayout, QWidget

from wallwright.artwork.colour import WHITE
from wallwright.document import edits, edits_inks
from wallwright.document.document import Document, Fill, FillKind, Ink
from wallwright.document.language import tr
from wallwright.document.quantity import quantities
from wallwright.window.model.items import PartItem
from wallwright.window.model.models import Models
from wallwright.window.panels.fill_choices import FILL_NUMBERS, FILL_TITLES
from wallwright.window.panels.palette_table import only_value
from wallwright.window.widgets.choices import narrow, swatch
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.number_field import NumberField

if TYPE_CHECKING:
    from wallwright.planning.plan import PlacementReport
    from wallwright.strokes.stroke_composition import ColourGroup

BY_ITSELF = "by itself"
"""Stands for no choice in the list of pens; no pen has this id, for ids have no spaces."""
JOB = "job"
"""Stands for the fill of the job in the list of fills."""


def held_parts(report: PlacementReport, part: PartItem) -> list[ColourGroup]:
    """The colours of groups that belong to a part."""
    return [p for p in report.parts if part.holds(p)]


class PartForm(QWidget):
    """What is chosen here holds for all that the part holds; where that differs, it says so."""

    def __init__(self, models: Models, part: PartItem, report: PlacementReport, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.models, self._part = models, part
        parts = held_parts(report, part)
        coloured = [p for p in parts if p.colour != WHITE]
        self._held = coloured or parts  # white among colours is paper: a pen for all is not meant for it
        pens = (models.planning.preview_document or models.project.document).pens
        by_itself = {use.colour: pens[use.pen].id if use.pen >= 0 else "" for use in report.colours}
        ids = {p.id for p in models.project.document.pens}
        self._pens = {p.colour: by_itself[p.colour] if by_itself[p.colour] in ids else "" for p in self._held}
        """Of each colour the pen that draws it without a choice."""
        self._form = QFormLayout(self)
        self._form.setContentsMargins(0, 0, 0, 0)
        self._form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self._form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self._add_pens()
        if any(p.area > 0 for p in self._held):
            self._add_fills()
            self._add_numbers()
            self._add_edge()

    def _inks(self) -> list[Ink]:
        placement = self.models.project.document.placement(self._part.placement)
        return [edits_inks.ink_of(placement, p.colour, p.group, self._pens[p.colour]) for p in self._held]

    def _fills(self) -> list[Fill]:
        return [ink.fill or self.models.project.document.settings.fill for ink in self._inks()]

    def _changed(self, change: Callable[[Ink], Ink]) -> Document:
        return edits_inks.change_inks(
            self.models.project.document, self._part.placement, self._part.group, self._pens, change
        )

    # Rows.

    def _add_pens(self) -> None:
        box = narrow(QComboBox())
        explain(box, tr("Which pen draws all of it."), tr("Pen"))
        box.setPlaceholderText(tr("Several"))
        box.addItem(tr("Same as the whole artwork") if self._part.group else tr("Closest in colour"), BY_ITSELF)
        box.addItem(tr("No pen"), "")
        for pen in self.models.project.document.pens:
            box.addItem(swatch(pen.colour), pen.name, pen.id)
        inks = self.models.project.document.placement(self._part.placement).inks
        own = [i for i in inks if i.colour in self._pens and edits_inks.is_within(i, self._part.group)]
        box.setCurrentIndex(box.findData(only_value([i.pen for i in self._inks()]) if own else BY_ITSELF))

        def choose() -> None:
            pen = box.currentData()
            if pen == BY_ITSELF:
                part = self._part
                changed = edits_inks.clear_inks(self.models.project.document, part.placement, part.group, self._pens)
            else:
                changed = self._changed(lambda ink: edits.replace(ink, pen=pen))
            self.models.project.edit(tr("Choose a pen"), changed)

        box.activated.connect(choose)
        self._form.addRow(tr("Pen"), box)

    def _add_fills(self) -> None:
        box = narrow(QComboBox())
        explain(box, tr("How all of its areas are filled."), tr("Fill"))
        box.setPlaceholderText(tr("Several"))
        box.addItem(tr("Job's fill"), JOB)
        for kind in get_args(FillKind):
            box.addItem(tr(FILL_TITLES[kind]), kind)
        box.setCurrentIndex(box.findData(only_value([i.fill.kind if i.fill else JOB for i in self._inks()])))

        def choose() -> None:
            kind, of_job = box.currentData(), self.models.project.document.settings.fill

            def change(ink: Ink) -> Ink:
                fill = None if kind == JOB else edits.replace(ink.fill or of_job, kind=kind)
                return edits.replace(ink, fill=fill)

            self.models.project.edit(tr("Choose a fill"), self._changed(change))

        box.activated.connect(choose)
        self._form.addRow(tr("Fill"), box)

    def _add_numbers(self) -> None:
        """Those that the fills go by; a number entered makes the fill one of the part's own."""
        kinds = {fill.kind for fill in self._fills()}
        for name, quantity in quantities(Fill).items():
            if not any(name in FILL_NUMBERS[kind] for kind in kinds):
                continue
            values = [getattr(fill, name) for fill in self._fills()]
            field = NumberField(quantity, values[0])
            if only_value(values) is None:
                field.show_several()
            field.entered.connect(lambda value, name=name, title=quantity.title: self._enter(name, value, title))
            field.refused_unseen.connect(self.models.messages.say)
            self._form.addRow(quantity.shown_title, field)

    def _enter(self, name: str, value: float, title: str) -> None:
        of_job = self.models.project.document.settings.fill

        def change(ink: Ink) -> Ink:
            return edits.replace(ink, fill=edits.replace(ink.fill or of_job, **{name: value}))

        self.models.project.edit(tr("Change: {0}", tr(title)), self._changed(change))

    def _add_edge(self) -> None:
        box = QCheckBox(tr("Edges"))
        explain(box, tr("Whether the edge of each area is drawn, or only its fill."))
        edges = {ink.outline for ink in self._inks()}
        box.setCheckState(
            Qt.CheckState.PartiallyChecked
            if len(edges) > 1
            else Qt.CheckState.Checked
            if True in edges
            else Qt.CheckState.Unchecked
        )

        def choose() -> None:
            outline = edges != {True}
            self.models.project.edit(tr("Edges"), self._changed(lambda ink: edits.replace(ink, outline=outline)))

        box.clicked.connect(choose)
        self._form.addRow("", box)
