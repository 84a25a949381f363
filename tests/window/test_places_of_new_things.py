"""New artwork, new text and the starting point keep off what is on the wall, judged by boxes and the statics."""

import numpy as np
import pytest
from PySide6.QtWidgets import QMessageBox

from tests.support.walls import banner
from tests.window.test_zone_remedies import is_inside, squares, window_on
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.placing import overlaps, placement_box
from wallwright.jobs.checks import Remedy
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request
from wallwright.planning.proposed_places import (
    body_covers,
    centre_with_room,
    readable_size,
    shown_boxes,
    start_clear_of_ink,
)
from wallwright.planning.runner import Runner
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics
from wallwright.window.model.remedies import start_moved_in

SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="{0}mm" height="{1}mm"><path d="M0 0h{0}v{1}h-{0}z"/></svg>'


def is_in_zone(document: Document, point) -> bool:
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    return not broken(document.wall, document.machine, rig, inverse_kinematics(rig, np.array([point])))[0]


def test_new_artwork_goes_beside_what_is_there_inside_the_zone():
    document = squares((1000.0, 900.0))
    x, y = centre_with_room(document, (300.0, 200.0), {}, None)
    box = (x - 150, y - 100, x + 150, y + 100)
    assert not overlaps(box, placement_box(document.placements[0]))
    corners = [(a, b) for a in box[::2] for b in box[1::2]]
    assert all(is_in_zone(document, corner) for corner in corners)
    assert np.hypot(x - 1000.0, y - 900.0) < 300, "the nearest room"


def test_without_room_beside_it_lies_in_the_zone_all_the_same():
    document = edits.set_placement(squares((1000.0, 900.0)), "placement-1", width=900.0, height=900.0)
    x, y = centre_with_room(document, (700.0, 700.0), {}, None)
    assert all(is_in_zone(document, (x + a, y + b)) for a in (-350, 350) for b in (-350, 350))
    assert centre_with_room(document, (2500.0, 700.0), {}, None) is None


def test_the_ink_of_a_page_counts():
    """A page that fills the zone, with ink in its upper half only: there is room in the lower one."""
    document = edits.set_placement(squares((1000.0, 900.0)), "placement-1", width=900.0, height=900.0)
    x, y = centre_with_room(document, (300.0, 200.0), {"placement-1": (0.0, 0.0, 1.0, 0.4)}, None)
    assert 810 + 100 < y < 1350 and abs(x - 1000) < 300


def test_added_files_and_text_do_not_lie_on_what_is_there(qtbot, tmp_path):
    window = window_on(qtbot, tmp_path, squares((1000.0, 900.0)))
    (tmp_path / "new.svg").write_text(SVG.format(250, 200))
    project = window.models.project
    window.models.imports.add_files([tmp_path / "new.svg"])
    qtbot.waitUntil(lambda: len(project.document.placements) == 2)
    window.parts.generated_artwork.words()
    boxes = [placement_box(p) for p in project.document.placements]
    assert len(boxes) == 3
    assert not any(overlaps(a, b) for i, a in enumerate(boxes) for b in boxes[:i])
    assert is_inside(project.document)
    window.models.imports.add_files([tmp_path / "new.svg"], (700.0, 640.0))
    qtbot.waitUntil(lambda: len(project.document.placements) == 4)
    assert (project.document.placements[-1].x, project.document.placements[-1].y) == (700.0, 640.0), (
        "where it was dropped"
    )


def test_small_new_artwork_is_as_large_as_the_room_beside_the_first(qtbot, tmp_path):
    window = window_on(qtbot, tmp_path, squares((1000.0, 900.0)))
    project = window.models.project
    first = project.document.placements[0]
    (tmp_path / "small.svg").write_text(SVG.format(120, 60))
    window.models.imports.add_files([tmp_path / "small.svg"])
    qtbot.waitUntil(lambda: len(project.document.placements) == 2)
    new = project.document.placements[1]
    assert (new.width, new.height) == (200.0, 100.0) == (first.width, first.width / 2), "no larger than the first"
    assert not overlaps(placement_box(first), placement_box(new)) and is_inside(project.document)
    (tmp_path / "small.svg").write_text(SVG.format(120, 61))
    window.models.imports.add_files([tmp_path / "small.svg"], (1000.0, 900.0))
    qtbot.waitUntil(lambda: len(project.document.placements) == 3)
    assert project.document.placements[2].width == pytest.approx(120), "dropped at a place: its own size"


