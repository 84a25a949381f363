"""The table of colours and pens: sizes, nearness, suggestions as one step of undo."""

from PySide6.QtWidgets import QComboBox, QPushButton

from wallwright.artwork.inks.recipes import Tint
from wallwright.document import edits
from wallwright.document.document import Ink
from wallwright.planning.demo import demo_document
from wallwright.strokes.stroke_composition import ColourUse
from wallwright.window.model.colour_pens import with_one_more
from wallwright.window.model.models import Models
from wallwright.window.panels.colour_rows import PEN
from wallwright.window.panels.palette_table import PaletteTable
from wallwright.window.panels.pen_advice_picture import PenAdvicePicture

PENS = {pen.id: number for number, pen in enumerate(demo_document().pens)}


def all_rows(table):
    return table._items(table.rows)


def top_rows(table):
    return [table.rows.topLevelItem(i) for i in range(table.rows.topLevelItemCount())]


def texts_of(item):
    return [item.text(column) for column in range(item.columnCount())]


def test_several_colours_are_changed_in_one_step_and_small_ones_are_folded(qtbot):
    models = Models.of(demo_document())
    try:
        name = models.project.document.placements[0].id
        uses = [ColourUse(f"#{n:02x}4060", 0, False, 9e5 / n, 0.0) for n in range(1, 4)]
        uses += [ColourUse(f"#60{n:02x}40", 0, False, 50.0, 0.0) for n in range(1, 6)]
        chosen: set[str] = set()
        table = PaletteTable(models, name, uses[::-1], chosen)
        qtbot.addWidget(table)
        rows = top_rows(table)
        assert len(rows) == 4 and rows[3].text(0) == "5 small colours" and not rows[3].isExpanded()
        amounts = [use.area for use in table.uses]
        assert amounts == sorted(amounts, reverse=True) and chosen == {"#014060"}
        before = models.project.document
        rows[1].setSelected(True)
        rows[3].setSelected(True)
        assert len(table.chosen_uses()) == 7
        table.pens.setCurrentIndex(table.pens.findData("red"))
        table.pens.activated.emit(table.pens.currentIndex())
        inks = {ink.colour: ink.pen for ink in models.project.document.placement(name).inks}
        assert len(inks) == 7 and set(inks.values()) == {"red"}
        table.coverage.entered.emit(37.0)
        fills = {ink.fill.coverage for ink in models.project.document.placement(name).inks}
        assert fills == {37.0}
        models.project.undo()
        models.project.undo()
        assert models.project.document == before
        again = PaletteTable(models, name, uses, chosen)  # as after a plan
        qtbot.addWidget(again)
        assert {use.colour for use in again.chosen_uses()} == {use.colour for use in table.chosen_uses()}
    finally:
        models.close()


def test_names_of_pens_are_read_whole_where_other_columns_can_give_way(qtbot):
    models = Models.of(demo_document())
    try:
        name = models.project.document.placements[0].id
        uses = [ColourUse(f"#{n:02x}4060", PENS["red"], False, 9e5 / n, 0.0) for n in range(1, 4)]
        table = PaletteTable(models, name, uses)
        qtbot.addWidget(table)
        rows = table.rows
        for width in (304, 360, 520):  # pixels that the panel gives it
            table.resize(width, 400)
            table.show()
            qtbot.waitUntil(lambda width=width: rows.width() == width)
            assert rows.columnWidth(PEN) >= rows.sizeHintForColumn(PEN)
        assert not any(rows.isColumnHidden(column) for column in range(rows.columnCount()))
    finally:
        models.close()


def test_a_rule_for_all_colours_is_one_step(qtbot):
    models = Models.of(demo_document())
    try:
        name = models.project.document.placements[0].id
        uses = (
            ColourUse("#808080", PENS["black"], False, 250_000.0, 0.0),
            ColourUse("#c02020", PENS["black"], False, 0.0, 1500.0),
        )
        table = PaletteTable(models, name, uses)
        qtbot.addWidget(table)
        assert [texts_of(item)[:3] for item in top_rows(table)] == [
            ["Grey", "0.25\u00a0m²", "Black marker"],
            ["Red", "1.5\u00a0m", "Black marker"],
        ], "no line ends between a number and its unit"
        assert "a different colour" in top_rows(table)[1].toolTip(0)
        before = models.project.document
        rules = next(b for b in table.findChildren(QComboBox) if b.accessibleName() == "Rule for colours")
        assert rules.currentText() == "Mixed from the pens"
        rules.setCurrentIndex(rules.findData("table"))
        rules.activated.emit(rules.currentIndex())
        inks = {i.colour: i for i in models.project.document.placements[0].inks}
        assert inks["#808080"].pen == "black"
        assert 0 < inks["#808080"].fill.coverage < 100
        models.project.undo()
        assert models.project.document == before
        rules.setCurrentIndex(rules.findData("solid"))
        rules.activated.emit(rules.currentIndex())
        assert models.project.document.placements[0].colours == "solid"
    finally:
        models.close()


