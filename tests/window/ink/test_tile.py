"""Painted ink against its area by shapely: where strokes are, as wide as the pen, none elsewhere."""

import itertools

import numpy as np
import pytest
import shapely
from PySide6.QtCore import QPoint, QRect
from PySide6.QtGui import QImage, QPainter

from tests.support.drawings import made_up_drawing
from tests.support.pictures import channels
from wallwright.strokes.strokes import Strokes
from wallwright.window.ink.stroke_geometry import StrokeGeometry
from wallwright.window.ink.tile import ALL, InkStyle, PaintOrder, TilePicture, paint

BLUE, YELLOW = (20, 60, 200, 255), (240, 210, 20, 255)
SPIRAL = np.column_stack([np.cos(np.arange(0, 20, 0.05)), np.sin(np.arange(0, 20, 0.05))])
SPIRAL = 50 + SPIRAL * np.linspace(5, 40, len(SPIRAL))[:, None]


def _picture(strokes: Strokes, scale: float, widths=(1.0,), colours=(BLUE,), box=None, **more) -> TilePicture:
    box = QRect(0, 0, int(100 * scale), int(100 * scale)) if box is None else box
    return paint(PaintOrder(StrokeGeometry(strokes), InkStyle(tuple(colours), tuple(widths)), scale, box, **more))


def _whole(picture: TilePicture) -> np.ndarray:
    """(h, w, 4) of the whole box, with the empty margin the image leaves out."""
    page = QImage(picture.box.size(), QImage.Format.Format_ARGB32_Premultiplied)
    page.fill(0)
    if picture.image is not None:
        painter = QPainter(page)
        painter.drawImage(picture.place.topLeft() - picture.box.topLeft(), picture.image)
        painter.end()
    return channels(page)


def _inked(picture: TilePicture) -> np.ndarray:
    """(h, w, 4): colours multiplied by alpha."""
    page = _whole(picture)
    return np.concatenate([page[..., :3] * page[..., 3:], page[..., 3:]], axis=2)


@pytest.mark.parametrize(("scale", "width"), [(2.0, 0.2), (2.0, 0.5), (4.0, 0.6), (4.0, 2.0), (16.0, 0.5)])
def test_ink_covers_the_area_of_the_pens_path(scale, width):
    """From 0.4 px wide to 8 px. Up to one pixel QPainter measures width along an axis, which is corrected; above, soft edges
    that overlap at joints add a quarter of a pixel at most."""
    ink = _whole(_picture(Strokes.pack([SPIRAL], 0), scale, (width,)))[..., 3].sum()
    path = shapely.LineString(SPIRAL)
    shown, true = ink / (path.length * scale), path.buffer(width / 2).area / path.length * scale
    if true <= 1.05:
        assert shown == pytest.approx(true, rel=0.05)
    else:
        assert shown == pytest.approx(true, abs=0.3)


@pytest.mark.parametrize("scale", [1.5, 4.0, 9.0])
def test_ink_is_on_the_strokes_and_nowhere_else(scale):
    alpha = _whole(_picture(Strokes.pack([SPIRAL], 0), scale))[..., 3]
    y, x = (np.indices(alpha.shape) + 0.5) / scale
    path = shapely.LineString(SPIRAL)

    def within(distance: float) -> np.ndarray:
        band = path.buffer(distance, quad_segs=64)
        shapely.prepare(band)
        return shapely.contains_xy(band, x, y)

    assert alpha[~within(0.5 + 1.2 / scale)].max() == 0
    if scale > 2:
        assert alpha[within(0.5 - 1.2 / scale)].min() == 1


def test_a_line_is_as_wide_as_the_pen_and_ends_round():
    line = Strokes.pack([np.array([[20.0, 50.0], [80.0, 50.0]])], 0)
    alpha = _whole(_picture(line, 10.0, (3.0,)))[..., 3]
    assert alpha[:, 500].sum() == pytest.approx(30, abs=0.5)
    assert alpha[500].sum() == pytest.approx(630, abs=0.5)
    assert alpha[497:503, 187:190].min() > 0.9 and alpha[485:489, 185:189].max() < 0.1


def test_dots_are_discs():
    dot = Strokes.pack([np.array([[50.0, 50.0]])], 0)
    for scale, width in ((1.0, 0.8), (1.0, 2.0), (8.0, 1.0)):
        ink = _whole(_picture(dot, scale, (width,)))[..., 3].sum()
        assert ink == pytest.approx(np.pi / 4 * (width * scale) ** 2, rel=0.3)


