"""Equal gaps: a dragged box snaps to where it leaves the same room as there is elsewhere in its row."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, Qt

from tests.support.hands import drag, hover, on_screen
from wallwright.document import edits, edits_arrangement
from wallwright.document.placing import placement_box
from wallwright.window.canvas.gaps import equal_gap_positions, things_of

WALL = (-1000.0, -1000.0, 3000.0, 2000.0)


def places(things, box, is_vertical=True, reach=1e4) -> list[float]:
    return sorted(p.centre for p in equal_gap_positions(np.array(things, dtype=float), WALL, box, is_vertical, reach))


def test_between_two_things_it_rests_in_the_middle():
    things = [(0, 0, 100, 100), (500, 0, 700, 100)]
    assert 300.0 in places(things, (250, 10, 350, 60), reach=30)
    # What lies above the row has no part in it, and out of reach there is nothing.
    assert places([*things, (300, -300, 320, -200)], (250, 10, 350, 60), reach=30) == [300.0]
    assert places(things, (190, 10, 290, 60), reach=30) == []


def test_beside_a_row_it_leaves_the_gap_that_the_row_has():
    things = [(0, 0, 100, 100), (140, 20, 240, 80)]
    assert places(things, (275, 0, 335, 50), reach=20) == [310.0]  # 240 + 40 + half of 60
    assert places(things, (-105, 30, -45, 50), reach=20) == [-70.0]


def test_gaps_to_the_edges_of_the_wall_count():
    assert places([(-900, 0, -700, 100)], (-605, 0, -505, 50), reach=10) == [-550.0]


def test_down_goes_like_across():
    things = [(0, 0, 100, 100), (20, 140, 80, 240)]
    assert places(things, (0, 275, 50, 335), is_vertical=False, reach=20) == [310.0]


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=200, derandomize=True)
def test_gaps_are_equal_and_free(number):
    """At every resting place the gaps shown are of one length, one of them borders on the box, nothing lies in them."""
    random = np.random.default_rng(number)
    corners = random.uniform(-900, 2500, (random.integers(1, 7), 2))
    things = np.hstack([corners, corners + random.uniform(20, 400, corners.shape)])
    left, top = random.uniform(-800, 2000, 2)
    box = (left, top, left + 130.0, top + 90.0)
    for is_vertical in (True, False):
        low, high, a, b = (0, 2, 1, 3) if is_vertical else (1, 3, 0, 2)
        size = box[high] - box[low]
        row = things[(things[:, a] < box[b]) & (things[:, b] > box[a])]
        for place in equal_gap_positions(things, WALL, box, is_vertical, 60.0):
            lengths = [gap.high - gap.low for gap in place.gaps]
            assert lengths == pytest.approx([lengths[0]] * len(lengths)) and lengths[0] > 0
            start, end = place.centre - size / 2, place.centre + size / 2
            touching = [g for g in place.gaps if abs(g.high - start) < 1e-6 or abs(g.low - end) < 1e-6]
            assert touching
            for gap in place.gaps:
                inside = (row[:, low] < gap.high - 1e-6) & (row[:, high] > gap.low + 1e-6)
                assert not inside.any()
                assert not (start < gap.high - 1e-6 and end > gap.low + 1e-6)


@pytest.fixture
def two(window):
    """placement-1 from 340 to 660 mm, placement-2 from 740 to 1060, placement-3 far below."""
    document = edits.set_placement(
        window.models.project.document, "placement-1", x=500.0, y=900.0, width=320.0, height=240.0
    )
    for x, y in ((900.0, 900.0), (1300.0, 1700.0)):
        document, (new,) = edits_arrangement.duplicate_placements(document, ["placement-1"])
        document = edits.set_placement(document, new, x=x, y=y)
    window.models.project.edit("Row", document)
    window.canvas.repaint()
    return window


def test_the_third_in_a_row_comes_to_rest_and_the_gaps_are_shown(qtbot, two):
    start, end = on_screen(two, 1300, 1700), on_screen(two, 1300, 950) + QPoint(2, 0)
    qtbot.mousePress(two.canvas, Qt.MouseButton.LeftButton, pos=start)
    hover(two, start + (end - start) * 0.5, button=Qt.MouseButton.LeftButton)
    hover(two, end, button=Qt.MouseButton.LeftButton)
    shown = [g for g in two.canvas.pointer.drag.guides if g.gaps]
    assert [round(gap.high - gap.low, 6) for gap in shown[0].gaps] == [80.0, 80.0]
    with_gaps = two.canvas.grab().toImage()
    qtbot.mouseRelease(two.canvas, Qt.MouseButton.LeftButton, pos=end)
    assert placement_box(two.models.project.document.placement("placement-3"))[0] == pytest.approx(1140.0)
    after = two.canvas.grab().toImage()
    gap = shown[0].gaps[0]
    at = on_screen(two, (gap.low + gap.high) / 2, gap.across)
    assert with_gaps.pixelColor(at) != after.pixelColor(at) and with_gaps.pixelColor(at).green() < 90


def test_a_keep_out_keeps_equal_gaps_too(qtbot, two):
    from wallwright.document import edits_keep_outs as keep

    document = keep.add_keep_out(two.models.project.document, "Switch", keep.rectangle((1300, 1500), (1400, 1580)))
    two.models.project.edit("Switch", document)
    number = len(document.wall.keep_outs) - 1
    drag(qtbot, two, on_screen(two, 1350, 1540), on_screen(two, 1190, 900) + QPoint(2, 1))
    left, top = two.models.project.document.wall.keep_outs[number].outline[0]
    assert left == pytest.approx(1140.0) and top == pytest.approx(860, abs=8)


def test_things_are_what_is_on_the_wall_but_what_is_dragged(two):
    document = two.models.project.document
    count = len(document.placements) + len(document.wall.keep_outs)
    assert len(things_of(document)) == count
    assert len(things_of(document, ["placement-1"], 0)) == count - 2
    hidden = edits.set_placement(document, "placement-2", visible=False)
    assert len(things_of(hidden)) == count - 1
