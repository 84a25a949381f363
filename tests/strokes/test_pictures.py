"""Pictures as lines: tone against the ink that Qt paints, direction, bounds, and odd pictures."""

import importlib
import tracemalloc
from collections.abc import Sequence

import numpy as np
import pytest
import shapely
from scipy.ndimage import gaussian_filter

from tests.support.ink import inked
from wallwright.artwork.raster.pen_layers import Tones, layers
from wallwright.artwork.raster.raster import Raster
from wallwright.document.document import Pen, Settings
from wallwright.document.errors import Cancelled
from wallwright.document.picture import (
    STYLES,
    Cells,
    CrossHatch,
    EdgeLines,
    Engraving,
    FlowLines,
    Halftone,
    Maze,
    OneLine,
    PictureSettings,
    Regions,
    ScanLines,
    Spiral,
    Stipple,
    ToneContours,
)
from wallwright.motion.curvature import SMOOTH_TURN
from wallwright.strokes.pictures import LINE_STYLES
from wallwright.strokes.pictures.ink_raster import ink_shares
from wallwright.strokes.pictures.one_line import BEND_POINTS
from wallwright.strokes.pictures.picture_strokes import picture_lines
from wallwright.strokes.pictures.stipple import stipple
from wallwright.strokes.pictures.waves import PIECE, simplified
from wallwright.strokes.strokes import PackedLines, Strokes

PEN = 2.0
TONAL = [name for name, kind in STYLES.items() if kind not in (EdgeLines, Regions)]
LINED = [*TONAL, "edges"]
BLACK = (Pen("k", "Black", "#000000", PEN),)


def drawn(
    tone: np.ndarray, style, pen_width: float = PEN, found: list | None = None, cell: float | None = None
) -> Sequence[np.ndarray]:
    tell = (found if found is not None else []).append
    return LINE_STYLES[type(style)](Tones(tone, cell or pen_width / 2), pen_width, style, lambda done: None, tell)


def grey(pixels: np.ndarray) -> Raster:
    """A grey picture of values 0 to 255."""
    return Raster(np.repeat(pixels.astype(np.uint8)[..., None], 3, axis=2), pixels.shape[::-1])


@pytest.mark.parametrize("name", TONAL)
@pytest.mark.parametrize("end", [0.4, 0.85, 0.96])
def test_ink_is_the_wanted_tone_along_a_ramp(name, end):
    """The wanted share of the wall, in eight bands of a ramp, to 3 % of the wall."""
    bound = 0.03
    ramp = np.tile(np.linspace(0.0, end, 800), (240, 1))
    ink = inked(drawn(ramp, STYLES[name]()), PEN, (800.0, 240.0), per_width=6)
    inside = ink[30:-30]
    bands = inside.reshape(len(inside), 8, -1).mean(axis=(0, 2))
    wanted = ramp.reshape(240, 8, -1).mean(axis=(0, 2))
    assert bands == pytest.approx(wanted, abs=bound)
    assert bands.mean() == pytest.approx(wanted.mean(), rel=bound)


@pytest.mark.parametrize(
    "style", [Stipple(dot=1.0), Stipple(dot=5.0), ScanLines(spacing=12.0), CrossHatch(crossing=1.0)]
)
def test_ink_is_the_wanted_tone_with_other_numbers(style):
    tone = np.full((240, 240), 0.6)
    ink = inked(drawn(tone, style), PEN, (240.0, 240.0), per_width=6)[60:-60, 60:-60]
    assert ink.mean() == pytest.approx(0.6, abs=0.03)


def test_a_grey_is_as_light_as_its_ink_on_white():
    """Murray and Davies (1936): a share a of black on white has luminance 1 - a; #bcbcbc has 0.5 of white's (sRGB:
    ((188/255 + 0.055) / 1.055)^2.4 = 0.503)."""
    lines = picture_lines(
        grey(np.full((50, 50), 188)), PictureSettings(CrossHatch(), darkest=1.0), BLACK, (400.0, 400.0), Settings()
    )
    ink = inked(list(lines.strokes), PEN, (400.0, 400.0), per_width=6)[60:-60, 60:-60]
    assert 1 - ink.mean() == pytest.approx(0.503, abs=0.03)


