"""Dimensions of what is selected, on the wall, and typing others there."""

import itertools
import math

import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import QToolTip

from wallwright.document import edits, edits_arrangement
from wallwright.document.edits_keep_outs import box_of
from wallwright.document.placing import placement_box
from wallwright.window.canvas.dimension_field import DimensionField
from wallwright.window.canvas.dimensions import DimensionSpace, dimensions_of
from wallwright.window.canvas.wall_layer import START_ARM, tag_box, tag_size
from wallwright.window.model.items import WALL, HangingItem, KeepOutItem, PlacementItem

LEFT, BOTTOM = "Left side, from the wall's left edge", "Bottom, above the floor"


@pytest.fixture
def typing(window):
    window.models.origin.choose("wall")
    window.models.selection.select(PlacementItem("placement-1"))
    return window.canvas.findChild(DimensionField)


def dimension(window, title: str):
    found = window.canvas.findChild(DimensionField).shown()
    return next((one for one in found if one.title == title), None)


def click_on(qtbot, window, title: str) -> None:
    at = dimension(window, title).at.toPoint()
    qtbot.mouseClick(window.canvas, Qt.MouseButton.LeftButton, pos=at)


def placement(window):
    return window.models.project.document.placements[0]


@pytest.mark.parametrize(
    ("typed", "width", "height"),
    [("800", 800.0, 600.0), ("800, 900", 800.0, 600.0), ("1000, 600", 800.0, 600.0), ("0.4 m * 2", 800.0, 600.0)],
)
def test_a_size_is_typed_where_it_stands(qtbot, window, typing, typed, width, height):
    """The number that was changed counts, the width before the height; proportions stay."""
    assert dimension(window, "Size of the artwork").text == "1000 × 750 mm"
    click_on(qtbot, window, "Size of the artwork")
    assert typing.field.isVisible()
    qtbot.keyClicks(typing.field, typed)
    qtbot.keyClick(typing.field, Qt.Key.Key_Return)
    assert (placement(window).width, placement(window).height) == pytest.approx((width, height))
    assert not typing.field.isVisible()
    window.models.project.undo()
    assert placement(window).width == 1000


@pytest.mark.parametrize("typed", ["", "wide", "0", "-5, 3", "1, 2, 3"])
def test_what_is_no_size_changes_nothing_and_is_said_at_the_field(qtbot, window, typing, typed):
    before = window.models.project.document
    click_on(qtbot, window, "Size of the artwork")
    qtbot.keyClicks(typing.field, typed or " ")
    qtbot.keyClick(typing.field, Qt.Key.Key_Return)
    assert window.models.project.document == before
    assert typing.field.isVisible() and typing.field.hasSelectedText(), "typed over without another click"
    assert QToolTip.text().endswith(".")
    messages = []
    window.models.messages.new_message.connect(messages.append)
    window.canvas.setFocus()  # leaving the field says where the artwork stays
    assert len(messages) == 1 and window.models.project.document == before and not typing.field.isVisible()


def test_positions_are_typed_where_they_stand_and_tab_goes_on(qtbot, window, typing):
    wall = window.models.project.document.wall
    click_on(qtbot, window, LEFT)
    qtbot.keyClicks(typing.field, "0.5 m")
    qtbot.keyClick(typing.field, Qt.Key.Key_Tab)
    assert placement_box(placement(window))[0] == pytest.approx(wall.left + 500)
    assert typing.field.isVisible() and typing.field.accessibleName() == BOTTOM
    qtbot.keyClicks(typing.field, "700")
    qtbot.keyClick(typing.field, Qt.Key.Key_Return)
    left, _, _, bottom = placement_box(placement(window))
    assert (left, bottom) == pytest.approx((wall.left + 500, wall.floor - 700))
    assert dimension(window, LEFT).text == "500" and dimension(window, BOTTOM).text == "700"


def test_positions_go_by_the_chosen_origin(qtbot, window, typing):
    window.models.origin.choose("anchor")
    anchor = window.models.project.document.hangings[0].left
    click_on(qtbot, window, "Left side, right of the left anchor")
    qtbot.keyClicks(typing.field, "120")
    qtbot.keyClick(typing.field, Qt.Key.Key_Return)
    assert placement_box(placement(window))[0] == pytest.approx(anchor.x + 120)


