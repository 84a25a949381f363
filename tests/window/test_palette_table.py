"""The table of colours and pens: sizes, nearness, suggestions as one step of undo."""

from PySide6.QtWidgets import QLabel, QPushButton

from app.planning.demo import demo_document
from app.strokes.compose import Use
from app.window.panels.palette_table import PaletteTable
from app.window.session import Session


def test_suggestions_are_one_step(qtbot):
    session = Session(demo_document())
    try:
        name = session.document.placements[0].id
        uses = (Use("#808080", 0, False, 250_000.0, 0.0), Use("#c02020", 0, False, 0.0, 1500.0))
        table = PaletteTable(session, name, uses)
        qtbot.addWidget(table)
        texts = [label.text() for label in table.findChildren(QLabel)]
        assert "#808080  0.250 m²" in texts
        assert "#c02020  1.5 m" in texts
        assert "another colour" in texts
        before = session.document
        (button,) = table.findChildren(QPushButton)
        button.click()
        inks = {i.colour: i for i in session.document.placements[0].inks}
        assert inks["#808080"].pen
        assert 0 < inks["#808080"].fill.coverage < 100
        session.undo()
        assert session.document == before
    finally:
        session.close()
