"""The form of artwork made in the program: its words and numbers, shown on the wall as they are typed."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import QTimer
from PySide6.QtGui import QColor, QFont, QFontMetrics
from PySide6.QtWidgets import (
    QCheckBox,
    QColorDialog,
    QComboBox,
    QFontComboBox,
    QFormLayout,
    QPushButton,
    QWidget,
)

from wallwright.document import generated_artwork
from wallwright.document.document import Artwork
from wallwright.document.edits import replace
from wallwright.document.errors import UserError
from wallwright.document.language import N_, tr
from wallwright.document.quantity import quantities
from wallwright.window.model.models import Models
from wallwright.window.widgets.choices import narrow, swatch
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.line_text import TextField
from wallwright.window.widgets.number_field import NumberField

TYPED_MS = 250
"""Words are drawn anew when no key has been pressed for so long."""
LETTERING = {
    "single-line": N_("Single-line letters"),
    "outline": N_("Installed font"),
    "middle-line": N_("Installed font, single line"),
}
MISSING = {"replace": N_("Draw in another font"), "leave-out": N_("Leave out")}
FACES = {
    "plain": N_("Plain"),
    "bold": N_("Double lines"),
    "roman": N_("Roman"),
    "italic": N_("Italic"),
    "script": N_("Handwriting"),
    "ornate": N_("Ornate handwriting"),
    "gothic": N_("Gothic"),
}
ALIGNS = {"left": N_("Left"), "centre": N_("Centre"), "right": N_("Right")}


def _show_number(field: NumberField, name: str, thing: object) -> None:
    field.show_value(getattr(thing, name))


def _show_tick(box: QCheckBox, name: str, thing: object) -> None:
    box.setChecked(getattr(thing, name))


class GeneratedForm(QWidget):
    """Edits the thing that one placement shows; every placement of it follows."""

    def __init__(self, models: Models, placement: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.models, self.placement = models, placement
        self._fields: list[Callable[[Any], None]] = []
        """Show the thing's values, one for each field; the thing is of the kind that the field was made for."""
        self.text: TextField | None = None
        form = QFormLayout(self)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.setContentsMargins(0, 0, 0, 0)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        thing = self.thing
        if isinstance(thing, generated_artwork.TextArtwork):
            self._build_words(form)
        if not isinstance(thing, generated_artwork.PenChart):
            self._build_colour(form)
        for name, quantity in quantities(type(thing)).items():
            if (
                isinstance(thing, generated_artwork.HelperFigure)
                and name == "pitch"
                and thing.kind in ("frame", "square")
            ):
                continue
            field = NumberField(quantity, getattr(thing, name))
            field.entered.connect(lambda value, name=name: self._change(**{name: value}))
            field.refused_unseen.connect(models.messages.say)
            self._fields.append(partial(_show_number, field, name))
            form.addRow(quantity.shown_title, field)
        if isinstance(thing, generated_artwork.PenChart):
            button = QPushButton(tr("Update to current pens"))
            explain(button, tr("Updates the chart to the pens of this project."))
            button.clicked.connect(
                lambda: self._change(swatches=generated_artwork.chart_of(self.models.project.document).swatches)
            )
            form.addRow("", button)
        self.refresh()

    @property
    def _artwork(self) -> Artwork:
        document = self.models.project.document
        return document.artwork(document.placement(self.placement).artwork)

    @property
    def name(self) -> str:
        """The artwork's name, which follows its words."""
        return self._artwork.name

    @property
    def thing(self) -> generated_artwork.GeneratedArtwork:
        """What is edited, as the document has it. Raises ValueError for artwork from a file."""
        thing = generated_artwork.generated_content(self._artwork)
        if thing is None:
            raise ValueError(f"{self.name} was not made in the program")
        return thing

    def refresh(self) -> None:
        """Shows what the document has."""
        now = self.thing
        for show in self._fields:
            show(now)

    def edit_text(self) -> None:
        """Puts the cursor into the words, all chosen."""
        if self.text is not None:
            self.text.setFocus()
            self.text.selectAll()

    # Fields.

    def _build_words(self, form: QFormLayout) -> None:
        text = self.text = TextField()
        explain(text, tr("The text to draw. Enter starts a new line."), tr("Text"))
        text.setTabChangesFocus(True)
        text.setFixedHeight(QFontMetrics(text.font()).lineSpacing() * 4)
        typed = QTimer(self, singleShot=True, interval=TYPED_MS)

        before = ""  # in the document, when it was last shown or taken

        def take() -> None:
            nonlocal before
            typed.stop()
            thing = self.thing
            is_new = isinstance(thing, generated_artwork.TextArtwork) and text.toPlainText() != thing.text
            if text.toPlainText().strip() and is_new:
                before = text.toPlainText()
                self._change(text=before)

        def show(now: generated_artwork.TextArtwork) -> None:
            nonlocal before
            is_new, before = now.text != before, now.text
            is_typed = typed.isActive() or (text.hasFocus() and not is_new)
            if text.toPlainText() != now.text and not is_typed:
                text.setPlainText(now.text)
                typed.stop()

        text.textChanged.connect(typed.start)
        typed.timeout.connect(take)
        self._fields.append(show)
        form.addRow(text)
        self._choice(
            form,
            "lettering",
            tr("Letters"),
            LETTERING,
            tr(
                "Single-line letters: one stroke along each letter. Installed font: the outline of each letter, or one "
                "stroke along the middle of each stem."
            ),
        )
        face = self._choice(form, "face", tr("Style"), FACES, tr("Style of the single-line letters."))
        family = QFontComboBox()
        explain(family, tr("A font installed on this computer. The project stores only its name."), tr("Font"))
        family.setEditable(False)
        narrow(family)
        family.textActivated.connect(lambda name: self._change(family=name))
        self._fields.append(lambda now: family.setCurrentFont(QFont(now.family) if now.family else QFont()))
        form.addRow(tr("Font"), family)
        styles = []
        for name, title in (("bold", tr("Bold")), ("italic", tr("Italic"))):
            box = QCheckBox(title)
            explain(box, tr("Weight and slant of the font."))
            box.clicked.connect(lambda on, name=name: self._change(**{name: bool(on)}))
            self._fields.append(partial(_show_tick, box, name))
            form.addRow("", box)
            styles.append(box)

        def fit(now: generated_artwork.TextArtwork) -> None:
            is_of_font = now.lettering != "single-line"
            form.setRowVisible(face, not is_of_font)
            for widget in (family, *styles):
                form.setRowVisible(widget, is_of_font)

        self._fields.append(fit)
        self._choice(
            form,
            "missing",
            tr("Missing letters"),
            MISSING,
            tr("What happens to characters that the chosen letters lack. A note names them."),
        )
        self._choice(form, "align", tr("Alignment"), ALIGNS, tr("How several lines are aligned."))

    def _build_colour(self, form: QFormLayout) -> None:
        button = QPushButton()
        explain(button, tr("The colour that decides which pen draws it."), tr("Colour"))

        def show(now: generated_artwork.TextArtwork | generated_artwork.HelperFigure) -> None:
            button.setIcon(swatch(now.colour))
            button.setText(now.colour)

        def choose() -> None:
            colour = QColorDialog.getColor(QColor(button.text()), self, tr("Colour"))
            if colour.isValid():
                self._change(colour=colour.name())

        button.clicked.connect(choose)
        self._fields.append(show)
        form.addRow(tr("Colour"), button)

    def _choice(self, form: QFormLayout, name: str, title: str, titles: dict[str, str], help: str) -> QComboBox:
        box = narrow(QComboBox())
        explain(box, help, title)
        for value, text in titles.items():
            box.addItem(tr(text), value)
        box.activated.connect(lambda: self._change(**{name: box.currentData()}))
        self._fields.append(lambda now: box.setCurrentIndex(box.findData(getattr(now, name))))
        form.addRow(title, box)
        return box

    # The edit.

    def _change(self, **fields: object) -> None:
        """Another thing in place of this one; says why when it cannot be drawn."""
        from wallwright.artwork.artwork_reader import read_artwork

        old, artwork, document = self.thing, self._artwork, self.models.project.document
        new = replace(old, **fields)

        def size(thing: generated_artwork.GeneratedArtwork) -> tuple[float, float]:
            drawing = read_artwork(
                generated_artwork.encode(thing), artwork.media, artwork.name, document.settings.flatness
            )
            return drawing.width, drawing.height

        try:
            document = generated_artwork.with_generated_content(document, self.placement, new, size(new), size(old))
        except UserError as trouble:
            self.models.messages.say(str(trouble))
            self.refresh()
            return
        merge = f"words {artwork.id}" if "text" in fields else None
        self.models.project.edit(tr("Change: {0}", generated_artwork.generated_name(new)), document, merge)
