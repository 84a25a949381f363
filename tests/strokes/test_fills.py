"""Fills against shapely on random polygons with holes."""

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.affinity import scale

from tests.support.examples import examples
from tests.support.random_regions import regions
from tests.support.whole_way import double_ink
from wallwright.document.document import Fill
from wallwright.strokes.fills import FILLS
from wallwright.strokes.fills.hatch import hatch
from wallwright.strokes.fills.spacing import coverage_of
from wallwright.strokes.stroke_generation import StrokeStyle, edges_and_fills
from wallwright.strokes.strokes import Strokes


@given(regions(), st.floats(0.7, 12), st.floats(-3.1, 3.1))
@settings(deadline=None, max_examples=examples(50), derandomize=True)
def test_hatch_is_exactly_what_shapely_clips(region, spacing, angle):
    """Same total length as the lattice's lines intersected with the region by shapely, and nothing outside."""
    lines = hatch(region, Fill("hatch", spacing, angle), 1.0)
    along, across = np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])
    lattice = [
        shapely.LineString([k * spacing * across - 300 * along, k * spacing * across + 300 * along])
        for k in range(-int(200 / spacing), int(200 / spacing) + 1)
    ]
    wanted = shapely.length(shapely.intersection(region, shapely.MultiLineString(lattice)))
    found = sum(np.hypot(*(b - a)) for a, b in lines)
    assert found == pytest.approx(wanted, rel=1e-6, abs=1e-3)
    if lines:
        assert shapely.length(shapely.MultiLineString(lines).difference(region.buffer(1e-6))) < 1e-6


@given(regions(), st.floats(0.8, 4))
@settings(deadline=None, max_examples=examples(15), derandomize=True)
def test_ink_stays_inside_and_covers(region, width):
    """Hatch lines a pen width apart: ink keeps to the shape and covers all of it that the pen can reach."""
    edges, fills = edges_and_fills(region, StrokeStyle(0, width, True, Fill("hatch", width, 0.6)))
    inside = region.buffer(-width / 2, join_style="mitre", mitre_limit=4.0)
    pen = [shapely.LineString(s).buffer(width / 2, quad_segs=32) for s in fills]
    ink = shapely.unary_union(pen)
    assert ink.difference(region.buffer(1e-3 * width)).area < 1e-6 * region.area + 1e-6
    border = [shapely.LineString(e).buffer(width / 2 * 1.001, quad_segs=32) for e in edges]
    reachable = inside.buffer(width / 2 * 0.98)
    uncovered = reachable.difference(shapely.unary_union([ink, *border]))
    assert uncovered.area < 1e-2 * reachable.area + 1e-6


@given(regions(), st.sampled_from(sorted(FILLS)), st.floats(1, 9))
@settings(deadline=None, max_examples=examples(60), derandomize=True)
def test_every_fill_stays_in_its_region(region, kind, spacing):
    inside = region.buffer(-0.5)
    lines = FILLS[kind](inside, Fill(kind, spacing, 0.4), 1.0)
    assert all(len(line) >= 2 for line in lines)
    outside = shapely.difference([shapely.LineString(line) for line in lines], inside.buffer(2e-3 * spacing + 1e-6))
    assert np.all(shapely.length(outside) < 1e-3)


NOTCHED = [
    (34.43, 10.02),
    (33.27, -2.03),
    (84.03, -48.99),
    (39.35, -24.27),
    (3.55, -41.76),
    (-8.71, -41.66),
    (-31.23, -88.5),
    (-22.23, -18.5),
    (-80.35, -1.55),
    (-36.38, 8.04),
    (-88.95, 28.64),
    (-21.27, 7.73),
    (-90.11, 39.59),
    (-19.67, 12.68),
    (-44.76, 81.28),
    (-15.98, 89.13),
    (8.49, 34.52),
    (14.42, 52.24),
    (42.66, 29.93),
]
"""Between two spikes the centroid of a cell lies outside."""
SPIKE = [(-23.1, 79.6), (-28.0, -13.7), (-33.7, 3.8)]


