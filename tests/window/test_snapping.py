"""Snapping: dragged things snap to lines of the wall, exactly, and Alt suspends it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, Qt
from shapely import box as rectangle
from shapely import get_coordinates
from shapely.geometry import LineString, Polygon

from tests.support.hands import drag, hover, on_screen
from wallwright.document import edits, edits_arrangement
from wallwright.document.placing import bounding_box, placement_box
from wallwright.window.canvas.artwork_layer import handle_points
from wallwright.window.canvas.snapping import SnapLine, Snapping, lines_for, zone_lines
from wallwright.window.model.items import PlacementItem

ALT = Qt.KeyboardModifier.AltModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def two(window):
    """placement-1 at 500, placement-2 at 1300 mm."""
    document = edits.set_placement(
        window.models.project.document, "placement-1", x=500.0, y=900.0, width=320.0, height=240.0
    )
    document, (new,) = edits_arrangement.duplicate_placements(document, ["placement-1"])
    window.models.project.edit("Row", edits.set_placement(document, new, x=1300.0, y=1233.0))
    window.canvas.repaint()
    return window


def near(window, x: float, y: float, pixels: int = 3) -> QPoint:
    return on_screen(window, x, y) + QPoint(pixels, pixels)


def test_comes_to_rest_on_the_middle_of_the_wall_and_level_with_other_artwork(qtbot, two):
    wall = two.models.project.document.wall
    middle = wall.left + wall.width / 2
    drag(qtbot, two, on_screen(two, 1300, 1233), near(two, middle, 900))
    placement = two.models.project.document.placement("placement-2")
    assert (placement.x, placement.y) == (pytest.approx(middle, abs=1e-9), pytest.approx(900, abs=1e-9))


def test_alt_suspends_snapping(qtbot, two):
    drag(qtbot, two, on_screen(two, 1300, 1233), near(two, 1450, 900), ALT)
    placement = two.models.project.document.placement("placement-2")
    assert placement.y != 900 and placement.y == pytest.approx(900, abs=25)


def test_shift_keeps_the_straight_way(qtbot, two):
    drag(qtbot, two, on_screen(two, 1300, 1233), on_screen(two, 1000, 1190), SHIFT)
    placement = two.models.project.document.placement("placement-2")
    assert placement.y == 1233 and placement.x < 1100


def test_numbers_and_guides_are_there_while_dragging_and_gone_after(qtbot, two):
    start, end = on_screen(two, 1300, 1233), near(two, 1300, 900)
    qtbot.mousePress(two.canvas, Qt.MouseButton.LeftButton, pos=start)
    hover(two, start + (end - start) * 0.5, button=Qt.MouseButton.LeftButton)
    hover(two, end, button=Qt.MouseButton.LeftButton)
    shown = two.canvas.pointer.drag
    assert any(not g.is_vertical and g.at == 900 for g in shown.guides)
    assert "333.0 mm up" in shown.readout
    with_guides = two.canvas.grab().toImage()
    qtbot.mouseRelease(two.canvas, Qt.MouseButton.LeftButton, pos=end)
    assert two.canvas.pointer.drag is None
    after = two.canvas.grab().toImage()
    y = two.canvas.view.to_screen(0, 900).toPoint().y()

    def is_purple(x: int, y: int) -> bool:
        colour = with_guides.pixelColor(x, y)
        new = colour != after.pixelColor(x, y)
        return new and colour.red() > colour.green() + 40 and colour.blue() > colour.green() + 40

    rows = [sum(is_purple(x, at) for x in range(30, after.width() - 10)) for at in (y - 1, y, y + 1)]
    assert max(rows) > 200


def test_a_corner_comes_to_rest_and_proportions_stay(qtbot, two):
    two.models.selection.select(PlacementItem("placement-1"))
    placement = two.models.project.document.placement("placement-1")
    corner = handle_points(two.canvas.view, placement)["bottom right"].toPoint()
    other = placement_box(two.models.project.document.placement("placement-2"))
    drag(qtbot, two, corner, near(two, other[0], 780 + (other[0] - 340) * 0.75, 2))
    new = two.models.project.document.placement("placement-1")
    assert placement_box(new)[2] == pytest.approx(other[0], abs=1e-6)
    assert new.width / new.height == pytest.approx(4 / 3)
    assert placement_box(new)[:2] == pytest.approx(placement_box(placement)[:2])


def test_control_scales_about_the_middle(qtbot, two):
    two.models.selection.select(PlacementItem("placement-1"))
    placement = two.models.project.document.placement("placement-1")
    side = handle_points(two.canvas.view, placement)["right"].toPoint()
    drag(qtbot, two, side, on_screen(two, 740, 900), Qt.KeyboardModifier.ControlModifier | ALT)
    new = two.models.project.document.placement("placement-1")
    assert (new.x, new.y, new.height) == (placement.x, placement.y, placement.height)
    assert new.width == pytest.approx(480, abs=16)


def test_a_turn_comes_to_rest_upright(qtbot, two):
    two.models.selection.select(PlacementItem("placement-1"))
    placement = two.models.project.document.placement("placement-1")
    turn = handle_points(two.canvas.view, placement)["turn"].toPoint()
    end = on_screen(two, 1300, 905)
    drag(qtbot, two, turn, end)
    assert two.models.project.document.placement("placement-1").turn == pytest.approx(np.pi / 2, abs=1e-12)
    two.models.project.undo()
    drag(qtbot, two, turn, end, ALT)
    assert two.models.project.document.placement("placement-1").turn != pytest.approx(np.pi / 2, abs=1e-4)


def test_an_anchor_comes_to_rest_level_with_the_other(qtbot, two):
    assert two.models.project.document.hangings[0].right.y == -15
    drag(qtbot, two, on_screen(two, 2100, -15), on_screen(two, 1900, 9))
    assert two.models.project.document.hangings[0].right.y == 0
    drag(qtbot, two, on_screen(two, 0, 0), on_screen(two, 100, -9))
    hanging = two.models.project.document.hangings[0]
    assert hanging.left.y == hanging.right.y == 0


def test_artwork_comes_to_rest_where_it_touches_the_zone(qtbot, two):
    """The rectangle then lies in the zone's polygon as shapely sees it, and a millimetre further it does not."""
    edge = two.canvas.zone.picture.edge
    zone = Polygon(edge[:, 0])
    two.models.project.edit("Away", edits_arrangement.remove_placements(two.models.project.document, ["placement-1"]))
    start = two.models.project.document.placement("placement-2")
    shift = 0.0
    while zone.contains(rectangle(start.x - 160 - shift, 1113, start.x + 160 - shift, 1353)):
        shift += 1.0
    drag(
        qtbot,
        two,
        on_screen(two, start.x, start.y),
        on_screen(two, start.x - shift, start.y) + QPoint(2, 0),
        SHIFT,
    )
    box = placement_box(two.models.project.document.placement("placement-2"))
    assert zone.buffer(1e-6).contains(rectangle(*box))
    assert not zone.contains(rectangle(box[0] - 1, *box[1:]))


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=60, derandomize=True)
def test_the_zone_limits_are_shapelys(number):
    random = np.random.default_rng(number)
    angles = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    ring = np.column_stack([np.cos(angles), np.sin(angles)]) * random.uniform(300, 900, 24)[:, None]
    zone = Polygon(ring)
    corners = get_coordinates(zone.exterior)
    edge = np.stack([corners[:-1], corners[1:]], axis=1)
    x, y = random.uniform(-120, 120, 2)
    w, h = random.uniform(10, 200, 2)
    box = (x - w, y - h, x + w, y + h)
    for is_vertical, band in (
        (True, rectangle(-2000, box[1], 2000, box[3])),
        (False, rectangle(box[0], -2000, box[2], 2000)),
    ):
        within = LineString(corners).intersection(band)
        at = get_coordinates(within)[:, 0 if is_vertical else 1]
        middle = x if is_vertical else y
        expected = sorted((at[at < middle].max(), at[at > middle].min()))
        found = sorted(line.at for line in zone_lines(edge, box) if line.is_vertical == is_vertical)
        assert found == pytest.approx(expected, abs=1e-6)


def test_the_nearest_line_wins_and_far_ones_do_nothing():
    lines = [
        SnapLine(True, 100.0, 0, 1, "a"),
        SnapLine(True, 104.0, 0, 1, "b"),
        SnapLine(False, 50.0, 0, 1, "c", edges=False),
    ]
    snap = Snapping(lines).box((101.0, 0.0, 201.0, 90.0), 6.0)
    assert (snap.dx, snap.dy) == (-1.0, 5.0)
    assert Snapping(lines).box((110.0, 0.0, 210.0, 90.0), 4.0).guides == ()
    assert Snapping(lines).point(103.0, 52.0, 5.0).dx == 1.0


def test_lines_do_not_come_from_what_is_dragged(two):
    document = two.models.project.document
    ids = [p.id for p in document.placements]
    box = bounding_box(document.placements)
    lines = lines_for(document, ids)
    assert box[0] not in [line.at for line in lines if line.is_vertical]
    assert len(lines_for(document)) == len(lines) + 12