@pytest.mark.parametrize("name", ["cells", "maze", "flow"])
def test_ink_is_the_wanted_tone_of_a_picture_as_it_is_drawn(name):
    """Blurred by 8 mm, as an eye at a metre sees it, to 3 % of the wall; with all that is done to the lines afterwards."""
    across, down = np.meshgrid(np.linspace(0, 7, 300), np.linspace(0, 5, 220))
    light = 150 + 90 * np.sin(across) * np.cos(down)
    raster, size = grey(light), (600.0, 440.0)
    found = picture_lines(raster, PictureSettings(STYLES[name]()), BLACK, size, Settings())
    ((_, tones),) = layers(raster, PictureSettings(), BLACK, *size)
    ink = ink_shares(list(found.strokes), PEN, tones)
    off = gaussian_filter(ink - tones.tone, 8.0 / tones.cell, mode="reflect")
    assert np.sqrt((off**2).mean()) < 0.03


def test_dots_of_a_halftone_lie_on_a_turned_grid():
    """A pitch of 5 widths at 30 degrees: turned back, the middles are whole multiples of 10 mm apart."""
    dots = drawn(np.full((200, 200), 0.3), Halftone(pitch=5.0, angle=np.radians(30)))
    whole = [(p.max(axis=0) + p.min(axis=0)) / 2 for p in dots if (p > 4).all() and (p < 196).all()]
    cos, sin = np.cos(np.radians(30)), np.sin(np.radians(30))
    across = (np.array(whole) - 100) @ np.array([[cos, -sin], [sin, cos]]) / 10
    assert len(whole) > 300
    assert np.abs(across - np.rint(across)).max() < 0.06  # of a cell: a spiral's extent is not quite even


def test_halftone_dots_do_not_run_into_each_other():
    lines = drawn(np.full((120, 120), 0.8), Halftone())
    whole = [p for p in lines if (p > 2).all() and (p < 118).all()]
    dots = [shapely.buffer(shapely.LineString(p), PEN / 2) for p in whole]
    assert len(dots) > 40
    left, right = shapely.STRtree(dots).query(dots, predicate="intersects")
    assert (left == right).all()


def test_a_spiral_is_one_line_with_even_turns():
    """Archimedes: along a ray from the middle, turns lie a spacing apart; a light even tone shows the bare line."""
    lines = drawn(np.full((300, 300), 0.2001), Spiral(spacing=5.0))
    inner = [p for p in lines if np.hypot(*(p - 150).T).min() < 130]
    assert len(inner) == 1 and len(inner[0]) > 1000
    ray = shapely.LineString([(150, 150), (150, 10)])
    hits = shapely.get_coordinates(shapely.intersection(shapely.MultiLineString(lines), ray))[:, 1]
    assert np.diff(np.sort(hits)) == pytest.approx(10.0, abs=1.5)


def test_flow_lines_run_along_edges_evenly():
    """A disc: near its edge lines run around it; on even ground with one direction, gaps are equal (Jobard and Lefer)."""
    y, x = np.mgrid[:300, :300] + 0.5
    away = np.hypot(x - 150, y - 150)
    lines = drawn(np.where(away < 80, 0.6, 0.3), FlowLines())
    middle = np.concatenate([(p[1:] + p[:-1]) / 2 for p in lines])
    step = np.concatenate([np.diff(p, axis=0) for p in lines])
    radius = np.hypot(*(middle - 150).T)
    near = np.abs(radius - 80) < 12
    out = (middle - 150)[near] / radius[near, None]
    along = step[near] / np.hypot(*step[near].T)[:, None]
    assert np.median(np.abs((out * along).sum(axis=1))) < 0.05
    even = drawn(np.full((200, 200), 0.4), FlowLines())
    heights = np.sort([p[:, 1].mean() for p in even])
    gaps = np.diff(heights)[4:-4]  # the edge of the sheet has its share of ink too
    assert len(gaps) > 20
    assert gaps == pytest.approx(np.median(gaps), rel=0.05)