def test_mixtures_are_named_and_pens_worth_buying_can_be_added(qtbot):
    models, red, black = Models.of(demo_document()), PENS["red"], PENS["black"]
    try:
        uses = (
            ColourUse("#e07050", red, False, 9e5, 0.0, tints=(Tint(red, 0.6), Tint(PENS["orange"], 0.3))),
            ColourUse("#008856", black, False, 9e5, 0.0, tints=(Tint(black, 0.7),)),
        )
        table = PaletteTable(models, models.project.document.placements[0].id, uses)
        qtbot.addWidget(table)
        assert table.pens.currentText() == top_rows(table)[0].text(2) == "Red marker 60 % + Orange marker 30 %"
        assert top_rows(table)[0].text(4) == "72"
        buy = next(b for b in table.findChildren(QPushButton) if b.text() == "Which pens to buy")
        buy.click()
        green = next(b for b in table.findChildren(QPushButton) if b.text().startswith("Green: difference"))
        picture = table.findChildren(PenAdvicePicture)[0].pixmap().toImage()
        across = picture.width() * 3 // 4  # the green half
        artwork, now, then = (picture.pixelColor(across, picture.height() * row // 6).getRgb() for row in (1, 3, 5))
        assert artwork[:3] == (0x00, 0x88, 0x56)
        assert sum(abs(a - b) for a, b in zip(artwork, then, strict=True)) < 20
        assert sum(abs(a - b) for a, b in zip(artwork, now, strict=True)) > 40
        green.click()
        assert models.project.document.pens[-1].colour == "#008856"
    finally:
        models.close()


def test_pens_are_added_for_colours_that_none_comes_near(qtbot):
    """Also where another pen was chosen before: the button says that the new pens draw these colours."""
    models = Models.of(demo_document())
    try:
        document = models.project.document
        placement = document.placements[0].id
        pens = tuple(p for p in document.pens if p.id == "black")
        document = edits.replace(document, pens=pens)
        document = edits.set_ink(document, placement, Ink("#2e7d32", pens[0].id))
        models.project.edit("One pen", document)
        before = models.project.document
        uses = (
            ColourUse("#2e7d32", 0, True, 3000.0, 0.0),
            ColourUse("#8e24aa", 0, False, 0.0, 1500.0),
            ColourUse("#ffffff", -1, False, 9e5, 0.0),
            ColourUse("#222222", 0, False, 9e5, 0.0),
        )
        table = PaletteTable(models, placement, uses)
        qtbot.addWidget(table)
        rows = [texts_of(item) for item in all_rows(table)]
        assert ["Green", "30\u00a0cm²"] in [row[:2] for row in rows] and "#" not in str(rows)
        (own,) = (b for b in table.findChildren(QPushButton) if "Add pens" in b.text())
        own.click()
        new = models.project.document.pens[1:]
        assert [p.colour for p in new] == ["#2e7d32", "#8e24aa"]
        assert len({p.name for p in models.project.document.pens}) == 3 and "New pen" not in {p.name for p in new}
        assert {i.colour: i.pen for i in models.project.document.placements[0].inks}["#2e7d32"] == new[0].id
        models.project.undo()
        assert models.project.document == before
        again = PaletteTable(Models.of(demo_document()), placement, (ColourUse("#202020", 0, False, 9e5, 0.0),))
        qtbot.addWidget(again)
        again.models.set_parent(again)
        assert not [b for b in again.findChildren(QPushButton) if "Add pens" in b.text()]
        again.models.close()
    finally:
        models.close()


def test_new_pens_differ_from_those_there_are():
    """Two new pens once had one name and one colour."""
    document = edits.replace(demo_document(), pens=demo_document().pens[:1])
    for _ in range(6):
        document, _ = with_one_more(document, None)
    assert len({p.name for p in document.pens}) == len({p.colour for p in document.pens}) == 7


def test_the_share_with_ink_on_it_is_never_above_all_of_the_area(qtbot):
    """Demichel (1924): two tints on each other leave (1 - 0.89)(1 - 0.66) bare."""
    models = Models.of(demo_document())
    try:
        name = models.project.document.placements[0].id
        two = (Tint(PENS["blue"], 0.89), Tint(PENS["red"], 0.66))
        uses = [ColourUse("#104060", PENS["blue"], False, 9e5, 0.0, tints=two)]
        table = PaletteTable(models, name, uses)
        qtbot.addWidget(table)
        assert texts_of(top_rows(table)[0])[-1] == "96"
        assert top_rows(table)[0].text(PEN) == "Blue marker 89 % + Red marker 66 %"
        alone = ColourUse("#104060", PENS["blue"], False, 9e5, 0.0, tints=two[:1])
        table = PaletteTable(models, name, [alone])
        qtbot.addWidget(table)
        assert (top_rows(table)[0].text(PEN), texts_of(top_rows(table)[0])[-1]) == ("Blue marker", "89")
    finally:
        models.close()
