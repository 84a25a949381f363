"""Averages of fine masks, against numpy."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage, QPainter

from tests.support.pictures import channels
from wallwright.window.ink.cover import average_cover, in_colour


def mask(times: int, soft: bool) -> tuple[QImage, np.ndarray]:
    image = QImage(13 * times, 9 * times, QImage.Format.Format_Alpha8)
    image.fill(0)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, soft)
    painter.setBrush(QColor("red"))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.drawEllipse(3, 2, 10 * times, 5 * times)
    painter.end()
    return image, channels(image)[..., 3]


@pytest.mark.parametrize(("times", "soft"), [(4, False), (2, True), (3, True)])
def test_the_average_is_that_of_the_masks_pixels(times, soft):
    image, alpha = mask(times, soft)
    wanted = alpha.reshape(9, times, 13, times).mean(axis=(1, 3))
    cover = average_cover(image, times)
    assert cover.shape == (9, 13) and 0 < wanted.mean() < 1
    np.testing.assert_allclose(cover / 255, wanted, atol=1.01 / 255)


def test_a_picture_in_a_colour_covers_as_much():
    cover = np.array([[0, 128, 255], [1, 64, 200]], dtype=np.uint8)
    seen = channels(in_colour(cover, (20, 60, 200)))
    np.testing.assert_allclose(seen[..., 3] * 255, cover)
    np.testing.assert_allclose(seen[0, 2, :3] * 255, (20, 60, 200))
    np.testing.assert_allclose(seen[0, 1, :3] * 255, (20, 60, 200), atol=1.5)
