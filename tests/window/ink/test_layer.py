"""The layer as the canvas uses it: what is on screen after moving the view, editing, dragging and playing."""

import gc
import threading
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QRect, QRectF
from PySide6.QtGui import QColor, QImage, QPainter, QTransform

from tests.support.drawings import made_up_drawing
from tests.support.pictures import channels, darkness
from wallwright.strokes.strokes import Strokes
from wallwright.window.ink import InkLayer, paint_workers
from wallwright.window.ink.groups import flagged_runs
from wallwright.window.ink.tile_cache import TileCache

COLOURS = [QColor(20, 60, 200), QColor(200, 40, 30), QColor(20, 140, 60)]
WIDTHS = [0.5, 0.8, 0.3]
SIZE = 300


@pytest.fixture
def layer(qapp):
    made = InkLayer()
    yield made
    made.close()


def _paint(layer: InkLayer, x: float, y: float, scale: float, ratio: float = 1.0) -> QImage:
    """What is on screen now, SIZE logical pixels square, wall point (x, y) mm in the corner."""
    image = QImage(int(SIZE * ratio), int(SIZE * ratio), QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(ratio)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    try:
        layer.paint(painter, QRectF(x, y, SIZE / scale, SIZE / scale), scale, QRect(0, 0, SIZE, SIZE), ratio)
    finally:
        painter.end()
    return image


def _finished(qtbot, layer: InkLayer, x: float, y: float, scale: float, ratio: float = 1.0) -> QImage:
    """What is on screen in the end."""
    pictures = []

    def is_complete() -> bool:
        pictures.append(_paint(layer, x, y, scale, ratio))
        return layer.is_complete

    qtbot.waitUntil(is_complete, timeout=20_000)
    return pictures[-1]


def _line(*points: tuple[float, float]) -> Strokes:
    return Strokes.pack([np.array(points)], 0)


@pytest.mark.parametrize("ratio", [1.0, 1.5, 2.0])
def test_wall_and_screen_agree(qtbot, layer, ratio):
    layer.set_strokes(_line((100, 60), (160, 60)), COLOURS, [4.0] * 3)
    dark = darkness(_finished(qtbot, layer, 90, 40, 3.0, ratio)) > 0.4
    rows, columns = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
    assert rows[0] / ratio == pytest.approx(54, abs=1) and rows[-1] / ratio == pytest.approx(66, abs=1)
    assert columns[0] / ratio == pytest.approx(24, abs=1) and columns[-1] / ratio == pytest.approx(216, abs=1)


def test_nothing_is_painted_outside_the_target(qtbot, layer):
    layer.set_strokes(made_up_drawing(20_000, 100, 100), COLOURS, WIDTHS)
    _finished(qtbot, layer, 0, 0, 3.0)
    image = QImage(SIZE, SIZE, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    layer.paint(painter, QRectF(0, 0, 50, 40), 3.0, QRect(60, 70, 150, 120))
    painter.end()
    dark = darkness(image)
    assert dark[70:190, 60:210].mean() > 0.05
    dark[70:190, 60:210] = 0
    assert dark.max() == 0


def test_the_finished_picture_does_not_depend_on_the_way_to_it(qtbot, layer):
    drawing = made_up_drawing(8000, 100, 100)
    layer.set_strokes(drawing, COLOURS, WIDTHS)
    straight = _finished(qtbot, layer, 10, 10, 3.3)
    other = InkLayer(threads=3)
    other.set_strokes(drawing, COLOURS, WIDTHS)
    for x, y, scale in ((0, 0, 1.0), (30, 40, 9.0), (20, 20, 3.0)):
        _paint(other, x, y, scale)
    assert _finished(qtbot, other, 10, 10, 3.3) == straight
    other.close()


def test_something_stands_in_at_once_after_a_jump(qtbot, layer):
    layer.set_strokes(made_up_drawing(20_000, 200, 200), COLOURS, WIDTHS)
    _finished(qtbot, layer, 0, 0, 1.5)
    for x, y, scale in ((60, 60, 6.0), (0, 0, 1.0), (100, 20, 2.2), (0, 0, 0.5)):
        now = darkness(_paint(layer, x, y, scale))
        then = darkness(_finished(qtbot, layer, x, y, scale))
        spots_now, spots_then = (d.reshape(10, 30, 10, 30).mean(axis=(1, 3)) for d in (now, then))
        assert (spots_now[spots_then > 0.05] > 0.01).all()


def test_a_likeness_of_a_large_drawing_comes_before_its_tiles(qtbot, layer, monkeypatch):
    """Tiles of 200,000 segments are held back here until the likeness was seen."""
    is_seen, painted = threading.Event(), paint_workers.paint

    def paint(order):
        assert order.likeness or is_seen.wait(60)
        return painted(order)

    monkeypatch.setattr(paint_workers, "paint", paint)
    layer.set_strokes(made_up_drawing(200_000, 300, 300), COLOURS, WIDTHS)
    try:
        qtbot.waitUntil(lambda: darkness(_paint(layer, 0, 0, 1.0)).mean() >= 0.05)
        assert not layer.is_complete
    finally:
        is_seen.set()
    assert darkness(_finished(qtbot, layer, 0, 0, 1.0)).mean() > 0.2


def test_the_old_drawing_stays_until_the_new_one_is_ready(qtbot, layer):
    layer.set_strokes(_line((10, 20), (90, 20)), COLOURS, [3.0] * 3)
    old = _finished(qtbot, layer, 0, 0, 3.0)
    layer.set_strokes(_line((10, 70), (90, 70)), COLOURS, [3.0] * 3)
    assert _paint(layer, 0, 0, 3.0) == old
    new = darkness(_finished(qtbot, layer, 0, 0, 3.0))
    assert new[55:65].max() == 0 < new[205:215].mean()
    layer.set_strokes(Strokes.empty(), COLOURS, WIDTHS)
    assert darkness(_paint(layer, 0, 0, 3.0)).max() == 0


def test_only_a_changed_group_is_painted_again(qtbot, layer):
    here, there = _line((10, 20), (90, 20)), _line((10, 70), (90, 70))
    layer.set_strokes(Strokes.join([here, there]), COLOURS, WIDTHS, np.array([4, 7]))
    _finished(qtbot, layer, 0, 0, 3.0)
    layer.set_strokes(Strokes.join([here, here, there]), COLOURS, WIDTHS, np.array([2, 4, 7]))
    now = darkness(_paint(layer, 0, 0, 3.0))
    assert now[208:212, 40:260].mean() > 0.2
    layer.set_strokes(there, COLOURS, WIDTHS, np.array([7]))
    assert layer.is_complete is False
    assert darkness(_paint(layer, 0, 0, 3.0))[50:70].max() == 0


def test_a_moved_group_moves_alone_and_exactly(qtbot, layer):
    here, there = _line((10, 20), (50, 20)), _line((10, 70), (50, 70))
    layer.set_strokes(Strokes.join([here, there]), COLOURS, [2.0] * 3, np.array([0, 1]))
    before = channels(_finished(qtbot, layer, 0, 0, 3.0))
    noisy = QTransform(1 + 1e-11, 1e-12, -1e-12, 1 - 1e-11, 20, -10)
    layer.move_group(1, noisy)
    now = channels(_paint(layer, 0, 0, 3.0))
    assert np.array_equal(now[170:200, 60:300], before[200:230, :240])
    assert now[205:215].min() == 1 and np.array_equal(now[:100], before[:100])


def test_a_turned_group_shows_where_its_transform_puts_it(qtbot, layer):
    layer.set_strokes(_line((10, 50), (50, 50)), COLOURS, [2.0] * 3)
    _finished(qtbot, layer, 0, 0, 3.0)
    layer.move_group(0, QTransform().translate(50, 50).rotate(90).scale(2, 2).translate(-30, -50))
    for picture in (_paint(layer, 0, 0, 3.0), _finished(qtbot, layer, 0, 0, 3.0)):
        dark = darkness(picture) > 0.3
        columns, rows = np.flatnonzero(dark.any(axis=0)), np.flatnonzero(dark.any(axis=1))
        assert [columns[0], columns[-1]] == pytest.approx([144, 156], abs=2)
        assert [rows[0], rows[-1]] == pytest.approx([24, 276], abs=3)


def test_a_hidden_group_is_gone_and_comes_back(qtbot, layer):
    layer.set_strokes(_line((10, 50), (50, 50)), COLOURS, WIDTHS)
    shown = _finished(qtbot, layer, 0, 0, 3.0)
    layer.set_group_visible(0, False)
    assert darkness(_paint(layer, 0, 0, 3.0)).max() == 0
    layer.set_group_visible(0, True)
    assert _paint(layer, 0, 0, 3.0) == shown


def test_a_mark_lies_around_the_flagged_part_under_the_ink(qtbot, layer):
    strokes = _line(*((x, 50.0) for x in range(10, 91, 10)))
    layer.set_strokes(strokes, COLOURS, [1.0] * 3)
    plain = channels(_finished(qtbot, layer, 0, 0, 3.0))
    part = replace(flagged_runs(strokes, strokes.points[:, 0] > 65), pen=np.zeros(1, dtype=np.int32))
    layer.set_mark("outside", part, None, [QColor(255, 160, 0, 128)], 13.0)
    marked = channels(_finished(qtbot, layer, 0, 0, 3.0))
    band = marked[145, :, :3]
    assert (band[:175] == 1).all() and np.allclose(band[190:265], [1, 0.81, 0.5], atol=0.02)
    assert np.allclose(marked[150, 40:260], plain[150, 40:260], atol=0.02)
    assert layer.mark_at("outside", 85.0, 51.0, 2.0) == pytest.approx((85.0, 50.0, 0))
    assert layer.mark_at("outside", 85.0, 53.0, 2.0) is None and layer.mark_at("outside", 30, 50, 2.0) is None
    layer.move_group(0, QTransform.fromTranslate(0, 20))
    assert layer.mark_at("outside", 85.0, 71.0, 2.0) == pytest.approx((85.0, 70.0, 0))
    layer.move_group(0, QTransform())
    layer.set_mark("outside", Strokes.empty(), None, [])
    assert np.array_equal(channels(_paint(layer, 0, 0, 3.0)), plain)


def test_textures_go_on_from_tile_to_tile(qtbot, layer):
    """Two lines across several tiles: upright bars of one texture, level ones of the other, nowhere a seam."""
    strokes = _line((10, 30), (290, 30))
    layer.set_strokes(strokes, COLOURS, [0.01] * 3)
    bars = np.zeros((8, 8, 4), dtype=np.uint8)
    bars[..., 3] = 255
    bars[:, 4:] = 255
    looks = []
    for data in (bars, np.ascontiguousarray(bars.transpose(1, 0, 2))):
        looks.append(QImage(data.data, 8, 8, 32, QImage.Format.Format_RGBA8888).copy())
    marks = Strokes.join([_line((10, 30), (290, 30)), replace(_line((10, 50), (290, 50)), pen=np.ones(1, np.int32))])
    layer.set_mark("outside", marks, None, looks, 12.0)
    green = channels(_finished(qtbot, layer, 0, 0, 3.0))[..., 1]
    upright = green[86, 40:290] > 0.5
    assert np.array_equal(upright[8:], upright[:-8]) and 0.4 < upright.mean() < 0.6
    level = green[145:156, 40:290] > 0.5
    assert (level == level[:, :1]).all() and level[:, 0].any() and not level[:, 0].all()


def test_reveal_shows_what_was_drawn_so_far(qtbot, layer):
    rows = Strokes.pack([np.column_stack([np.linspace(10, 90, 41), np.full(41, y)]) for y in range(10, 91, 10)], 0)
    layer.set_strokes(rows, COLOURS, [2.0] * 3, np.array([0, 1, 0, 1, 1, 0, 0, 1, 0]))
    full = _finished(qtbot, layer, 0, 0, 3.0)

    def reached(picture: QImage) -> list[int]:
        dark = darkness(picture) > 0.3
        return [int(np.flatnonzero(dark[30 * i + 30]).max(initial=0)) for i in range(9)]

    for stroke, fraction in ((4, 0.2), (4, 0.26), (6, 0.0), (8, 0.9), (2, 0.5)):
        layer.reveal(stroke, fraction)
        newest = 30 + 240 * fraction if fraction else 0
        if fraction == 0.26:  # forwards a little: there at once
            assert reached(_paint(layer, 0, 0, 3.0))[stroke] == pytest.approx(newest, abs=5)
        got = reached(_finished(qtbot, layer, 0, 0, 3.0))
        assert got[:stroke] == pytest.approx([273] * stroke, abs=2)
        assert got[stroke] == pytest.approx(newest, abs=5)
        assert got[stroke + 1 :] == [0] * (8 - stroke)
    layer.set_strokes(rows, COLOURS, [2.0] * 3, np.array([0, 1, 0, 1, 1, 0, 0, 1, 0]))
    again = darkness(_finished(qtbot, layer, 0, 0, 3.0))
    assert np.abs(again - darkness(full)).max() < 0.05


def test_a_signal_tells_when_ink_is_ready(qtbot, layer):
    layer.set_strokes(_line((10, 50), (50, 50)), COLOURS, WIDTHS)
    with qtbot.waitSignal(layer.updated, timeout=5000) as blocker:
        _paint(layer, 0, 0, 3.0)
    assert blocker.args[0].intersects(QRectF(10, 49, 40, 2))


def test_every_pen_needs_a_colour_and_a_width(layer):
    strokes = Strokes.pack([np.array([[0.0, 0.0], [1.0, 0.0]])], 3)
    with pytest.raises(ValueError, match="colour and a width"):
        layer.set_strokes(strokes, COLOURS, WIDTHS)


def test_what_fails_in_a_worker_is_raised_in_the_window_once(qtbot, layer):
    strokes = _line((2, 2), (9, 9))  # one tile
    layer.set_strokes(strokes, COLOURS, WIDTHS)
    object.__setattr__(strokes, "pen", None)  # what a worker meets when somebody breaks the agreement
    with qtbot.captureExceptions() as raised:
        for _ in range(20):
            try:
                _paint(layer, -10, -10, 15.0)
            except TypeError as error:
                raised.append((TypeError, error, None))
            qtbot.wait(10)
    assert {kind for kind, *_ in raised} == {TypeError}
    assert len(raised) == 2  # for the tile and for the overview


@pytest.mark.parametrize("how", ["close", "forget"])
def test_no_thread_outlives_the_layer(qtbot, how):
    before = threading.active_count()
    made = InkLayer(threads=2)
    made.set_strokes(made_up_drawing(50_000), COLOURS, WIDTHS)
    _paint(made, 0, 0, 0.5)
    assert threading.active_count() == before + 2
    if how == "close":
        made.close()
        _paint(made, 0, 0, 0.5)
    del made
    gc.collect()
    assert threading.active_count() == before


def test_tiles_unused_for_longest_go_first(qtbot, layer, monkeypatch):
    monkeypatch.setattr(layer, "_store", TileCache(10 * 2**20))
    layer.set_strokes(made_up_drawing(20_000, 400, 400), COLOURS, WIDTHS)
    first = _finished(qtbot, layer, 180, 180, 6.0)
    for step in range(8):
        _finished(qtbot, layer, 45 * step, 45 * step, 6.0)
    assert layer._store.bytes < 11 * 2**20
    assert _finished(qtbot, layer, 180, 180, 6.0) == first
