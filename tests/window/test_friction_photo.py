"""Reading the friction figure from a photo in the window: by itself, by dragging and by keys; what is wrong is said."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QFileDialog, QPushButton

from tests.support.figure_photos import Camera, photo
from tests.support.jobs import document_of
from wallwright.document import edits
from wallwright.document.document import Document, Pen
from wallwright.document.machine import Belt
from wallwright.planning.friction_figure import LINES, READING_SIGMA, figure_combs, read_friction
from wallwright.planning.friction_photo import corner_places
from wallwright.window.features.pens.measure_dialog import MeasurePensDialog
from wallwright.window.features.pens.photo_dialog import FrictionPhotoDialog
from wallwright.window.features.pens.photo_view import RADIUS, ZOOM

ART = b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"><path d="M0 0H9" stroke="red"/></svg>'
CAMERA = Camera(scale=4.5, size=(1000, 580), pan=0.15)


@pytest.fixture
def document() -> Document:
    found = document_of(ART, (9.0, 9.0), (1000.0, 900.0), 9.0, belt=Belt(mass=0.0))
    return edits.replace(found, pens=(Pen("a", "Black", "#202020", 1.0), Pen("b", "Red", "#c02020", 1.0)))


@pytest.fixture
def combs(document):
    return figure_combs(document, 0)[:2]


def middle_of(combs) -> np.ndarray:
    return np.mean([comb.middle for comb in combs], axis=0)


@pytest.fixture
def file(combs, tmp_path):
    """A photo of one pen's combs whose lines are off by 0.5 mm in turn."""
    way = 0.5 * np.where(np.arange(LINES) % 2 == 0, 1.0, -1.0)
    paths = [comb.path + np.repeat(np.outer(way, comb.across), 2, axis=0) for comb in combs]
    path = tmp_path / "figure.jpg"
    path.write_bytes(photo([(paths, 1.2, (32, 32, 32))], middle_of(combs), CAMERA))
    return path


def opened(qtbot, document, path) -> FrictionPhotoDialog:
    dialog = FrictionPhotoDialog(document, 0, path)
    qtbot.addWidget(dialog, before_close_func=lambda dialog: dialog.reject())
    dialog.show()
    settled(qtbot, dialog)
    return dialog


def settled(qtbot, dialog) -> None:
    """Until nothing is under way."""
    qtbot.waitUntil(lambda: not dialog.message.text().endswith("…"), timeout=60_000)


def choose(dialog, pen: str) -> None:
    dialog.pens.setCurrentText(pen)
    dialog.pens.activated.emit(dialog.pens.currentIndex())


def screen_place(dialog, place) -> QPoint:
    return dialog.view.on_screen(place).toPoint()


def test_a_photo_fills_in_the_distances(qtbot, window, document, file, monkeypatch):
    window.models.project.load(document, None)
    dialog = MeasurePensDialog(window.models, window)
    qtbot.addWidget(dialog)
    page = dialog.friction
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(file), ""))

    def agree(photo_dialog) -> bool:
        settled(qtbot, photo_dialog)
        assert not photo_dialog.use.isEnabled(), "two pens are wanted, one is there"
        choose(photo_dialog, "Red")
        settled(qtbot, photo_dialog)
        assert photo_dialog.message.text().startswith("Friction: Red: 0.")
        photo_dialog.use.click()
        return bool(photo_dialog.result())

    monkeypatch.setattr(FrictionPhotoDialog, "exec", agree)
    (button,) = (b for b in page.findChildren(QPushButton) if b.text() == "Read from a photo…")
    button.click()
    first, second = (field.text() for field in page.fields["b"])
    for text in (first, second):
        np.testing.assert_allclose([float(part) for part in text.split()], [9, 11] * 3, atol=0.08)
    assert not any(field.text() for field in page.fields["a"])
    found = page.learnt(document).pens[1]
    by_ruler = read_friction(document, 0, 1, ([9, 11] * 3, [9, 11] * 3)).pens[1]
    assert found.drag == pytest.approx(by_ruler.drag, abs=0.005)
    assert found.drag_uncertainty <= by_ruler.drag_uncertainty
    page.fields["b"][1].clear()
    by_photo = page.learnt(document).pens[1].drag_uncertainty
    page.fields["b"][0].setText("9 11 9 11 9 11.1")  # now it is a ruler's
    assert page.learnt(document).pens[1].drag_uncertainty > by_photo
    assert dialog.apply.isEnabled()
    dialog.reject()


