"""Lines of ink are crisp with the whole wall in view; fills and pictures keep their tone."""

import numpy as np
import pytest
from PySide6.QtGui import QColor

from tests.support.drawings import made_up_drawing
from tests.support.experienced import ExperiencedRunner
from tests.support.pictures import channels
from tests.support.windows import scripted_window
from wallwright.planning.examples import frieze, portrait
from wallwright.planning.plan import Goal, Request
from wallwright.strokes.strokes import Strokes
from wallwright.window.canvas.ink_display import paler


def shown(qtbot, document, folder):
    """A window on a document whose ink is known, in a laptop's size."""
    window, planner = scripted_window(qtbot, document, folder)
    window.resize(1366, 720)
    window.models.planning.plan_now()
    planner.answer(final=False, preview=ExperiencedRunner().run(Request(1, document, Goal.PREVIEW)).preview)
    window.models.planning.receive()
    window.canvas.fit()
    qtbot.waitUntil(lambda: window.canvas.grab() is not None and window.canvas.ink.is_complete, timeout=30_000)
    return window


def colours_of(window, hanging: int) -> np.ndarray:
    """(n, 3) of 0 to 255: the canvas at points of a hanging's lines, away from all that is drawn over ink."""
    canvas, preview = window.canvas, window.models.planning.preview
    pixels = channels(canvas.grab().toImage())[..., :3] * 255
    points = preview.by_hanging[hanging].strokes.points
    points = points[(points[:, 1] > 850) & (points[:, 1] < 980)]  # water, below the names of marks
    at = np.array([(p.x(), p.y()) for p in (canvas.view.to_screen(*point) for point in points.tolist())])
    return pixels[np.round(at[:, 1] - 0.5).astype(int), np.round(at[:, 0] - 0.5).astype(int)]


def distance(pixels: np.ndarray, colour: QColor) -> np.ndarray:
    return np.abs(pixels - np.array(colour.getRgb()[:3])).max(axis=1)


def test_ink_of_a_long_wall_has_its_colour_and_that_of_other_hangings_can_be_read(qtbot, tmp_path):
    """Lines of 2 mm are a fifth of a pixel here."""
    document = frieze()
    window = shown(qtbot, document, tmp_path)
    assert window.canvas.view.scale < 0.15
    ink, paper = QColor(document.pens[0].colour), QColor("#fbfaf7")
    own, other = colours_of(window, 0), colours_of(window, 2)
    assert np.median(distance(own, ink)) < 0.5 * distance(np.array([paper.getRgb()[:3]]), ink)[0]
    assert np.median(own.mean(axis=1)) + 25 < np.median(other.mean(axis=1)), "paler"
    assert np.median(other.mean(axis=1)) < 190, "and well darker than the shaded wall (220)"


@pytest.mark.parametrize("is_fill", [True, False])
def test_only_lines_by_themselves_are_widened(qtbot, tmp_path, is_fill):
    window = shown(qtbot, frieze(), tmp_path)
    strokes = made_up_drawing(200)
    strokes = Strokes(strokes.points, strokes.offsets, strokes.pen, strokes.source, np.full(len(strokes), is_fill))
    assert (window.canvas.shown._are_outlines(strokes) != is_fill).all()


def test_lines_that_make_a_picture_keep_its_tone(qtbot, tmp_path):
    window = shown(qtbot, portrait(), tmp_path)
    strokes = window.models.planning.preview.strokes
    assert len(strokes) and not strokes.is_fill.any()
    assert not window.canvas.shown._are_outlines(strokes).any()


def test_ink_of_other_hangings_stands_out_from_the_shaded_wall():
    """3 : 1 would be asked of marks (WCAG 2.2, 1.4.11) in the ink's own colour; pale ink keeps half of its contrast."""

    def luminance(colour: QColor) -> float:
        parts = np.array(colour.getRgbF()[:3])
        linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
        return float(linear @ (0.2126, 0.7152, 0.0722))

    wall, ink = QColor("#dad9d8"), QColor("#1f4e8c")
    full, pale = ((luminance(wall) + 0.05) / (luminance(colour) + 0.05) for colour in (ink, paler(ink)))
    assert full > 3.0 and pale > 1.7
