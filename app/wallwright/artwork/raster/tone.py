"""Light and lightness of colours: sRGB (IEC 61966-2-1), relative luminance, and CIE 1976 lightness (CIE 15)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Floats

LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
"""Weights of linear red, green and blue in relative luminance (ITU-R BT.709)."""


def linear(colour: npt.ArrayLike) -> Floats:
    """Light in proportion, 0 to 1, of sRGB values (...) in 0..255 (IEC 61966-2-1).

    Elementwise, (rows, columns, 3) or (n, 3).
    """
    c = np.asarray(colour, dtype=float) / 255
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def srgb(light: Floats) -> Floats:
    """sRGB values (...) in 0..255, not rounded, of light in proportion: the inverse of linear.

    Elementwise, (rows, columns, 3) or (n, 3).
    """
    return 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)


def luminance(colour: npt.ArrayLike) -> Floats:
    """Relative luminance, 0 to 1, of (..., 3) sRGB in 0..255."""
    return np.asarray(linear(colour) @ LUMINANCE)


def lightness(luminance: npt.ArrayLike) -> Floats:
    """CIE lightness, here 0 to 1, of relative luminance (...), 0 to 1 (CIE 15, 1976).

    Elementwise, (n,) or (rows, columns).
    """
    y = np.asarray(luminance, dtype=float)
    return np.where(y > (6 / 29) ** 3, 1.16 * np.cbrt(y) - 0.16, y * (29 / 3) ** 3 / 100)


def luminance_of(lightness: Floats) -> Floats:
    """Relative luminance, 0 to 1, of CIE lightness (...), 0 to 1: the inverse of lightness.

    Elementwise, (n,) or (rows, columns).
    """
    return np.where(lightness > 0.08, ((lightness + 0.16) / 1.16) ** 3, lightness * 100 * (3 / 29) ** 3)