def test_lines_of_an_even_grey_do_not_pair_up():
    """Straight hatch on an even tone: every gap between neighbours is the same, whatever the tone."""
    for tone in (0.2, 0.3, 0.37, 0.55):
        lines = drawn(np.full((200, 200), tone), CrossHatch(angle=0.0, follow=0.0, crossing=1.0))
        heights = np.unique(np.round([p[:, 1].mean() for p in lines], 6))
        gaps = np.diff(heights[(heights > 25) & (heights < 175)])
        assert len(gaps) > 8
        assert gaps == pytest.approx(gaps[0], rel=1e-3)


def test_edges_of_cells_close_around_cells():
    """Thin edges, polygonised by shapely, enclose faces that are all but convex, and cover an inner part of the sheet."""
    lines = drawn(np.full((200, 200), 0.3), Cells())
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all([shapely.LineString(p) for p in lines])]))
    assert len(faces) > 50
    assert shapely.area(faces).sum() > 0.9 * 200**2
    assert (shapely.area(faces) > 0.97 * shapely.area(shapely.convex_hull(faces))).mean() > 0.95


def test_dark_cells_are_rings_apart():
    rings = drawn(np.full((120, 120), 0.85), Cells())
    closed = [shapely.LineString(p) for p in rings if np.allclose(p[0], p[-1])]
    assert len(closed) > 0.8 * len(rings)
    one, other = shapely.STRtree(closed).query(np.array(closed, dtype=object), predicate="intersects")
    assert (one == other).all()


def test_engraved_lines_swell_in_lenses():
    """Light: one line at a time. Dark: closed lenses of the same lines, none of which leaves the line's own strip."""
    light = drawn(np.full((200, 200), 0.15), Engraving(follow=0.0, angle=0.0))
    assert not any(np.allclose(p[0], p[-1]) for p in light)
    dark = drawn(np.full((200, 200), 0.6), Engraving(follow=0.0, angle=0.0))
    lenses = [p for p in dark if np.allclose(p[0], p[-1])]
    heights = np.array([np.ptp(p[:, 1]) for p in lenses])
    assert len(lenses) > 10
    assert (heights < Engraving().spacing * PEN).all()


def test_a_maze_is_one_closed_line_that_never_meets_itself():
    y, x = np.mgrid[:240, :240]
    (line,) = drawn(0.45 + 0.3 * np.sin(x / 40) * np.cos(y / 30), Maze())
    assert np.allclose(line[0], line[-1])
    assert shapely.LinearRing(line).is_simple


def test_white_ground_parts_a_maze():
    tone = np.full((200, 200), 0.5)
    tone[:, 80:120] = 0.0
    lines = drawn(tone, Maze())
    assert len(lines) == 2
    assert shapely.intersection(shapely.MultiLineString(lines), shapely.box(84, 0, 116, 200)).length == 0


def test_stippled_dots_are_spread_evenly():
    """Relaxed points keep apart: far further than points thrown at random, of which some lie close together."""
    dots = drawn(np.full((200, 200), 0.3), Stipple(dot=2.0))
    middles = np.array([d.mean(axis=0) for d in dots])
    _, apart = shapely.STRtree(shapely.points(middles)).query_nearest(
        shapely.points(middles), return_distance=True, exclusive=True
    )
    spacing = np.sqrt(200.0**2 / len(dots))
    assert np.percentile(apart, 1) > 0.5 * spacing


def test_a_hundred_thousand_dots_take_little_memory(monkeypatch):
    """A dot is two points and an offset, 40 bytes; an array object for each, or a copy, would double that. While they are laid,
    their grid has six cells a dot, of which few planes may be held at once."""
    monkeypatch.setattr(importlib.import_module(stipple.__module__), "MOST_DOTS", 1_000_000)
    style = Stipple(dot=1.0)
    drawn(np.full((50, 50), 0.5), style)  # compiled
    tracemalloc.start()
    dots = drawn(np.full((200, 200), 0.6), style, pen_width=1.0, cell=2.0)
    kept, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert len(dots) > 100_000
    assert kept < 44 * len(dots)
    assert peak < 240 * len(dots)


