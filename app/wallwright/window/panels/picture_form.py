"""The form of a picture: line style, its numbers, tone and pens, seen on the wall while sliders move."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, QSizeF, Qt
from PySide6.QtGui import QPainter, QPixmap
from PySide6.QtWidgets import QCheckBox, QComboBox, QFormLayout, QLabel, QWidget

from wallwright.artwork.raster.pen_layers import chosen_pens
from wallwright.document import edits
from wallwright.document.document import Document, Pen, Placement
from wallwright.document.language import N_, duration, tr
from wallwright.document.picture import STYLES, EdgeLines, PictureSettings, Regions
from wallwright.document.quantity import Quantity, quantities
from wallwright.document.style_titles import STYLE_TITLES
from wallwright.planning.plan import StyleSample
from wallwright.window.ink.miniature import ink_image
from wallwright.window.model.models import Models
from wallwright.window.model.style_samples import SampleState
from wallwright.window.widgets.choices import narrow, swatch
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.picture_choice import PICTURE, PictureChoice
from wallwright.window.widgets.slider_field import SliderField
from wallwright.window.widgets.theme import OnWall, StyledLabel, TextSize, on_wall

if TYPE_CHECKING:
    from wallwright.strokes.stroke_composition import ColourUse

FINE = 2
"""Pixels of a sample for each logical one."""


SAMPLE_WORDS = {
    SampleState.MADE: "",
    SampleState.BEING_MADE: N_("Being drawn…"),
    SampleState.WAITING: N_("Waiting…"),
    SampleState.AFTER_PLAN: N_("After planning…"),
    SampleState.IMPOSSIBLE: N_("No sample: too much ink"),
}
"""What an entry says in place of its sample."""
STILL_BUSY = N_("Still being drawn; it can be chosen already.")


def sample_picture(sample: StyleSample, pens: Sequence[Pen]) -> QPixmap:
    """A sample on the wall's ground, as large as the list shows it; sharp on fine screens."""
    width, height = sample.size
    shown = QSizeF(width, height).scaled(QSizeF(PICTURE), Qt.AspectRatioMode.KeepAspectRatio) * FINE
    size = shown.toSize().expandedTo(QSize(1, 1))
    picture = QPixmap(size)
    picture.fill(on_wall(OnWall.PAPER))
    painter = QPainter(picture)
    painter.drawImage(0, 0, ink_image(sample.strokes, pens, size, (0.0, 0.0), size.width() / width, FINE))
    painter.end()
    picture.setDevicePixelRatio(FINE)
    return picture


