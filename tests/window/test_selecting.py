"""Several artworks selected and changed together, with mouse and keys."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QLineEdit, QTreeWidgetItemIterator

from tests.support.hands import click, drag, on_screen
from wallwright.document import edits, edits_arrangement
from wallwright.document.placing import bounding_box
from wallwright.window.canvas.artwork_layer import frame_shown, handle_points
from wallwright.window.model.items import WALL, HangingItem, KeepOutItem, PlacementItem
from wallwright.window.panels.contents import KEY, Contents

SHIFT = Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def three(window):
    """Three small artworks in a row: placement-1 at 500, placement-2 at 1050, placement-3 at 1500 mm."""
    document = edits.set_placement(window.models.project.document, "placement-1", x=500.0, width=320.0, height=240.0)
    for x in (1050.0, 1500.0):
        document, (new,) = edits_arrangement.duplicate_placements(document, ["placement-1"])
        document = edits.set_placement(document, new, x=x, y=830.0)
    window.models.project.edit("Row", document)
    return window


def chosen(window) -> set[str]:
    return set(window.models.selection.placement_ids)


def test_shift_click_adds_and_takes_away(qtbot, three):
    click(qtbot, three, on_screen(three, 450, 830))
    click(qtbot, three, on_screen(three, 1450, 830), SHIFT)
    assert chosen(three) == {"placement-1", "placement-3"}
    assert three.models.selection.placement_id is None
    click(qtbot, three, on_screen(three, 450, 830), SHIFT)
    assert chosen(three) == {"placement-3"} and three.models.selection.placement_id == "placement-3"
    click(qtbot, three, on_screen(three, 1000, 780), SHIFT)
    click(qtbot, three, on_screen(three, 1000, 780))
    assert chosen(three) == {"placement-2"}


def test_a_rectangle_selects_what_it_touches(qtbot, three):
    drag(qtbot, three, on_screen(three, 250, 600), on_screen(three, 1000, 1000))
    assert chosen(three) == {"placement-1", "placement-2"}
    drag(qtbot, three, on_screen(three, 1250, 600), on_screen(three, 1400, 900), SHIFT)
    assert chosen(three) == {"placement-1", "placement-2", "placement-3"}
    click(qtbot, three, on_screen(three, 1250, 1700))
    assert three.models.selection.item == WALL


def test_several_move_together_in_one_step(qtbot, three):
    before = three.models.project.document
    three.parts.actions["select-all"].trigger()
    drag(qtbot, three, on_screen(three, 450, 830), on_screen(three, 550, 900), Qt.KeyboardModifier.AltModifier)
    after = three.models.project.document
    moves = np.array([(b.x - a.x, b.y - a.y) for a, b in zip(before.placements, after.placements, strict=True)])
    assert np.ptp(moves, axis=0) == pytest.approx([0, 0], abs=1e-9)
    assert moves[0] == pytest.approx([100, 70], abs=12)
    assert len(chosen(three)) == 3
    three.models.project.undo()
    assert three.models.project.document == before


def test_several_scale_and_turn_about_one_point(qtbot, three):
    before = three.models.project.document
    three.parts.actions["select-all"].trigger()
    frame = frame_shown(three.models)
    points = handle_points(three.canvas.view, frame)
    assert set(points) == {"top left", "top right", "bottom right", "bottom left", "turn"}
    box = bounding_box(before.placements)
    drag(
        qtbot,
        three,
        points["bottom right"].toPoint(),
        on_screen(three, box[0] + (box[2] - box[0]) / 2, box[1] + (box[3] - box[1]) / 2),
        Qt.KeyboardModifier.AltModifier,  # the middle between the anchors is within reach of the pointer
    )
    small = three.models.project.document
    share = small.placements[0].width / before.placements[0].width
    assert share == pytest.approx(0.5, abs=0.02)  # a pixel is 7 mm here
    for a, b in zip(before.placements, small.placements, strict=True):
        assert b.width == pytest.approx(a.width * share)
        assert (b.x - box[0], b.y - box[1]) == pytest.approx(((a.x - box[0]) * share, (a.y - box[1]) * share))
    three.models.project.undo()
    drag(qtbot, three, points["turn"].toPoint(), on_screen(three, frame.x + 900, frame.y))
    turned = three.models.project.document
    assert [p.turn for p in turned.placements] == pytest.approx([np.pi / 2] * 3, abs=0.05)
    assert turned.placements[0].y < turned.placements[1].y < turned.placements[2].y
    three.models.project.undo()
    assert three.models.project.document == before


def test_escape_gives_a_drag_up_and_leaves_no_step(qtbot, three):
    before, steps = three.models.project.document, len(three.models.project.history.past)
    at = on_screen(three, 450, 830)
    qtbot.mousePress(three.canvas, Qt.MouseButton.LeftButton, pos=at)
    qtbot.mouseMove(three.canvas, at + at * 0.2)
    assert three.models.project.document != before
    qtbot.keyClick(three.canvas, Qt.Key.Key_Escape)
    qtbot.mouseRelease(three.canvas, Qt.MouseButton.LeftButton, pos=at + at * 0.2)
    assert three.models.project.document == before
    assert len(three.models.project.history.past) == steps and not three.models.project.history.future


def test_a_hand_that_shakes_while_clicking_moves_nothing(qtbot, three):
    before = three.models.project.document
    at = on_screen(three, 450, 830)
    qtbot.mousePress(three.canvas, Qt.MouseButton.LeftButton, pos=at)
    qtbot.mouseMove(three.canvas, at.__class__(at.x() + 2, at.y() + 1))
    qtbot.mouseRelease(three.canvas, Qt.MouseButton.LeftButton, pos=at)
    assert three.models.project.document == before and chosen(three) == {"placement-1"}


def test_the_tree_selects_several_and_follows_the_canvas(qtbot, three):
    tree = three.findChild(Contents)
    items = {}
    walk = QTreeWidgetItemIterator(tree)
    while walk.value():
        items[walk.value().data(0, KEY)] = walk.value()
        walk += 1

    def press(key, keys=Qt.KeyboardModifier.NoModifier):
        tree.scrollToItem(items[key])
        qtbot.mouseClick(tree.viewport(), Qt.MouseButton.LeftButton, keys, tree.visualItemRect(items[key]).center())

    press(PlacementItem("placement-1"))
    press(PlacementItem("placement-3"), SHIFT)
    assert chosen(three) == {"placement-1", "placement-2", "placement-3"}
    press(PlacementItem("placement-2"), Qt.KeyboardModifier.ControlModifier)
    assert chosen(three) == {"placement-1", "placement-3"}
    press(WALL, Qt.KeyboardModifier.ControlModifier)
    assert three.models.selection.item == WALL
    click(qtbot, three, on_screen(three, 1000, 830))
    assert [i.data(0, KEY) for i in tree.selectedItems()] == [PlacementItem("placement-2")]


def test_actions_change_all_that_are_selected(three):
    models, do = three.models, lambda name: three.parts.actions[name].trigger()
    before = models.project.document
    models.project.edit("Up", edits.set_placement(before, "placement-3", y=700.0))
    do("select-all")
    do("align-bottom")
    assert {p.y for p in models.project.document.placements} == {830.0}
    do("distribute-across")
    assert models.project.document.placements[1].x == pytest.approx(1000)
    do("mirror-across")
    assert [p.x for p in models.project.document.placements] == pytest.approx([1500, 1000, 500])
    assert all(p.mirror for p in models.project.document.placements)
    do("hide")
    assert not any(p.visible for p in models.project.document.placements)
    do("hide")
    assert all(p.visible for p in models.project.document.placements)
    do("lock")
    do("align-top")
    assert models.project.document.placements[0].locked and len(chosen(three)) == 3
    do("lock")
    do("duplicate")
    assert len(models.project.document.placements) == 6 and len(chosen(three)) == 3
    do("remove")
    assert len(models.project.document.placements) == 3 and models.selection.item == WALL
    models.selection.select(PlacementItem("placement-1"))
    do("to-front")
    assert models.project.document.placements[-1].id == "placement-1"
    while models.project.history.past[1:]:
        models.project.undo()
    assert models.project.document == before
    assert not three.parts.actions["distribute-across"].isEnabled()


def test_the_inspector_moves_and_scales_several(qtbot, three):
    three.parts.actions["select-all"].trigger()
    fields = {f.accessibleName(): f for f in three.findChildren(QLineEdit)}
    across, along = "Centre, right of the left anchor", "Centre, below the left anchor"
    for name, text in ((across, "1 m"), (along, "900"), ("Width, height", "660, 120")):
        fields[name].setFocus()
        fields[name].selectAll()
        qtbot.keyClicks(fields[name], text)
        qtbot.keyClick(fields[name], Qt.Key.Key_Return)
    box = bounding_box(three.models.project.document.placements)
    assert box == pytest.approx((670, 840, 1330, 960))


def test_a_click_finds_the_artwork_whose_ink_is_there(qtbot, three):
    """A frame lies over all three and leaves them free; its own line selects it; what is selected is dragged first."""
    three.parts.actions["select-all"].trigger()
    three.models.selection.select(PlacementItem("placement-2"))
    three.parts.actions["add-frame"].trigger()
    frame = three.models.selection.placement_id
    three.models.project.edit(
        "Wide",
        edits.set_placement(three.models.project.document, frame, x=1000.0, y=830.0, width=1700.0, height=600.0),
    )
    three.models.planning.plan_now()
    qtbot.waitUntil(
        lambda: not three.models.planning.plan_is_stale and not three.models.planning.is_planning,
        timeout=60_000,
    )
    click(qtbot, three, on_screen(three, 100, 1700))
    for name in ("placement-1", "placement-2", "placement-3"):
        placement = three.models.project.document.placement(name)
        click(qtbot, three, on_screen(three, placement.x, placement.y))
        assert chosen(three) == {name}
    at = three.models.project.document.placement(frame)
    line = on_screen(three, 750, at.y - at.height / 2)
    click(qtbot, three, line)
    assert chosen(three) == {frame}
    # Taken hold of in the middle, over other artwork, the frame that is selected moves; a click there selects that.
    before = three.models.project.document
    drag(
        qtbot,
        three,
        on_screen(three, 1000, 830),
        on_screen(three, 1000, 930),
        Qt.KeyboardModifier.AltModifier,
    )
    after = three.models.project.document
    assert after.placement(frame).y > before.placement(frame).y + 80
    assert after.placement("placement-2") == before.placement("placement-2") and chosen(three) == {frame}
    click(qtbot, three, on_screen(three, 1000, 830))
    assert chosen(three) == {"placement-2"}


def test_what_is_selected_can_be_shown(three):
    canvas, models = three.canvas, three.models
    hanging = models.project.document.hangings[0]
    for chosen, box in (
        (
            (PlacementItem("placement-1"), PlacementItem("placement-2")),
            bounding_box(models.project.document.placements[:2]),
        ),
        ((KeepOutItem(0),), (2350.0, 200.0, 3250.0, 2200.0)),
        ((HangingItem(0),), (0.0, hanging.right.y, hanging.right.x, hanging.start_point[1])),
    ):
        models.selection.select(*chosen)
        three.parts.actions["fit-selected"].trigger()
        corners = canvas.view.to_screen(*box[:2]), canvas.view.to_screen(*box[2:])
        assert all(canvas.rect().contains(corner.toPoint()) for corner in corners)
        size = corners[1] - corners[0]
        assert max(size.x() / canvas.width(), size.y() / canvas.height()) > 0.8


def test_something_small_can_still_be_moved(qtbot, three):
    """16 pixels high, less than its handles reach: taken hold of in its middle it moves, at a corner it scales."""
    scale = three.canvas.view.scale
    small = edits.set_placement(three.models.project.document, "placement-2", width=60 / scale, height=16 / scale)
    three.models.project.edit("Small", small)
    three.models.selection.select(PlacementItem("placement-2"))
    before = three.models.project.document.placement("placement-2")
    middle = on_screen(three, before.x, before.y)
    drag(qtbot, three, middle, middle + QPoint(0, 90), Qt.KeyboardModifier.AltModifier)
    moved = three.models.project.document.placement("placement-2")
    assert (moved.width, moved.height) == (before.width, before.height)
    assert moved.y - before.y == pytest.approx(90 / scale, abs=2 / scale)
    corner = handle_points(three.canvas.view, moved)["bottom right"].toPoint()
    drag(qtbot, three, corner + QPoint(5, 5), corner + QPoint(65, 25), Qt.KeyboardModifier.AltModifier)
    assert three.models.project.document.placement("placement-2").width > 1.5 * before.width