def test_marks_are_dragged_where_the_figure_is_not_found(qtbot, document, combs, file):
    pixels = np.array(Image.open(file))
    pixels[:40] = 30  # a dark board that the photo cuts through
    Image.fromarray(np.hstack([pixels, pixels])).save(file)  # two figures: which one is meant?
    dialog = opened(qtbot, document, file)
    choose(dialog, "Black")
    settled(qtbot, dialog)
    assert "not found" in dialog.message.text() and not dialog.use.isEnabled() and dialog.reading is None
    wanted = CAMERA.seen(corner_places(combs) - middle_of(combs))
    order = np.argsort(wanted[:, 0])  # those at the left first: no mark comes to lie under another
    for number in order.tolist():
        begin = screen_place(dialog, dialog.view.marks[number])
        end = screen_place(dialog, wanted[number])
        qtbot.mousePress(dialog.view, Qt.MouseButton.LeftButton, pos=begin)
        qtbot.mouseMove(dialog.view, end)
        qtbot.mouseRelease(dialog.view, Qt.MouseButton.LeftButton, pos=end)
        settled(qtbot, dialog)
    assert dialog.reading is not None and dialog.use.isEnabled()
    for comb in dialog.reading.combs:
        np.testing.assert_allclose(comb.distances, [9, 11] * 3, atol=0.08)
        assert comb.uncertainty < READING_SIGMA


def test_marks_are_moved_by_keys(qtbot, document, file):
    dialog = opened(qtbot, document, file)
    choose(dialog, "Black")
    settled(qtbot, dialog)
    before = dialog.view.marks.copy()
    dialog.view.setFocus()
    qtbot.keyClick(dialog.view, Qt.Key.Key_2)
    dialog.view.blockSignals(True)  # reading would put the mark back where the line ends
    qtbot.keyClick(dialog.view, Qt.Key.Key_Right)
    qtbot.keyClick(dialog.view, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    np.testing.assert_allclose(dialog.view.marks - before, [[0, 0], [1, -10], [0, 0], [0, 0]])


def test_zoom_keeps_the_place_under_the_pointer(qtbot, document, file):
    from PySide6.QtCore import QPointF
    from PySide6.QtGui import QWheelEvent
    from PySide6.QtWidgets import QApplication

    dialog = opened(qtbot, document, file)
    at, beside = (screen_place(dialog, (x, 200.0)) for x in (300.0, 500.0))
    before = (beside - at).x()
    for _ in range(3):
        event = QWheelEvent(
            QPointF(at),
            QPointF(dialog.view.mapToGlobal(at)),
            QPoint(),
            QPoint(0, 120),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(dialog.view, event)
    assert (screen_place(dialog, (300.0, 200.0)) - at).manhattanLength() <= RADIUS / 3
    after = (screen_place(dialog, (500.0, 200.0)) - at).x()
    assert after == pytest.approx(before * ZOOM**3, abs=4)


@pytest.mark.parametrize(
    ("name", "image", "text"),
    [
        ("bare.png", Image.new("RGB", (900, 600), "#d8d8d0"), "was not found"),
        ("dot.png", Image.new("RGB", (1, 1), "#d8d8d0"), "was not found"),
        ("text.jpg", None, "text.jpg is not a readable picture"),
    ],
)
def test_what_cannot_be_read_gets_a_sentence(qtbot, document, tmp_path, name, image, text):
    path = tmp_path / name
    if image is None:
        path.write_text("no picture")
    else:
        image.save(path)
    dialog = opened(qtbot, document, path)
    assert text in dialog.message.text() and dialog.message.text().endswith(".")
    assert not dialog.use.isEnabled()
    if image is not None:
        dialog.view.moved.emit()  # as if a mark were let go
        settled(qtbot, dialog)
        assert dialog.message.text().endswith(".") and not dialog.use.isEnabled()


def test_closing_ends_what_is_under_way(qtbot, document, file):
    dialog = FrictionPhotoDialog(document, 0, file)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.reject()
    assert dialog.reading is None


def test_the_dialog_fits_small_screens(qtbot, document, file):
    dialog = opened(qtbot, document, file)
    dialog.resize(700, 480)
    assert dialog.minimumSizeHint().width() <= 700 and dialog.minimumSizeHint().height() <= 480