@pytest.mark.parametrize(("corners", "spacing"), [(NOTCHED, 2.0), (SPIKE, 1.0)])
def test_dots_beside_notches_and_in_spikes_stay_in_their_region(corners, spacing):
    inside = shapely.Polygon(corners).buffer(-0.5)
    dots = FILLS["stipple"](inside, Fill("stipple", spacing, 0.4), 1.0)
    outside = shapely.difference([shapely.LineString(dot) for dot in dots], inside.buffer(1e-3))
    assert len(dots) > 300 and shapely.length(outside).max() < 1e-3


@given(regions(), st.floats(1.5, 8))
@settings(deadline=None, max_examples=50, derandomize=True)
def test_zigzag_is_the_hatch_in_fewer_runs(region, spacing):
    """All of each hatch line is drawn but for its rounded ends, and turns are arcs: nowhere sharper than 15 degrees but
    where an arc would leave the region or a piece is shorter than its arc."""
    inside = region.buffer(-0.5)
    lines = FILLS["hatch"](inside, Fill("hatch", spacing, 0.4), 1.0)
    runs = FILLS["zigzag"](inside, Fill("zigzag", spacing, 0.4), 1.0)
    assert len(runs) <= len(lines)
    if lines:
        drawn = shapely.union_all([shapely.LineString(run) for run in runs]).buffer(1e-6)
        hatched = shapely.MultiLineString(lines)
        missing = hatched.difference(drawn).length
        assert missing <= min(2 * len(lines) * spacing, hatched.length) + 1e-6


def test_zigzag_of_a_disc_is_one_rounded_run():
    disc = shapely.Point(0, 0).buffer(60, quad_segs=64)
    (run,) = FILLS["zigzag"](disc, Fill("zigzag", 5.0, 0.4), 1.0)
    steps = np.diff(run, axis=0)
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    assert np.abs(np.diff(heading)).max() <= np.radians(15) + 1e-6


def test_zigzag_follows_a_hollow_edge_to_the_next_line():
    """Two strips that meet at a notch: the straight way over the notch leaves the region, the way along it does not."""
    region = shapely.box(0, 0, 100, 60).difference(shapely.Polygon([(100, 20), (92, 27), (100, 34)]))
    runs = FILLS["zigzag"](region, Fill("zigzag", 9.0, 0.0), 1.0)
    assert len(runs) == 1


@given(regions(), st.floats(2, 8))
@settings(deadline=None, max_examples=40, derandomize=True)
def test_contour_rings_are_joined(region, spacing):
    """The same rings as shapely's own offsets, and fewer strokes than rings where they lie in each other."""
    inside = region.buffer(-0.5)
    runs = FILLS["contour"](inside, Fill("contour", spacing), 1.0)
    rings, inner = [], inside.buffer(-spacing, quad_segs=8)
    while not inner.is_empty:
        rings += [r for p in shapely.get_parts(inner) for r in (p.exterior, *p.interiors)]
        inner = inner.buffer(-spacing, quad_segs=8)
    length = sum(np.hypot(*np.diff(run, axis=0).T).sum() for run in runs)
    ringed = sum(r.length for r in rings)
    assert len(runs) <= len(rings)
    steps = len(rings) - len(runs)
    assert ringed - 1e-6 <= length <= ringed + 1.6 * spacing * steps + 1e-6


def test_rings_of_a_rough_edge_do_not_grow_beyond_measure():
    """An edge of 4,000 points in waves: unsimplified its rings have millions. The distance from one to the next stays."""
    angle = np.linspace(0, 2 * np.pi, 4001)[:-1]
    radius = 300 * (1 + 0.12 * np.sin(9 * angle) + 0.02 * np.sin(200 * angle))
    region = shapely.Polygon(np.column_stack([radius * np.cos(angle), radius * np.sin(angle)]))
    received = []
    runs = FILLS["contour"](region, Fill("contour", 4.0), 1.0, received.append)
    assert sum(map(len, runs)) < 400_000
    assert np.all(np.diff(received) > 0) and received[0] >= 0 and received[-1] <= 1 and len(received) > 50
    first = shapely.get_coordinates(region.buffer(-4.0, quad_segs=8).exterior)
    drawn = shapely.MultiLineString(runs)
    shapely.prepare(drawn)
    assert shapely.distance(drawn, shapely.points(first)).max() < 0.02


