"""Parts of an artwork, by colour and by group: found in the tree, seen on the wall, given pen and fill."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox

from tests.support.drawings import yard_document
from tests.support.experienced import ExperiencedRunner
from tests.support.hands import click, double_click, drag, on_screen
from wallwright.document import edits
from wallwright.document.document import Document, Fill, Ink
from wallwright.planning.plan import Goal, Request
from wallwright.window.model.items import WALL, PartItem, PlacementItem
from wallwright.window.panels.contents import KEY, Contents
from wallwright.window.panels.part_form import PartForm


@pytest.fixture
def document() -> Document:
    return yard_document()


def preview_of(document):
    return ExperiencedRunner().run(Request(1, document, Goal.PREVIEW)).preview


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
        (("house",), "#c02020"),
        (("house", "roof"), "#c02020"),
        (("tree",), "#1f4e8c"),
        (("tree",), "#c02020"),
    ]
    assert [p.area for p in report.parts] == pytest.approx([6400.0] * 4)
    assert [u.area for u in report.colours] == pytest.approx([6400.0, 3 * 6400.0])


def test_the_tree_lists_colours_and_groups_and_the_wall_marks_them(qtbot, yard):
    tree = yard.findChild(Contents)
    rows = {row[0]: row[1] for row in tree.rows()}
    roof = PartItem("placement-1", "", ("house", "roof"))
    blue = PartItem("placement-1", "#1f4e8c")
    assert rows[roof] == "house / roof" and rows[blue].endswith(": Blue")
    canvas = yard.canvas
    canvas.show_zone("")

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
    before = band(810)
    item = next(i for i in tree._items() if i.data(0, KEY) == PartItem("placement-1", "", ("house",)))
    tree.setCurrentItem(item)
    assert yard.models.selection.item == PartItem("placement-1", "", ("house",))
    assert band(810) > before + 50
    yard.models.selection.select(WALL)
    assert band(810) == before


def test_the_inspector_gives_a_group_its_pen_and_takes_it_back(qtbot, yard):
    part = PartItem("placement-1", "#c02020", ("house",))
    before = yard.models.project.document
    yard.models.selection.select(part)

    def choose(name: str, text: str):
        form = yard.findChildren(PartForm)[-1]
        box = next(b for b in form.findChildren(QComboBox) if b.accessibleName() == name)
        index = next(i for i in range(box.count()) if box.itemText(i) == text)
        box.setCurrentIndex(index)
        box.activated.emit(index)
        yard.models.planning.plan_now()
        qtbot.waitUntil(
            lambda: not yard.models.planning.plan_is_stale and not yard.models.planning.is_planning,
            timeout=60_000,
        )

    choose("Pen", "Black")
    assert yard.models.project.document.placements[0].inks == (Ink("#c02020", "black", group=("house",)),)
    assert pens_by_column(yard.models.planning.preview) == [{0}, {0}, {1}, {2}]
    assert yard.models.selection.item == part
    choose("Fill", "No fill")
    assert yard.models.project.document.placements[0].inks[0].fill.kind == "none"
    choose("Fill", "Job's fill")
    choose("Pen", "Same as the whole artwork")
    assert yard.models.project.document == before
    assert np.all(yard.models.planning.preview.strokes.pen >= 1)


def at_house(window):
    return on_screen(window, 850, 750)


def test_a_double_click_selects_the_colour_then_ever_narrower_parts(qtbot, yard):
    """At the house: its red, all of the house with its roof, the red of the house without that of the roof..."""
    seen = []
    for _ in range(4):
        double_click(qtbot, yard, at_house(yard))
        seen.append(yard.models.selection.item)
    red, house = PartItem("placement-1", "#c02020"), PartItem("placement-1", "", ("house",))
    assert seen == [red, house, red, house]
    double_click(qtbot, yard, on_screen(yard, 950, 750))
    assert yard.models.selection.item == PartItem("placement-1", "", ("house", "roof"))
    tree = yard.findChild(Contents)
    assert [i.data(0, KEY) for i in tree.selectedItems()] == [yard.models.selection.item]


def test_then_a_click_selects_the_part_there_and_escape_the_whole(qtbot, yard):
    models = yard.models
    yard.canvas.look_at((780, 680, 1220, 920))
    double_click(qtbot, yard, at_house(yard))
    click(qtbot, yard, on_screen(yard, 1150, 750))
    assert models.selection.item == PartItem("placement-1", "#1f4e8c")
    qtbot.keyClick(yard.canvas, Qt.Key.Key_Escape)
    assert models.selection.item == PlacementItem("placement-1")
    double_click(qtbot, yard, at_house(yard))
    click(qtbot, yard, on_screen(yard, 900, 750))  # between two squares there is no ink
    assert models.selection.item == PlacementItem("placement-1")
    qtbot.keyClick(yard.canvas, Qt.Key.Key_Escape)
    assert models.selection.item == WALL
    double_click(qtbot, yard, on_screen(yard, 900, 750))
    assert models.selection.item == PlacementItem("placement-1")


def test_dragging_from_a_part_moves_the_artwork_in_one_step(qtbot, yard):
    before, steps = yard.models.project.document, len(yard.models.project.history.past)
    double_click(qtbot, yard, at_house(yard))
    drag(qtbot, yard, at_house(yard), on_screen(yard, 950, 850), Qt.KeyboardModifier.AltModifier)
    moved = yard.models.project.document.placements[0]
    assert (moved.x, moved.y) == pytest.approx((1100, 900), abs=12)
    assert yard.models.selection.item == PlacementItem("placement-1")
    assert len(yard.models.project.history.past) == steps + 1
    # The ink is found where it now is, before it is made anew.
    double_click(qtbot, yard, on_screen(yard, moved.x + 150, moved.y - 50))
    assert yard.models.selection.item == PartItem("placement-1", "#1f4e8c")
    yard.models.project.undo()
    assert yard.models.project.document == before


def test_an_area_is_meant_between_its_lines_and_without_any(qtbot, yard):
    """Fill lines 60 mm apart, then none: the pointer is far from every stroke, but within a shape."""
    yard.canvas.look_at((800, 700, 900, 800))
    for kind in ("hatch", "none"):
        wide = edits.replace(yard.models.project.document.settings, fill=Fill(kind, spacing=60.0))
        yard.models.project.edit("Fill", edits.replace(yard.models.project.document, settings=wide))
        yard.models.planning.plan_now()
        qtbot.waitUntil(
            lambda: not yard.models.planning.plan_is_stale and not yard.models.planning.is_planning,
            timeout=60_000,
        )
        for x, y in ((835, 740), (850, 750), (870, 735)):
            yard.models.selection.select(WALL)
            double_click(qtbot, yard, on_screen(yard, x, y))
            assert yard.models.selection.item == PartItem("placement-1", "#c02020")


def test_a_chosen_part_is_seen_while_a_moment_is_shown(qtbot, yard):
    """Choosing a part and finding a moment do not disturb each other."""
    player, canvas = yard.strip.player, yard.canvas
    qtbot.waitUntil(lambda: not yard.models.planning.plan_is_stale, timeout=60_000)
    canvas.show_zone("")
    canvas.look_at((780, 680, 1220, 920))
    player.seek(0.01)
    at = on_screen(yard, 1150, 750)

    def blue() -> int:
        qtbot.waitUntil(lambda: (canvas.repaint(), canvas.ink.is_complete)[1], timeout=10_000)
        image = canvas.grab().toImage()
        spots = [image.pixelColor(at.x() + d, at.y() + 30) for d in range(-12, 13)]
        return max(c.blue() - c.red() for c in spots)

    before = blue()
    yard.models.selection.select(PartItem("placement-1", "#1f4e8c"))
    assert player.at_moment and blue() > before + 50
    click(qtbot, yard, on_screen(yard, 811, 750))  # on the edge of the house
    assert player.at_moment and player.now > 0.01
    assert yard.models.selection.item == PartItem("placement-1", "#c02020")
