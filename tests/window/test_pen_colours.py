"""Colours of new pens: as derived. CIELAB: CIE 15:2018, equations 8.3 to 8.12; sRGB: IEC 61966-2-1:1999 (from memory)."""

import numpy as np
import pytest

from wallwright.window.model.colour_pens import USUAL

TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
WHITE = TO_XYZ.sum(axis=1)


def lab(colour: str) -> np.ndarray:
    c = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    t = TO_XYZ @ np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4) / WHITE
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def in_srgb(lightness: float, chroma: float, hue: float) -> bool:
    fy = (lightness + 16) / 116
    f = np.array([fy + chroma * np.cos(hue) / 500, fy, fy - chroma * np.sin(hue) / 200])
    xyz = WHITE * np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29))
    linear = np.linalg.solve(TO_XYZ, xyz)
    return bool((linear > -1e-3).all() and (linear < 1 + 1e-3).all())


def test_new_pens_are_evenly_spaced():
    """Eight hues 45 degrees apart, of one lightness, with the chroma that is said; a byte is up to 0.4 of a unit."""
    seen = np.array([lab(colour) for colour in USUAL[:8]])
    hues = np.degrees(np.arctan2(seen[:, 2], seen[:, 1])) % 360
    assert sorted(hues) == pytest.approx([30 + 45 * k for k in range(8)], abs=1.0)
    assert seen[:, 0] == pytest.approx(50, abs=0.5)
    for (lightness, a, b), hue in zip(seen, np.radians(hues), strict=True):
        most = max(c for c in np.arange(10, 120, 0.5) if in_srgb(lightness, c, hue))
        assert np.hypot(a, b) == pytest.approx(min(0.9 * most, 60), abs=1.2)
    turns = np.abs(np.diff(hues))
    assert np.minimum(turns, 360 - turns).min() >= 89  # neighbours in the list
