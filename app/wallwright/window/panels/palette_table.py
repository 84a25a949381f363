"""The colours of one artwork and the pens that draw them: how much there is of each, and how near the pen comes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, get_args

from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QPushButton, QWidget

from wallwright.artwork.colour import name_of
from wallwright.artwork.inks.recipes import Tint
from wallwright.document import edits
from wallwright.document.document import Fill, FillKind, Ink
from wallwright.document.language import N_, tr
from wallwright.document.quantity import quantities
from wallwright.strokes.palette import (
    FAR,
    NEAR,
    difference,
    pens_worth_buying,
    with_recipes_in_table,
    with_rule,
)
from wallwright.window.model.colour_pens import lacking, with_own_pens, with_pen
from wallwright.window.model.models import Models
from wallwright.window.widgets.choices import narrow, swatch, width_of_longest
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.number_field import NumberField

if TYPE_CHECKING:
    from wallwright.strokes.stroke_composition import ColourUse

FILL_TITLES = {
    "none": N_("No fill"),
    "hatch": N_("Hatch"),
    "cross-hatch": N_("Cross-hatch"),
    "zigzag": N_("Zigzag"),
    "contour": N_("Contour"),
    "spiral": N_("Spiral"),
    "stipple": N_("Stipple"),
}


TABLE, MIXED = "table", "mixed"
"""Stand for the person's own table, and for a colour's recipe, in lists of choices."""
RULES = {
    "mixed": (
        N_("Mixed from the pens"),
        N_("Each colour is mixed from one or two pens so that it looks right from afar."),
    ),
    "solid": (
        N_("One solid pen each"),
        N_("Each colour is drawn by the pen nearest to it, with the fill of the job."),
    ),
    TABLE: (N_("By my table"), N_("Each colour is drawn by the pen and fill chosen below.")),
}
"""What happens to colours: the title of the choice, and what it means."""
SMALL = 1e5
"""mm². Smaller areas are given in cm²."""


def size_of(use: ColourUse) -> str:
    """How much of a colour there is on the wall."""
    small = use.area < SMALL
    area = tr("{0:.0f} cm²", use.area / 100) if small else tr("{0:.2f} m²", use.area / 1e6)
    length = tr("{0:.1f} m", use.length / 1000)
    told = [area] * bool(use.area > 0) + [length] * bool(use.length > 0) or [length]
    return ", ".join(amount.replace(" ", "\u00a0") for amount in told)  # no line ends before a unit


class PaletteTable(QWidget):
    """Two lines a colour: what it is, and what draws it."""

    def __init__(
        self, models: Models, placement: str, uses: Sequence[ColourUse], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.models, self.placement, self.uses = models, placement, tuple(uses)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setColumnStretch(1, 1)
        self._grid.setColumnStretch(2, 1)
        self._rule()
        for use in self.uses:
            self._row(use)
        if lacking((use.colour for use in self.uses), models.project.document.pens):
            own = QPushButton(tr("Add pens in these colours"))
            explain(
                own,
                tr("Adds a pen for each colour here that no pen comes close to, and draws that colour with it."),
            )
            own.clicked.connect(self._own_pens)
            self._grid.addWidget(own, self._grid.rowCount(), 1, 1, 2)
        self._buy = QPushButton(tr("Which pens to buy"))
        explain(
            self._buy,
            tr("Finds up to three common marker colours that bring this artwork's colours nearest."),
        )
        self._buy.clicked.connect(self._advise)
        self._grid.addWidget(self._buy, self._grid.rowCount(), 1, 1, 2)

    def _rule(self) -> None:
        """The choice of what happens to all colours."""
        placement = self.models.project.document.placement(self.placement)
        is_table = any(not ink.group for ink in placement.inks)
        rules = narrow(QComboBox())
        for rule, (title, _) in RULES.items():
            rules.addItem(tr(title), rule)
        shown = TABLE if is_table and placement.colours == "solid" else placement.colours
        rules.setCurrentIndex(rules.findData(shown))
        explain(rules, tr("What happens to the colours of this artwork."), tr("Colours"))
        what = QLabel(tr(RULES[shown][1]))
        what.setWordWrap(True)

        def choose() -> None:
            document = self.models.project.document
            if rules.currentData() == TABLE:
                changed = with_recipes_in_table(document, self.placement, self.uses)
            else:
                changed = with_rule(document, self.placement, rules.currentData())
            self.models.project.edit(tr("Choose how colours are drawn"), changed)

        rules.activated.connect(choose)
        self._grid.addWidget(rules, 0, 1, 1, 2)
        self._grid.addWidget(what, 1, 1, 1, 2)

    def _row(self, use: ColourUse) -> None:
        document = self.models.project.document
        ink = next(
            (i for i in document.placement(self.placement).inks if i.colour == use.colour and not i.group),
            None,
        )
        fill = ink.fill if ink and ink.fill else document.settings.fill
        patch = QLabel()
        patch.setPixmap(swatch(use.colour).pixmap(16, 16))
        what = QLabel(f"{name_of(use.colour)}  {size_of(use)}")
        what.setWordWrap(True)
        what.setToolTip(use.colour)
        pens = narrow(QComboBox())
        explain(pens, tr("Which pen draws this colour."), tr("Pen for {0}", use.colour))
        if use.tints:
            pens.addItem(self._mixture(use), MIXED)
        pens.addItem(tr("No pen"), "")
        for pen in document.pens:
            pens.addItem(swatch(pen.colour), pen.name, pen.id)
        pens.setCurrentIndex(0 if use.tints else use.pen + 1)
        fills = narrow(QComboBox())
        explain(fills, tr("How areas of this colour are filled."), tr("Fill for {0}", use.colour))
        fills.addItem(tr("Job's fill"), "")
        for kind in get_args(FillKind):
            fills.addItem(tr(FILL_TITLES[kind]), kind)
        fills.setMinimumWidth(width_of_longest(fills))
        fills.setCurrentIndex(fills.findData(ink.fill.kind if ink and ink.fill else ""))
        from wallwright.strokes.fills.spacing import (
            coverage_of,
        )  # brings shapely, which the first page has no use for

        width = document.pens[max(use.pen, 0)].width
        coverage = NumberField(quantities(Fill)["coverage"], coverage_of(fill, width))
        coverage.setAccessibleName(tr("Coverage for {0}", use.colour))

        def change(new_fill: Fill | None) -> None:
            new = Ink(use.colour, pens.currentData(), ink.outline if ink else True, new_fill)
            self.models.project.edit(
                tr("Choose a pen"), edits.set_ink(self.models.project.document, self.placement, new)
            )

        def choose() -> None:
            if pens.currentData() == MIXED:
                return
            kind = fills.currentData()
            change(edits.replace(fill, kind=kind) if kind else None)

        pens.activated.connect(choose)
        fills.activated.connect(choose)
        coverage.entered.connect(lambda value: change(edits.replace(fill, coverage=value)))
        coverage.refused.connect(self.models.messages.say)
        row = self._grid.rowCount()
        self._grid.addWidget(patch, row, 0)
        self._grid.addWidget(what, row, 1)
        self._grid.addWidget(self._nearness(use, fill), row, 2)
        is_mixed = bool(use.tints)
        self._grid.addWidget(pens, row + 1, 1, 1, 2 if use.area <= 0 or is_mixed else 1)
        if use.area > 0 and not is_mixed:
            self._grid.addWidget(fills, row + 1, 2)
        if use.area > 0 and use.pen >= 0 and not is_mixed:
            self._grid.addWidget(QLabel(tr("Coverage")), row + 2, 1)
            self._grid.addWidget(coverage, row + 2, 2)

    def _nearness(self, use: ColourUse, fill: Fill) -> QLabel:
        """How near what is drawn comes to the colour, in a word; the number for who asks."""
        label = QLabel()
        label.setWordWrap(True)
        if use.pen < 0:
            return label
        is_tint = use.area > 0 and fill.coverage > 0
        alone = Tint(use.pen, fill.coverage / 100 if is_tint else 1.0)
        tints = use.tints if use.area > 0 and use.tints else (alone,)
        apart = difference(use.colour, self.models.project.document.pens, tints)
        word = tr("same look") if apart < NEAR else tr("similar") if apart < FAR else tr("a different colour")
        label.setText(word)
        explain(label, tr("Colour difference {0:.1f} (CIEDE2000), seen from afar on a white wall.", apart))
        return label

    def _own_pens(self) -> None:
        document = with_own_pens(self.models.project.document, self.placement, self.uses)
        self.models.project.edit(tr("Pens for the colours"), document)

    def _mixture(self, use: ColourUse) -> str:
        pens = self.models.project.document.pens
        if use.area <= 0:
            return pens[use.pen].name
        return " + ".join(tr("{0} {1:.0f} %", pens[t.pen].name, 100 * t.coverage) for t in use.tints)

    def _advise(self) -> None:
        """Lists pens worth buying below the button, each with what it brings."""
        self._buy.setEnabled(False)
        found = pens_worth_buying(self.models.project.document, self.uses)
        row = self._grid.rowCount()
        if not found:
            self._grid.addWidget(QLabel(tr("No other pen comes clearly nearer.")), row, 1, 1, 2)
        for number, advice in enumerate(found):
            add = QPushButton(
                swatch(advice.colour),
                tr("{0}: difference {1:.1f} becomes {2:.1f}", tr(advice.name), advice.before, advice.after),
            )
            explain(add, tr("Adds this pen to the project. Differences are CIEDE2000, the mean over the ink."))
            add.clicked.connect(lambda checked=False, colour=advice.colour: self._add_pen(colour))
            self._grid.addWidget(add, row + number, 1, 1, 2)

    def _add_pen(self, colour: str) -> None:
        document, _ = with_pen(self.models.project.document, colour)
        self.models.project.edit(tr("Add a pen"), document)