def test_joints_and_retraced_strokes_leave_no_darker_spots():
    there = np.column_stack([np.linspace(5, 95, 400), np.full(400, 50.0)])
    once, twice = Strokes.pack([there[[0, -1]]], 0), Strokes.pack([there, there[::-1]], 0)
    faint = (20, 60, 200, 128)
    a, b = (_whole(_picture(s, 4.0, (2.0,), (faint,)))[..., 3] for s in (once, twice))
    assert np.abs(a - b)[196:204, 30:370].max() <= 0.02
    assert b.max() == pytest.approx(128 / 255, abs=0.01)


def test_inks_that_cross_are_darker_than_either():
    cross = Strokes.pack([np.array([[10.0, 50.0], [90.0, 50.0]]), np.array([[50.0, 10.0], [50.0, 90.0]])], [0, 1])
    page = _whole(_picture(cross, 4.0, (4.0, 4.0), (BLUE, YELLOW)))
    both, blue, yellow = page[200, 200, :3], page[200, 100, :3], page[100, 200, :3]
    assert (both <= np.minimum(blue, yellow) + 0.01).all() and both.sum() < min(blue.sum(), yellow.sum()) - 0.1


def test_tiles_meet_without_a_seam():
    strokes, scale = made_up_drawing(3000, 100.0, 100.0), 5.0
    widths, colours = (0.6, 1.0, 0.3), (BLUE, YELLOW, (200, 30, 30, 255))
    whole = _inked(_picture(strokes, scale, widths, colours, QRect(0, 0, 512, 512)))
    for x in (0, 256):
        for y in (0, 256):
            tile = _inked(_picture(strokes, scale, widths, colours, QRect(x, y, 256, 256)))
            difference = np.abs(tile - whole[y : y + 256, x : x + 256])
            assert difference.mean() < 1e-3 and (difference > 0.1).mean() < 1e-3


def test_same_order_same_picture():
    strokes = made_up_drawing(5000, 100.0, 100.0)
    first, second = (_picture(strokes, 3.0, (0.4, 0.5, 0.9), (BLUE, YELLOW, BLUE)) for _ in range(2))
    assert first.image == second.image and first.place == second.place


def test_empty_boxes_have_no_image():
    line = Strokes.pack([np.array([[20.0, 50.0], [80.0, 50.0]])], 0)
    assert _picture(line, 4.0, box=QRect(0, 0, 256, 100)).image is None
    assert _picture(line, 4.0, (0.2,), box=QRect(0, 0, 256, 192)).image is None  # it is 8 px below the edge
    assert _picture(Strokes.empty(), 4.0).image is None


def test_deep_zoom_on_a_long_line_shows_it_true_to_width():
    line = Strokes.pack([np.array([[0.0, 0.0], [4000.0, 1000.0]])], 0)
    box = QRect(QPoint(200_000 - 128, 50_000 - 128), QPoint(200_000 + 127, 50_000 + 127))
    alpha = _whole(_picture(line, 100.0, (0.5,), box=box))[..., 3]
    assert alpha[:, 128].sum() == pytest.approx(50 * np.hypot(1, 0.25), rel=0.02)
    rows = np.arange(256) + 0.5
    assert (alpha[:, 128] * rows).sum() / alpha[:, 128].sum() == pytest.approx(128, abs=0.5)


@pytest.mark.parametrize("scale", [0.5, 1.0, 4.0])
def test_painting_on_equals_painting_at_once(scale):
    """At all scales, those at which lines are enlarged among them."""
    strokes = made_up_drawing(4000, 100.0, 100.0)
    widths, colours = (0.4, 0.9, 1.5), (BLUE, YELLOW, (200, 30, 30, 160))
    part = None
    for until in (500, 501, 2600, 4100):
        part = _picture(strokes, scale, widths, colours, until=until, earlier=part)
        fresh = _picture(strokes, scale, widths, colours, until=until)
        difference = np.abs(_inked(part) - _inked(fresh))
        assert difference.mean() < 1e-4 and (difference > 0.1).mean() < 1e-3
        assert part.shows(until) and not part.shows(until + 900)
    early, late = (_picture(strokes, 4.0, widths, colours, until=u) for u in (500, ALL))
    assert 0 < _whole(early)[..., 3].sum() < 0.5 * _whole(late)[..., 3].sum()


@pytest.mark.parametrize("scale", [0.25, 0.5, 0.8, 2.0])
@pytest.mark.parametrize(("spacing", "angle"), [(0.8, 45.0), (0.8, 0.0), (2.0, 20.0)])
def test_a_fill_is_as_dark_as_its_ink_covers_at_any_zoom(scale, spacing, angle):
    """Of the hatch of a square, from afar; lines of 1 mm."""
    across = np.arange(-60, 60, spacing)
    lines = [np.array([[-60, y], [60, y]]) for y in across]
    turn = np.radians(angle)
    matrix = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    strokes = Strokes.pack([50 + line @ matrix for line in lines], 0)
    alpha = _whole(_picture(strokes, scale))[..., 3]
    inner = slice(int(35 * scale), int(65 * scale))
    seen = shapely.box(35, 35, 65, 65)
    inked = shapely.MultiLineString([50 + line @ matrix for line in lines]).buffer(0.5, cap_style="flat")
    assert alpha[inner, inner].mean() == pytest.approx(
        inked.intersection(seen).area / seen.area, abs={0.25: 0.1, 2.0: 0.025}.get(scale, 0.01)
    )


