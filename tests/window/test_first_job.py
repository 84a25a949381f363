"""The first page brings a newcomer from nothing to a checked job that can be exported, by keys and mouse alone."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QPushButton, QToolButton

from wallwright.document.document import Document
from wallwright.jobs.checks import Verdict
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.features.start.thumbnails import picture_of
from wallwright.window.model.models import Models
from wallwright.window.widgets.number_field import NumberField

STAR = b"""<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="57mm" viewBox="0 0 100 95">
<path fill="#d02020" d="M50 0l15 32 35 4-26 24 7 35-31-18-31 18 7-35-26-24 35-4z"/></svg>"""


@pytest.fixture
def start(qtbot, tmp_path):
    window = ProjectWindow(Models.of(Document()), tmp_path / "log")
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.resize(1200, 800)
    window.show()
    window.parts.start.show()
    qtbot.waitExposed(window)
    return window


def test_from_nothing_to_a_checked_job_and_back_to_it_by_its_picture(qtbot, start, tmp_path, monkeypatch):
    file = tmp_path / "star.svg"
    file.write_bytes(STAR)
    form, models = start.parts.start.page.form, start.models
    width = next(f for f in form.findChildren(NumberField) if f.accessibleName() == "Wall width")
    width.setFocus()
    width.selectAll()
    qtbot.keyClicks(width, "3.6 m")
    qtbot.keyClick(width, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: "fits" in form.said.text(), timeout=20_000)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *args: (str(file), ""))
    index = form.artwork.findText("A file…")
    form.artwork.setCurrentIndex(index)
    form.artwork.activated.emit(index)
    assert form.artwork.currentText() == "star.svg"
    qtbot.mouseClick(form.make, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: models.planning.is_exportable, timeout=60_000)
    assert not start.parts.start.is_shown and models.project.document.wall.width == 3600
    assert all(check.verdict is not Verdict.ERROR for check in models.planning.plan.checks)
    assert models.planning.plan.estimate.total_s > 0 and start.parts.actions["export"].isEnabled()
    # Saved and left, it is on the first page with its picture, and one click brings it back.
    project = tmp_path / "star.wallwright"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *args: (str(project), ""))
    start.parts.actions["save"].trigger()
    saved = models.project.document
    start.parts.actions["start"].trigger()
    picture = picture_of(project).toImage()
    colours = [picture.pixelColor(x, y) for x in range(picture.width()) for y in range(picture.height())]
    dark = [c for c in colours if c.alpha() > 200 and c.lightness() < 90]  # the star in the black marker
    assert 20 < len(dark) < len(colours) / 4
    button = next(b for b in start.parts.start.page.findChildren(QToolButton) if b.accessibleName() == "Open star")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not start.parts.start.is_shown, timeout=20_000)
    assert models.project.document == saved and models.project.path == project


def test_what_cannot_be_is_said_before_anything_is_made(qtbot, start):
    form = start.parts.start.page.form
    apart = next(f for f in form.findChildren(NumberField) if f.accessibleName() == "Distance between anchors")
    apart.setFocus()
    apart.selectAll()
    qtbot.keyClicks(apart, "9 m")
    qtbot.keyClick(apart, Qt.Key.Key_Return)
    form.look()
    assert form.said.text() and not form.make.isEnabled() and start.parts.start.is_shown
    assert isinstance(form.make, QPushButton)
