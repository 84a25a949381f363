"""Rulers: divided as the units are, and where the wall's millimetres are on screen. 1 inch is 25.4 mm exactly
(NIST SP 811, 2008, appendix B.8), 12 inches a foot."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QPoint
from PySide6.QtGui import QImage, QPainter, QPalette, QResizeEvent

from tests.support.pictures import darkness
from wallwright.document.origin import Origin
from wallwright.window.canvas import rulers as rulers_module
from wallwright.window.canvas.rulers import APART, INCH, Rulers, label, marks_for
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import RULER
from wallwright.window.model.settings import inches_on_rulers


@given(st.floats(0.004, 60), st.booleans())
@settings(deadline=None, max_examples=300, derandomize=True)
def test_numbers_are_far_enough_apart_and_not_lonely(scale, inches):
    marks = marks_for(scale, inches)
    assert marks.step * scale >= APART - 1e-6
    assert marks.step * scale <= 2.51 * APART or marks.step == INCH / 16
    in_units = marks.step / marks.size
    if marks.unit == "in":
        assert math.log2(round(in_units, 9)).is_integer() or round(in_units, 9) == 6
    else:
        mantissa = in_units / 10 ** math.floor(math.log10(in_units) + 1e-9)
        assert min(abs(mantissa - f) for f in (1, 2, 5)) < 1e-6
    assert marks.size == {"mm": 1, "cm": 10, "m": 1000, "in": 25.4, "ft": 304.8}[marks.unit]


@pytest.mark.parametrize(
    ("scale", "inches", "unit", "text"),
    [
        (0.2, False, "m", "1.5"),
        (2.0, False, "cm", "150"),
        (20.0, False, "mm", "1500"),
        (2.0, True, "in", "59.0551"),
        (0.1, True, "ft", "4.9213"),
    ],
)
def test_units_follow_the_scale(scale, inches, unit, text):
    marks = marks_for(scale, inches)
    assert (marks.unit, label(1500.0, marks)) == (unit, text)


def test_marks_are_where_the_wall_is(window):
    """Along the rulers' inner edge every step is dark, top and left alike."""
    canvas = window.canvas
    marks = marks_for(canvas.view.scale, False)
    dark = darkness(canvas.grab().toImage())
    for k in range(1, 4):
        at = canvas.view.to_screen(k * marks.step, k * marks.step)
        for line, place in ((dark[int(RULER) - 6], at.x()), (dark[:, int(RULER) - 6], at.y())):
            near = line[round(place) - 2 : round(place) + 3]
            assert near.max() > np.median(line) + 0.3


def test_inches_are_kept(window):
    before = window.canvas.grab().toImage()
    window.parts.actions["inches"].trigger()
    assert inches_on_rulers()
    after = window.canvas.grab().toImage()
    assert before.copy(0, 0, 600, 22) != after.copy(0, 0, 600, 22)


def test_a_fitted_wall_stays_fitted_when_the_window_changes(window):
    canvas = window.canvas
    canvas.fit()
    small = canvas.view.scale
    canvas.resize(canvas.size() * 1.4)
    assert canvas.view.scale > small * 1.2
    canvas.zoom(2.0)
    view = canvas.view
    canvas.resizeEvent(QResizeEvent(canvas.size(), canvas.size()))
    assert canvas.view == view and canvas.rect().contains(QPoint(5, 5))


def test_while_the_view_pans_marks_are_copied_and_not_painted_again(qapp, monkeypatch):
    painted, paint = [], rulers_module._paint_marks
    monkeypatch.setattr(rulers_module, "_paint_marks", lambda *given: (painted.append(1), paint(*given)))
    rulers, image, palette = Rulers(), QImage(400, 300, QImage.Format.Format_RGB32), QPalette()
    for frame in range(6):
        painter = QPainter(image)
        origin = Origin("anchor", 10.0, 20.0)  # made anew for every frame, as the window does
        rulers.paint(painter, View(300.0 + 3 * frame, 100.0, 0.5), 400, 300, palette, origin=origin)
        painter.end()
    assert len(painted) == 4, "both rulers in the first frame, and their pictures in the second"


@pytest.mark.parametrize("shift", range(0, 60, 7))
def test_no_number_is_cut_at_the_ends_of_the_rulers(qapp, shift):
    """Half a number is a wrong one: ".6", or "0.5" without its minus. Columns at the ends are as empty as the ground, above
    the marks."""
    view, width, height = View(-1000.0 - 3.0 * shift, -1000.0 - 3.0 * shift, 0.2), 640, 480
    image = QImage(width, height, QImage.Format.Format_RGB32)
    painter, palette = QPainter(image), QPalette()
    Rulers().paint(painter, view, width, height, palette)
    painter.end()
    dark = darkness(image)
    edge, inner = int(RULER) + 1, int(RULER) - rulers_module.BAND - 1
    for column in (edge, width - 1):
        assert np.ptp(dark[:inner, column]) < 0.1
    for row in (edge, height - 1):
        assert np.ptp(dark[row, :inner]) < 0.1
    assert np.ptp(dark[:inner, edge:]) > 0.5 and np.ptp(dark[edge:, :inner]) > 0.5, "the others are there"