def test_one_line_is_one_and_says_when_it_is_lighter():
    found: list[str] = []
    (line,) = drawn(np.full((200, 200), 0.5), OneLine(turns=1.0), found=found)
    assert len(line) <= 1001 * BEND_POINTS
    assert len(found) == 1
    assert "1 thousand" in found[0]


def test_one_line_turns_wide():
    """At most points it turns less than what is still taken for a curve; the legs of a tour turn by 60 degrees and more."""
    (line,) = drawn(np.full((200, 200), 0.6), OneLine())
    heading = np.unwrap(np.arctan2(*np.diff(line, axis=0).T[::-1]))
    turn = np.abs(np.diff(heading))
    assert np.median(turn) < SMOOTH_TURN and np.percentile(turn, 98) < np.radians(60)
    assert line.min() >= 0 and line.max() <= 200.0


def test_edges_lie_where_light_meets_dark():
    """A disc of radius 80: its edge within a quarter of a millimetre, and nothing else."""
    y, x = np.mgrid[:300, :300] + 0.5
    disc = np.clip(80.5 - np.hypot(x - 150, y - 150), 0, 1) * 0.8
    lines = drawn(disc, EdgeLines(), pen_width=2.0)
    off = np.concatenate([np.hypot(*(p - 150).T) for p in lines]) - 80
    assert np.abs(off).max() < 0.25
    assert sum(np.hypot(*np.diff(p, axis=0).T).sum() for p in lines) == pytest.approx(2 * np.pi * 80, rel=0.02)
    assert drawn(np.full((100, 100), 0.5), EdgeLines()) == []


@pytest.mark.parametrize("mixing", ["mixed", "apart"])
def test_an_edge_is_drawn_once_with_several_pens(mixing):
    """A red and a dark disc on white: mixed, the darkest pen draws both; apart, each pen the disc of its colour. With a layer
    for each pen every contour was once drawn twice side by side."""
    pixels = np.full((200, 400, 3), 255, dtype=np.uint8)
    y, x = np.mgrid[:200, :400] + 0.5
    pixels[np.hypot(x - 100, y - 100) < 60] = (230, 60, 50)
    pixels[np.hypot(x - 300, y - 100) < 60] = (30, 30, 30)
    pens = (Pen("r", "Red", "#d03020", PEN), Pen("k", "Black", "#101010", PEN), Pen("y", "Yellow", "#f0d020", PEN))
    picture = PictureSettings(style=EdgeLines(), pens=("r", "k", "y"), mixing=mixing)
    found = picture_lines(Raster(pixels, (400, 200)), picture, pens, (400.0, 200.0), Settings())
    lengths = np.bincount(found.strokes.pen, found.strokes.lengths(), minlength=3)
    round_one = 2 * np.pi * 60
    assert lengths == pytest.approx([0, 2 * round_one, 0] if mixing == "mixed" else [round_one, round_one, 0], rel=0.06)


@pytest.mark.parametrize("degrees", [15, 30, 70])
def test_hatch_follows_the_picture(degrees):
    """Stripes give a direction; hatch lines run along it within six degrees from a hatch angle of 45."""
    along = np.radians(degrees)
    y, x = np.mgrid[:300, :300]
    stripes = 0.3 + 0.2 * np.sin((y * np.cos(along) - x * np.sin(along)) / 6)
    lines = drawn(stripes, CrossHatch(follow=1.0, crossing=1.0, angle=np.radians(45)))
    steps = np.concatenate([np.diff(p, axis=0) for p in lines])
    middle = np.concatenate([(p[1:] + p[:-1]) / 2 for p in lines])
    steps = steps[((middle > 60) & (middle < 240)).all(axis=1)]
    twice = np.exp(2j * np.arctan2(steps[:, 1], steps[:, 0])) * np.hypot(*steps.T)
    off = np.degrees(np.angle(twice.sum() * np.exp(-2j * along))) / 2
    assert abs(off) < 6