def white_of(region, kind: str, width: float, coverage: float = 100.0):
    """What the ink of a region's edge and its fill leaves white, as far as a round pen inside reaches; and its share."""
    edges, fills = edges_and_fills(region, StrokeStyle(0, width, True, Fill(kind, width, 0.6, coverage)))
    ink = shapely.union_all(
        [shapely.LineString(line).buffer(width / 2 * 1.001, quad_segs=16) for line in (*edges, *fills)]
    )
    reachable = region.buffer(-width / 2).buffer(width / 2 * 0.99)
    white = reachable.difference(ink)
    return white, white.area / max(reachable.area, 1e-9)


@pytest.mark.parametrize("kind", ["hatch", "zigzag", "contour"])
def test_solid_leaves_nothing_white_in_bands_of_any_width(kind):
    """Bands from two to twelve pen widths, round and straight: the middle of a contour fill is closed too."""
    widths = np.arange(2.0, 12.1, 0.45)
    bands = [shapely.box(0, 0, 60, band) for band in widths]
    bands += [shapely.Point(0, 0).buffer(band, quad_segs=32) for band in widths[::3]]
    bands += [shapely.Point(0, 0).buffer(20).difference(shapely.Point(0, 0).buffer(20 - band)) for band in widths[::3]]
    white = [white_of(band, kind, 1.0)[1] for band in bands]
    assert max(white) < 0.012


@given(st.lists(st.tuples(st.floats(0.3, 0.95), st.floats(0.5, 2.0)), min_size=1, max_size=6), st.booleans())
@settings(deadline=None, max_examples=40, derandomize=True)
def test_dots_smaller_than_the_pen_become_dabs_in_their_place(dots, with_a_field):
    """Discs and ovals narrower than the pen, alone or in a shape with larger parts: one short stroke in the middle of each."""
    parts = []
    for number, (across, aspect) in enumerate(dots):
        parts.append(scale(shapely.Point(5.0 * number, 0).buffer(across / 2), min(aspect, 0.95 / across), 1.0))
    assume(all(part.area > 0.06 for part in parts))
    region = shapely.union_all([*parts, shapely.box(0, 10, 20, 20)] if with_a_field else parts)
    edges, _ = edges_and_fills(region, StrokeStyle(0, 1.0, True, Fill("none")))
    dabs = [shapely.LineString(edge) for edge in edges if edge[:, 1].max() < 5]
    assert len(dabs) == len(parts)
    for dab, part in zip(sorted(dabs, key=lambda line: line.centroid.x), parts, strict=True):
        assert dab.length <= 0.3
        assert dab.centroid.distance(part.centroid) < 0.02


@pytest.mark.parametrize("width", [1.0, 2.0, 5.0])
def test_solid_hatch_stays_solid_when_lines_miss_each_other(width):
    """Every line moved across by up to 0.15 mm at random, so that neighbours miss by up to 0.3 mm: nothing is white. Lines
    just side by side would leave gaps."""
    rng = np.random.default_rng(5)
    region, inner = shapely.box(0, 0, 60, 60), shapely.box(5, 5, 55, 55)
    white = []
    for fill in (Fill("hatch", width, 0.0, 100.0), Fill("hatch", width, 0.0)):
        lines = [line + (0, rng.uniform(-0.15, 0.15)) for line in FILLS["hatch"](region, fill, width)]
        ink = shapely.union_all([shapely.LineString(line).buffer(width / 2) for line in lines])
        white.append(inner.difference(ink).area / inner.area)
    assert white[0] == 0
    assert white[1] > 0.005


