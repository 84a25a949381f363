"""Arranging several placements: what is on the wall afterwards is what shapely makes of the same rectangles."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity, box, get_coordinates, union_all
from shapely.geometry import Polygon

from wallwright.document import edits, edits_arrangement
from wallwright.document.document import Artwork, Document, Placement
from wallwright.document.placing import (
    bounding_box,
    placement_box,
    placement_corners,
    placing_matrix,
    transform,
)

PLACEMENTS = st.lists(
    st.builds(
        lambda x, y, w, h, t, m: (x, y, w, h, t, m),
        st.floats(-3000, 3000),
        st.floats(-3000, 3000),
        st.floats(10, 900),
        st.floats(10, 900),
        st.floats(-math.pi, math.pi),
        st.booleans(),
    ),
    min_size=2,
    max_size=5,
)
CASES = settings(deadline=None, max_examples=60, derandomize=True)


def document_of(numbers) -> Document:
    placements = tuple(Placement(f"placement-{i}", "a", *n[:5], mirror=n[5]) for i, n in enumerate(numbers))
    return Document(artworks=(Artwork("a", "a.svg", "image/svg+xml"),), placements=placements)


def ids_of(document: Document) -> list[str]:
    return [p.id for p in document.placements]


def marks(document: Document) -> np.ndarray:
    """Where an artwork's corner, middle and an odd point lie on the wall: they tell turns and mirrors apart."""
    points = np.array([[0.0, 0.0], [0.5, 0.5], [0.9, 0.2]])
    return np.vstack([transform(placing_matrix(p, (1.0, 1.0)), points) for p in document.placements])


@given(PLACEMENTS, st.floats(-6, 6), st.floats(0.1, 5), st.floats(-500, 500), st.floats(-500, 500))
@CASES
def test_carrying_is_the_affine_map_of_every_point(numbers, angle, share, x, y):
    before = document_of(numbers)
    after = edits_arrangement.carry_placements(before, ids_of(before), (x, y), (x + 70, y - 30), share, angle)
    points = Polygon(np.vstack([marks(before), marks(before)[:1]]))
    # shapely turns anticlockwise with y up, which is clockwise with y down.
    expected = affinity.scale(points, share, share, origin=(x, y))
    expected = affinity.rotate(expected, angle, origin=(x, y), use_radians=True)
    expected = affinity.translate(expected, 70, -30)
    assert np.allclose(marks(after), get_coordinates(expected)[:-1], atol=1e-6)
    assert all(-math.pi <= p.turn <= math.pi for p in after.placements)


@given(PLACEMENTS, st.booleans())
@CASES
def test_mirroring_is_the_reflection_of_every_point_in_the_middle(numbers, across):
    before = document_of(numbers)
    after = edits_arrangement.mirror_placements(before, ids_of(before), across)
    left, top, right, bottom = bounding_box(before.placements)
    points = marks(before)
    if across:
        points[:, 0] = left + right - points[:, 0]
    else:
        points[:, 1] = top + bottom - points[:, 1]
    assert np.allclose(marks(after), points, atol=1e-6)
    again = edits_arrangement.mirror_placements(after, ids_of(after), across)
    assert np.allclose(marks(again), marks(before), atol=1e-6)


@given(PLACEMENTS)
@CASES
def test_boxes_are_those_of_the_corners(numbers):
    document = document_of(numbers)
    shapes = [Polygon(placement_corners(p)) for p in document.placements]
    assert bounding_box(document.placements) == pytest.approx(union_all([box(*s.bounds) for s in shapes]).bounds)


@given(PLACEMENTS, st.sampled_from(["left", "centre", "right", "top", "middle", "bottom"]))
@CASES
def test_aligned_boxes_share_the_line_and_keep_the_other_coordinate(numbers, side):
    before = document_of(numbers)
    after = edits_arrangement.align_placements(before, ids_of(before), side)
    boxes = np.array([placement_box(p) for p in after.placements])
    across = side in ("left", "centre", "right")
    line = {
        "left": boxes[:, 0],
        "right": boxes[:, 2],
        "centre": (boxes[:, 0] + boxes[:, 2]) / 2,
        "top": boxes[:, 1],
        "bottom": boxes[:, 3],
        "middle": (boxes[:, 1] + boxes[:, 3]) / 2,
    }[side]
    assert np.ptp(line) < 1e-6
    for old, new in zip(before.placements, after.placements, strict=True):
        assert (new.y if across else new.x) == (old.y if across else old.x)
    old, new = bounding_box(before.placements), bounding_box(after.placements)
    edge = {"left": 0, "top": 1, "right": 2, "bottom": 3}.get(side)
    if edge is not None:
        assert new[edge] == pytest.approx(old[edge])


