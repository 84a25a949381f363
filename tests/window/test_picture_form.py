"""Pictures in the window: dropped, drawn in a style, seen while a slider moves, undone."""

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import Qt

from wallwright.document.document import Document
from wallwright.document.picture import CrossHatch, ScanLines
from wallwright.window.model.session import Session
from wallwright.window.panels.picture_form import PictureForm
from wallwright.window.shell.main_window import MainWindow
from wallwright.window.widgets.slider_field import SliderField


@pytest.fixture
def window(qtbot, tmp_path):
    window = MainWindow(Session(Document()), tmp_path / "log")
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.session, "saved", w.session.document))
    window.resize(1200, 800)
    window.show()
    qtbot.waitExposed(window)
    return window


@pytest.fixture
def brought(qtbot, window, tmp_path):
    """The form of a picture that was brought onto the wall."""
    path = tmp_path / "ramp.png"
    Image.fromarray(np.tile(np.linspace(30, 255, 60).astype(np.uint8), (40, 1))).save(path)
    window.session.add_files([path], (1000.0, 850.0))
    qtbot.waitUntil(
        lambda: window.session.placement_id is not None and not window.session.reading, timeout=20_000
    )
    shown(qtbot, window)
    return window.findChildren(PictureForm)[-1]


def shown(qtbot, window) -> None:
    """Until the canvas shows the document as it is."""
    session = window.session
    qtbot.waitUntil(lambda: session.preview_document is session.document, timeout=60_000)


def field(form: PictureForm, title: str) -> SliderField:
    found = [f for f in form.findChildren(SliderField) if f.quantity.title == title and f.isVisibleTo(form)]
    assert len(found) == 1
    return found[0]


def test_a_picture_is_drawn_and_its_style_changed(qtbot, window, brought):
    session = window.session
    assert len(session.preview.strokes) > 20
    box = brought._style
    box.setCurrentIndex(box.findData("scan-lines"))
    box.activated.emit(box.currentIndex())
    assert session.document.placements[0].picture.style == ScanLines()
    shown(qtbot, window)
    field(brought, "Spacing")
    assert session.preview.reports[0].colours[0].length > 0
    session.undo()
    assert session.document.placements[0].picture.style == CrossHatch()
    field(brought, "Follow the picture")


def test_the_wall_follows_a_slider_and_one_undo_takes_it_back(qtbot, window, brought):
    session = window.session
    before, length = session.document, session.preview.strokes.lengths().sum()
    lightness = field(brought, "Lightness")
    lightness.setFocus()
    for _ in range(10):
        qtbot.keyClick(lightness.slider, Qt.Key.Key_Right)
    assert session.document.placements[0].picture.lightness == pytest.approx(0.1)
    assert session.planning  # at once, not after a pause
    shown(qtbot, window)
    assert session.preview.strokes.lengths().sum() < 0.97 * length
    session.undo()
    assert session.document == before
    assert lightness.slider.value() == 100


def test_pens_are_chosen_and_choke_appears(qtbot, window, brought):
    window.editing.add_pen()
    window.session.select("placement:placement-1")
    form = window.findChildren(PictureForm)[-1]
    assert [b.isChecked() for b in form._pens.values()] == [
        True,
        False,
    ]  # without a choice the darkest one draws
    next(b for b in form._pens.values() if not b.isChecked()).click()
    assert len(window.session.document.placements[0].picture.pens) == 2
    field(form, "Choke")