@pytest.mark.parametrize("name", LINED)
def test_white_gives_nothing_and_odd_shapes_work(name):
    picture = PictureSettings(STYLES[name]())
    white = picture_lines(grey(np.full((40, 40), 255)), picture, BLACK, (300.0, 300.0), Settings())
    assert len(white.strokes) == 0
    for shape, size in (((1, 1), (50.0, 50.0)), ((3, 500), (600.0, 4.0)), ((40, 40), (0.5, 0.5))):
        lines = picture_lines(grey(np.full(shape, 40)), picture, BLACK, size, Settings())
        assert np.isfinite(lines.strokes.points).all()


@pytest.mark.parametrize("name", LINED)
def test_lines_stay_on_the_picture_and_are_the_same_each_time(name):
    y, x = np.mgrid[:200, :300]
    picture = grey(128 + 120 * np.sin(x / 30) * np.cos(y / 25))
    once, again = (
        picture_lines(picture, PictureSettings(STYLES[name]()), BLACK, (450.0, 300.0), Settings()) for _ in range(2)
    )
    assert once.strokes.points.tobytes() == again.strokes.points.tobytes()
    assert once.strokes.offsets.tobytes() == again.strokes.offsets.tobytes()
    assert (once.strokes.points >= -PEN).all()
    assert (once.strokes.points <= np.array([450.0, 300.0]) + PEN).all()


@pytest.mark.parametrize("name", LINED)
def test_a_picture_can_be_cancelled(name):
    def stop(done: float) -> None:
        if done > 0.3:
            raise Cancelled

    with pytest.raises(Cancelled):
        picture_lines(
            grey(np.full((90, 90), 90)),
            PictureSettings(STYLES[name]()),
            BLACK,
            (300.0, 300.0),
            Settings(),
            stop,
        )


def test_two_pens_keep_the_choke_apart():
    """Left half black, right half red: ink of the two pens stays a choke apart, and neither draws the other's half."""
    pixels = np.zeros((100, 100, 3), dtype=np.uint8)
    pixels[:, 50:] = (200, 30, 30)
    pens = (Pen("k", "Black", "#101010", 2.0), Pen("r", "Red", "#c02020", 3.0))
    picture = PictureSettings(CrossHatch(), pens=("k", "r"), gap=2.0)
    lines = picture_lines(Raster(pixels, (100, 100)), picture, pens, (400.0, 400.0), Settings())
    black, red = (
        shapely.buffer(
            shapely.MultiLineString([p for p, k in zip(lines.strokes, lines.strokes.pen, strict=True) if k == n]),
            pens[n].width / 2,
        )
        for n in (0, 1)
    )
    assert black.bounds[2] < 200 < red.bounds[0]
    assert 4.0 <= shapely.distance(black, red) < 10.0
    assert [u.pen for u in lines.uses] == [0, 1]


def test_every_style_is_drawn():
    assert set(LINE_STYLES) == set(STYLES.values()) - {Regions}


def test_one_line_lifts_over_another_pens_ground():
    """Two black fields with a red one between: the black line does not cross it, the red one is whole."""
    pixels = np.zeros((60, 180, 3), dtype=np.uint8)
    pixels[:, 60:120] = (200, 30, 30)
    pens = (Pen("k", "Black", "#101010", 2.0), Pen("r", "Red", "#c02020", 2.0))
    lines = picture_lines(
        Raster(pixels, (180, 60)), PictureSettings(OneLine(), pens=("k", "r")), pens, (540.0, 180.0), Settings()
    )
    black = [p for p, k in zip(lines.strokes, lines.strokes.pen, strict=True) if k == 0]
    assert len(black) == 2
    assert shapely.intersection(shapely.MultiLineString(black), shapely.box(185, 0, 355, 180)).length == 0
    assert (lines.strokes.pen == 1).sum() == 1


