"""Both anchors moved at once: to another distance, and onto the wall. Expected positions are worked by hand."""

import pytest

from wallwright.document import edits
from wallwright.document.errors import BadValue
from wallwright.document.new_wall import NewWall, usual_machine


def document(distance: float = 2000.0):
    return NewWall(width=3000.0, height=2500.0, distance=distance).document(usual_machine())


def from_left_edge(found) -> tuple[float, float]:
    hanging = found.hangings[0]
    return hanging.left.x - found.wall.left, hanging.right.x - found.wall.left


@pytest.mark.parametrize(("distance", "expected"), [(2900.0, (50.0, 2950.0)), (1000.0, (1000.0, 2000.0))])
def test_another_distance_keeps_the_middle(distance, expected):
    """2900 mm fit a wall of 3 m, and yet the right anchor alone moved, off the wall."""
    before = document()
    after = edits.set_anchor_distance(before, 0, distance)
    assert from_left_edge(after) == pytest.approx(expected)
    start = after.hangings[0].start_point
    assert start[0] - after.wall.left == before.hangings[0].start_point[0] - before.wall.left, "it stays on the wall"


def test_anchors_near_one_edge_move_aside_as_far_as_the_wall_has_room():
    aside = edits.move_anchor(document(), 0, "left", (-400.0, 0.0))  # 100 and 2500 mm from the wall's left edge
    assert from_left_edge(aside) == pytest.approx((100.0, 2500.0))
    assert from_left_edge(edits.set_anchor_distance(aside, 0, 2800.0)) == pytest.approx((0.0, 2800.0))
    assert from_left_edge(edits.set_anchor_distance(aside, 0, 3400.0)) == pytest.approx((-400.0, 3000.0))


def test_the_difference_in_height_stays():
    lower = edits.move_anchor(document(), 0, "right", (2000.0, 300.0))
    hanging = edits.set_anchor_distance(lower, 0, 500.0).hangings[0]
    assert (hanging.right.x - hanging.left.x, hanging.right.y - hanging.left.y) == pytest.approx((400.0, 300.0))
    with pytest.raises(BadValue, match="300 mm lower"):
        edits.set_anchor_distance(lower, 0, 300.0)


@pytest.mark.parametrize(
    ("right", "expected"),
    [((2700.0, 0.0), (240.0, 2940.0)), ((9000.0, 0.0), (60.0, 2940.0)), ((2000.0, -900.0), (500.0, 2500.0))],
    ids=["a little off", "wider than the wall", "above the ceiling"],
)
def test_anchors_come_onto_the_wall(right, expected):
    moved = edits.anchors_onto_wall(edits.move_anchor(document(), 0, "right", right), 0)
    assert from_left_edge(moved) == pytest.approx(expected)
    assert all(a.y >= moved.wall.top for a in (moved.hangings[0].left, moved.hangings[0].right))
