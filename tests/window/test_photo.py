"""The photo of the wall: brought, straightened by four clicks, and never part of the job."""

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt, QTimer
from PySide6.QtGui import QColor, QImage, QPainter, QPolygonF
from PySide6.QtWidgets import QApplication, QFileDialog

from tests.support.hands import click, on_screen
from tests.support.opening import wait_for_files
from tests.support.pictures import channels
from wallwright.document import edits_photo
from wallwright.document.edits import replace
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.window.features.photo.straighten import StraightenDialog
from wallwright.window.model.items import PHOTO

# The door of the demo's wall as a camera that stands to the left sees it: pixels of an 800 by 600 photo.
SEEN = [(430.0, 120.0), (610.0, 80.0), (620.0, 540.0), (440.0, 470.0)]
DOOR = ((2350.0, 200.0), (3250.0, 200.0), (3250.0, 2200.0), (2350.0, 2200.0))


@pytest.fixture
def with_photo(qtbot, window, tmp_path, monkeypatch):
    image = QImage(800, 600, QImage.Format.Format_RGB32)
    image.fill(QColor("#e0d8c8"))
    painter = QPainter(image)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor("#10a010"))
    painter.drawPolygon(QPolygonF([QPointF(*p) for p in SEEN]))
    painter.end()
    path = tmp_path / "wall.png"
    assert image.save(str(path))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *a: (str(path), ""))
    window.parts.actions["photo"].trigger()
    wait_for_files(qtbot, window)
    return window


def on_wall(window, pixel) -> tuple[float, float]:
    """Where a pixel of the photo is shown before it is straightened."""
    (x0, y0), _, (x1, y1), _ = window.models.project.document.photo.places
    return x0 + (x1 - x0) * pixel[0] / 800, y0 + (y1 - y0) * pixel[1] / 600


def test_four_clicks_and_the_distances_put_the_photo_where_the_wall_is(qtbot, with_photo):
    window = with_photo
    assert window.models.selection.item == PHOTO
    window.canvas.show_zone("")
    door = window.models.project.document.wall.keep_outs[0]
    before = window.models.project.document

    def answer():
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, StraightenDialog)
        dialog.known.setCurrentIndex(dialog.known.findText(f"The corners of “{door.name}”"))
        dialog.known.activated.emit(dialog.known.currentIndex())
        dialog.accept()

    window.parts.actions["straighten"].trigger()
    for i, pixel in enumerate(SEEN):
        if i == 3:
            QTimer.singleShot(50, answer)
        click(qtbot, window, on_screen(window, *on_wall(window, pixel)))
    photo = window.models.project.document.photo
    assert np.array(photo.places) == pytest.approx(np.array(DOOR), abs=0.1)  # lengths are shown in tenths
    assert np.array(photo.seen) == pytest.approx(np.array(SEEN), abs=3)  # a pixel of the screen is more than one of it
    # What is green in the photo is now the door, all of it and nothing else.
    wall = replace(window.models.project.document.wall, keep_outs=())
    window.models.project.edit(
        "Bare", replace(window.models.project.document, wall=wall, placements=(), artworks=before.artworks)
    )
    seen = channels(window.canvas.grab().toImage())
    green = seen[..., 1] - seen[..., 0] > 0.2
    for x, y, expected in (
        (2400, 260, True),
        (3200, 2140, True),
        (2800, 1200, True),
        (2300, 1200, False),
        (2800, 140, False),
    ):
        at = on_screen(window, x, y)
        assert bool(green[at.y(), at.x()]) == expected, (x, y)


def test_distances_that_do_not_fit_are_reported_and_change_nothing(qtbot, with_photo):
    before = with_photo.models.project.document
    dialog = StraightenDialog(with_photo.models, [on_wall(with_photo, p) for p in SEEN])
    qtbot.addWidget(dialog)
    for name, text in (("diagonal", "9 m"), ("across", "here")):
        old = dialog.fields[name].text()
        dialog.fields[name].setText(text)
        dialog.accept()
        assert dialog.trouble.text() and with_photo.models.project.document == before
        dialog.fields[name].setText(old)
    dialog.fields["top"].setText("0.9 m + 0")
    dialog.reject()


def test_it_is_seen_hidden_and_removed(with_photo):
    models, canvas = with_photo.models, with_photo.canvas
    canvas.show_zone("")
    shown = canvas.grab().toImage()
    models.project.set_field("Hide", "photo.shown", False)
    hidden = canvas.grab().toImage()
    at = on_screen(with_photo, 300, 1900)
    assert shown.pixelColor(at) != hidden.pixelColor(at)
    with_photo.parts.actions["remove"].trigger()
    assert models.project.document.photo is None and len(models.project.document.artworks) == 1


def test_a_photo_that_is_none_gets_a_sentence(qtbot, window, tmp_path, monkeypatch):
    path = tmp_path / "wall.jpg"
    path.write_bytes(b"\xff\xd8\xff but no picture")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *a: (str(path), ""))
    before = window.models.project.document
    window.parts.actions["photo"].trigger()
    wait_for_files(qtbot, window)
    assert "wall.jpg" in window.bar.sentence.text() and window.models.project.document == before


def test_a_damaged_photo_in_a_project_is_reported_once_and_the_wall_is_painted(qtbot, window):
    received = []
    window.models.messages.new_message.connect(received.append)
    document = edits_photo.add_photo(window.models.project.document, "wall.png", "image/png", b"damaged", (400, 300))
    window.models.project.edit("Photo", document)
    for _ in range(3):
        window.canvas.repaint()
        qtbot.wait(20)
    assert len(received) == 1 and "wall.png" in received[0]


def test_the_job_is_the_same_with_and_without(with_photo, tmp_path):
    document = with_photo.models.project.document
    files = []
    for name, made_of in (
        ("with", document),
        ("without", replace(document, photo=None, artworks=document.artworks[:1])),
    ):
        answer = Runner().run(Request(1, made_of, Goal.EXPORT, folder=str(tmp_path / name)))
        files.append({Path(f).name: Path(f).read_bytes() for f in answer.files})
    assert files[0].keys() == files[1].keys()
    assert all(files[0][name] == files[1][name] for name in files[0])
