"""Strokes outside the draw zone: marked by what they break, explained under the pointer, and told with lengths."""

import dataclasses
from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QPushButton

from tests.support.hands import hover
from tests.support.pictures import channels
from tests.window.test_colours import SEEN_BY, lightness
from wallwright.document import edits
from wallwright.document.language import Language, set_language
from wallwright.document.placing import placement_corners
from wallwright.statics.limits import PRIORITY, Limit, primary_limit
from wallwright.window.canvas import legend
from wallwright.window.canvas.limit_styles import (
    GROUND,
    LETTER_ROOM,
    PERIOD,
    LimitLetter,
    letter,
    placed_letters,
    texture,
)
from wallwright.window.canvas.view import View
from wallwright.window.panels.check_row import move_words


@pytest.fixture
def outside(qtbot, window):
    """The demo moved to where it tilts and goes slack."""
    window.models.project.edit(
        "Move", edits.set_placement(window.models.project.document, "placement-1", x=1500.0, y=1100.0)
    )
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: not window.models.planning.plan_is_stale, timeout=60_000)
    qtbot.waitUntil(lambda: window.canvas.ink.is_complete, timeout=30_000)
    return window


def pixels(image: QImage) -> np.ndarray:
    return channels(image.convertToFormat(QImage.Format.Format_RGB32))[..., :3]


@pytest.mark.parametrize("code", ["en", "de"])
def test_every_limit_has_a_texture_and_a_letter_of_its_own(code):
    set_language(Language(code))
    letters = [letter(limit) for limit in PRIORITY]
    set_language(Language())
    assert len(set(letters)) == len(letters) == len(Limit) and all(len(one) == 1 for one in letters)
    dark = {}
    for limit in PRIORITY:
        grey = pixels(texture(limit)).mean(axis=2)
        dark[limit] = grey <= grey.min() + 1e-6
        assert dark[limit].shape == (PERIOD, PERIOD) and GROUND > 0.5
    for a, b in combinations(PRIORITY, 2):
        # However a texture is shifted, an eighth of its pixels is unlike the other's.
        shifts = [np.roll(dark[a], (i, j), (0, 1)) for i in range(PERIOD) for j in range(PERIOD)]
        assert min((s != dark[b]).mean() for s in shifts) >= 0.125, (a, b)


@pytest.mark.parametrize("who", SEEN_BY)
def test_bars_stand_out_from_their_ground_for_everybody(who):
    for limit in PRIORITY:
        colours = np.unique((pixels(texture(limit)) * 255).reshape(-1, 3), axis=0)
        if len(colours) > 1:
            assert np.ptp(lightness(colours, SEEN_BY[who])) > 12, limit


def test_marks_name_only_limits_that_are_broken_where_they_are_broken(qtbot, outside):
    canvas, found = outside.canvas, outside.models.planning.preview.outside
    assert set(canvas.shown.limits) == {Limit(int(v)) for v in np.unique(primary_limit(found.broken))}
    with_marks = canvas.grab().toImage()
    outside.models.project.edit(
        "Move", edits.set_placement(outside.models.project.document, "placement-1", x=1000.0, y=900.0)
    )
    assert canvas.shown.letters() == [] and canvas.shown.limits == (), "nobody knows before it is planned"
    outside.models.project.undo()
    qtbot.waitUntil(lambda: canvas.ink.is_complete, timeout=30_000)
    assert canvas.grab().toImage() == with_marks


def test_marks_go_along_while_artwork_is_dragged(qtbot, outside):
    canvas = outside.canvas
    placement = outside.models.project.document.placements[0]
    before = [at.x() for _, at, _ in canvas.shown.letters()]
    start = canvas.view.to_screen(placement.x, placement.y).toPoint()
    qtbot.mousePress(canvas, Qt.MouseButton.LeftButton, pos=start)
    hover(outside, start - QPoint(30, 0), button=Qt.MouseButton.LeftButton)
    hover(outside, start - QPoint(60, 0), button=Qt.MouseButton.LeftButton)
    after = [at.x() for _, at, _ in canvas.shown.letters()]
    qtbot.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=start - QPoint(60, 0))
    assert before and len(after) == len(before) and max(after) < max(before)


def test_every_letter_stands_on_a_stroke_that_breaks_its_limit(qtbot, outside):
    """However small the wall is seen: none is pushed aside to where strokes are fine."""
    canvas = outside.canvas
    canvas.zoom(0.5)
    preview = outside.models.planning.preview
    pieces, most = preview.outside.pieces, primary_limit(preview.outside.broken)
    placed = placed_letters(canvas.view, canvas.shown.letters())
    assert {one.limit for one in placed} == set(canvas.shown.limits)
    for one in placed:
        points = pieces.points[np.repeat(most == one.limit, np.diff(pieces.offsets))]
        x, y = canvas.view.to_wall(one.at if one.stroke is None else one.stroke)
        assert np.hypot(*(points - (x, y)).T).min() * canvas.view.scale < 10
    assert all((a.at - b.at).manhattanLength() >= LETTER_ROOM for a, b in combinations(placed, 2))


