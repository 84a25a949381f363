"""Artwork made as large as the draw zone takes, judged by the statics point by point."""

import itertools

import numpy as np
import pytest
from PySide6.QtWidgets import QPushButton

from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.placing import bounding_box, placement_box
from wallwright.planning.demo import demo_document
from wallwright.planning.drawn_parts import drawn_parts
from wallwright.planning.move_in import PLACING_RESERVE
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.items import PlacementItem
from wallwright.window.model.models import Models
from wallwright.window.model.remedies import as_large_as_fits
from wallwright.window.panels.properties import PropertiesPanel


def outside(document, box) -> np.ndarray:
    """Whether points along the edges of a box break a limit, the motors' pull counted with what they should have in reserve."""
    left, top, right, bottom = box
    along = np.linspace(0, 1, 12)
    edge = np.concatenate(
        [np.column_stack([left + along * (right - left), np.full(12, y)]) for y in (top, bottom)]
        + [np.column_stack([np.full(12, x), top + along * (bottom - top)]) for x in (left, right)]
    )
    machine = document.machine
    spared = edits.with_field(machine, "motor.usable", machine.motor.usable / PLACING_RESERVE)
    rig = CableRobotModel.of(spared, document.hangings[0])
    return broken(document.wall, spared, rig, inverse_kinematics(rig, edge)) != 0


@pytest.mark.parametrize(("width", "height"), [(100.0, 75.0), (3000.0, 1500.0), (300.0, 700.0)])
def test_the_box_is_the_largest_that_lies_in_the_zone(width, height):
    document = edits.set_placement(demo_document(), "placement-1", x=300.0, y=400.0, width=width, height=height)
    found = as_large_as_fits(document, ["placement-1"])
    placement = found.placements[0]
    assert placement.width / placement.height == pytest.approx(width / height)
    assert placement.x == 1050 and placement.y == round(placement.y), "midway between the anchors, in whole mm"
    assert placement.width == pytest.approx(round(placement.width))
    box = bounding_box(found.placements)
    assert not outside(found, box).any()
    # Nowhere near is there room for one that is 7 % larger: twice what grid, search and middle may cost.
    middle, half = np.add(box[:2], box[2:]) / 2, np.subtract(box[2:], box[:2]) / 2 * 1.07
    for dx, dy in itertools.product(np.linspace(-60, 60, 9), repeat=2):
        corner = middle + (dx, dy)
        assert outside(found, (*(corner - half), *(corner + half))).any()


@pytest.mark.parametrize("part", [(0.2, 0.3, 0.5, 0.4), (-0.4, 0.1, 1.3, 0.9), (0.1, 0.5, 0.9, 0.5)])
@pytest.mark.parametrize("turn", [0.0, np.pi / 2])
def test_what_is_drawn_of_a_page_is_as_large_as_fits(part, turn):
    """A page with wide margins, one that is drawn beyond, and a level line: the box of the ink lies in the zone, and that of
    ink 7 % larger lies nowhere near."""
    document = edits.set_placement(
        demo_document(), "placement-1", x=300.0, y=400.0, width=400.0, height=300.0, turn=turn
    )
    found = as_large_as_fits(document, ["placement-1"], parts={"placement-1": part})
    placement = found.placements[0]
    assert placement.width == pytest.approx(round(placement.width))
    assert (placement.x, placement.y) == (round(placement.x), round(placement.y))
    box = placement_box(placement, part)
    assert not outside(found, box).any()
    middle, half = np.add(box[:2], box[2:]) / 2, np.subtract(box[2:], box[:2]) / 2 * 1.07
    for dx, dy in itertools.product(np.linspace(-60, 60, 9), repeat=2):
        corner = middle + (dx, dy)
        assert outside(found, (*(corner - half), *(corner + half))).any()


def test_remedies_know_what_is_drawn_of_a_page():
    """A circle in the corner of its page: judged by the ink's box, and found again after the page was turned and mirrored."""
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100">'
        '<circle cx="150" cy="25" r="20" fill="none" stroke="#202020"/></svg>'
    )
    document, placement = edits.add_artwork(
        Document(), "corner.svg", "image/svg+xml", svg.encode(), (200.0, 100.0), width=600.0
    )
    document = edits.set_placement(document, placement.id, turn=0.4, mirror=True)
    preview = Runner().run(Request(0, document, Goal.PREVIEW)).preview
    part = drawn_parts(document, preview)[placement.id]
    assert part[0] == pytest.approx(0.65, abs=0.03) and part[2] == pytest.approx(0.85, abs=0.03)
    assert part[1] == pytest.approx(0.05, abs=0.06) and part[3] == pytest.approx(0.45, abs=0.06)
    found = as_large_as_fits(document, [placement.id], parts={placement.id: part})
    ink = Runner().run(Request(0, found, Goal.PREVIEW)).preview
    assert not ink.outside.bits.any()
    assert found.placements[0].width > 2000


def test_what_is_locked_or_not_drawn_stays():
    document = edits.set_placement(demo_document(), "placement-1", locked=True)
    with pytest.raises(BadValue, match="no artwork"):
        as_large_as_fits(document, ["placement-1"])
    with pytest.raises(BadValue, match="no artwork"):
        as_large_as_fits(edits.set_placement(demo_document(), "placement-1", visible=False), ["placement-1"])


def test_one_click_and_one_undo(qtbot):
    window = ProjectWindow(Models.of(edits.set_placement(demo_document(), "placement-1", width=200.0, height=150.0)))
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.show()
    models = window.models
    models.selection.select(PlacementItem("placement-1"))
    before = models.project.document
    button = next(
        b for b in window.findChild(PropertiesPanel).findChildren(QPushButton) if b.text() == "Fit to draw zone"
    )
    button.click()
    qtbot.waitUntil(lambda: models.project.document is not before, timeout=20_000)
    assert models.project.document.placements[0].width > 700
    models.planning.plan_now()
    qtbot.waitUntil(lambda: not models.planning.plan_is_stale, timeout=60_000)
    assert models.planning.is_exportable
    assert next(c for c in models.planning.plan.checks if c.id == "zone").verdict.name == "OK"
    models.project.undo()
    assert models.project.document == before