def test_several_artworks_are_sized_and_moved_together(qtbot, window, typing):
    document, (second,) = edits_arrangement.duplicate_placements(window.models.project.document, ["placement-1"])
    window.models.project.edit("Two", document)
    window.models.selection.select(PlacementItem("placement-1"), PlacementItem(second))

    def numbers(by: float = 0.0):
        return [n for p in window.models.project.document.placements for n in (p.x - by, p.y, p.width)]

    before = numbers()
    one = dimension(window, LEFT)
    click_on(qtbot, window, LEFT)
    qtbot.keyClicks(typing.field, f"{float(one.typed) + 30}")
    qtbot.keyClick(typing.field, Qt.Key.Key_Return)
    assert numbers(30) == pytest.approx(before, abs=0.06)
    width = float(dimension(window, "Size of the artwork").typed.split(",")[0])
    click_on(qtbot, window, "Size of the artwork")
    qtbot.keyClicks(typing.field, f"{width / 2}")
    qtbot.keyClick(typing.field, Qt.Key.Key_Return)
    assert [p.width for p in window.models.project.document.placements] == pytest.approx([500, 500], abs=0.1)


def test_a_keep_out_is_sized_and_moved(qtbot, window, typing):
    window.models.selection.select(KeepOutItem(0))
    click_on(qtbot, window, "Size of the keep-out")
    qtbot.keyClicks(typing.field, "400, 300")
    qtbot.keyClick(typing.field, Qt.Key.Key_Return)
    left, top, right, bottom = box_of(window.models.project.document.wall.keep_outs[0].outline)
    assert (right - left, bottom - top) == pytest.approx((400, 300))
    click_on(qtbot, window, LEFT)
    qtbot.keyClicks(typing.field, "80")
    qtbot.keyClick(typing.field, Qt.Key.Key_Return)
    wall = window.models.project.document.wall
    assert box_of(wall.keep_outs[0].outline)[0] == pytest.approx(wall.left + 80)


def test_the_distance_of_the_anchors_is_typed(qtbot, window, typing):
    window.models.selection.select(HangingItem(0))
    click_on(qtbot, window, "Distance between anchors")
    qtbot.keyClicks(typing.field, "50")
    qtbot.keyClick(typing.field, Qt.Key.Key_Return)
    assert typing.field.isVisible() and "100" in QToolTip.text()
    qtbot.keyClicks(typing.field, "1.9 m")
    qtbot.keyClick(typing.field, Qt.Key.Key_Return)
    left, right = (window.models.project.document.hangings[0].anchor(side) for side in ("left", "right"))
    assert math.hypot(right.x - left.x, right.y - left.y) == pytest.approx(1900)


def test_escape_and_another_selection_give_it_up(qtbot, window, typing):
    before = window.models.project.document
    click_on(qtbot, window, "Size of the artwork")
    qtbot.keyClicks(typing.field, "5")
    qtbot.keyClick(typing.field, Qt.Key.Key_Escape)
    assert not typing.field.isVisible() and window.models.project.document == before
    assert window.models.selection.item == PlacementItem("placement-1")
    window.models.selection.select(WALL)
    assert dimension(window, LEFT) is None


def test_what_is_locked_has_no_dimensions_to_type(window, typing):
    window.parts.editing.toggle_locked()
    assert typing.shown() == []


def test_a_short_way_has_its_number_beside_it(window, typing):
    """The number is never on the corner that is dragged."""
    wall, view = window.models.project.document.wall, window.canvas.view
    left, _, _, bottom = placement_box(placement(window))
    moved = edits_arrangement.move_placements(
        window.models.project.document, ["placement-1"], wall.left + 2 - left, wall.floor - 2 - bottom
    )
    window.models.project.edit("Move", moved)
    corner = view.to_screen(wall.left + 2, wall.floor - 2)
    for title in (LEFT, BOTTOM):
        assert (dimension(window, title).at - corner).manhattanLength() > 12


@pytest.mark.parametrize("beside", [(0.0, 0.0), (-300.0, 0.0), (80.0, -40.0)])
@pytest.mark.parametrize("width", [150.0, 600.0])
def test_dimensions_cover_neither_each_other_nor_the_starting_point(window, typing, beside, width):
    """Of a small artwork whose corner is near the starting point, whole wall in view."""
    models = window.models
    start = models.project.document.hangings[0].start_point
    document = edits.set_placement(models.project.document, "placement-1", width=width, height=width / 2)
    left, _, right, bottom = placement_box(document.placements[0])
    to = start[0] + beside[0] - (left + right) / 2, start[1] + beside[1] - bottom
    models.project.edit("Move", edits_arrangement.move_placements(document, ["placement-1"], *to))
    canvas = window.canvas
    canvas.fit()
    space = DimensionSpace(canvas.view, QRectF(canvas.rect()), QFontMetricsF(canvas.font()).height())
    found = dimensions_of(models, space)
    assert len(found) == 3
    boxes = [tag_box(one.at, tag_size(one.text, canvas.font())) for one in found]
    at = canvas.view.to_screen(*start)
    boxes.append(QRectF(at.x() - START_ARM, at.y() - START_ARM, 2 * START_ARM, 2 * START_ARM))
    assert not [1 for one, other in itertools.combinations(boxes, 2) if one.adjusted(1, 1, -1, -1).intersects(other)]
