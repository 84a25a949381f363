"""Keep-outs drawn and changed with the mouse, and what the draw zone makes of them."""

import pytest
from PySide6.QtCore import QPoint, Qt

from tests.support.hands import click, double_click, drag, hover, on_screen, second_click
from wallwright.document.edits_keep_outs import is_rectangle
from wallwright.window.canvas.keep_out_layer import corner_points, side_points
from wallwright.window.model.items import MACHINE, KeepOutItem
from wallwright.window.panels.contents import Contents

ALT = Qt.KeyboardModifier.AltModifier
CONTROL = Qt.KeyboardModifier.ControlModifier


def newest(window):
    return window.models.project.document.wall.keep_outs[-1]


def test_a_rectangle_by_dragging(qtbot, window):
    before = window.models.project.document
    window.parts.actions["draw-keep-out"].trigger()
    drag(qtbot, window, on_screen(window, 400, 1400), on_screen(window, 700, 1600), ALT)
    keep_out = newest(window)
    assert is_rectangle(keep_out.outline)
    assert keep_out.outline[0] == pytest.approx((400, 1400), abs=8)
    assert keep_out.outline[2] == pytest.approx((700, 1600), abs=8)
    assert window.models.selection.item == KeepOutItem(2) and window.canvas.tool is None
    assert "Keep-out" in [row[1] for row in window.findChild(Contents).rows()]
    window.models.project.undo()
    assert window.models.project.document == before


@pytest.mark.parametrize("ends", ["first corner", "enter", "double click"])
def test_a_polygon_corner_by_corner(qtbot, window, ends):
    window.parts.actions["draw-keep-out"].trigger()
    corners = [on_screen(window, *p) for p in ((400, 1400), (700, 1450), (600, 1700))]
    for corner in corners:
        hover(window, corner, ALT)
        click(qtbot, window, corner, ALT)
    assert len(window.models.project.document.wall.keep_outs) == 2
    if ends == "first corner":
        click(qtbot, window, corners[0] + QPoint(2, 1), ALT)
    elif ends == "enter":
        qtbot.keyClick(window.canvas, Qt.Key.Key_Return)
    else:
        second_click(qtbot, window, corners[-1])
    assert len(newest(window).outline) == 3 and window.canvas.tool is None
    assert newest(window).outline[1] == pytest.approx((700, 1450), abs=8)


def test_backspace_escape_and_crossing_sides(qtbot, window):
    before = window.models.project.document
    window.parts.actions["draw-keep-out"].trigger()
    for x, y in ((400, 1400), (700, 1700), (700, 1400), (400, 1700)):
        click(qtbot, window, on_screen(window, x, y), ALT)
    qtbot.keyClick(window.canvas, Qt.Key.Key_Return)
    assert window.bar.isVisible() and window.models.project.document == before and window.canvas.tool is not None
    qtbot.keyClick(window.canvas, Qt.Key.Key_Backspace)
    qtbot.keyClick(window.canvas, Qt.Key.Key_Return)
    assert len(newest(window).outline) == 3
    window.parts.actions["draw-keep-out"].trigger()
    click(qtbot, window, on_screen(window, 400, 1400), ALT)
    qtbot.keyClick(window.canvas, Qt.Key.Key_Escape)
    assert window.canvas.tool is None and len(window.models.project.document.wall.keep_outs) == 3


def test_corners_and_sides_are_dragged(qtbot, window):
    window.models.selection.select(KeepOutItem(0))
    before = newest(window), window.models.project.document.wall.keep_outs[0]
    door = before[1]
    corner = corner_points(window.canvas.view, door)[0].toPoint()
    drag(qtbot, window, corner, on_screen(window, 2500, 400), ALT)
    moved = window.models.project.document.wall.keep_outs[0]
    assert is_rectangle(moved.outline) and moved.outline[0] == pytest.approx((2500, 400), abs=8)
    assert moved.outline[2] == door.outline[2]
    side = side_points(window.canvas.view, moved)[3].toPoint()
    drag(qtbot, window, side, side + QPoint(-30, 12), ALT)
    wider = window.models.project.document.wall.keep_outs[0]
    assert is_rectangle(wider.outline) and wider.outline[0][0] < moved.outline[0][0] - 80
    assert wider.outline[0][1] == moved.outline[0][1]
    corner = corner_points(window.canvas.view, wider)[0].toPoint()
    drag(qtbot, window, corner, corner + QPoint(25, 20), ALT | CONTROL)
    assert not is_rectangle(window.models.project.document.wall.keep_outs[0].outline)
    now = window.models.project.document.wall.keep_outs[0]
    side = side_points(window.canvas.view, now)[1].toPoint()
    drag(qtbot, window, side, side + QPoint(-25, 5), ALT)
    assert len(window.models.project.document.wall.keep_outs[0].outline) == 5
    corner = corner_points(window.canvas.view, window.models.project.document.wall.keep_outs[0])[2].toPoint()
    double_click(qtbot, window, corner)
    assert window.models.project.document.wall.keep_outs[0].outline == now.outline
    for _ in range(5):
        window.models.project.undo()
    assert window.models.project.document.wall.keep_outs[0] == door


def test_the_draw_zone_keeps_off_a_new_keep_out(qtbot, window):
    """Its own pixel is inside before and outside after."""
    window.canvas.repaint()
    zone = window.canvas.zone.picture.zone
    column, row = abs(zone.x - 1050).argmin(), abs(zone.y - 1500).argmin()
    assert zone.bits[row, column] == 0
    window.parts.actions["draw-keep-out"].trigger()
    drag(qtbot, window, on_screen(window, 950, 1400), on_screen(window, 1150, 1600))
    window.canvas.repaint()
    assert window.canvas.zone.picture.zone.bits[row, column] != 0


def test_a_tool_ends_when_the_person_turns_to_something_else(qtbot, window):
    canvas, act = window.canvas, window.parts.actions
    act["draw-keep-out"].trigger()
    for looking in ("zoom-in", "fit", "next-part"):
        act[looking].trigger()
        assert canvas.tool is not None, looking
    act["select-all"].trigger()
    assert canvas.tool is None and canvas.cursor().shape() == Qt.CursorShape.ArrowCursor
    act["draw-keep-out"].trigger()
    window.models.selection.select(MACHINE)  # as a click in the contents does
    assert canvas.tool is None
    act["draw-keep-out"].trigger()
    act["add-text"].trigger()
    assert canvas.tool is None
    act["draw-keep-out"].trigger()
    keep_outs = len(window.models.project.document.wall.keep_outs)
    for corner in ((200, 200), (240, 240)):
        qtbot.mouseMove(canvas, QPoint(*corner))
    window.models.project.load(window.models.project.document, None)
    assert canvas.tool is None and len(window.models.project.document.wall.keep_outs) == keep_outs
    window.models.cancel()
