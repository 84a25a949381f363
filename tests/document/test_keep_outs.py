"""Keep-outs: their outlines stay simple polygons as shapely judges them, whatever is dragged where."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from wallwright.document import edits_keep_outs as keep
from wallwright.document.document import Document
from wallwright.document.errors import BadValue

POINT = st.tuples(st.integers(-9, 9).map(float), st.integers(-9, 9).map(float))
CASES = settings(deadline=None, max_examples=300, derandomize=True)


def with_outline(outline) -> Document:
    return keep.add_keep_out(Document(), "Door", tuple(outline))


@given(st.lists(POINT, min_size=3, max_size=7))
@CASES
def test_simple_is_what_shapely_calls_valid(outline):
    """Of lines that pass a corner of their own straight on, shapely says valid and so do we; only repeated corners are
    left out, which shapely drops silently."""
    assume(len(set(outline)) == len(outline))
    polygon = Polygon(outline)
    assert keep.is_simple(outline) == (polygon.is_valid and polygon.area > 0)


@given(st.lists(POINT, min_size=3, max_size=7).filter(keep.is_simple), st.integers(0, 6), POINT, st.booleans())
@CASES
def test_moved_corners_leave_a_simple_outline(outline, corner, to, alone):
    document = with_outline(outline)
    moved = keep.move_corner(document, 0, corner % len(outline), to, alone)
    new = moved.wall.keep_outs[0].outline
    assert Polygon(new).is_valid and Polygon(new).area > 0
    assert moved is document or new[corner % len(outline)] == to


@given(POINT, POINT, st.integers(0, 3), POINT)
@CASES
def test_a_rectangle_stays_one_with_its_opposite_corner(a, b, corner, to):
    assume(a[0] != b[0] and a[1] != b[1])
    outline = keep.rectangle(a, b)
    assert keep.is_rectangle(outline)
    document = with_outline(outline)
    opposite = outline[(corner + 2) % 4]
    new = keep.move_corner(document, 0, corner, to).wall.keep_outs[0].outline
    if to[0] != opposite[0] and to[1] != opposite[1]:
        assert keep.is_rectangle(new) and new[(corner + 2) % 4] == opposite and new[corner] == to
    else:
        assert new == outline
    side = keep.move_side(document, 0, corner, to).wall.keep_outs[0].outline
    assert keep.is_rectangle(side) and side[(corner + 2) % 4] == opposite


def test_corners_come_and_go():
    document = with_outline([(0, 0), (10, 0), (10, 10), (0, 10)])
    more = keep.add_corner(document, 0, 1, (14.0, 5.0))
    assert more.wall.keep_outs[0].outline[2] == (14.0, 5.0)
    assert keep.remove_corner(more, 0, 2) == document
    assert keep.add_corner(document, 0, 1, (-5.0, 5.0)) is document  # would cross
    triangle = keep.remove_corner(document, 0, 3)
    with pytest.raises(BadValue):
        keep.remove_corner(triangle, 0, 0)
    with pytest.raises(BadValue, match="cross"):
        with_outline([(0, 0), (10, 10), (10, 0), (0, 10)])
