"""The size below the selected artwork, and typing another one there."""

import pytest
from PySide6.QtCore import Qt

from wallwright.window.canvas.size_tag import SizeTag, size_place, size_text
from wallwright.window.model.items import WALL, PlacementItem


@pytest.fixture
def size(window):
    window.models.selection.select(PlacementItem("placement-1"))
    return window.canvas.findChild(SizeTag)


def click_on_size(qtbot, window) -> None:
    at = size_place(window.canvas.view, window.models.project.document.placements[0]).toPoint()
    qtbot.mouseClick(window.canvas, Qt.MouseButton.LeftButton, pos=at)


@pytest.mark.parametrize(
    ("typed", "width", "height"),
    [("800", 800.0, 600.0), ("800, 900", 800.0, 600.0), ("1000, 600", 800.0, 600.0), ("0.4 m * 2", 800.0, 600.0)],
)
def test_a_size_is_typed_where_it_stands(qtbot, window, size, typed, width, height):
    """The number that was changed counts, the width before the height; proportions stay."""
    assert size_text(window.models.project.document.placements[0]) == "1000 × 750 mm"
    click_on_size(qtbot, window)
    assert size.field.isVisible()
    qtbot.keyClicks(size.field, typed)
    qtbot.keyClick(size.field, Qt.Key.Key_Return)
    placement = window.models.project.document.placements[0]
    assert (placement.width, placement.height) == pytest.approx((width, height))
    assert not size.field.isVisible()
    window.models.project.undo()
    assert window.models.project.document.placements[0].width == 1000


@pytest.mark.parametrize("typed", ["", "wide", "0", "-5, 3", "1, 2, 3"])
def test_what_is_no_size_changes_nothing_and_is_said(qtbot, window, size, typed):
    messages = []
    window.models.messages.new_message.connect(messages.append)
    before = window.models.project.document
    click_on_size(qtbot, window)
    qtbot.keyClicks(size.field, typed or " ")
    qtbot.keyClick(size.field, Qt.Key.Key_Return)
    assert window.models.project.document == before and len(messages) == 1


def test_escape_and_another_selection_give_it_up(qtbot, window, size):
    before = window.models.project.document
    click_on_size(qtbot, window)
    qtbot.keyClicks(size.field, "5")
    qtbot.keyClick(size.field, Qt.Key.Key_Escape)
    assert not size.field.isVisible() and window.models.project.document == before
    assert window.models.selection.item == PlacementItem("placement-1")
    window.models.selection.select(WALL)
    click_on_size(qtbot, window)
    assert not size.field.isVisible()