@given(regions())
@settings(deadline=None, max_examples=examples(6), derandomize=True)
def test_a_solid_contour_fill_closes_its_cores(region):
    """No white spot is wider than half a line, and all together are less than 2 %."""
    white, share = white_of(scale(region, 0.4, 0.4), "contour", 1.0)
    assert white.buffer(-0.25).area < 0.005
    assert share < 0.02


def test_contour_of_a_disc_is_one_run():
    (run,) = FILLS["contour"](shapely.Point(0, 0).buffer(60), Fill("contour", 4.0), 1.0)
    assert len(run) > 14 * 32


@given(regions(), st.floats(2, 8))
@settings(deadline=None, max_examples=40, derandomize=True)
def test_spiral_length_is_area_over_spacing(region, spacing):
    """A curve whose turns are a spacing apart has a length of area / spacing, give or take a turn at the edge."""
    inside = region.buffer(-0.5)
    runs = FILLS["spiral"](inside, Fill("spiral", spacing, 0.3), 1.0)
    length = sum(np.hypot(*np.diff(run, axis=0).T).sum() for run in runs)
    assert length == pytest.approx(inside.area / spacing, abs=inside.length)


@pytest.mark.parametrize("kind", ["hatch", "cross-hatch", "zigzag", "contour", "spiral"])
@pytest.mark.parametrize("coverage", [20, 45, 80])
@pytest.mark.parametrize("width", [0.7, 2.0])
def test_wanted_coverage_is_measured(kind, coverage, width):
    """Share of a disc under the pen, by shapely, in the middle of a large one where its edge does not count."""
    disc = shapely.Point(3, 5).buffer(60 * width, quad_segs=32)
    fill = Fill(kind, angle=0.3, coverage=coverage, cross_angle=1.2)
    ink = shapely.union_all(
        [shapely.LineString(run).buffer(width / 2, quad_segs=8) for run in FILLS[kind](disc, fill, width)]
    )
    measured = shapely.Point(3, 5).buffer(45 * width, quad_segs=32)
    assert 100 * ink.intersection(measured).area / measured.area == pytest.approx(coverage, abs=3)


def test_layers_of_a_cross_hatch_have_their_own_angle_and_spacing():
    disc = shapely.Point(0, 0).buffer(200)
    lines = np.array(FILLS["cross-hatch"](disc, Fill("cross-hatch", 4, 0.2, cross_angle=0.7, cross_spacing=10), 1.0))
    angle = np.arctan2(*(lines[:, 1] - lines[:, 0]).T[::-1]) % np.pi
    first, second = np.isclose(angle, 0.2), np.isclose(angle, 0.9)
    assert np.all(first | second)
    assert first.sum() == pytest.approx(400 / 4, abs=2) and second.sum() == pytest.approx(400 / 10, abs=2)


def test_a_sliver_gets_its_middle_line():
    """A strip 0.6 mm wide is drawn once along its middle by a 2 mm pen."""
    sliver = shapely.Polygon([(0, 0), (100, 10), (100, 10.6), (0, 0.6)])
    edges, fills = edges_and_fills(sliver, StrokeStyle(0, 2.0, True, Fill("hatch", 3.0, 0.0)))
    assert not fills and len(edges) == 1
    line = shapely.LineString(edges[0])
    assert line.length > 85
    assert line.hausdorff_distance(shapely.LineString([(0, 0.3), (100, 10.3)])) < 8
    assert line.distance(shapely.Point(50, 5.3)) < 0.05


