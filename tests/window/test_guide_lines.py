"""Vertical and horizontal guide lines: pulled out of the rulers, moved by hand and by number, put back; artwork snaps to them."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QLineEdit

from tests.support.hands import click, drag, on_screen
from wallwright.document import edits, edits_guide_lines
from wallwright.document.document import Document, GuideLine
from wallwright.document.placing import placement_box
from wallwright.document.project import decode_project, encode_project
from wallwright.window.model.items import WALL, GuideLineItem
from wallwright.window.panels.contents import Contents
from wallwright.window.widgets.number_field import NumberField

ALT = Qt.KeyboardModifier.AltModifier
RULER_TOP, RULER_LEFT = QPoint(300, 8), QPoint(8, 300)


def lines(window) -> list[tuple[bool, float]]:
    return [(line.is_vertical, line.at) for line in window.models.project.document.guide_lines]


def test_a_line_is_pulled_out_of_either_ruler_and_put_back(qtbot, window):
    before, steps = window.models.project.document, len(window.models.project.history.past)
    drag(qtbot, window, RULER_TOP, on_screen(window, 500, 1600), ALT)
    ((is_vertical, at),) = lines(window)
    assert not is_vertical and at == pytest.approx(1600, abs=4) and at == round(at)
    assert window.models.selection.item == GuideLineItem(0)
    drag(qtbot, window, RULER_LEFT, on_screen(window, 1700, 400), ALT)
    assert lines(window)[1] == (True, pytest.approx(1700, abs=4))
    drag(qtbot, window, on_screen(window, lines(window)[1][1], 1500), QPoint(5, 200))
    drag(qtbot, window, on_screen(window, 1850, lines(window)[0][1]), QPoint(400, 5))
    assert lines(window) == []
    titles = [title for title, _ in window.models.project.history.past[steps:]]
    assert titles == ["Add a guide line"] * 2 + ["Remove a guide line"] * 2
    for _ in titles:
        window.models.project.undo()
    assert window.models.project.document == before
    # A line that does not get out of its ruler has never been.
    drag(qtbot, window, RULER_TOP, RULER_TOP + QPoint(40, 2))
    click(qtbot, window, RULER_TOP)
    assert window.models.project.document == before and len(window.models.project.history.past) == steps


def test_a_press_on_a_ruler_takes_hold_of_nothing_below_it(qtbot, window):
    canvas, before = window.canvas, window.models.project.document
    placement = before.placements[0]
    canvas.view = type(canvas.view)(placement.x - 100, placement.y, canvas.view.scale)
    click(qtbot, window, QPoint(40, 5))
    assert window.models.project.document == before and window.models.selection.item == WALL


def test_artwork_comes_to_rest_on_it(qtbot, window):
    wall = window.models.project.document.wall
    level = edits_guide_lines.add_guide_line(window.models.project.document, False, 1333.0)
    document = edits_guide_lines.add_guide_line(level, True, 1234.0)
    window.models.project.edit("Lines", edits.set_placement(document, "placement-1", width=320.0, height=240.0))
    drag(qtbot, window, on_screen(window, 1050, 830), on_screen(window, 1234 + 160, 1333 - 120) + QPoint(2, 2))
    box = placement_box(window.models.project.document.placements[0])
    assert (box[0], box[3]) == (pytest.approx(1234), pytest.approx(1333))
    assert wall.left < box[0]


def test_numbers_are_measured_from_floor_and_side(qtbot, window):
    wall = window.models.project.document.wall
    window.models.origin.choose("wall")
    window.parts.actions["add-horizontal-line"].trigger()
    assert lines(window) == [(False, wall.floor - 1250)]  # half of a wall of 2.5 m
    fields = {f.accessibleName(): f for f in window.findChildren(NumberField)}
    fields["Above the floor"].setFocus()
    fields["Above the floor"].selectAll()
    qtbot.keyClicks(fields["Above the floor"], "1.45 m")
    qtbot.keyClick(fields["Above the floor"], Qt.Key.Key_Return)
    assert lines(window) == [(False, wall.floor - 1450)]
    assert fields["Above the floor"].text() == "1450 mm"
    tree = window.findChild(Contents)
    assert [row[1] for row in tree.rows() if row[0] == GuideLineItem(0)] == ["Horizontal, 1450 mm above the floor"]
    qtbot.keyClick(window.canvas, Qt.Key.Key_Up)
    qtbot.keyClick(window.canvas, Qt.Key.Key_Right)
    assert lines(window) == [(False, wall.floor - 1451)]
    # The other kind has its own words, also when it takes the number of one that is removed.
    window.parts.actions["add-vertical-line"].trigger()
    window.models.selection.select(GuideLineItem(0))
    window.parts.actions["remove"].trigger()
    assert lines(window) == [(True, wall.left + wall.width / 2)] and window.models.selection.item == GuideLineItem(0)
    assert [f for f in window.findChildren(QLineEdit) if f.accessibleName() == "From the wall's left edge"]


def test_it_stays_on_the_wall_when_the_frame_moves_and_travels_in_the_project():
    document = edits_guide_lines.add_guide_line(Document(), True, 500.0)
    document = edits_guide_lines.add_guide_line(document, False, 700.0)
    moved = edits.move_anchor(document, 0, "left", (120.0, 30.0))
    assert moved.guide_lines == (GuideLine(True, 380.0), GuideLine(False, 670.0))
    assert decode_project(encode_project(moved), "it") == moved


def test_it_is_seen_on_screen_and_not_in_the_job(window):
    from wallwright.planning.plan import Goal, Request
    from wallwright.planning.runner import Runner

    canvas = window.canvas
    canvas.show_zone("")
    before, plain = canvas.grab().toImage(), window.models.project.document
    document = edits_guide_lines.add_guide_line(plain, True, 1700.0)
    window.models.project.edit("Line", document)
    window.models.selection.select(GuideLineItem(0))
    after = canvas.grab().toImage()
    at = on_screen(window, 1700, 1800)
    spots = [(at.x() + d, at.y()) for d in (-1, 0, 1)]
    assert any(after.pixelColor(*spot) != before.pixelColor(*spot) for spot in spots)
    runner = Runner()
    one, other = (runner.run(Request(i, d, Goal.PREVIEW)).preview for i, d in enumerate((plain, document)))
    assert (one.strokes.points == other.strokes.points).all()
