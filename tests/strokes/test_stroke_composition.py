"""From shapes to strokes: what is seen, which pen, joining and simplifying."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.artwork.colour import ciede2000, nearest
from wallwright.artwork.drawing import Drawing, Paint, Shape
from wallwright.artwork.shape_regions import region_of
from wallwright.document.document import Fill, Ink, Pen, Settings
from wallwright.strokes.stroke_composition import compose_strokes
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tidy import merge_ends, simplify

PENS = (Pen("k", "Black", "#202020", 1.0), Pen("r", "Red", "#c02020", 1.0))
ONE = np.array([[1.0, 0, 0], [0, 1, 0]])
NO_FILL = Settings(fill=Fill("none"))


def box(x, y, w, h) -> np.ndarray:
    return np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h]], dtype=float)


def region(name, colour, *rings, even_odd=False, opacity=1.0) -> Shape:
    return Shape(name, (), Paint(colour, opacity), tuple(rings), True, even_odd)


def drawn(*shapes, settings=NO_FILL, inks=()):
    return compose_strokes(Drawing(100, 100, shapes), ONE, inks, PENS, settings)


def test_details_too_small_for_the_pen_are_counted_with_place_and_pen():
    """A pen of 1 mm draws a box of 2 mm and one of 0.5 mm as a dab; boxes of 0.15 mm and 0.2 mm are lost, and the larger
    of these has as much area as 0.05 squares of a pen 0.89 mm wide."""
    shapes = [region(str(s), "#202020", box(10 * i, 40, s, s)) for i, s in enumerate((2.0, 0.5, 0.15, 0.2))]
    composed = drawn(*shapes)
    (finding,) = composed.findings
    assert "2 details" in finding.text
    assert finding.place == pytest.approx((30, 40, 30.2, 40.2))
    assert "0.2 mm across" in finding.text
    assert "pen of 0.8 mm" in finding.text
    assert set(composed.strokes.source.tolist()) == {0, 1}
    assert not drawn(*shapes[:2]).findings
    # Turned, half as large and elsewhere, the smallest two of four more are lost; the place is that of the artwork.
    matrix = np.array([[0.0, -0.5, 700.0], [0.5, 0.0, 300.0]])
    moved = compose_strokes(Drawing(100, 100, tuple(shapes)), matrix, (), PENS, NO_FILL)
    assert moved.findings[0].place == pytest.approx((30, 40, 30.2, 40.2))


SHARMA = """
50.0000 2.6772 -79.7751 50.0000 0.0000 -82.7485 2.0425
50.0000 3.1571 -77.2803 50.0000 0.0000 -82.7485 2.8615
50.0000 2.8361 -74.0200 50.0000 0.0000 -82.7485 3.4412
50.0000 -1.3802 -84.2814 50.0000 0.0000 -82.7485 1.0000
50.0000 -1.1848 -84.8006 50.0000 0.0000 -82.7485 1.0000
50.0000 -0.9009 -85.5211 50.0000 0.0000 -82.7485 1.0000
50.0000 0.0000 0.0000 50.0000 -1.0000 2.0000 2.3669
50.0000 -1.0000 2.0000 50.0000 0.0000 0.0000 2.3669
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0009 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0010 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0011 7.2195
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0012 7.2195
50.0000 -0.0010 2.4900 50.0000 0.0009 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0010 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0011 -2.4900 4.7461
50.0000 2.5000 0.0000 50.0000 0.0000 -2.5000 4.3065
50.0000 2.5000 0.0000 73.0000 25.0000 -18.0000 27.1492
50.0000 2.5000 0.0000 61.0000 -5.0000 29.0000 22.8977
50.0000 2.5000 0.0000 56.0000 -27.0000 -3.0000 31.9030
50.0000 2.5000 0.0000 58.0000 24.0000 15.0000 19.4535
50.0000 2.5000 0.0000 50.0000 3.1736 0.5854 1.0000
50.0000 2.5000 0.0000 50.0000 3.2972 0.0000 1.0000
50.0000 2.5000 0.0000 50.0000 1.8634 0.5757 1.0000
50.0000 2.5000 0.0000 50.0000 3.2592 0.3350 1.0000
60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
63.0109 -31.0961 -5.8663 62.8187 -29.7946 -4.0864 1.2630
61.2901 3.7196 -5.3901 61.4292 2.2480 -4.9620 1.8731
35.0831 -44.1164 3.7933 35.0232 -40.0716 1.5901 1.8645
22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
36.4612 47.8580 18.3852 36.2715 50.5065 21.2231 1.4146
90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
90.9257 -0.5406 -0.9208 88.6381 -0.8985 -0.7239 1.5381
6.7747 -0.2908 -2.4247 5.8714 -0.0985 -2.2286 0.6377
2.0776 0.0795 -1.1350 0.9033 -0.0636 -0.5514 0.9082
"""
"""Sharma, Wu, Dalal (2005), table 1, all 34 pairs: CIELAB of both colours and their difference (values from memory)."""


def test_difference_of_colours():
    table = np.array(SHARMA.split(), dtype=float).reshape(-1, 7)
    assert len(table) == 34
    found = ciede2000(table[:, :3], table[:, 3:6])
    assert found == pytest.approx(table[:, 6], abs=1e-4)
    assert ciede2000(table[:, 3:6], table[:, :3]) == pytest.approx(found, abs=1e-9)


def test_nearest_pen_by_eye():
    assert nearest("#ff3010", [p.colour for p in PENS]) == 1
    assert nearest("#303840", [p.colour for p in PENS]) == 0


def test_hidden_parts_are_not_drawn():
    """A black square half under a red one: the black ink ends where the red begins."""
    result = drawn(region("a", "#202020", box(0, 0, 60, 60)), region("b", "#c02020", box(30, 0, 60, 60)))
    black = np.concatenate([s for s, pen in zip(result.strokes, result.strokes.pen, strict=True) if pen == 0])
    assert black[:, 0].max() == pytest.approx(29.5)
    assert [u.area for u in result.uses] == pytest.approx([1800, 3600])


def test_white_hides_but_is_no_ink():
    result = drawn(region("a", "#202020", box(0, 0, 60, 60)), region("b", "#ffffff", box(10, 10, 40, 40)))
    assert set(result.strokes.pen) == {0}
    assert len(result.strokes) == 2
    assert result.uses[0].area == pytest.approx(2000)


def test_see_through_does_not_hide():
    result = drawn(region("a", "#202020", box(0, 0, 60, 60)), region("b", "#c02020", box(10, 10, 40, 40), opacity=0.5))
    assert result.uses[0].area == pytest.approx(3600)


def test_a_chosen_pen_wins_and_no_pen_leaves_out():
    shape = region("a", "#c02020", box(0, 0, 60, 60))
    assert set(drawn(shape, inks=(Ink("#c02020", "k"),)).strokes.pen) == {0}
    assert len(drawn(shape, inks=(Ink("#c02020", ""),)).strokes) == 0


def test_wide_lines_become_regions_thin_ones_runs():
    thin = Shape("t", (), Paint("#202020"), (np.array([[0.0, 0], [50, 0]]),), False, width=1.2, closed=(False,))
    wide = Shape("w", (), Paint("#202020"), (np.array([[0.0, 20], [50, 20]]),), False, width=10.0, closed=(False,))
    assert [len(s) for s in drawn(thin).strokes] == [2]
    (ring,) = drawn(wide).strokes
    assert np.all(ring[0] == ring[-1])
    assert shapely.Polygon(ring).area == pytest.approx(49 * 9)


def test_fill_rules():
    """SVG 1.1, 11.3: two squares wound the same way, one in the other."""
    rings = (box(0, 0, 60, 60), box(20, 20, 20, 20))
    assert region_of(rings, even_odd=True).area == pytest.approx(3200)
    assert region_of(rings, even_odd=False).area == pytest.approx(3600)
    turned = (rings[0], rings[1][::-1])
    assert region_of(turned, even_odd=False).area == pytest.approx(3200)
    bow = (np.array([[0.0, 0], [10, 10], [10, 0], [0, 10]]),)
    assert region_of(bow, even_odd=True).area == pytest.approx(50)


@given(st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=2, max_size=40), st.floats(0.01, 2))
@settings(deadline=None, max_examples=100, derandomize=True)
def test_simplified_strokes_stay_close(points, tolerance):
    line = np.array(points)
    if np.all(line == line[0]):
        return
    strokes = simplify(Strokes.pack([line], 0), tolerance)
    if len(strokes):
        a, b = shapely.LineString(line), shapely.LineString(strokes[0])
        assert a.hausdorff_distance(b) <= tolerance + 1e-9 or b.length == a.length


@given(st.integers(0, 10_000), st.integers(2, 30))
@settings(deadline=None, max_examples=60, derandomize=True)
def test_a_cut_line_is_joined_again(seed, pieces):
    rng = np.random.default_rng(seed)
    line = np.cumsum(rng.uniform(1, 5, (pieces * 3 + 1, 2)), axis=0)
    parts = [line[i : i + 4] for i in range(0, len(line) - 1, 3)]
    parts = [p[::-1] if rng.random() < 0.5 else p for p in parts]
    order = rng.permutation(len(parts))
    joined = merge_ends(Strokes.pack([parts[i] for i in order], 0), 0.2)
    assert len(joined) == 1
    assert joined.lengths()[0] == pytest.approx(np.hypot(*np.diff(line, axis=0).T).sum())


def test_ends_of_different_pens_are_not_joined():
    a, b = np.array([[0.0, 0], [1, 0]]), np.array([[1.0, 0], [2, 0]])
    assert len(merge_ends(Strokes.pack([a, b], np.array([0, 1])), 0.2)) == 2
    assert len(merge_ends(Strokes.pack([a, b], 0), 0.2)) == 1


def test_sizes_are_plain_numbers():
    """They go into words and through comparisons of the window, where numpy's own kinds of number do not serve."""
    composed = drawn(region("a", "#202020", box(0, 0, 10, 10)), region("b", "#c02020", box(20, 0, 5, 5)))
    for use in (*composed.uses, *composed.parts):
        assert type(use.area) is float and type(use.length) is float
    assert drawn().uses == ()
