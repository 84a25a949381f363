"""Folders that file dialogs remember, names of pens that follow their colour, the order of artwork, times of styles."""

from pathlib import Path

import pytest
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QColorDialog, QFileDialog, QPushButton

from tests.window.test_zone_remedies import squares, window_on
from wallwright.document import edits
from wallwright.document.document import Document, Pen
from wallwright.window.model.colour_pens import with_colour
from wallwright.window.model.items import PenItem, PlacementItem
from wallwright.window.model.settings import keep_folder, last_folder
from wallwright.window.panels.contents import Contents
from wallwright.window.panels.properties import PropertiesPanel


def test_each_kind_of_file_remembers_its_folder(tmp_path):
    assert last_folder("photo") == str(Path.home()) and last_folder("photo", "/else") == "/else"
    (tmp_path / "photos").mkdir()
    keep_folder("photo", tmp_path / "photos" / "wall.jpg")
    assert last_folder("photo", "/else") == str(tmp_path / "photos")
    assert last_folder("artwork", "/else") == "/else", "another kind"
    (tmp_path / "photos").rmdir()
    assert last_folder("photo", "/else") == "/else", "it is gone"


def test_the_next_dialog_begins_where_artwork_was_chosen_last(qtbot, tmp_path, monkeypatch):
    """Also in another window, and after the program was started again."""
    folder = tmp_path / "drawings"
    folder.mkdir()
    begun = []

    def choose(parent, title, start, *more):
        begun.append(start)
        return [str(folder / "none.svg")], ""

    monkeypatch.setattr(QFileDialog, "getOpenFileNames", choose)
    window_on(qtbot, tmp_path, Document()).parts.actions["add-artwork"].trigger()
    window_on(qtbot, tmp_path, Document()).parts.actions["add-artwork"].trigger()
    assert begun[0] != str(folder) and begun[1] == str(folder)


@pytest.mark.parametrize(
    ("name", "colour", "becomes"),
    [
        ("Blue marker", "#604e97", "Violet marker"),
        ("Blue marker 2", "#604e97", "Violet marker"),
        ("Blue", "#ff0000", "Red"),
        ("My best pen", "#ff0000", "My best pen"),
        ("Blue marker", "#0067a6", "Blue marker"),
        ("Blue", "#202020", "Black 2"),
    ],
)
def test_a_name_that_the_program_gave_follows_the_colour(name, colour, becomes):
    document = edits.replace(Document(), pens=(Pen("one", name, "#0000ff"), Pen("two", "Black", "#202020")))
    pen = with_colour(document, 0, colour).pens[0]
    assert (pen.name, pen.colour) == (becomes, colour)


def test_choosing_a_colour_renames_in_one_step_of_undo(qtbot, tmp_path, monkeypatch):
    window = window_on(qtbot, tmp_path, Document())
    window.models.selection.select(PenItem("black"))
    monkeypatch.setattr(QColorDialog, "getColor", lambda *given: QColor("#604e97"))
    before = window.models.project.document
    button = next(b for b in window.findChild(PropertiesPanel).findChildren(QPushButton) if b.text() == "#202020")
    button.click()
    assert window.models.project.document.pens[0].name == "Violet marker"
    window.models.project.undo()
    assert window.models.project.document == before


def test_the_front_artwork_is_first_in_contents(qtbot, tmp_path):
    window = window_on(qtbot, tmp_path, squares((800.0, 900.0), (1200.0, 900.0)))
    contents = window.findChild(Contents)

    def shown() -> list[str]:
        return [row[0].placement for row in contents.rows() if isinstance(row[0], PlacementItem)]

    assert shown() == ["placement-2", "placement-1"] and "Artwork, front first" in [r[1] for r in contents.rows()]
    window.models.selection.select(PlacementItem("placement-1"))
    window.parts.actions["to-front"].trigger()
    assert shown() == ["placement-1", "placement-2"]
