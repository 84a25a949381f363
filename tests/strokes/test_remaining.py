"""What is drawn and the rest of it are the whole, at any place along any strokes. Judge of geometry: shapely."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.document.continuation import StrokePlace
from wallwright.document.errors import BadValue
from wallwright.strokes.remaining import (
    LEAST_LENGTH,
    arc_lengths,
    back_by,
    drawn_until,
    normalize_place,
    place_near,
    point_at,
    remaining_strokes,
    strokes_digest,
)
from wallwright.strokes.strokes import Strokes


@st.composite
def strokes_and_place(draw):
    """Polylines of two pens, some closed, some with points that repeat, and a place along them."""
    rng = np.random.default_rng(draw(st.integers(0, 10_000)))
    lines = []
    for _ in range(draw(st.integers(1, 12))):
        line = rng.uniform(0, 500, (rng.integers(2, 9), 2))
        if rng.random() < 0.3:
            line = np.concatenate([line, line[:1]])
        if rng.random() < 0.3:
            line = np.repeat(line, 1 + (rng.random(len(line)) < 0.3), axis=0)
        lines.append(line)
    pens = np.sort(rng.integers(0, 2, len(lines)))
    strokes = Strokes.pack(lines, pens, np.arange(len(lines)), rng.random(len(lines)) < 0.5)
    number = draw(st.integers(0, len(lines) - 1))
    share = draw(st.sampled_from([0.0, 0.3, 0.5, 0.999, 1.0]) | st.floats(0, 1))
    return strokes, StrokePlace(number, float(share * arc_lengths(lines[number])[-1]))


def shape(strokes: Strokes) -> shapely.Geometry:
    return shapely.MultiLineString(list(strokes))


def is_over(strokes: Strokes, place: StrokePlace) -> bool:
    """Whether nothing is left."""
    return place.stroke == len(strokes) - 1 and place.along > arc_lengths(strokes[-1 + len(strokes)])[-1] - LEAST_LENGTH


@given(strokes_and_place())
@settings(max_examples=150, deadline=None, derandomize=True)
def test_drawn_and_rest_are_the_whole(given_):
    strokes, place = given_
    if is_over(strokes, place):
        with pytest.raises(BadValue, match="Nothing is left"):
            remaining_strokes(strokes, place)
        return
    before, rest = drawn_until(strokes, place), remaining_strokes(strokes, place)
    whole = shape(strokes)
    both = shapely.MultiLineString([*before, *rest])
    assert both.length == pytest.approx(whole.length, abs=1e-6)
    assert shapely.hausdorff_distance(both, whole) < 1e-6
    # The order is that of the whole, and what belongs to a stroke stays with it.
    order = np.concatenate([before.source, rest.source])
    assert np.all(np.diff(order) >= 0) and set(order) == set(range(len(strokes)))
    for part in (before, rest):
        np.testing.assert_array_equal(part.pen, strokes.pen[part.source])
        np.testing.assert_array_equal(part.is_fill, strokes.is_fill[part.source])
        # And so is the direction: nothing is turned round.
        for k, line in zip(part.source, part, strict=True):
            along = [shapely.line_locate_point(shapely.LineString(strokes[k]), shapely.Point(p)) for p in line[[0, -1]]]
            closed = np.array_equal(strokes[k][0], strokes[k][-1])
            assert closed or along[0] <= along[1] + 1e-6 or not shapely.LineString(strokes[k]).is_simple
    if normalize_place(strokes, place) == place and place.along:
        np.testing.assert_allclose(rest.points[0], before.points[-1], atol=1e-9)
        np.testing.assert_allclose(rest.points[0], point_at(strokes, place), atol=1e-9)


@given(strokes_and_place(), st.floats(0, 50))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_the_overlap_draws_so_much_of_the_cut_stroke_again(given_, overlap):
    strokes, place = given_
    if is_over(strokes, place):
        return
    place = normalize_place(strokes, place)
    again = (
        remaining_strokes(strokes, place, overlap).lengths().sum() - remaining_strokes(strokes, place).lengths().sum()
    )
    assert again == pytest.approx(min(overlap, place.along), abs=1e-6)
    assert back_by(place, overlap).stroke == place.stroke


@given(strokes_and_place())
@settings(max_examples=60, deadline=None, derandomize=True)
def test_a_place_is_found_again_where_it_is_on_the_wall(given_):
    strokes, place = given_
    point = point_at(strokes, place)
    found = place_near(strokes, tuple(point), 1.0)
    # Strokes may cross there: then it is another place at the same point.
    np.testing.assert_allclose(point_at(strokes, found), point, atol=1e-5)
    far = shapely.distance(shape(strokes), shapely.Point(900.0, 900.0))
    assert place_near(strokes, (900.0, 900.0), far - 0.01) is None
    assert place_near(strokes, (900.0, 900.0), far + 0.01) is not None


def test_a_stroke_that_is_not_there_is_refused():
    strokes = Strokes.pack([np.array([[0.0, 0.0], [10.0, 0.0]])], 0)
    with pytest.raises(BadValue, match=r"no stroke 2; this job has strokes 1 to 1"):
        remaining_strokes(strokes, StrokePlace(1))
    with pytest.raises(BadValue, match="no strokes"):
        remaining_strokes(Strokes.empty(), StrokePlace(0))


def test_the_digest_tells_order_pen_and_place_but_not_rounding():
    lines = [np.array([[0.0, 0.0], [10.0, 0.0]]), np.array([[0.0, 5.0], [10.0, 5.0]])]
    first = strokes_digest(Strokes.pack(lines, 0))
    assert strokes_digest(Strokes.pack([line + 1e-6 for line in lines], 0)) == first
    for other in (
        Strokes.pack(lines[::-1], 0),
        Strokes.pack(lines, 1),
        Strokes.pack([line + 0.1 for line in lines], 0),
        Strokes.pack([lines[0][::-1], lines[1]], 0),
        Strokes.pack([np.concatenate(lines)], 0),
    ):
        assert strokes_digest(other) != first
