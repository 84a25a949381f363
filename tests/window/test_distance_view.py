"""The drawing as seen from a distance: similar triangles, with the eyes 60 cm from the screen."""

import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtWidgets import QPushButton

from tests.support.hands import drag, on_screen
from wallwright.document import edits
from wallwright.window.features.screen_scale.distance_view import EYE, FARTHEST, NEAREST, DistanceBar, true_scale
from wallwright.window.model.items import PlacementItem


@pytest.fixture
def bar(window):
    window.parts.actions["from-distance"].trigger()
    return window.canvas.findChild(DistanceBar)


def test_a_small_drawing_is_as_large_as_from_two_metres_first_and_the_slider_reaches_all(window):
    document = window.models.project.document
    small = edits.set_placement(document, document.placements[0].id, width=400.0, height=300.0)
    window.models.project.edit("Resize", small)
    window.parts.actions["from-distance"].trigger()
    bar = window.canvas.findChild(DistanceBar)
    true = true_scale(window.canvas)
    assert window.canvas.view.scale == pytest.approx(true * EYE / 2000)
    assert "2.0 m" in bar.text.text()
    bar.slider.setValue(bar.slider.maximum())
    assert window.canvas.view.scale == pytest.approx(true * EYE / (1000 * FARTHEST))
    bar.slider.setValue(0)
    assert window.canvas.view.scale == pytest.approx(true * EYE / (1000 * NEAREST))
    window.canvas.zoom(0.1)
    window.canvas.repaint()
    assert f"{NEAREST * 10:.1f} m" in bar.text.text()


@pytest.mark.parametrize("width", [600.0, 1000.0, 2500.0])
def test_the_whole_drawing_is_seen_first(window, width):
    document = window.models.project.document
    large = edits.set_placement(document, document.placements[0].id, width=width, height=0.75 * width)
    window.models.project.edit("Resize", large)
    window.parts.actions["from-distance"].trigger()
    view, placed = window.canvas.view, large.placements[0]
    box = QRectF(
        view.to_screen(placed.x - width / 2, placed.y - 0.375 * width),
        view.to_screen(placed.x + width / 2, placed.y + 0.375 * width),
    )
    bar = window.canvas.findChild(DistanceBar)
    assert QRectF(window.canvas.rect()).contains(box) and box.bottom() <= bar.geometry().top()


def test_the_distance_chosen_last_is_kept(window, bar):
    bar.slider.setValue(bar.slider.maximum())
    bar.findChild(QPushButton).click()
    window.parts.actions["from-distance"].trigger()
    again = window.canvas.findChildren(DistanceBar)[-1]
    assert f"{FARTHEST:.1f} m" in again.text.text()


@pytest.mark.parametrize("ends", ["escape", "close", "selecting"])
def test_the_view_before_comes_back(qtbot, window, ends):
    before = window.canvas.view
    window.parts.actions["from-distance"].trigger()
    bar = window.canvas.findChild(DistanceBar)
    if ends == "escape":
        qtbot.keyClick(window.canvas, Qt.Key.Key_Escape)
    elif ends == "close":
        qtbot.mouseClick(bar.findChild(QPushButton), Qt.MouseButton.LeftButton)
    else:
        window.models.selection.select(PlacementItem(window.models.project.document.placements[0].id))
    assert window.canvas.tool is None and window.canvas.view == before and not bar.isVisible()


def test_nothing_is_drawn_over_the_wall_and_nothing_moves(qtbot, window, bar):
    canvas, document = window.canvas, window.models.project.document
    bar.slider.setValue(bar.slider.maximum())
    anchor = document.hangings[0].left
    at = on_screen(window, anchor.x, anchor.y)
    plain = canvas.grab().toImage().pixelColor(at)
    canvas.end_tool()
    there = on_screen(window, anchor.x, anchor.y)
    assert plain.lightness() > 240 and canvas.grab().toImage().pixelColor(there).lightness() < 160
    window.parts.actions["from-distance"].trigger()
    placed = document.placements[0]
    drag(qtbot, window, on_screen(window, placed.x, placed.y), on_screen(window, placed.x + 300, placed.y))
    assert window.models.project.document == document
