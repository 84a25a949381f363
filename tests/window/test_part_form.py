"""A part of an artwork in the inspector: pen, fill and its numbers for all that it holds at once."""

import math

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QComboBox

from wallwright.document import edits
from wallwright.document.document import Document, Fill, Ink
from wallwright.window.model.items import PartItem, WallItem
from wallwright.window.model.models import Models
from wallwright.window.panels.part_form import PartForm
from wallwright.window.panels.properties import PropertiesPanel
from wallwright.window.widgets.number_field import NumberField

HOUSE = ("house",)
ROOF = ("house", "roof")


def form_of(window) -> PartForm:
    """The newest: one that it has taken the place of goes when the events are done."""
    return window.findChildren(PartForm)[-1]


def box(window, name: str) -> QComboBox:
    return next(b for b in form_of(window).findChildren(QComboBox) if b.accessibleName() == name)


def choose(window, name: str, text: str) -> None:
    chosen = box(window, name)
    index = [chosen.itemText(i) for i in range(chosen.count())].index(text)
    chosen.setCurrentIndex(index)
    chosen.activated.emit(index)


def field(window, name: str) -> NumberField | None:
    return next((f for f in form_of(window).findChildren(NumberField) if f.accessibleName() == name), None)


def enter(qtbot, window, name: str, text: str) -> None:
    line = field(window, name)
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, text)
    qtbot.keyClick(line, Qt.Key.Key_Return)


def inks(window) -> dict:
    return {(i.group, i.colour): i for i in window.models.project.document.placements[0].inks}


def planned(qtbot, window) -> None:
    window.models.planning.plan_now()
    qtbot.waitUntil(
        lambda: not window.models.planning.plan_is_stale and not window.models.planning.is_planning,
        timeout=60_000,
    )


