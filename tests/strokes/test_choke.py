"""Gaps between flat areas of different pens, measured by shapely on the drawn widths."""

import numpy as np
import pytest
import shapely
import shapely.affinity

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.document.document import ColourGap, Fill, Ink, Pen, Settings
from wallwright.strokes.choke import FlatArea, choked
from wallwright.strokes.stroke_composition import compose_strokes

ONE = np.array([[1.0, 0, 0], [0, 1, 0]])
PENS = (
    Pen("k", "Black", "#000000", 1.0),
    Pen("r", "Red", "#d02020", 1.0),
    Pen("y", "Yellow", "#f0d020", 1.0),
)
PAGE = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">{}</svg>'
BLACK, RED, YELLOW = "#000000", "#d02020", "#f0d020"
HALVES = f'<rect width="50" height="60" fill="{BLACK}"/><rect x="50" width="50" height="60" fill="{YELLOW}"/>'
ROUND = f'<rect width="100" height="60" fill="{YELLOW}"/><circle cx="50" cy="30" r="20" fill="{RED}"/>'
STRIPE = (
    f'<rect width="49" height="60" fill="{BLACK}"/><rect x="49" width="1.5" height="60" fill="{YELLOW}"/>'
    f'<rect x="50.5" width="49.5" height="60" fill="{BLACK}"/>'
)


def inks_of(body: str, gap: float, gaps=(), coverage: float = 100.0):
    drawing = read_artwork(PAGE.format(body).encode(), "image/svg+xml", "a.svg", 0.005)
    inks = tuple(
        Ink(colour, pen, fill=Fill("hatch", 2.0, 0.0, coverage))
        for colour, pen in ((BLACK, "k"), (RED, "r"), (YELLOW, "y"))
    )
    strokes = compose_strokes(drawing, ONE, inks, PENS, Settings(gap=gap, flatness=0.01), gaps=gaps).strokes
    lines = np.array([shapely.LineString(s) for s in strokes], dtype=object)
    return strokes, [shapely.multilinestrings(lines[strokes.pen == p]) for p in range(3)]


def apart(first: shapely.MultiLineString, second: shapely.MultiLineString) -> float:
    """mm between the ink of lines 1 mm wide; below 0 where they overlap."""
    return first.distance(second) - 1.0


@pytest.mark.parametrize("gap", [0.4, 1.0, 2.5])
@pytest.mark.parametrize(("body", "dark", "light"), [(HALVES, 0, 2), (ROUND, 1, 2)])
def test_drawn_widths_leave_the_gap(body, dark, light, gap):
    _, drawn = inks_of(body, gap)
    assert apart(drawn[dark], drawn[light]) == pytest.approx(gap, abs=0.03)


@pytest.mark.parametrize(("body", "dark"), [(HALVES, 0), (ROUND, 1)])
def test_the_darker_ink_keeps_its_edge(body, dark):
    """The darker pen draws the same with a gap as without."""
    without, _ = inks_of(body, 0.0)
    with_gap, _ = inks_of(body, 1.5)
    mine = [
        np.concatenate([s for s, p in zip(w, w.pen.tolist(), strict=True) if p == dark]) for w in (without, with_gap)
    ]
    assert mine[0] == pytest.approx(mine[1])


def test_a_gap_of_its_own_for_a_pair_of_colours():
    _, drawn = inks_of(HALVES, 1.0, (ColourGap(YELLOW, BLACK, 3.0),))
    assert apart(drawn[0], drawn[2]) == pytest.approx(3.0, abs=0.03)
    _, meeting = inks_of(HALVES, 1.0, (ColourGap(BLACK, YELLOW, 0.0),))
    assert apart(meeting[0], meeting[2]) == pytest.approx(0.0, abs=0.02)


def test_without_a_gap_the_shared_border_is_drawn_once_by_the_darker_pen():
    strokes, drawn = inks_of(HALVES, 0.0)
    along = shapely.box(48.9, 5, 51.1, 55)
    edges = {
        pen: sum(
            shapely.intersection(shapely.LineString(s), along).length
            for s, p, fill in zip(strokes, strokes.pen.tolist(), strokes.is_fill.tolist(), strict=True)
            if p == pen and not fill
        )
        for pen in (0, 2)
    }
    assert edges[0] == pytest.approx(50, abs=0.1)
    assert edges[2] == pytest.approx(0, abs=0.1)
    assert abs(apart(drawn[0], drawn[2])) < 0.02


def test_a_thin_shape_keeps_its_middle_line():
    strokes, _ = inks_of(STRIPE, 1.0)
    yellow = np.concatenate([s for s, p in zip(strokes, strokes.pen.tolist(), strict=True) if p == 2])
    assert np.abs(yellow[:, 0] - 49.75).max() < 0.1
    assert np.ptp(yellow[:, 1]) > 50


def test_hatches_with_bare_wall_between_their_lines_meet():
    """No wet inks touch there, so no white halo is left."""
    _, drawn = inks_of(HALVES, 1.0, coverage=40.0)
    assert apart(drawn[0], drawn[2]) < 0.1


def test_areas_in_holes_of_one_background_keep_off_all_of_it():
    """Each spark counts only what is near of the background; shapely judges with the whole of it."""
    rng = np.random.default_rng(3)
    middles = np.stack(np.meshgrid(np.arange(10, 100, 12.0), np.arange(10, 100, 12.0)), -1).reshape(-1, 2)
    sparks = [
        shapely.affinity.rotate(shapely.box(x - 4, y - 2, x + 4, y + 3), angle)
        for (x, y), angle in zip(middles, rng.uniform(0, 180, len(middles)), strict=True)
    ]
    sky = shapely.box(0, 0, 110, 110).difference(shapely.union_all(sparks))
    areas = {0: FlatArea(sky, "#000000", (0,), 1.0)} | {
        n: FlatArea(spark, "#ffff00", (1,), 1.0) for n, spark in enumerate(sparks, 1)
    }
    pens = (Pen("k", "Black", "#000000", 1.0), Pen("y", "Yellow", "#ffff00", 1.0))
    found = choked(areas, pens, lambda a, b: 0.8)
    assert sorted(found) == list(range(1, len(sparks) + 1))
    for n, spark in enumerate(sparks, 1):
        wanted = spark.difference(sky.buffer(0.8, quad_segs=32))
        assert found[n].region.symmetric_difference(wanted).area < 1e-6
