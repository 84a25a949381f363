"""The time strip and its player."""

import html

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt

from wallwright.document.document import Document
from wallwright.document.language import duration
from wallwright.motion.trajectory import block_times, sample_at, stroke_starts
from wallwright.planning.demo import demo_document
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.models import Models
from wallwright.window.timeline.time_bar import TICKS, short


@pytest.fixture
def window(qtbot):
    window = ProjectWindow(Models.of(demo_document()))
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.resize(1200, 800)
    window.show()
    qtbot.waitExposed(window)
    window.canvas.fit()
    window.models.planning.plan_now()
    qtbot.waitUntil(
        lambda: not window.models.planning.plan_is_stale and not window.models.planning.is_planning,
        timeout=60_000,
    )
    return window


def test_plays_forwards_and_back_and_stops_at_the_ends(qtbot, window):
    player = window.strip.player
    player.set_speed(1000)
    window.parts.actions["play"].trigger()
    assert player.playing
    qtbot.waitUntil(lambda: player.now > 100, timeout=5000)
    window.parts.actions["play-back"].trigger()
    turned = player.now
    assert player.playing and player.backwards
    qtbot.waitUntil(lambda: not player.playing, timeout=10_000)
    assert player.now == 0 < turned
    player.seek(player.length - 1)
    player.play()
    qtbot.waitUntil(lambda: not player.playing, timeout=5000)
    assert player.now == player.length and not player.at_moment
    assert window.canvas.machine_at is None


def test_keys_go_by_seconds_strokes_and_pens(qtbot, window):
    player, motion = window.strip.player, window.models.planning.plan.motion
    window.strip.bar.setFocus()
    qtbot.keyClick(window.strip.bar, Qt.Key.Key_Home)
    assert player.now == 0
    qtbot.keyClick(window.strip.bar, Qt.Key.Key_Right)
    assert player.now == pytest.approx(1.0)
    starts, blocks = stroke_starts(motion), block_times(motion)
    window.parts.actions["next-pen"].trigger()
    window.parts.actions["next-pen"].trigger()
    assert player.now == pytest.approx(blocks[2, 0])
    window.parts.actions["next-stroke"].trigger()
    assert player.now == pytest.approx(starts[starts > blocks[2, 0] + 1e-3][0])
    window.parts.actions["previous-pen"].trigger()
    assert player.now == pytest.approx(blocks[2, 0])
    qtbot.keyClick(window.strip.bar, Qt.Key.Key_End)
    assert not player.at_moment
    qtbot.keyClick(window.strip.bar, Qt.Key.Key_Space)
    assert player.playing
    qtbot.keyClick(window.strip.bar, Qt.Key.Key_Space)
    assert not player.playing


