"""The table of colours and pens: sizes, nearness, suggestions as one step of undo."""

from PySide6.QtWidgets import QLabel, QPushButton

from wallwright.document import edits
from wallwright.document.document import Ink
from wallwright.planning.demo import demo_document
from wallwright.strokes.stroke_composition import ColourUse
from wallwright.window.model.colour_pens import with_one_more
from wallwright.window.model.models import Models
from wallwright.window.panels.palette_table import PaletteTable


def test_suggestions_are_one_step(qtbot):
    models = Models.of(demo_document())
    try:
        name = models.project.document.placements[0].id
        uses = (ColourUse("#808080", 0, False, 250_000.0, 0.0), ColourUse("#c02020", 0, False, 0.0, 1500.0))
        table = PaletteTable(models, name, uses)
        qtbot.addWidget(table)
        texts = [label.text() for label in table.findChildren(QLabel)]
        assert "Red  1.5\u00a0m" in texts, "no line ends between a number and its unit"
        texts = [text.replace("\u00a0", " ") for text in texts]
        assert "Grey  0.25 m²" in texts
        assert "Red  1.5 m" in texts
        assert "another colour" in texts
        before = models.project.document
        button = next(b for b in table.findChildren(QPushButton) if "Suggest" in b.text())
        button.click()
        inks = {i.colour: i for i in models.project.document.placements[0].inks}
        assert inks["#808080"].pen
        assert 0 < inks["#808080"].fill.coverage < 100
        models.project.undo()
        assert models.project.document == before
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
            ColourUse("#2e7d32", 0, True, 3000.0, 0.0), ColourUse("#8e24aa", 0, False, 0.0, 1500.0), ColourUse("#ffffff", -1, False, 9e5, 0.0),
            ColourUse("#222222", 0, False, 9e5, 0.0),
        )  # fmt: skip
        table = PaletteTable(models, placement, uses)
        qtbot.addWidget(table)
        texts = " ".join(label.text() for label in table.findChildren(QLabel))
        assert "Green  30\u00a0cm²" in texts and "#" not in texts
        (own,) = (b for b in table.findChildren(QPushButton) if "Add pens" in b.text())
        own.click()
        new = models.project.document.pens[1:]
        assert [p.colour for p in new] == ["#2e7d32", "#8e24aa"]
        assert len({p.name for p in models.project.document.pens}) == 3 and "New pen" not in {
            p.name for p in new
        }
        assert {i.colour: i.pen for i in models.project.document.placements[0].inks}["#2e7d32"] == new[0].id
        models.project.undo()
        assert models.project.document == before
        again = PaletteTable(
            Models.of(demo_document()), placement, (ColourUse("#202020", 0, False, 9e5, 0.0),)
        )
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