def test_one_alone_is_aligned_on_the_wall():
    document = document_of([(100, 100, 400, 200, 0, False)])
    after = edits_arrangement.align_placements(document, ["placement-0"], "centre").placements[0]
    wall = document.wall
    assert after.x == pytest.approx(wall.left + wall.width / 2) and after.y == 100
    after = edits_arrangement.align_placements(document, ["placement-0"], "bottom").placements[0]
    assert after.y + 100 == pytest.approx(wall.floor)


@given(PLACEMENTS.filter(lambda n: len(n) >= 3), st.booleans())
@CASES
def test_gaps_are_equal_and_the_outermost_stay(numbers, across):
    before = document_of(numbers)
    after = edits_arrangement.distribute_placements(before, ids_of(before), across)
    low, high = (0, 2) if across else (1, 3)
    olds, news = ([placement_box(p) for p in d.placements] for d in (before, after))
    # In the order they had: large and small ones that overlap can pass each other's middles.
    order = sorted(range(len(olds)), key=lambda i: olds[i][low] + olds[i][high])
    boxes = [news[i] for i in order]
    gaps = [b[low] - a[high] for a, b in pairwise(boxes)]
    assert np.ptp(gaps) < 1e-6
    stayed = sum(a == b for a, b in zip(before.placements, after.placements, strict=True))
    assert stayed >= 2


@pytest.mark.parametrize(
    ("ids", "to", "order"),
    [
        ("b", "forward", "acbd"),
        ("b", "backward", "bacd"),
        ("b", "front", "acdb"),
        ("c", "back", "cabd"),
        ("cd", "forward", "abcd"),
        ("ac", "forward", "badc"),
        ("bd", "backward", "badc"),
        ("bd", "back", "bdac"),
    ],
)
def test_order(ids, to, order):
    placements = tuple(Placement(i, "a", 0, 0, 10, 10) for i in "abcd")
    document = Document(artworks=(Artwork("a", "a", "image/svg+xml"),), placements=placements)
    assert "".join(p.id for p in edits_arrangement.reorder_placements(document, ids, to).placements) == order


def test_locked_ones_stay_and_can_be_removed_and_copied():
    document = document_of([(0, 0, 100, 100, 0, False), (500, 0, 100, 100, 0, False)])
    document = edits_arrangement.set_placements(document, ["placement-0"], locked=True)
    ids = ids_of(document)
    for changed in (
        edits_arrangement.move_placements(document, ids, 5, 5),
        edits_arrangement.align_placements(document, ids, "right"),
        edits_arrangement.carry_placements(document, ids, share=2.0),
        edits_arrangement.mirror_placements(document, ids, True),
    ):
        assert changed.placements[0] == document.placements[0]
    copied, new = edits_arrangement.duplicate_placements(document, ids)
    assert len(copied.placements) == 4 and not copied.placement(new[0]).locked
    assert edits_arrangement.remove_placements(copied, ids_of(copied)).artworks == ()
    assert edits.set_placement(document, "placement-0", locked=False).placements[0].locked is False


@CASES
@given(PLACEMENTS)
def test_artwork_turned_upright_stands_upright_about_its_middle(numbers):
    """Its sides are level and plumb, it is turned by no more than an eighth, and what is locked stays as it is."""
    document = document_of(numbers)
    document = edits.set_placement(document, "placement-0", locked=True)
    after = edits_arrangement.upright_placements(document, ids_of(document))
    assert after.placements[0] == document.placements[0]
    for old, new in zip(document.placements[1:], after.placements[1:], strict=True):
        sides = np.diff(placement_corners(new), axis=0)
        assert np.abs(sides).min(axis=1) == pytest.approx(0, abs=1e-6)
        assert abs(math.remainder(new.turn - old.turn, math.tau)) <= math.pi / 4 + 1e-9
        assert (new.x, new.y, new.width, new.height) == (old.x, old.y, old.width, old.height)