def test_a_click_on_a_stroke_finds_its_moment_and_a_click_on_the_bar_its_place(qtbot, window):
    player, plan, canvas = window.strip.player, window.models.planning.plan, window.canvas
    middle = plan.strokes.points[plan.strokes.offsets[40]]
    at_screen = canvas.view.to_screen(*middle).toPoint()
    qtbot.mouseClick(canvas, Qt.MouseButton.LeftButton, pos=at_screen)
    assert not player.at_moment  # a plain click selects and moves artwork
    qtbot.mouseClick(canvas, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.AltModifier, at_screen)
    reach = 8 / canvas.view.scale
    assert player.at_moment
    assert np.hypot(*(sample_at(plan.motion, np.array([player.now])).pen_xy[0] - middle)) < reach
    bar = window.strip.bar
    qtbot.mouseClick(bar, Qt.MouseButton.LeftButton, pos=QPoint(bar.width() // 2, 8))
    pixel = player.length / bar.width()
    assert player.now == pytest.approx(player.length / 2, abs=2 * pixel)
    here = sample_at(plan.motion, np.array([player.now])).pen_xy[0]
    assert canvas.machine_at == pytest.approx(tuple(here))
    # A place out of sight is brought into view.
    canvas.view = canvas.view.moved(5000, 0)
    player.seek(player.now + 1)
    x, y = canvas.machine_at
    assert canvas.rect().contains(canvas.view.to_screen(x, y).toPoint())


def test_an_empty_project_shows_nothing_of_the_job_before_it(qtbot, window):
    """The length of the job before stayed beside the bar. What is added next is not "nothing to draw" while it is planned,
    and no total of 0 s is called an estimate."""
    models = window.models
    assert window.strip.clock.text()
    models.project.load(Document(), None)
    models.planning.plan_now()
    qtbot.waitUntil(lambda: models.planning.fresh_plan is not None, timeout=60_000)
    titles = [row.check.title for row in window.checks.rows()]
    assert window.strip.clock.text() == "" and window.strip.player.motion is None
    assert "Total" not in window.strip.estimate.whole and "Nothing to draw" in titles
    models.project.set_field("Wall width", "wall.width", 3100.0)
    assert models.planning.plan_is_stale and window.checks.rows() == []


def test_the_bar_takes_the_width_that_its_buttons_leave(qtbot, window):
    """The time at a moment once had room beside the bar, half of it, also while nothing played."""
    strip = window.strip
    assert not strip.clock.isVisible(), "the total is said already"
    beside = [strip.back, strip.play, strip.speed, strip.plots]
    width = strip.bar.width()
    assert width > strip.width() - sum(widget.width() for widget in beside) - 80
    strip.player.seek(strip.player.length / 2)
    qtbot.waitUntil(strip.clock.isVisible)
    qtbot.wait(50)
    assert " / " in strip.clock.text() and strip.bar.width() == width


def test_any_speed_can_be_typed(qtbot, window):
    speed = window.strip.speed
    for text, wanted in (("7,5", 7.5), ("250×", 250.0), ("fast", 250.0), ("0", 0.1)):
        speed.setFocus()
        speed.lineEdit().selectAll()
        qtbot.keyClicks(speed.lineEdit(), text)
        qtbot.keyClick(speed.lineEdit(), Qt.Key.Key_Return)
        assert window.strip.player.speed == wanted


def test_plots_share_the_cursor(qtbot, window):
    window.parts.actions["plots"].trigger()
    plots, player = window.strip._plots, window.strip.player
    player.seek(player.length / 2)
    assert [c.value() for c in plots._cursors] == pytest.approx([player.now] * 4)
    tension = plots._curves[0][0].getData()[1]
    assert tension.max() == window.models.planning.plan.motion.tension[:, 0].max()
    belts = [plots._curves[n][0].getData()[1] for n in (-2, -1)]
    motion = window.models.planning.plan.motion
    assert [b.max() for b in belts] == pytest.approx(motion.belts.max(axis=0) / 1000)
    # Zoomed in, the curve is drawn finer, up to the samples themselves.
    plots._axes[0].setXRange(player.now, player.now + 20, padding=0)
    time = plots._curves[2][0].getData()[0]
    inside = motion.time[(motion.time >= player.now) & (motion.time <= player.now + 20)]
    assert set(inside) <= set(time)


def test_an_edit_stops_playing_and_the_new_plan_can_be_played(qtbot, window):
    player = window.strip.player
    player.set_speed(1)
    player.seek(5)
    player.play()
    window.models.project.set_field("Width", "pens.0.width", 2.5)
    assert not player.playing and not window.strip.bar.isEnabled()
    assert "Before your last change" in window.strip.estimate.text()
    qtbot.waitUntil(lambda: not window.models.planning.plan_is_stale, timeout=60_000)
    assert window.strip.bar.isEnabled() and not player.at_moment  # what was edited is seen whole
    player.play()
    assert player.playing and player.at_moment
    player.pause()


def test_times_of_the_scale_are_short_and_of_one_kind():
    assert [short(t) for t in (0, 30, 60, 120, 1800, 3600, 5400, 7200)] == [
        "0",
        "30 s",
        "1 min",
        "2 min",
        "30 min",
        "1 h",
        "1 h 30 min",
        "2 h",
    ]


@pytest.mark.parametrize("step", TICKS)
def test_every_label_of_the_scale_says_its_own_time_exactly(step):
    """Ticks of 30 s once read 1 min, 2 min (at 90 s), 2 min."""
    seconds = {"h": 3600, "min": 60, "s": 1}
    for time in range(step, 20 * step, step):
        words = short(time).split()
        numbers, units = words[::2], words[1::2]
        assert sum(int(n) * seconds[u] for n, u in zip(numbers, units, strict=True)) == time
        assert 1 <= len(units) <= 2, "two parts leave the ticks their room"


def test_plots_leave_the_wall_its_room_and_close_with_their_window(qtbot, window):
    before = window.size(), window.canvas.height()
    window.parts.actions["plots"].trigger()
    plots = window.strip._plots
    assert plots.isWindow() and plots.isVisible()
    assert (window.size(), window.canvas.height()) == before
    plots.resize(400, 300)
    assert plots.size().toTuple() == (400, 300)
    plots.close()
    assert not window.strip.plots.isChecked()
    window.parts.actions["plots"].trigger()
    assert plots.isVisible()


@pytest.mark.parametrize("width", [1280, 1366])
def test_every_pen_has_its_time_on_a_small_screen(qtbot, window, width):
    window.resize(width, 720)
    strip, plan = window.strip, window.models.planning.plan
    qtbot.waitUntil(lambda: window.width() == width)
    shown = html.unescape(strip.estimate.text()).replace("\u00a0", " ")
    times = [duration(p.drawing_s + p.travel_s + p.lifting_s) for p in plan.estimate.per_pen]
    assert len(times) > 3 and all(time in shown for time in times) and "…" not in shown


def test_the_bar_keeps_its_width_when_playing_begins(qtbot, window):
    width = window.strip.bar.width()
    window.strip.player.seek(60.0)
    qtbot.waitUntil(window.strip.number.isVisible)
    qtbot.wait(50)
    assert window.strip.bar.width() == width


def test_all_speeds_are_read_whole(qtbot, window):
    line = window.strip.speed.lineEdit()
    for text in ("1000×", "10000×"):
        line.setText(text)
        room = line.width() - line.textMargins().left() - line.textMargins().right() - 2 * 2  # Qt's own margin
        assert line.fontMetrics().horizontalAdvance(text) <= room