def columns(window, strokes, wanted) -> list[int]:
    """How many of some strokes lie in each of the four squares."""
    at = ((strokes.starts[wanted, 0] - 800) // 100).astype(int)
    return np.bincount(at, minlength=4).tolist()


def test_a_group_is_given_a_pen_and_a_fill_with_numbers_for_all_its_colours(qtbot, yard):
    before = yard.models.project.document
    yard.models.selection.select(PartItem("placement-1", "", ("tree",)))
    choose(yard, "Pen", "Black")
    choose(yard, "Fill", "Hatch")
    enter(qtbot, yard, "Spacing", "2 cm / 2")
    enter(qtbot, yard, "Angle", "90")
    wanted = Fill("hatch", spacing=10.0, angle=math.pi / 2)
    assert {i: (ink.pen, ink.fill) for i, ink in inks(yard).items()} == {
        (("tree",), "#c02020"): ("black", wanted),
        (("tree",), "#1f4e8c"): ("black", wanted),
    }
    planned(qtbot, yard)
    strokes = yard.models.planning.preview.strokes
    assert columns(yard, strokes, strokes.pen == 0)[:2] == [0, 0]
    # Plumb lines, 10 mm apart, over 80 mm less a pen's width.
    is_vertical = strokes.is_fill & (np.abs(strokes.ends - strokes.starts)[:, 0] < 1e-6)
    assert columns(yard, strokes, is_vertical)[2:] == [pytest.approx(8, abs=1)] * 2
    assert [t for t, _ in yard.models.project.history.past] == [
        "Choose a pen",
        "Choose a fill",
        "Change: Spacing",
        "Change: Angle",
    ]
    choose(yard, "Pen", "Same as the whole artwork")
    assert yard.models.project.document == before


def test_what_differs_is_reported_and_one_choice_makes_it_alike(qtbot, yard):
    models = yard.models
    document = edits.set_ink(
        models.project.document, "placement-1", Ink("#c02020", "blue", group=ROOF, fill=Fill("zigzag", 9.0))
    )
    models.project.edit("Roof", document)
    planned(qtbot, yard)
    models.selection.select(PartItem("placement-1", "", HOUSE))
    assert box(yard, "Pen").currentIndex() == box(yard, "Fill").currentIndex() == -1
    assert field(yard, "Spacing").text() == "" and field(yard, "Spacing").placeholderText() == "Several"
    # Left empty nothing changes; nonsense leaves it empty.
    enter(qtbot, yard, "Spacing", "x")
    assert models.project.document == document and field(yard, "Spacing").text() == ""
    enter(qtbot, yard, "Spacing", "6")
    assert inks(yard)[ROOF, "#c02020"].fill == Fill("zigzag", 6.0) and inks(yard)[ROOF, "#c02020"].pen == "blue"
    assert inks(yard)[HOUSE, "#c02020"].fill.spacing == 6.0 and inks(yard)[HOUSE, "#c02020"].pen == "red"
    assert field(yard, "Spacing").text() == "6 mm" and box(yard, "Fill").currentIndex() == -1
    choose(yard, "Pen", "Black")
    assert {i.pen for i in inks(yard).values()} == {"black"}
    models.selection.select(PartItem("placement-1", "", ROOF))
    assert box(yard, "Pen").currentText() == "Black" and box(yard, "Fill").currentText() == "Zigzag"
    assert field(yard, "Spacing").text() == "6 mm"


def test_numbers_are_those_that_the_fill_goes_by(qtbot, yard):
    yard.models.selection.select(PartItem("placement-1", "#1f4e8c"))

    def there() -> set[str]:
        return {f.accessibleName() for f in form_of(yard).findChildren(NumberField)}

    lines = {"Spacing", "Coverage"}
    for title, wanted in (
        ("Contour", lines),
        ("Hatch", lines | {"Angle"}),
        ("No fill", set()),
        ("Cross-hatch", lines | {"Angle", "Second angle", "Second spacing"}),
    ):
        choose(yard, "Fill", title)
        assert there() == wanted


def test_edges_can_be_left_out(qtbot, yard):
    yard.models.selection.select(PartItem("placement-1", "", HOUSE))
    edges = form_of(yard).findChild(QCheckBox)
    assert edges.checkState() == Qt.CheckState.Checked
    edges.click()
    assert not inks(yard)[HOUSE, "#c02020"].outline
    planned(qtbot, yard)
    strokes = yard.models.planning.preview.strokes
    assert columns(yard, strokes, ~strokes.is_fill) == [0, 0, 1, 1]
    form_of(yard).findChild(QCheckBox).click()
    assert inks(yard)[HOUSE, "#c02020"].outline


def test_paper_within_a_group_stays_paper(qtbot, yard):
    """White, which no pen draws, is left out of what is chosen for all colours; by itself it can be given a pen."""
    svg = b"""<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100"><g id="a">
    <rect width="90" height="90" fill="#c02020"/><rect x="30" y="30" width="20" height="20" fill="#ffffff"/></g></svg>"""
    document = edits.add_artwork(
        yard.models.project.document, "w.svg", "image/svg+xml", svg, (100, 100), (1000.0, 1200.0)
    )[0]
    yard.models.project.edit("Add", document)
    planned(qtbot, yard)
    yard.models.selection.select(PartItem("placement-2", "", ("a",)))
    choose(yard, "Pen", "Black")
    assert yard.models.project.document.placements[1].inks == (Ink("#c02020", "black", group=("a",)),)
    yard.models.selection.select(PartItem("placement-2", "#ffffff", ("a",)))
    choose(yard, "Pen", "Blue")
    assert {i.colour: i.pen for i in yard.models.project.document.placements[1].inks} == {
        "#c02020": "black",
        "#ffffff": "blue",
    }


def test_a_colour_of_the_whole_goes_back_to_the_nearest_pen(qtbot, yard):
    yard.models.selection.select(PartItem("placement-1", "#c02020"))
    before = yard.models.project.document
    assert box(yard, "Pen").currentText() == "Closest in colour"
    choose(yard, "Pen", "Blue")
    assert inks(yard) == {((), "#c02020"): Ink("#c02020", "blue")}
    choose(yard, "Pen", "Closest in colour")
    assert yard.models.project.document == before


def test_typing_continues_when_the_form_is_made_again(qtbot, yard):
    """Tab after a number makes an edit, and the plan comes while the next number is typed."""
    yard.models.selection.select(PartItem("placement-1", "", HOUSE))
    yard.activateWindow()
    qtbot.waitActive(yard)
    enter(qtbot, yard, "Spacing", "7")
    field(yard, "Spacing").setFocus()
    field(yard, "Spacing").selectAll()
    qtbot.keyClicks(field(yard, "Spacing"), "8")
    qtbot.keyClick(field(yard, "Spacing"), Qt.Key.Key_Tab)
    assert field(yard, "Angle").hasFocus()
    qtbot.keyClicks(field(yard, "Angle"), "3")
    planned(qtbot, yard)
    assert inks(yard)[HOUSE, "#c02020"].fill == Fill("quickest", 8.0, yard.models.project.document.settings.fill.angle)
    qtbot.keyClicks(field(yard, "Angle"), "0")
    qtbot.keyClick(field(yard, "Angle"), Qt.Key.Key_Return)
    assert inks(yard)[HOUSE, "#c02020"].fill.angle == pytest.approx(math.radians(30))


def test_the_fill_of_the_job_shows_what_its_kind_goes_by(qtbot):
    """No second angle for plain hatch, no angle for contours."""
    models = Models.of(Document())
    panel = PropertiesPanel(models)
    qtbot.addWidget(panel)
    models.selection.select(WallItem())
    panel.rebuild()
    names = {"Spacing", "Angle", "Coverage", "Second angle", "Second spacing"}
    for kind, hidden in (
        ("hatch", {"Second angle", "Second spacing"}),
        ("cross-hatch", set()),
        ("contour", {"Angle", "Second angle", "Second spacing"}),
        ("none", names),
    ):
        models.project.set_field("Fill", "settings.fill.kind", kind)
        fields = panel.findChildren(NumberField)
        assert {f.accessibleName() for f in fields if f.accessibleName() in names and f.isHidden()} == hidden
        assert not any(f.isHidden() for f in fields if f.accessibleName() not in names)
    models.close()