def test_limits_that_one_stroke_has_in_common_keep_their_letters_beside_it():
    """The first stands on the stroke, the others right beside it with a line; more of a limit that is named are left out."""
    stroke = QPointF(100.0, 100.0)
    letters = [LimitLetter(limit, stroke) for limit in (Limit.SLACK, Limit.TILT, Limit.EDGE, Limit.TILT)]
    first, *rest = placed_letters(View(0.0, 0.0, 0.5), letters)
    assert first.at == QPointF(50.0, 50.0) and first.stroke is None
    assert [one.limit for one in rest] == [Limit.TILT, Limit.EDGE]
    for one in rest:
        assert one.stroke == first.at and LETTER_ROOM <= (one.at - first.at).manhattanLength() < 2.5 * LETTER_ROOM


def test_pointing_at_a_marked_piece_tells_the_limit_and_by_how_much(qtbot, outside):
    canvas, received = outside.canvas, []
    canvas.hovered.connect(received.append)
    pieces = outside.models.planning.preview.outside.pieces
    farthest = pieces.points[int(np.argmax(pieces.points[:, 0]))]
    at = canvas.view.to_screen(*farthest).toPoint()
    for place in (QPoint(60, 60), at + QPoint(1, 1), at):
        qtbot.mouseMove(canvas, place)
    least = outside.models.project.document.machine.limits.least_tension
    assert "Left belt would go slack" in received[-1] and f"at least {least:.2f} N" in received[-1]
    text = canvas.machine_shown().limit_text(canvas.zone.picture)
    away = float(text.partition("begins ")[2].split()[0])
    assert "The draw zone begins" in text and 0 < away < 400
    for place in (QPoint(60, 60), QPoint(62, 62)):
        qtbot.mouseMove(canvas, place)
    assert "would" not in received[-1]


def test_the_check_tells_metres_for_each_limit_and_shows_where(qtbot, outside):
    check = next(c for c in outside.models.planning.plan.checks if c.id == "zone")
    pieces, broken = (
        outside.models.planning.preview.outside.pieces,
        outside.models.planning.preview.outside.broken,
    )
    for part in check.parts:
        mine = (broken & np.uint16(Limit[part.limit])) != 0
        assert part.metres == pytest.approx(pieces.lengths()[mine].sum() / 1000)
        assert f"{part.metres:.2f} m because" in check.text
    assert [Limit[p.limit] for p in check.parts] == [t for t in PRIORITY if (broken & np.uint16(t)).any()]
    last = check.parts[-1]
    buttons = outside.checks.findChildren(QPushButton)
    (button,) = [b for b in buttons if b.accessibleName().startswith(f"{last.metres:.2f} m because")]
    button.click()
    left, top, right, bottom = last.place
    corners = (outside.canvas.view.to_screen(left, top), outside.canvas.view.to_screen(right, bottom))
    assert all(outside.canvas.rect().contains(c.toPoint()) for c in corners)
    texts = [b.text().replace("\n", " ") for b in buttons]
    assert move_words(check.move) in texts and "Shrink to fit" not in texts, "one remedy; the others in a menu"
    more = next(b for b in buttons if b.menu() is not None)
    assert {"Shrink to fit", "Clip", "Better anchors"} <= {a.text() for a in more.menu().actions()}


def test_the_legend_names_limits_too_whose_marks_all_lie_under_others(qtbot, outside, monkeypatch):
    """At every point the more important limit is marked: where the body would leave the wall, lost steps never are."""
    canvas, planning = outside.canvas, outside.models.planning
    broken = planning.preview.outside.broken
    assert all((int(np.bitwise_or.reduce(broken)) & limit != 0) is (limit in named(canvas)) for limit in Limit)
    both = np.full_like(broken, np.uint16(Limit.EDGE | Limit.LOST_STEPS))
    hidden = dataclasses.replace(planning.preview.outside, broken=both)
    planning.preview = dataclasses.replace(planning.preview, outside=hidden)
    planning.preview_changed.emit()
    assert canvas.shown.limits == (Limit.EDGE,) and canvas.shown.hidden_limits == (Limit.LOST_STEPS,)
    letters = []
    monkeypatch.setattr(legend, "paint_swatch", lambda painter, box, limit: letters.append(limit))
    canvas.grab()
    assert letters == [Limit.EDGE, Limit.LOST_STEPS]


def named(canvas) -> tuple[Limit, ...]:
    return canvas.shown.limits + canvas.shown.hidden_limits


def test_the_legend_stands_where_it_hides_no_artwork_while_there_is_such_a_corner(qtbot, outside):
    canvas, document = outside.canvas, outside.models.project.document
    wall = document.wall
    drawn = canvas._painting._legend
    for x, y in ((wall.right, wall.floor), (wall.right, wall.top), (wall.left, wall.top)):
        moved = edits.set_placement(outside.models.project.document, "placement-1", x=x, y=y)
        outside.models.project.edit("Move", moved)
        outside.models.planning.preview_changed.emit()
        canvas.shown._mark_outside(outside.models.planning.preview)
        canvas.grab()
        box = drawn.box
        corners = placement_corners(moved.placements[0])
        frame = QRectF(canvas.view.to_screen(*corners.min(axis=0)), canvas.view.to_screen(*corners.max(axis=0)))
        assert not box.intersects(frame), (x, y)