def test_crests_of_waves_leave_no_white_rows_in_the_dark():
    """A dark ground whose tone varies, so that crests meet in all ways. In strips 40 mm long and a third of a pen wide along
    the lines, 88 % dark on average, nowhere is much more white; and the tone is right however crests meet."""
    y, x = np.mgrid[:300, :300]
    tone = 0.88 + 0.05 * np.sin(x / 40 + y / 23) + 0.03 * np.sin(y / 11)
    ink = inked(drawn(tone, ScanLines()), PEN, (300.0, 300.0), per_width=8)
    strips = ink[120:-120, 120:-120].reshape(960, 6, 160).mean(axis=2)
    assert np.percentile(strips, 1) > 0.62
    shares = ink.reshape(300, 4, 300, 4).mean(axis=(1, 3))
    off = (gaussian_filter(shares, 8.0) - gaussian_filter(tone, 8.0))[30:-30, 30:-30]
    assert off.std() < 0.0035


def test_waves_are_simplified_in_pieces_that_join():
    """Runs of lengths about that of a piece keep their ends and stay within the tolerance; waves much longer than their points
    are far apart lose most of them."""
    counts = [2, 3, PIECE - 1, PIECE, PIECE + 1, PIECE + 2, 2 * PIECE + 1, 1000]
    runs = [np.column_stack([x := np.arange(n) * 0.1, 20.0 * k + 3 * np.sin(x / 3)]) for k, n in enumerate(counts)]
    found = simplified(np.concatenate(runs), np.repeat(np.arange(len(runs)), counts), 0.02)
    assert len(found) == len(runs)
    for run, line in zip(runs, found, strict=True):
        assert line[[0, -1]].tolist() == run[[0, -1]].tolist()
        assert shapely.hausdorff_distance(shapely.LineString(line), shapely.LineString(run)) <= 0.02
        assert len(np.unique(line, axis=0)) == len(line)
    assert len(found[-1]) < 300


def test_contour_lines_leave_no_white_seams_in_the_dark():
    """Between bright spots fronts meet at all angles: seen through a blur of a line width, the dark has no gap there."""
    y, x = np.indices((300, 300))
    tone = np.full((300, 300), 0.92)
    spots = [(60, 70), (80, 220), (230, 150)]
    for column, row in spots:
        tone[np.hypot(x - column, y - row) < 14] = 0.0
    ink = inked(drawn(tone, ToneContours()), PEN, (300.0, 300.0), per_width=6)
    far = np.min([np.hypot(x - column, y - row) for column, row in spots], axis=0) > 30
    far &= (x > 15) & (y > 15) & (x < 285) & (y < 285)
    seen = gaussian_filter(ink.astype(float), 6.0)[1::3, 1::3][:300, :300]
    assert seen[far].min() > 0.7
    assert np.percentile(seen[far], 0.5) > 0.85


def test_no_cell_edges_cross_a_bright_spot_in_the_dark():
    """A white band in a dark ground, too narrow to have cells, is not crossed by thick edges like spokes."""
    tone = np.full((200, 300), 0.8)
    tone[94:106] = 0.02  # 12 mm: wider than a line of 2 mm, narrower than a light cell
    ink = inked(drawn(tone, Cells()), PEN, (300.0, 200.0), per_width=6)
    assert ink[3 * 97 : 3 * 103, 60:-60].mean() < 0.06
    assert ink[60:240, 60:-60].mean() == pytest.approx(0.8, abs=0.05)


def test_packed_lines_are_a_sequence_of_views():
    lines = PackedLines.of_equal(np.arange(24.0).reshape(4, 3, 2))
    assert len(lines) == 4
    assert [line.tolist() for line in lines] == np.arange(24.0).reshape(4, 3, 2).tolist()
    assert lines[-1].tolist() == lines[3].tolist()
    assert [line.tolist() for line in lines[1:3]] == [lines[1].tolist(), lines[2].tolist()]
    with pytest.raises(IndexError):
        lines[4]
    packed, listed = Strokes.pack(lines, 1), Strokes.pack(list(lines), 1)
    assert packed.points is lines.points
    assert packed.points.tolist() == listed.points.tolist()
    assert packed.offsets.tolist() == listed.offsets.tolist()
    assert len(packed.pen) == 4
