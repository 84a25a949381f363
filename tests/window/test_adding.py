"""Words and figures from the Add menu, edited in the inspector, with real keys."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QFileDialog, QLabel

from tests.support.hands import double_click, on_screen
from wallwright.document import edits, generated_artwork
from wallwright.document.document import Document
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.items import WALL, PlacementItem
from wallwright.window.model.models import Models
from wallwright.window.model.start_proposal import first_box
from wallwright.window.panels.generated_form import GeneratedForm
from wallwright.window.widgets.number_field import NumberField


@pytest.fixture
def window(qtbot):
    window = ProjectWindow(Models.of(Document()))
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.show()
    qtbot.waitExposed(window)
    return window


def words_of(window) -> generated_artwork.TextArtwork:
    return generated_artwork.generated_content(window.models.project.document.artworks[-1])


def test_words_are_typed_over_and_grow_on_the_wall(window, qtbot):
    window.parts.generated_artwork.words()
    form = window.findChild(GeneratedForm)
    before = window.models.project.document.placements[-1]
    qtbot.waitUntil(lambda: form.text.hasFocus() or not window.isActiveWindow())
    form.edit_text()
    qtbot.keyClicks(form.text, "High water 1962")
    qtbot.waitUntil(lambda: words_of(window).text == "High water 1962")
    after = window.models.project.document.placements[-1]
    assert after.width > 1.5 * before.width
    assert (after.x, after.y) == (before.x, before.y)
    window.models.project.undo()
    assert words_of(window).text == "Text"
    window.models.project.undo()
    assert not window.models.project.document.placements


def test_numbers_of_words_change_the_wall_and_bad_ones_are_reported(window, qtbot):
    window.parts.generated_artwork.words()
    form = window.findChild(GeneratedForm)
    size = next(f for f in form.findChildren(NumberField) if f.quantity.name == "size")
    height = window.models.project.document.placements[-1].height
    size.selectAll()
    qtbot.keyClicks(size, "2 * 15 cm")
    qtbot.keyClick(size, Qt.Key.Key_Return)
    assert words_of(window).size == pytest.approx(300.0)
    assert window.models.project.document.placements[-1].height == pytest.approx(
        height * 300 / generated_artwork.TextArtwork("x", size=80.0).size, rel=0.3
    )
    received = []
    window.models.messages.new_message.connect(received.append)
    radius = next(f for f in form.findChildren(NumberField) if f.quantity.name == "radius")
    radius.selectAll()
    qtbot.keyClicks(radius, "20")
    qtbot.keyClick(radius, Qt.Key.Key_Return)
    assert "larger radius" in received[0]
    assert words_of(window).radius == 0.0


def test_a_frame_goes_around_the_selected_artwork(window):
    window.parts.generated_artwork.figure("square")
    square = window.models.project.document.placements[-1]
    window.parts.generated_artwork.figure("frame")
    frame = window.models.project.document.placements[-1]
    assert (frame.x, frame.y) == (square.x, square.y)
    assert frame.width == pytest.approx(square.width + 60)


@pytest.mark.parametrize("kind", ["grid", "ruler"])
def test_every_figure_and_the_chart_become_strokes(window, qtbot, kind):
    window.parts.generated_artwork.figure(kind)
    window.parts.generated_artwork.chart()
    window.models.planning.plan_now()
    qtbot.waitUntil(
        lambda: window.models.planning.preview is not None and not window.models.planning.is_planning,
        timeout=60_000,
    )
    reports = window.models.planning.preview.reports
    assert len(reports) == 2 and all(r.colours and r.colours[0].pen == 0 for r in reports)


def test_what_arrives_while_typing_leaves_the_cursor_in_the_words(window, qtbot):
    window.parts.generated_artwork.words()
    form = window.findChild(GeneratedForm)
    window.models.planning.plan_now()
    qtbot.waitUntil(
        lambda: window.models.planning.preview is not None and not window.models.planning.is_planning,
        timeout=60_000,
    )
    assert window.findChild(GeneratedForm) is form
    qtbot.keyClicks(form.text, "Tide")
    qtbot.waitUntil(lambda: words_of(window).text == "Tide")
    assert [w for w in window.findChildren(QLabel) if w.text() == "<b>Tide</b>"]


def test_choosing_a_pen_by_keys_keeps_the_cursor_there(window, qtbot):
    window.parts.editing.add_pen()
    window.parts.generated_artwork.figure("square")
    window.models.planning.plan_now()
    qtbot.waitUntil(
        lambda: window.models.planning.preview is not None and not window.models.planning.is_planning,
        timeout=60_000,
    )
    pens = next(b for b in window.findChildren(QComboBox) if b.accessibleName() == "Pen")
    pens.setFocus()
    name = pens.accessibleName()
    qtbot.keyClick(pens, Qt.Key.Key_Down)
    assert window.models.project.document.placements[0].inks
    qtbot.waitUntil(lambda: window.models.planning.preview.reports[0].colours[0].chosen, timeout=60_000)
    qtbot.waitUntil(lambda: (w := window.focusWidget()) is not None and w.accessibleName() == name)


def test_pictures_that_an_svg_links_to_come_along(window, qtbot, tmp_path):
    from PySide6.QtGui import QImage

    image = QImage(8, 8, QImage.Format.Format_RGB32)
    image.fill(0)
    assert image.save(str(tmp_path / "boat.png"))
    svg = tmp_path / "with boat.svg"
    svg.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 9 9">'
        '<image href="boat.png" width="8" height="8"/></svg>'
    )
    window.models.imports.add_files([svg])
    qtbot.waitUntil(lambda: bool(window.models.project.document.placements), timeout=20_000)
    assert b"data:image/png" in window.models.project.document.artworks[0].data
    placed = window.models.project.document.placements[0]
    assert (placed.width, placed.height) == pytest.approx((200.0, 200.0))


def test_the_first_artwork_is_as_large_as_fits_and_others_have_the_usual_size(window, qtbot, tmp_path, monkeypatch):
    """From the tool bar, as in the guided start."""
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60"><path d="M0 0h90v60h-90z"/></svg>'
    for name in ("one.svg", "two.svg"):
        (tmp_path / name).write_text(svg)
    chosen = [str(tmp_path / name) for name in ("one.svg", "two.svg")]
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *given: (chosen, ""))
    window.parts.actions["add-artwork"].trigger()
    qtbot.waitUntil(lambda: len(window.models.project.document.placements) == 2)
    first, second = window.models.project.document.placements
    left, top, right, bottom = first_box(Document(), 0, 60 / 90)
    assert (first.width, first.height) == pytest.approx((right - left, bottom - top), abs=1.0)
    assert (first.x, first.y) == pytest.approx(((left + right) / 2, (top + bottom) / 2))
    usual = edits.add_artwork(Document(), "two.svg", "image/svg+xml", svg.encode(), (90.0, 60.0))[1]
    assert second.width == pytest.approx(usual.width) and second.width != first.width


def test_a_double_click_on_words_goes_to_their_text(window, qtbot):
    window.parts.generated_artwork.words()
    window.models.planning.plan_now()
    qtbot.waitUntil(
        lambda: not window.models.planning.plan_is_stale and not window.models.planning.is_planning,
        timeout=60_000,
    )
    placement = window.models.project.document.placements[-1]
    window.models.selection.select(WALL)
    # On ink beside the middle, where the starting point is.
    points = window.models.planning.preview.strokes.points
    at = points[np.argmin(np.abs(points[:, 0] - (placement.x - placement.width / 3)))]
    window.canvas.look_at((800.0, 700.0, 1200.0, 900.0))
    double_click(qtbot, window, on_screen(window, *at))
    assert window.models.selection.item == PlacementItem(placement.id) and window.canvas.pointer.drag is None
    form = window.findChildren(GeneratedForm)[-1]
    qtbot.waitUntil(lambda: form.text.hasFocus() or not window.isActiveWindow())
    assert form.text.textCursor().selectedText() == "Text"
