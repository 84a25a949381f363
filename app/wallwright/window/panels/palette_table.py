"""The colours of one artwork and the pens that draw them: how much there is of each, and how near the pen comes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeVar, get_args

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from wallwright.artwork.colour import names_of
from wallwright.artwork.inks.recipes import Tint
from wallwright.document import edits
from wallwright.document.document import Fill, FillKind, Ink, Pen
from wallwright.document.language import N_, plural, tr
from wallwright.document.quantity import quantities
from wallwright.strokes.palette import (
    ALIKE,
    DIFFERENT,
    difference,
    pens_worth_buying,
    with_recipes_in_table,
    with_rule,
)
from wallwright.window.model.colour_pens import lacking, with_own_pens, with_pen
from wallwright.window.model.models import Models
from wallwright.window.panels.colour_rows import COLUMNS, PEN, ColourRows, amount_of, size_of
from wallwright.window.panels.fill_choices import FILL_TITLES
from wallwright.window.panels.pen_advice_picture import PenAdvicePicture
from wallwright.window.widgets.choices import narrow, swatch
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.number_field import NumberField
from wallwright.window.widgets.theme import CLOSE, StyledLabel, TextSize

if TYPE_CHECKING:
    from wallwright.strokes.stroke_composition import ColourUse

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
SMALL_SHARE = 0.01
"""Of all ink: colours with less are folded into one row."""
MOST_ROWS = 9
"""Shown before the list scrolls."""
USE = int(Qt.ItemDataRole.UserRole)


Value = TypeVar("Value")


def only_value(values: Sequence[Value]) -> Value | None:
    """The value when all are equal, else None."""
    return values[0] if len(set(values)) == 1 else None


def covered_share(tints: Sequence[Tint]) -> float:
    """% of an area that has ink of at least one tint on it: tints that cross at an angle lie on each other by chance."""
    return 100 * (1 - math.prod(1 - tint.coverage for tint in tints))


class PaletteTable(QWidget):
    """A row a colour, those with most ink first; what is chosen below the rows is for all that are selected."""

    def __init__(
        self,
        models: Models,
        placement: str,
        uses: Sequence[ColourUse],
        chosen: set[str] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        """chosen: the colours whose rows are selected; it is kept up to date, for the next table in place of this one."""
        super().__init__(parent)
        self.models, self.placement = models, placement
        self.uses = tuple(sorted(uses, key=amount_of, reverse=True))
        colours = [use.colour for use in self.uses]
        self._names = dict(zip(colours, names_of(colours), strict=True))
        self._chosen = chosen if chosen is not None else set()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(CLOSE)
        self._add_rule()
        self.rows = self._made_rows()
        self._column.addWidget(self.rows)
        self._form = QFormLayout()
        self._column.addLayout(self._form)
        self.pens, self.fills = narrow(QComboBox()), narrow(QComboBox())
        self.coverage = NumberField(quantities(Fill)["coverage"], 100.0)
        self.nearness = QLabel()
        self._add_editor()
        self._add_buttons()
        self._show_chosen()

    # Rows.

    def _made_rows(self) -> QTreeWidget:
        rows = ColourRows()
        rows.setColumnCount(COLUMNS)
        rows.setHeaderLabels([tr("Colour"), tr("Amount"), tr("Pen"), tr("Fill"), "%"])
        rows.headerItem().setToolTip(
            COLUMNS - 1,
            tr("Coverage: share of the area with ink on it. Of two pens that are mixed, each name has its own share."),
        )
        rows.setSelectionMode(QTreeWidget.SelectionMode.ExtendedSelection)
        rows.setIndentation(14)
        rows.setRootIsDecorated(False)
        rows.setUniformRowHeights(True)
        rows.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        explain(rows, tr("Colours of this artwork. Select one or several to change what draws them."), tr("Colours"))
        least = SMALL_SHARE * sum(map(amount_of, self.uses))
        large = [use for use in self.uses if amount_of(use) >= least]
        small = self.uses[len(large) :]
        if len(small) < 2:
            large, small = list(self.uses), ()
        for use in large:
            rows.addTopLevelItem(self._row(use))
        if small:
            folded = QTreeWidgetItem([plural("{0} small colour", "{0} small colours", len(small))])
            rows.addTopLevelItem(folded)
            folded.setFirstColumnSpanned(True)
            folded.addChildren([self._row(use) for use in small])
            folded.setExpanded(any(use.colour in self._chosen for use in small))
            rows.setRootIsDecorated(True)
        known = {use.colour for use in self.uses}
        if not self._chosen & known and self.uses:
            self._chosen.add(self.uses[0].colour)
        for item in self._items(rows):
            use = item.data(0, USE)
            item.setSelected(use is not None and use.colour in self._chosen)
        rows.itemSelectionChanged.connect(self._choose_rows)
        header = rows.header()
        header.setStretchLastSection(False)
        header.setSectionsMovable(False)
        for column in range(COLUMNS):
            mode = QHeaderView.ResizeMode.Stretch if column == PEN else QHeaderView.ResizeMode.ResizeToContents
            header.setSectionResizeMode(column, mode)
        header.setMinimumSectionSize(28)
        count = min(len(large) + bool(small), MOST_ROWS)
        line = max(rows.sizeHintForRow(0), rows.fontMetrics().height() + 8)
        rows.setFixedHeight(header.sizeHint().height() + count * line + 8)
        return rows

    @staticmethod
    def _items(rows: QTreeWidget) -> list[QTreeWidgetItem]:
        return rows.findItems("*", Qt.MatchFlag.MatchWildcard | Qt.MatchFlag.MatchRecursive)

    def _row(self, use: ColourUse) -> QTreeWidgetItem:
        document, fill, ink = self.models.project.document, self._fill_of(use), self._ink_of(use)
        is_several = len(use.tints) > 1  # the share of a single one stands in its column
        pen = self._mixture(use) if is_several else document.pens[use.pen].name if use.pen >= 0 else tr("No pen")
        kind, coverage = "", ""
        if use.area > 0 and use.pen >= 0:
            kind = tr("Mixed") if use.tints else tr(FILL_TITLES[fill.kind])
            share = covered_share(use.tints) if use.tints else self._coverage_of(use)
            coverage = f"{share:.0f}"
        item = QTreeWidgetItem([self._names[use.colour], size_of(use).split(", ")[0], pen, kind, coverage])
        item.setIcon(0, swatch(use.colour))
        item.setData(0, USE, use)
        word, apart = self._nearness(use)
        tip = f"{self._names[use.colour]} {use.colour}, {size_of(use)}\n{pen} {kind} {coverage}".rstrip()
        if word:
            tip += "\n" + tr("Looks: {0} (CIEDE2000 {1:.1f})", word, apart)
        for column in range(COLUMNS):
            item.setToolTip(column, tip)
        if ink is not None:
            font = item.font(PEN)
            font.setBold(True)
            item.setFont(PEN, font)  # chosen by the person
        return item

    def _choose_rows(self) -> None:
        """The row of the small colours stands for all of them."""
        self._chosen.clear()
        for item in self.rows.selectedItems():
            own = item.data(0, USE)
            below = (item.child(i) for i in range(item.childCount()))
            uses = [own] if own is not None else [child.data(0, USE) for child in below if child is not None]
            self._chosen.update(use.colour for use in uses)
        self._show_chosen()

    def chosen_uses(self) -> list[ColourUse]:
        return [use for use in self.uses if use.colour in self._chosen]

    # What is known of a colour.

    def _ink_of(self, use: ColourUse) -> Ink | None:
        inks = self.models.project.document.placement(self.placement).inks
        return next((ink for ink in inks if ink.colour == use.colour and not ink.group), None)

    def _fill_of(self, use: ColourUse) -> Fill:
        ink = self._ink_of(use)
        return ink.fill if ink is not None and ink.fill is not None else self.models.project.document.settings.fill

    def _coverage_of(self, use: ColourUse) -> float:
        from wallwright.strokes.fills.spacing import coverage_of  # brings shapely, which the first page has no use for

        return coverage_of(self._fill_of(use), self.models.project.document.pens[max(use.pen, 0)].width)

    def _nearness(self, use: ColourUse) -> tuple[str, float]:
        """How near what is drawn comes to the colour: a word, and the difference; "" where nothing draws it."""
        if use.pen < 0:
            return "", 0.0
        fill = self._fill_of(use)
        is_tint = use.area > 0 and fill.coverage > 0
        alone = Tint(use.pen, fill.coverage / 100 if is_tint else 1.0)
        tints = use.tints if use.area > 0 and use.tints else (alone,)
        apart = difference(use.colour, self.models.project.document.pens, tints)
        return tr("same look") if apart < ALIKE else tr("similar") if apart < DIFFERENT else tr(
            "a different colour"
        ), apart

    # The editor.

    def _add_editor(self) -> None:
        explain(self.pens, tr("Which pen draws the selected colours."), tr("Pen"))
        explain(self.fills, tr("How areas of the selected colours are filled."), tr("Fill"))
        self.fills.addItem(tr("Job's fill"), "")
        for kind in get_args(FillKind):
            self.fills.addItem(tr(FILL_TITLES[kind]), kind)
        self.pens.activated.connect(self._enter_pen)
        self.fills.activated.connect(self._enter_fill)
        self.coverage.entered.connect(self._enter_coverage)
        self.coverage.refused_unseen.connect(self.models.messages.say)
        self._form.addRow(self.pens)  # whole: names of pens and mixtures are long
        self._form.addRow(tr("Fill"), self.fills)
        self._form.addRow(tr("Coverage"), self.coverage)
        self.nearness.setWordWrap(True)
        self._column.addWidget(self.nearness)

    def _show_chosen(self) -> None:
        uses, document = self.chosen_uses(), self.models.project.document
        self.pens.clear()
        mixtures = {self._mixture(use) for use in uses if use.tints}
        if mixtures:
            self.pens.addItem(swatch(uses[0].colour), only_value(list(mixtures)) or tr("Mixed"), MIXED)
        self.pens.addItem(tr("No pen"), "")
        for pen in document.pens:
            self.pens.addItem(swatch(pen.colour), pen.name, pen.id)
        pens = [MIXED if use.tints else document.pens[use.pen].id if use.pen >= 0 else "" for use in uses]
        only = only_value(pens)
        self.pens.setCurrentIndex(self.pens.findData(only) if only is not None else -1)
        inks = [self._ink_of(use) for use in uses]
        kind = only_value([ink.fill.kind if ink is not None and ink.fill is not None else "" for ink in inks])
        self.fills.setCurrentIndex(self.fills.findData(kind) if kind is not None else -1)
        has_fill = any(use.area > 0 and use.pen >= 0 and not use.tints for use in uses)
        for field in (self.fills, self.coverage):
            self._form.setRowVisible(field, has_fill)
        coverage = only_value([round(self._coverage_of(use), 3) for use in uses])
        if coverage is None:
            self.coverage.show_several()
        else:
            self.coverage.show_value(coverage)
        words = sorted({word for word, _ in map(self._nearness, uses) if word})
        self.nearness.setText(tr("Seen from afar: {0}.", ", ".join(words)) if words else "")
        self.nearness.setVisible(bool(words))
        for field in (self.pens, self.fills, self.coverage):
            field.setEnabled(bool(uses))

    def _enter_pen(self) -> None:
        pen = self.pens.currentData()
        if pen != MIXED:
            self._change(tr("Choose a pen"), lambda use, fill: (pen, fill))

    def _enter_fill(self) -> None:
        kind = self.fills.currentData()

        def with_kind(use: ColourUse, fill: Fill | None) -> tuple[str, Fill | None]:
            return self._pen_id(use), edits.replace(fill or self._fill_of(use), kind=kind) if kind else None

        self._change(tr("Choose a fill"), with_kind)

    def _enter_coverage(self, value: float) -> None:
        self._change(
            tr("Change: {0}", tr("Coverage")),
            lambda use, fill: (self._pen_id(use), edits.replace(fill or self._fill_of(use), coverage=value)),
        )

    def _pen_id(self, use: ColourUse) -> str:
        return self.models.project.document.pens[use.pen].id if use.pen >= 0 else ""

    def _change(self, title: str, chosen: Callable[[ColourUse, Fill | None], tuple[str, Fill | None]]) -> None:
        """One step for all selected colours. chosen: pen and fill of a colour with its own fill, or None."""
        document = self.models.project.document
        for use in self.chosen_uses():
            ink = self._ink_of(use)
            pen, fill = chosen(use, ink.fill if ink is not None else None)
            new = Ink(use.colour, pen, ink.outline if ink is not None else True, fill)
            document = edits.set_ink(document, self.placement, new)
        self.models.project.edit(title, document)

    # The whole artwork.

    def _add_rule(self) -> None:
        """The choice of what happens to all colours."""
        placement = self.models.project.document.placement(self.placement)
        is_table = any(not ink.group for ink in placement.inks)
        rules = narrow(QComboBox())
        for rule, (title, _) in RULES.items():
            rules.addItem(tr(title), rule)
        shown = TABLE if is_table and placement.colours == "solid" else placement.colours
        rules.setCurrentIndex(rules.findData(shown))
        explain(rules, tr("What happens to the colours of this artwork."), tr("Rule for colours"))

        def choose() -> None:
            document = self.models.project.document
            if rules.currentData() == TABLE:
                changed = with_recipes_in_table(document, self.placement, self.uses)
            else:
                changed = with_rule(document, self.placement, rules.currentData())
            self.models.project.edit(tr("Choose how colours are drawn"), changed)

        rules.activated.connect(choose)
        self._column.addWidget(rules)
        self._column.addWidget(StyledLabel(tr(RULES[shown][1]), TextSize.SMALL))

    def _add_buttons(self) -> None:
        if lacking((use.colour for use in self.uses), self.models.project.document.pens):
            own = QPushButton(tr("Add pens in these colours"))
            explain(
                own,
                tr("Adds a pen for each colour here that no pen comes close to, and draws that colour with it."),
            )
            own.clicked.connect(self._own_pens)
            self._column.addWidget(own)
        self._buy = QPushButton(tr("Which pens to buy"))
        explain(
            self._buy,
            tr("Finds up to three common marker colours that bring this artwork's colours nearest."),
        )
        self._buy.clicked.connect(self._advise)
        self._column.addWidget(self._buy)

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
        if not found:
            self._column.addWidget(QLabel(tr("No other pen comes clearly nearer.")))
        bought: list[Pen] = []
        for advice in found:
            bought.append(Pen(advice.colour, advice.name, advice.colour))
            add = QPushButton(
                swatch(advice.colour),
                tr("{0}: difference {1:.1f} becomes {2:.1f}", tr(advice.name), advice.before, advice.after),
            )
            explain(add, tr("Adds this pen to the project. Differences are CIEDE2000, the mean over the ink."))
            add.clicked.connect(lambda checked=False, colour=advice.colour: self._add_pen(colour))
            self._column.addWidget(add)
            self._column.addWidget(PenAdvicePicture(self.uses, self.models.project.document.pens, bought))

    def _add_pen(self, colour: str) -> None:
        document, _ = with_pen(self.models.project.document, colour)
        self.models.project.edit(tr("Add a pen"), document)