def test_new_artwork_of_a_fair_size_keeps_it_and_a_full_zone_leaves_room_for_a_quarter():
    document = squares((1000.0, 900.0))
    assert readable_size(document, (400.0, 300.0), {}) == (400.0, 300.0)
    assert readable_size(Document(), (120.0, 60.0), {}) == (120.0, 60.0), "nothing is there"
    full = edits.set_placement(document, "placement-1", width=4000.0, height=4000.0)
    width, height = readable_size(full, (40.0, 20.0), {})
    assert 100 < width < 500 and height == width / 2


def test_the_first_artwork_takes_the_starting_point_off_the_ink(qtbot, tmp_path):
    window = window_on(qtbot, tmp_path, Document())
    (tmp_path / "new.svg").write_text(SVG.format(250, 200))
    project = window.models.project
    window.models.imports.add_files([tmp_path / "new.svg"], is_filling=True)
    qtbot.waitUntil(lambda: len(project.document.placements) == 1)
    document = project.document
    boxes, start = shown_boxes(document, {}), document.hangings[0].start_point
    assert not body_covers(document, start, boxes) and is_in_zone(document, start)
    plan = Runner().run(Request(0, document, Goal.PLAN)).require_plan()
    assert next(c for c in plan.checks if c.id == "start-point").verdict.name == "OK"
    project.undo()
    assert project.document == Document()
    moved = edits.set_field(project.document, "hangings.0.start_point", (1000.0, 1400.0))
    project.edit("Start", moved)
    window.models.imports.add_files([tmp_path / "new.svg"], (1000.0, 700.0))
    qtbot.waitUntil(lambda: len(project.document.placements) == 1)
    assert project.document.hangings[0].start_point == (1000.0, 1400.0), "it was clear of the ink"


def test_hangings_that_are_added_start_off_the_ink(qtbot, tmp_path, monkeypatch):
    window = window_on(qtbot, tmp_path, banner(150.0))

    def press(box: QMessageBox) -> int:
        pressed = next(b for b in box.buttons() if b.text().replace("&", "") == "Add hangings")
        monkeypatch.setattr(QMessageBox, "clickedButton", lambda own: pressed)
        return 0

    monkeypatch.setattr(QMessageBox, "exec", press)
    before = window.models.project.document
    window.parts.actions["cover-artwork"].trigger()
    document = window.models.project.document
    boxes = shown_boxes(document, {})
    assert document.hangings[0] == before.hangings[0], "what hangs already stays"
    for hanging in document.hangings[1:]:
        x, y = hanging.start_point
        assert not body_covers(document, (x, y), boxes) and hanging.left.x < x < hanging.right.x
        assert abs(x - (hanging.left.x + hanging.right.x) / 2) < 250, "in the middle of its zone"


def test_above_within_reach_then_beside():
    document = squares((1000.0, 1000.0))
    boxes = shown_boxes(document, {})
    x, y = start_clear_of_ink(document, 0, boxes)
    assert y < 900 and abs(x - 1000) < 50
    low = edits.with_field(document, "settings.reach_high", document.wall.floor - 850.0)
    x, y = start_clear_of_ink(low, 0, boxes)
    assert y >= 850 and not body_covers(low, (x, y), boxes), "beside, where hands reach"
    fixed = edits.with_field(document, "machine.controller.page.start_right", 900.0)
    assert start_clear_of_ink(fixed, 0, boxes) is None, "the machine says where it starts"


@pytest.mark.parametrize("start", [(1000.0, -100.0), (2400.0, 400.0)])
def test_where_the_machine_cannot_even_hang_the_message_offers_the_move(qtbot, tmp_path, start):
    document = edits.set_field(demo_document(), "hangings.0.start_point", start)
    window = window_on(qtbot, tmp_path, document)
    window.models.planning.plan_now()
    qtbot.waitUntil(window.bar.isVisible)
    assert "cannot hang with its pen" in window.bar.sentence.text() and window.bar.offer.isVisible()
    window.bar.offer.click()
    project = window.models.project
    qtbot.waitUntil(lambda: project.document is not document)
    assert is_in_zone(project.document, project.document.hangings[0].start_point)


@pytest.mark.parametrize("start", [(60.0, 1500.0), (1000.0, 30.0)])
def test_a_starting_point_outside_has_a_remedy(start):
    document = edits.set_field(demo_document(), "hangings.0.start_point", start)
    plan = Runner().run(Request(0, document, Goal.PLAN)).require_plan()
    check = next(c for c in plan.checks if c.id == "start-point")
    assert check.verdict.name == "ERROR" and check.remedies == (Remedy.MOVE_START_IN,)
    after = start_moved_in(document, 0)
    x, y = after.hangings[0].start_point
    assert all(is_in_zone(after, (x + dx, y + dy)) for dx in (-10, 0, 10) for dy in (-10, 0, 10)), "with a margin"
    assert not body_covers(after, after.hangings[0].start_point, shown_boxes(after, {}))