@given(regions(), st.floats(1.0, 6.0), st.sampled_from(["hatch", "cross-hatch", "zigzag", "contour", "spiral"]))
@settings(deadline=None, max_examples=examples(15), derandomize=True)
def test_fill_lines_that_the_edge_covers_are_left_out_and_no_ink_with_them(region, width, kind):
    """Judge: shapely's union of the ink of edge and fill, with every line and with those that are drawn."""
    fill = Fill(kind, 1.3 * width, 0.6)
    edges, fills = edges_and_fills(region, StrokeStyle(0, width, True, fill))
    corners = {"join_style": "mitre", "mitre_limit": 4.0}
    wide = region.buffer(-0.75 * width, **corners).buffer(0.25 * width, **corners)
    everything = FILLS[kind](wide, fill, width)

    def ink(lines):
        return shapely.union_all(shapely.buffer([shapely.LineString(line) for line in lines], width / 2, quad_segs=32))

    assert len(fills) <= len(everything)
    drawn = {np.asarray(line).tobytes() for line in fills}
    left_out = [line for line in everything if np.asarray(line).tobytes() not in drawn]
    edge = ink(edges)
    lost = ink(left_out).difference(edge).difference(ink(fills))
    assert lost.area < 1e-3 * width * width * max(len(everything), 1)
    own = shapely.buffer([shapely.LineString(f) for f in fills], 0.98 * width / 2)
    assert not np.any(shapely.area(shapely.difference(own, edge)) == 0)


def test_no_fill_in_a_gap_narrower_than_the_pen():
    """A bar three pens wide that narrows to 1.7: its edges cover the narrow part, which gets no fill line."""
    bar = shapely.union_all([shapely.box(0, 0, 60, 6), shapely.box(60, 1.3, 200, 4.7)])
    fill = Fill("hatch", 3.0, np.pi / 2)
    _, fills = edges_and_fills(bar, StrokeStyle(0, 2.0, True, fill))
    assert fills and max(np.max(line[:, 0]) for line in fills) < 61
    _, without_edge = edges_and_fills(bar, StrokeStyle(0, 2.0, False, fill))
    assert max(np.max(line[:, 0]) for line in without_edge) > 190


@pytest.mark.parametrize(
    ("wide", "spacing", "filled"),
    [
        (5.6, 4.0, False),
        (6.4, 4.0, True),
        (5.6, 2.0, True),
        (3.9, 2.0, False),
    ],
)
def test_light_fills_leave_gaps_narrower_than_the_pen(wide, spacing, filled):
    """A strip of some width and a 2 mm pen: its edges cover 2 mm each. A gap of 1.6 mm gets no line of a fill that covers
    half, for 4 / 5.6 are covered already; a solid fill closes it; and nothing is to be filled where there is no gap."""
    fill = Fill("hatch", spacing, np.radians(70))
    _, fills = edges_and_fills(shapely.box(0, 0, 200, wide), StrokeStyle(0, 2.0, True, fill))
    assert bool(fills) == filled
    if filled:
        assert len(fills) > 0.8 * 200 / spacing * np.sin(np.radians(70))


def middle_of(region, width):
    edges, fills = edges_and_fills(region, StrokeStyle(0, width, True, Fill("hatch", width, 0.0)))
    assert not fills
    return edges


def test_a_thin_letter_gets_its_middle_lines():
    """A T and a ring thinner than the pen: the lines keep to the middle, branch where the letter does, and leave
    nothing of it without ink."""
    tee = shapely.union_all([shapely.box(0, 0, 60, 1.2), shapely.box(29.4, 0, 30.6, 50)])
    ring = shapely.Point(100, 30).buffer(20, quad_segs=32).difference(shapely.Point(100, 30).buffer(19.2, quad_segs=32))
    for region, length in ((tee, 110), (ring, 2 * np.pi * 19.6)):
        lines = middle_of(region, 2.0)
        drawn = shapely.MultiLineString(lines)
        assert drawn.length == pytest.approx(length, rel=0.05)
        assert region.difference(drawn.buffer(1.0)).area < 0.01 * region.area
        assert drawn.difference(region.buffer(1e-6)).length < 1e-6


