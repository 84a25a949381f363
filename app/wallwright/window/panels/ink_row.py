"""A row of a form for one colour of an artwork: which pen draws it, and how it is filled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, get_args

from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QVBoxLayout, QWidget

from wallwright.document import edits
from wallwright.document.document import FillKind, Ink
from wallwright.document.language import tr
from wallwright.window.panels.fill_choices import FILL_TITLES
from wallwright.window.panels.forms import Forms
from wallwright.window.widgets.choices import narrow, swatch, width_of_longest
from wallwright.window.widgets.explain import explain

if TYPE_CHECKING:
    from wallwright.strokes.stroke_composition import ColourGroup, ColourUse


def joined(parts: Sequence[ColourGroup]) -> ColourUse:
    """One colour of a group, together with what the groups inside have of it."""
    outermost = min(parts, key=lambda p: len(p.group))
    return replace(outermost, area=sum(p.area for p in parts), length=sum(p.length for p in parts))


def add_ink_row(forms: Forms, form: QFormLayout, placement: str, use: ColourUse, group: tuple[str, ...] = ()) -> None:
    """group: the groups that the choice is for, outermost first; none: for the whole artwork."""
    models = forms.models
    inks = models.project.document.placement(placement).inks
    ink = next((i for i in inks if (i.group, i.colour) == (group, use.colour)), None)
    pens = narrow(QComboBox())
    explain(pens, tr("Which pen draws this colour."), tr("Pen for {0}", use.colour))
    if group:
        pens.addItem(tr("Same as the whole artwork"), None)
    pens.addItem(tr("No pen"), "")
    for pen in models.project.document.pens:
        pens.addItem(swatch(pen.colour), pen.name, pen.id)
    pens.setCurrentIndex(0 if group and ink is None else use.pen + 1 + bool(group))
    fills = narrow(QComboBox())
    explain(fills, tr("How areas of this colour are filled."), tr("Fill for {0}", use.colour))
    fills.addItem(tr("Job's fill"), "")
    for kind in get_args(FillKind):
        fills.addItem(tr(FILL_TITLES[kind]), kind)
    fills.setMinimumWidth(width_of_longest(fills))
    fills.setCurrentIndex(fills.findData(ink.fill.kind if ink and ink.fill else ""))
    fills.setEnabled(use.area > 0)

    def changed() -> None:
        document, pen, kind = models.project.document, pens.currentData(), fills.currentData()
        if pen is None and not kind:
            models.project.edit(tr("Choose a pen"), edits.unset_ink(document, placement, use.colour, group))
            return
        if pen is None:  # a fill of its own needs a pen of its own: the one that draws it now
            pen = document.pens[use.pen].id if use.pen >= 0 else ""
        old = ink.fill if ink and ink.fill else document.settings.fill
        fill = None if not kind else edits.replace(old, kind=kind)
        new = Ink(use.colour, pen, ink.outline if ink else True, fill, group)
        models.project.edit(tr("Choose a pen"), edits.set_ink(document, placement, new))

    pens.activated.connect(changed)
    fills.activated.connect(changed)
    label = QLabel()
    label.setPixmap(swatch(use.colour).pixmap(16, 16))
    size = tr("{0:.3f} m²", use.area / 1e6) if use.area else tr("{0:.1f} m", use.length / 1000)
    label.setToolTip(f"{use.colour}, {size}")
    row = QWidget()
    column = QVBoxLayout(row)
    column.setContentsMargins(0, 0, 0, 4)
    column.addWidget(pens)
    column.addWidget(fills)
    form.addRow(label, row)
