"""Colours for those who see fewer: the draw zone's map and the marks stay apart without red and green.

Simulation of dichromacy: Machado, Oliveira and Fernandes, "A Physiologically-based Model for Simulation of Color Vision
Deficiency", IEEE TVCG 15 (2009), the matrices of severity 1 for linear sRGB (copied from memory; each row sums to 1,
which the test checks). Lightness: CIE 15:2018, L* of 1976; sRGB: IEC 61966-2-1:1999.
"""

import numpy as np
import pytest

from wallwright.window.canvas.colour_map import STEPS, colours_of

SEEN_BY = {
    "all": np.eye(3),
    "protanope": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deuteranope": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritanope": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
    "no colour at all": np.tile([0.2126, 0.7152, 0.0722], (3, 1)),
}


def lightness(rgb: np.ndarray, matrix: np.ndarray) -> np.ndarray:
    """L* of (n, 3) sRGB bytes as somebody sees them."""
    c = rgb / 255.0
    linear = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    y = np.clip(linear @ matrix.T, 0, 1) @ [0.2126, 0.7152, 0.0722]
    return np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, y * 24389 / 27)


@pytest.mark.parametrize("who", SEEN_BY)
def test_the_zone_map_rises_in_lightness_for_everybody(who):
    matrix = SEEN_BY[who]
    assert matrix.sum(axis=1) == pytest.approx(1, abs=1e-5)
    found = lightness(colours_of(np.linspace(0, 1, STEPS)), matrix)
    steps = np.diff(found)
    assert (steps > 3).all()  # a just noticeable difference is about 1 (CIE 15:2018)
    assert steps.max() < 3 * steps.min()