@given(st.integers(0, 10_000), st.floats(0.2, 0.9))
@settings(deadline=None, max_examples=40, derandomize=True)
def test_thin_bands_are_drawn_along_their_middle(seed, share):
    """A smooth curve widened by less than a pen: the middle line is that curve."""
    rng = np.random.default_rng(seed)
    t = np.linspace(0, 1, 60)[:, None]
    curve = shapely.LineString(np.hstack([200 * t, 30 * np.sin(4 * t + rng.uniform(0, 6)) * rng.uniform(-1, 1)]))
    band = curve.buffer(share, cap_style="flat")
    lines = middle_of(band, 2.0)
    drawn = shapely.MultiLineString(lines)
    assert drawn.difference(curve.buffer(0.2 * share + 0.02)).length < 2.0
    assert drawn.length == pytest.approx(curve.length, abs=4.0)


@pytest.mark.parametrize("tips", [9, 31, 73])
def test_sharp_tips_are_drawn_once(tips):
    """Where the sides of a tip are less than half a pen width apart, two runs would lie on each other: of a star's ink at
    most a tenth may lie within half a pen width of earlier ink that runs the same way, and no ink is missing where the
    star is as wide as the pen."""
    turn = np.pi * np.arange(2 * tips) / tips
    radius = np.where(np.arange(2 * tips) % 2, 150.0, 500.0)
    star = shapely.Polygon(radius[:, None] * np.column_stack([np.cos(turn), np.sin(turn)]))
    edges, _ = edges_and_fills(star, StrokeStyle(0, 2.0, True, Fill("none")))
    assert double_ink(Strokes.pack(edges, 0), [2.0]) < 0.1
    ink = shapely.MultiLineString(edges).buffer(1.0)
    assert star.difference(ink).difference(star.buffer(-1.9)).area < 0.02 * star.length


@pytest.mark.parametrize("wide", [2.2, 2.9, 3.2, 4.0])
def test_a_bar_of_up_to_one_and_a_half_pen_widths_is_drawn_once(wide):
    edges, fills = edges_and_fills(shapely.box(0, 0, 200, wide), StrokeStyle(0, 2.0, True, Fill("hatch", 2.0)))
    assert not fills
    assert sum(shapely.LineString(edge).length for edge in edges) == pytest.approx(200 if wide < 3 else 400, rel=0.03)


def test_a_long_thin_band_of_many_points_keeps_one_middle_line():
    """A spiral of 18,000 points a side: it is triangulated in pieces, and its line is not cut where they meet."""
    turn = np.linspace(4 * np.pi, 40 * np.pi, 9_000)
    spiral = shapely.LineString(2 * turn[:, None] * np.column_stack([np.cos(turn), np.sin(turn)]))
    lines = middle_of(spiral.buffer(0.6, cap_style="flat"), 2.0)
    assert len(lines) == 1
    drawn = shapely.LineString(lines[0])
    assert drawn.length == pytest.approx(spiral.length, rel=0.001)
    assert drawn.hausdorff_distance(spiral) < 1.0
    assert drawn.difference(spiral.buffer(0.15)).length < 2.0


@pytest.mark.parametrize(
    "fill",
    [
        Fill("hatch", 5.0),
        Fill("hatch", 5.0, coverage=35.0),
        Fill("cross-hatch", 5.0, cross_spacing=8.0),
        Fill("cross-hatch", 5.0, coverage=60.0),
        Fill("contour", 4.0),
        Fill("none"),
    ],
)
def test_coverage_reported_is_the_ink_drawn(fill):
    """Measured by shapely: fill lines buffered by half the pen's width, well inside a square."""
    whole, middle = shapely.box(0, 0, 400, 400), shapely.box(100, 100, 300, 300)
    lines = FILLS[fill.kind](whole, fill, 2.0)
    if not lines:
        assert coverage_of(fill, 2.0) == 0.0
        return
    near = shapely.intersection([shapely.LineString(line) for line in lines], middle.buffer(3.0))
    ink = shapely.unary_union(shapely.buffer(near[~shapely.is_empty(near)], 1.0))
    assert 100 * ink.intersection(middle).area / middle.area == pytest.approx(coverage_of(fill, 2.0), abs=1.5)
