"""Fills against shapely on random polygons with holes."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.document.document import Fill
from app.strokes.compose import strokes_of_region
from app.strokes.fills import FILLS
from app.strokes.fills.hatch import hatch


@st.composite
def regions(draw):
    """A star-shaped polygon of 3 to 25 corners with up to three holes."""
    seed = draw(st.integers(0, 10_000))
    rng = np.random.default_rng(seed)
    count = draw(st.integers(3, 25))
    angle = np.sort(rng.uniform(0, 2 * np.pi, count))
    radius = rng.uniform(20, 100, count)
    outer = shapely.Polygon(np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])).buffer(0)
    for _ in range(draw(st.integers(0, 3))):
        outer = outer.difference(
            shapely.Point(rng.uniform(-60, 60, 2)).buffer(rng.uniform(2, 25), quad_segs=5)
        )
    return outer


@given(regions(), st.floats(0.7, 12), st.floats(-3.1, 3.1))
@settings(deadline=None, max_examples=150, derandomize=True)
def test_hatch_is_exactly_what_shapely_clips(region, spacing, angle):
    """Same total length as the lattice's lines intersected with the region by shapely, and nothing outside."""
    lines = hatch(region, spacing, angle, 1.0)
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
@settings(deadline=None, max_examples=60, derandomize=True)
def test_ink_stays_inside_and_covers(region, width):
    """Hatch lines a pen width apart: ink keeps to the shape and covers all of it that the pen can reach."""
    edges, fills = strokes_of_region(region, width, True, Fill("hatch", width, 0.6))
    inside = region.buffer(-width / 2, join_style="mitre", mitre_limit=4.0)
    pen = [shapely.LineString(s).buffer(width / 2, quad_segs=32) for s in fills]
    ink = shapely.unary_union(pen)
    assert ink.difference(region.buffer(1e-3 * width)).area < 1e-6 * region.area + 1e-6
    border = [shapely.LineString(e).buffer(width / 2 * 1.001, quad_segs=32) for e in edges]
    reachable = inside.buffer(width / 2 * 0.98)
    uncovered = reachable.difference(shapely.unary_union([ink, *border]))
    assert uncovered.area < 1e-2 * reachable.area + 1e-6


@given(regions(), st.sampled_from(sorted(FILLS)), st.floats(1, 9))
@settings(deadline=None, max_examples=100, derandomize=True)
def test_every_fill_stays_in_its_region(region, kind, spacing):
    inside = region.buffer(-0.5)
    for line in FILLS[kind](inside, spacing, 0.4, 1.0):
        assert len(line) >= 2
        assert shapely.LineString(line).difference(inside.buffer(2e-3 * spacing + 1e-6)).length < 1e-3


@given(regions(), st.floats(1.5, 8))
@settings(deadline=None, max_examples=50, derandomize=True)
def test_zigzag_is_the_hatch_in_fewer_runs(region, spacing):
    inside = region.buffer(-0.5)
    lines, runs = FILLS["hatch"](inside, spacing, 0.4, 1.0), FILLS["zigzag"](inside, spacing, 0.4, 1.0)
    assert len(runs) <= len(lines)
    kept = {tuple(np.round(line, 6).ravel()) for line in lines}
    drawn = {tuple(np.round(run[i : i + 2], 6).ravel()) for run in runs for i in range(0, len(run), 2)}
    assert kept == drawn


def test_a_sliver_gets_its_middle_line():
    """A strip 0.6 mm wide is drawn once along its middle by a 2 mm pen."""
    sliver = shapely.Polygon([(0, 0), (100, 10), (100, 10.6), (0, 0.6)])
    edges, fills = strokes_of_region(sliver, 2.0, True, Fill("hatch", 3.0, 0.0))
    assert not fills and len(edges) == 1
    line = shapely.LineString(edges[0])
    assert line.length > 85
    assert line.hausdorff_distance(shapely.LineString([(0, 0.3), (100, 10.3)])) < 8
    assert line.distance(shapely.Point(50, 5.3)) < 0.05