class PictureForm(QWidget):
    """Edits how one placement's picture becomes lines."""

    def __init__(self, models: Models, placement: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.models, self.placement = models, placement
        self._asked: Document | None = None
        self._form = QFormLayout(self)
        self._form.setContentsMargins(0, 0, 0, 0)
        self._form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self._form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self._style = PictureChoice()
        narrow(self._style)
        explain(
            self._style,
            tr("Style of the lines that draw the picture. The list shows each with this picture, and its time."),
            tr("Style"),
        )
        for name in STYLES:
            self._style.addItem(tr(STYLE_TITLES[name]), name)
        models.samples.changed.connect(self._show_samples)
        self._style.activated.connect(self._choose_style)
        self._style.seen.connect(self._want_seen)
        self._form.addRow(tr("Style"), self._style)
        self._of_style = {
            (kind, name): self._slider(name, quantity, True)
            for kind in STYLES.values()
            for name, quantity in quantities(kind).items()
        }
        self._of_tone = {
            name: self._slider(name, quantity, False) for name, quantity in quantities(PictureSettings).items()
        }
        self._pens_title = QLabel(tr("Pens"))
        self._form.addRow(self._pens_title)
        self._pens: dict[str, QCheckBox] = {}
        for pen in models.project.document.pens:
            box = QCheckBox()
            box.setIcon(swatch(pen.colour))
            explain(
                box,
                tr("Whether this pen draws a layer of the picture. If no pen is ticked, the darkest one draws it."),
                tr("Draw with {0}", pen.name),
            )
            box.clicked.connect(self._choose_pens)
            self._pens[pen.id] = box
            self._form.addRow(box)  # in all of the width: a pen's name has any length
        self._mixing = narrow(QComboBox())
        explain(self._mixing, tr("How several pens draw the picture."), tr("Several pens"))
        self._mixing.addItem(tr("Mixed on the wall"), "mixed")
        self._mixing.addItem(tr("One pen at each place"), "apart")
        self._mixing.activated.connect(
            lambda: self._edit(
                tr("Choose how pens mix"), edits.replace(self.picture, mixing=self._mixing.currentData())
            )
        )
        self._form.addRow(tr("Several pens"), self._mixing)
        self._one_pen_note = StyledLabel(
            tr(
                "Edges have no tone to mix: the darkest pen draws them all. With “{0}”, each edge gets "
                "the pen closest to its colour.",
                tr("One pen at each place"),
            ),
            TextSize.SMALL,
        )
        self._form.addRow(self._one_pen_note)
        self._slower = 1.0
        """Times as long as estimated that the picture takes, as last planned."""
        models.planning.preview_changed.connect(self.refresh)
        models.planning.plan_changed.connect(self._show_times)
        self.refresh()
        self._show_samples()
        models.samples.want(placement)

    @property
    def picture(self) -> PictureSettings:
        """How the document draws it."""
        return self.models.project.document.placement(self.placement).picture or PictureSettings()

    def refresh(self) -> None:
        """Shows what the document has, and what planning has found."""
        document = self.models.project.document
        if not any(p.id == self.placement for p in document.placements):
            return
        picture, kind = self.picture, type(self.picture.style)
        is_traced = kind is Regions
        self._style.setCurrentIndex(self._style.findData(kind.__struct_config__.tag))
        for (owner, name), field in self._of_style.items():
            self._form.setRowVisible(field, owner is kind)
            if owner is kind:
                field.show_value(getattr(picture.style, name))
        is_several = not is_traced and len(picture.pens) > 1
        self._form.setRowVisible(self._mixing, is_several)
        self._mixing.setCurrentIndex(self._mixing.findData(picture.mixing))
        is_mixed = is_several and picture.mixing == "mixed"
        self._form.setRowVisible(self._one_pen_note, is_mixed and kind is EdgeLines)
        has_gap = is_several and picture.mixing == "apart"
        for name, field in self._of_tone.items():
            self._form.setRowVisible(field, not is_traced and (name != "gap" or has_gap))
            field.show_value(getattr(picture, name))
        self._show_times()
        lengths, drawing = self._lengths(), chosen_pens(picture, document.pens)
        self._form.setRowVisible(self._pens_title, not is_traced and bool(self._pens))
        for number, pen in enumerate(document.pens):
            if (box := self._pens.get(pen.id)) is not None:
                self._form.setRowVisible(box, not is_traced)
                box.setChecked(number in drawing)
                length = lengths.get(number)
                box.setText(tr("{0}, {1:.1f} m", pen.name, length / 1000) if length else pen.name)

    def _show_times(self) -> None:
        """Says beside each style about how long it takes, as far as the ink it is to lay is known."""
        document = self.models.project.document
        if not any(p.id == self.placement for p in document.placements):
            return
        from wallwright.planning.style_samples import style_seconds  # brings shapely
        from wallwright.strokes.pictures.style_times import COSTS, LayerInk

        placement, own = document.placement(self.placement), str(type(self.picture.style).__struct_config__.tag)
        larger = self._larger_than_planned(placement)
        uses = self._uses() if STYLES[own] in COSTS else ()  # others are to lay other ink
        inks = [
            LayerInk(use.area * larger, document.pens[use.pen].width) for use in uses if use.pen < len(document.pens)
        ]
        samples = self.models.samples
        found = samples.found.values() if samples.placement == self.placement else ()
        seconds = style_seconds(placement, document, inks, found)
        planned = self._planned_seconds(document)
        if planned and seconds.get(own) and STYLES[own] in COSTS:
            self._slower = (
                planned / seconds[own]
            )  # what the plan found out about this picture holds for all that draw tone
        seconds = {name: s * self._slower if STYLES[name] in COSTS else s for name, s in seconds.items()}
        if planned:
            seconds[own] = planned
        for name in STYLES:
            index, title = self._style.findData(name), tr(STYLE_TITLES[name])
            text = title
            if name in seconds:  # no line of the list ends within a time
                text = tr("{0}, about {1}", title, duration(rounded(seconds[name])).replace(" ", "\u00a0"))
            self._style.setItemText(index, text)

    def _larger_than_planned(self, placement: Placement) -> float:
        """Times the area that the picture had when it was last planned."""
        before = self.models.planning.preview_document
        old = [p for p in before.placements if p.id == placement.id] if before is not None else []
        return placement.width * placement.height / (old[0].width * old[0].height) if old else 1.0

    def _planned_seconds(self, document: Document) -> float:
        """s that the picture takes as planned; 0 where that is not known, or not of it alone."""
        plan = self.models.planning.fresh_plan
        shown = [p for p in document.placements if p.visible]
        is_alone = [p.id for p in shown] == [self.placement] and len(document.hangings) == 1
        return plan.estimate.total_s if plan is not None and is_alone else 0.0

    def _uses(self) -> tuple[ColourUse, ...]:
        """The pens and their ink, as last planned."""
        reports = self.models.planning.preview.reports if self.models.planning.preview is not None else ()
        return next((r.colours for r in reports if r.placement == self.placement), ())

    def _show_samples(self) -> None:
        """Puts what each style makes of the picture into the list."""
        found = self.models.samples.found if self.models.samples.placement == self.placement else {}
        pens = self.models.project.document.pens
        for index in range(self._style.count()):
            style = self._style.itemData(index)
            sample, state = found.get(style), self.models.samples.state_of(style)
            if sample is not None and not sample.trouble:
                self._style.show_picture(index, sample_picture(sample, pens))
                continue
            is_busy = state is SampleState.BEING_MADE
            words = STILL_BUSY if is_busy and self.models.samples.is_slow else SAMPLE_WORDS[state]
            self._style.show_picture(index, QPixmap(), tr(words), is_busy)
            self._style.setItemData(index, sample.trouble if sample is not None else "", Qt.ItemDataRole.ToolTipRole)
        self._show_times()

    def _want_seen(self, indexes: list[int]) -> None:
        """Asks for the samples that are seen before the others."""
        self.models.samples.want(self.placement, True, [self._style.itemData(index) for index in indexes])

    def _lengths(self) -> dict[int, float]:
        """mm of lines by pen, as last planned."""
        return {u.pen: u.length for u in self._uses()}

    # Edits.

    def _slider(self, name: str, quantity: Quantity, is_of_style: bool) -> SliderField:
        field = SliderField(quantity)
        path = f"style.{name}" if is_of_style else name
        title = tr("Change: {0}", quantity.shown_title)

        def slide(value: float) -> None:
            if self._edit(title, edits.with_field(self.picture, path, value), f"{self.placement} {path}"):
                self._show_soon()

        field.slid.connect(slide)
        field.settled.connect(lambda: self.models.project.history.close_step())
        field.entered.connect(lambda value: self._edit(title, edits.with_field(self.picture, path, value)))
        field.refused_unseen.connect(self.models.messages.say)
        self._form.addRow(quantity.shown_title, field)
        return field

    def _choose_style(self) -> None:
        kind = STYLES[self._style.currentData()]
        if kind is not type(self.picture.style):
            self._edit(tr("Choose a line style"), edits.replace(self.picture, style=kind()))

    def _choose_pens(self) -> None:
        chosen = tuple(
            p.id for p in self.models.project.document.pens if p.id in self._pens and self._pens[p.id].isChecked()
        )
        self._edit(tr("Choose pens for a picture"), edits.replace(self.picture, pens=chosen))

    def _edit(self, title: str, picture: PictureSettings, merge: str | None = None) -> bool:
        document = edits.set_placement(self.models.project.document, self.placement, picture=picture)
        return self.models.project.edit(title, document, merge)

    def _show_soon(self) -> None:
        """Has the picture drawn while the slider still moves, as often as drawing it takes."""
        if not self.models.planning.is_planning or self.models.planning.preview_document is self._asked:
            self._asked = self.models.project.document
            self.models.planning.plan_now()


def rounded(seconds: float) -> float:
    """A time that is known to a fifth, as people say it: to five minutes, above three hours to half an hour."""
    step = 1800 if seconds > 3 * 3600 else 300 if seconds > 900 else 60
    return max(round(seconds / step), 1) * step
