"""Kerning of single-line letters, whose tables have none: pairs that leave more white between them than others move closer.

The white between two letters is measured in bands of height, each counted up to a limit, because the eye does not take a
gap for wider that is open to the side. Pairs of plain letters set what is even (Kindersley, "Optical Letter Spacing",
1976: letters are evenly spaced when the white between them is).
"""

from __future__ import annotations

import functools

import numpy as np
from scipy.ndimage import minimum_filter1d

from wallwright.artwork.generated.lettering import Letter, letter
from wallwright.document.arrays import Flags, Floats
from wallwright.document.generated_artwork import LetterStyle

BAND = 0.05
"""Height of a band; this and all lengths here in heights of capitals."""
TOP, FOOT = -1.25, 0.35
DEEPEST = 0.7
"""White counted in a band at most."""
EVEN = (("H", "H"), ("n", "n"), ("o", "o"), ("O", "O"), ("n", "o"), ("H", "O"), ("H", "o"))
"""Pairs that need no kerning in any text face; the widest of them is the measure."""
MOST = 0.3
"""By which a letter moves at most."""
NEAR = 2
"""Bands above and below that count for how near two letters come."""
CLOSEST = 0.75
"""Of the white between even pairs where they come nearest: as near as letters come that move together."""
LEAST = 0.03
"""Moves smaller than this are left out: they would be seen in no word and make even pairs uneven."""
JOINED = ("script", "ornate")
"""Faces whose letters join: they stay where the tables have them."""


def kerning(first: str, second: str, style: LetterStyle) -> float:
    """How far the second of two characters moves towards the first, 0 or below, in heights of capitals."""
    if style in JOINED or (first.isdigit() and second.isdigit()):
        return 0.0
    return _kerning(first, second, style)


@functools.lru_cache(maxsize=8192)
def _kerning(first: str, second: str, style: LetterStyle) -> float:
    white = _white(first, second, style)
    if white is None:
        return 0.0
    mean, least = _even(style)
    wanted = min(white[0] - mean, MOST, white[1] - CLOSEST * least)
    return -wanted if wanted >= LEAST else 0.0


@functools.cache
def _even(style: LetterStyle) -> tuple[float, float]:
    """The widest mean white of even pairs, and how near the nearest of them come."""
    whites = [white for first, second in EVEN if (white := _white(first, second, style)) is not None]
    return max(mean for mean, _ in whites), min(nearest for _, nearest in whites)


def _white(first: str, second: str, style: LetterStyle) -> tuple[float, float] | None:
    """Mean width of the white between two letters, and how near they come; None where one has no ink."""
    a, b = letter(first, style), letter(second, style)
    if a is None or b is None or not a.strokes or not b.strokes:
        return None
    right, left = _sides(a)[1], _sides(b)[0]
    both = np.flatnonzero(_heights(right) & _heights(left))
    if not len(both):
        return None  # one stands above the other, as a quotation mark does
    nearest = min(float((_spread(right) + left).min()), float((right + _spread(left)).min()))
    return float(np.minimum(right + left, DEEPEST)[both].mean()), nearest


def _sides(one: Letter) -> tuple[Floats, Floats]:
    """By band: the white between a letter's ink and the left and right sides of its room; infinite where it has no ink."""
    left, right = (np.full(round((FOOT - TOP) / BAND), np.inf) for _ in range(2))
    for stroke in one.strokes:
        step = np.hypot(*np.diff(stroke, axis=0).T)
        along = np.concatenate([[0.0], np.cumsum(step)])
        at = np.linspace(0, along[-1], max(2, int(along[-1] / BAND * 4)))
        x, y = (np.interp(at, along, column) for column in stroke.T)
        band = np.floor((y - TOP) / BAND).astype(np.int64).clip(0, len(left) - 1)
        np.minimum.at(left, band, x)
        np.minimum.at(right, band, one.advance - x)
    return left, right


def _heights(side: Floats) -> Flags:
    """Which bands lie between the letter's top and foot."""
    inked = np.flatnonzero(np.isfinite(side))
    number = np.arange(len(side))
    between: Flags = (number >= inked[0]) & (number <= inked[-1])
    return between


def _spread(side: Floats) -> Floats:
    """The least white in each band and those near it."""
    least: Floats = minimum_filter1d(side, 2 * NEAR + 1, mode="nearest")
    return least
