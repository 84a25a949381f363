"""Ink on the hanging sheet and in small pictures: pens over one another multiply, as filters of light do (Demichel's
overprint at full coverage, each ink a filter)."""

import numpy as np
import pytest
from PySide6.QtCore import QSize
from PySide6.QtGui import QColor

from tests.support.pictures import channels
from wallwright.document.pen import Pen
from wallwright.jobs.sheet.ink_picture import ink_picture
from wallwright.strokes.strokes import Strokes
from wallwright.window.ink.miniature import ink_image

RED, BLUE = "#d83030", "#3050c0"
PENS = (Pen(id="red", name="Red", colour=RED, width=4.0), Pen(id="blue", name="Blue", colour=BLUE, width=4.0))


LINES = [np.array([[0.0, y], [100.0, y]]) for y in np.arange(35, 66, 3.0)]
BANDS = (Strokes.pack(LINES, 0), Strokes.pack([line[:, ::-1] for line in LINES], 1))
"""A red band across and a blue one down; they cross in the middle of 100 mm."""


def on_white(image) -> np.ndarray:
    """(h, w, 3) of 0 to 1."""
    pixels = channels(image)
    return pixels[..., :3] * pixels[..., 3:] + 1 - pixels[..., 3:]


def rgb(colour: str) -> np.ndarray:
    return np.array(QColor(colour).getRgbF()[:3])


@pytest.mark.parametrize("bands", [BANDS, BANDS[::-1]])
def test_the_sheet_shows_inks_through_one_another(bands):
    picture, place = ink_picture(Strokes.join(list(bands)), PENS, 2.0, 0.1, str)
    seen = on_white(picture)

    def at(x: float, y: float) -> np.ndarray:
        return seen[round((y - place.top()) * 2), round((x - place.left()) * 2)]

    assert at(10, 50) == pytest.approx(rgb(RED), abs=0.02)
    assert at(50, 10) == pytest.approx(rgb(BLUE), abs=0.02)
    assert at(50, 50) == pytest.approx(rgb(RED) * rgb(BLUE), abs=0.02)
    assert at(10, 10) == pytest.approx(1.0)


def test_so_do_small_pictures():
    seen = on_white(ink_image(Strokes.join(list(BANDS)), PENS, QSize(50, 50), (0.0, 0.0), 0.5, 1.0))
    assert seen[25, 5] == pytest.approx(rgb(RED), abs=0.02)
    assert seen[25, 25] == pytest.approx(rgb(RED) * rgb(BLUE), abs=0.02)


def test_no_ink_no_picture():
    assert ink_picture(Strokes.empty(), PENS, 2.0, 0.1, str) is None