@pytest.mark.parametrize("width", [0.3, 0.45, 0.6, 0.8, 0.95, 1.5])
@pytest.mark.parametrize("angle", [0.0, 22.0, 45.0, 70.0])
def test_a_fill_and_lines_alone_in_one_tile_are_both_as_dark_as_their_ink(width, angle):
    """A solid square and lines 15 mm apart, at 1 px/mm."""
    turn = np.radians(angle)
    along, across = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    solid = [
        [(60, 60) + across * y - along * 20, (60, 60) + across * y + along * 20] for y in np.arange(-20, 20, width)
    ]
    alone = [
        [(180, 180) + across * y - along * 40, (180, 180) + across * y + along * 40] for y in np.arange(-40, 40, 15)
    ]
    strokes = Strokes.pack([np.array(line) for line in solid + alone], 0)
    alpha = _whole(_picture(strokes, 1.0, (width,), box=QRect(0, 0, 256, 256)))[..., 3]
    assert alpha[50:70, 50:70].mean() == pytest.approx(1, abs=0.02)
    assert alpha[110:, 110:].sum() == pytest.approx(80 * len(alone) * width, rel=0.05)


HATCH = [np.array([[x, 20.0], [x, 80.0]]) for x in np.arange(40.0, 80.0, 0.5)]
"""Lines 0.2 mm wide at half a mm: two fifths of their square are ink."""


def _seen(lines, least: float) -> np.ndarray:
    """(h, w) how much ink there is, of a pen of 0.2 mm at 1 px/mm."""
    style = InkStyle((BLUE,), (0.2,), least_px=(least,))
    order = PaintOrder(StrokeGeometry(Strokes.pack(lines, 0)), style, 1.0, QRect(0, 0, 100, 100))
    return _whole(paint(order))[..., 3]


def test_a_line_alone_is_seen_as_wide_as_asked_and_a_hatch_stays_as_dark_as_its_ink():
    line = np.array([[10.5, 10.0], [10.5, 90.0]])
    alpha = _seen([line, *HATCH], least=1.0)
    assert alpha[20:80, :30].sum(axis=1) == pytest.approx(1.0, abs=0.03), "a line alone"
    assert alpha[20:80, 10].min() > 0.95, "at full colour"
    plain = _seen([line, *HATCH], least=0.0)
    assert (alpha[30:70, 50:75] == plain[30:70, 50:75]).all(), "a hatch"
    assert _seen([line], least=0.0)[20:80].sum(axis=1) == pytest.approx(0.3, abs=0.03), "without: as faint as its ink"


def test_lines_come_down_to_their_width_step_by_step_as_they_get_closer():
    """No closer lines look paler than lines that are farther apart."""
    shares = []
    for apart in (20.0, 10.0, 6.0, 4.0, 3.0, 2.0, 1.5, 1.0, 0.7):
        lines = [np.array([[x, -20.0], [x, 120.0]]) for x in np.arange(-20.0, 120.0, apart)]
        shares.append(_seen(lines, least=1.0)[20:80, 20:80].mean())
    assert all(b > a - 0.03 for a, b in itertools.pairwise(shares)), shares
    assert shares[0] == pytest.approx(1 / 20, abs=0.01) and shares[-1] == pytest.approx(0.3 / 0.7, abs=0.03)


def test_the_same_ink_by_two_pens_covers_itself():
    """As an outline over its own fill; two inks would multiply."""
    across, down = np.array([[10.0, 50.0], [90.0, 50.0]]), np.array([[50.0, 10.0], [50.0, 90.0]])
    geometry = StrokeGeometry(Strokes.pack([across, down], np.array([0, 1])))
    pale = (150, 190, 230, 255)

    def middle(inks) -> np.ndarray:
        style = InkStyle((pale, pale), (6.0, 6.0), inks=inks)
        return _whole(paint(PaintOrder(geometry, style, 1.0, QRect(0, 0, 100, 100))))[50, 50, :3]

    assert middle((0, 0)) == pytest.approx(np.array(pale[:3]) / 255, abs=0.01)
    assert middle((0, 1)) == pytest.approx((np.array(pale[:3]) / 255) ** 2, abs=0.02)
