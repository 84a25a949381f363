"""Parts of an artwork, by colour and by group: found in the tree, seen on the wall, given pen and fill."""

import numpy as np
import pytest
from PySide6.QtWidgets import QComboBox

from app.document import edits
from app.document.document import Document, Fill, Ink, Pen
from app.planning.plan import Goal, Request
from app.planning.run import Runner
from app.window.panels.contents import KEY, Contents
from app.window.selection import PartName
from tests.support.hands import on_screen

SVG = b"""<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="200mm" viewBox="0 0 400 200">
<g id="house"><rect x="10" y="10" width="80" height="80" fill="#c02020"/>
  <g id="roof"><rect x="110" y="10" width="80" height="80" fill="#c02020"/></g></g>
<g id="tree"><rect x="210" y="10" width="80" height="80" fill="#c02020"/><rect x="310" y="10" width="80" height="80" fill="#1f4e8c"/></g>
</svg>"""


@pytest.fixture
def document() -> Document:
    pens = (Pen("black", "Black", "#202020"), Pen("red", "Red", "#c02020"), Pen("blue", "Blue", "#1f4e8c"))
    document = edits.replace(Document(), pens=pens)
    return edits.add_artwork(document, "yard.svg", "image/svg+xml", SVG, (400, 200), (1000.0, 800.0), 400.0)[
        0
    ]


def preview_of(document):
    return Runner().run(Request(1, document, Goal.PREVIEW)).preview


def pens_by_column(preview) -> list[set[int]]:
    """Pens that draw in each of the four squares."""
    at = ((preview.strokes.points[preview.strokes.offsets[:-1], 0] - 800) // 100).astype(int)
    return [set(preview.strokes.pen[at == column].tolist()) for column in range(4)]


def test_the_inmost_group_that_a_choice_is_for_wins(document):
    assert pens_by_column(preview_of(document)) == [{1}, {1}, {1}, {2}]
    document = edits.set_ink(document, "placement-1", Ink("#c02020", "black", group=("house",)))
    assert pens_by_column(preview_of(document)) == [{0}, {0}, {1}, {2}]
    document = edits.set_ink(document, "placement-1", Ink("#c02020", "blue", group=("house", "roof")))
    assert pens_by_column(preview_of(document)) == [{0}, {2}, {1}, {2}]
    document = edits.set_ink(document, "placement-1", Ink("#c02020", ""))
    assert pens_by_column(preview_of(document)) == [{0}, {2}, set(), {2}]
    document = edits.unset_ink(document, "placement-1", "#c02020", ("house",))
    assert pens_by_column(preview_of(document)) == [set(), {2}, set(), {2}]


def test_a_group_has_a_fill_of_its_own(document):
    kind = Fill("none")
    document = edits.set_ink(document, "placement-1", Ink("#c02020", "red", fill=kind, group=("tree",)))
    strokes = preview_of(document).strokes
    at = ((strokes.points[strokes.offsets[:-1], 0] - 800) // 100).astype(int)
    assert [bool(strokes.is_fill[at == column].any()) for column in range(4)] == [True, True, False, True]


def test_reports_tell_areas_of_parts(document):
    report = preview_of(document).reports[0]
    assert [(p.group, p.colour) for p in report.parts] == [
        (("house",), "#c02020"), (("house", "roof"), "#c02020"), (("tree",), "#1f4e8c"), (("tree",), "#c02020"),
    ]  # fmt: skip
    assert [p.area for p in report.parts] == pytest.approx([6400.0] * 4)
    assert [u.area for u in report.colours] == pytest.approx([6400.0, 3 * 6400.0])


@pytest.fixture
def yard(qtbot, window, document):
    window.session.load(document, None)
    window.session.plan_now()
    qtbot.waitUntil(
        lambda: window.session.preview is not None and not window.session.planning, timeout=60_000
    )
    window.session.saved = window.session.document
    return window


def test_the_tree_lists_colours_and_groups_and_the_wall_marks_them(qtbot, yard):
    tree = yard.findChild(Contents)
    rows = {row[0]: row[1] for row in tree.rows()}
    roof = PartName("placement-1", "", ("house", "roof"))
    blue = PartName("placement-1", "#1f4e8c")
    assert rows[roof.key] == "house / roof" and rows[blue.key].endswith(": Blue")
    canvas = yard.canvas
    canvas.set_zone_shown(False)

    def band(x):
        """How blue it is beside the strokes of a square."""
        qtbot.waitUntil(lambda: (canvas.repaint(), canvas.ink.is_complete)[1], timeout=10_000)
        at = on_screen(yard, x, 750)
        image = canvas.grab().toImage()
        return max(
            image.pixelColor(at.x() + d, at.y()).blue() - image.pixelColor(at.x() + d, at.y()).red()
            for d in range(-9, 10)
        )

    canvas.look_at((780, 680, 1220, 920))
    before = band(830)
    item = next(i for i in tree._items() if i.data(0, KEY) == PartName("placement-1", "", ("house",)).key)
    tree.setCurrentItem(item)
    assert yard.session.selection == PartName("placement-1", "", ("house",)).key
    assert band(830) > before + 50
    yard.session.select("wall")
    assert band(830) == before


def test_the_inspector_gives_a_group_its_pen_and_takes_it_back(qtbot, yard):
    part = PartName("placement-1", "#c02020", ("house",))
    before = yard.session.document
    yard.session.select(part.key)

    def choose(name: str, text: str):
        box = next(b for b in yard.findChildren(QComboBox) if b.accessibleName() == name and b.isVisible())
        index = next(i for i in range(box.count()) if box.itemText(i) == text)
        box.setCurrentIndex(index)
        box.activated.emit(index)
        yard.session.plan_now()
        qtbot.waitUntil(lambda: not yard.session.plan_is_stale and not yard.session.planning, timeout=60_000)

    choose("Pen for #c02020", "Black")
    assert yard.session.document.placements[0].inks == (Ink("#c02020", "black", group=("house",)),)
    assert pens_by_column(yard.session.preview) == [{0}, {0}, {1}, {2}]
    assert yard.session.selection == part.key
    choose("Fill for #c02020", "No fill")
    assert yard.session.document.placements[0].inks[0].fill.kind == "none"
    choose("Fill for #c02020", "Fill of the job")
    choose("Pen for #c02020", "As the whole artwork")
    assert yard.session.document == before
    assert np.all(yard.session.preview.strokes.pen >= 1)


def test_names_of_parts_come_back():
    for part in (PartName("p", "#102030", ("a:b", "c")), PartName("p", "", ("x",)), PartName("p", "#102030")):
        assert PartName.of(part.key) == part
    assert PartName.of("placement:p") is None
