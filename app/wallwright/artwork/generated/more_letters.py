"""Letters and signs that the Latin tables lack: from other tables, or put together from letters of these.

Greek comes from Hershey's simplex table, Cyrillic from his duplex one (see lettering). Signs such as the euro's, fractions
and letters with a bar are drawn here, in the tables' units: capitals from y = -12 to their foot at 9, y down.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from wallwright.document.arrays import Points

Glyph = tuple[list[Points], float, float]
"""Strokes (n, 2) in the tables' units, the left side of the letter's room, and its width."""
Find = Callable[[str], Glyph | None]
"""From a character to the glyph that tables have of it."""

CAP, BASE, LOWER = -12.0, 9.0, -5.0
"""Top and foot of capitals, top of small letters."""

_LATIN = "ABCDEFGHIKLMNOPQRSTUWXYZ"
_GREEK = dict(zip("ΑΒΧΔΕΦΓΗΙΚΛΜΝΟΠΘΡΣΤΥΩΞΨΖ", _LATIN, strict=True))
_GREEK |= dict(zip("αβχδεφγηικλμνοπθρστυωξψζ", _LATIN.lower(), strict=True))
_GREEK |= {"ς": "s", "µ": "m", "·": "J", "°": "V", "×": "j", "÷": "v"}
_CYRILLIC = dict(zip("АБЭДФГЖИЧКЛМНОПШРСТЮВЩХУЗЕЪЯЬЦЫ", "ABCDFGHIJKLMNOPQRSTUVWXYZ[]^_`$", strict=True))
_CYRILLIC |= dict(zip("абдфгжичклмнопшрстювщхузеъяьцы", "abdfghijklmnopqrstuvwxyz{|}~%&", strict=True))

TABLES: dict[str, tuple[str, str]] = {
    **{character: ("greek", key) for character, key in _GREEK.items()},
    **{character: ("cyrillic", key) for character, key in _CYRILLIC.items()},
}
"""By character: a table of the package, and the character under which it has the letter."""

SAME = {"І": "I", "і": "i", "Ј": "J", "ј": "j", "Ѕ": "S", "ѕ": "s", "’": "'", "‘": "'"}
"""Letters of one script that look like another's."""


def composed(character: str, find: Find) -> Glyph | None:
    """A letter put together from others; None for what is none of these."""
    if character in SAME:
        return find(SAME[character])
    if character in SMALL:
        return _shrunk(find(SMALL[character]), 2 / 3, BASE)
    if character in MIRRORED:
        base = _shrunk(find("Э"), 2 / 3, BASE) if character == "є" else find("Э")
        return _mirrored(base)
    if character in TURNED:
        return _turned(find(TURNED[character]))
    if character in RAISED:
        return _shrunk(find(RAISED[character]), 0.55, -0.5)
    if character in FRACTIONS:
        return _fraction(*(find(part) for part in (FRACTIONS[character][0], "/", FRACTIONS[character][1])))
    if character in BARRED:
        letter, bar = BARRED[character]
        return _barred(find(letter), np.array(bar, dtype=float))
    if character in DOUBLED:
        return _doubled(find(DOUBLED[character]))
    return OWN.get(character)


SMALL = {"э": "Э"}
MIRRORED = "Єє"
TURNED = {"¿": "?", "¡": "!"}
RAISED = {"¹": "1", "²": "2", "³": "3", "ª": "a", "º": "o"}
FRACTIONS = {"½": "12", "¼": "14", "¾": "34"}
DOUBLED = {"«": "<", "»": ">"}
BARRED = {
    "ø": ("o", [(-0.1, 1.1), (1.1, -0.1)]),
    "Ø": ("O", [(-0.1, 1.05), (1.1, -0.05)]),
    "ł": ("l", [(-1.5, 0.62), (2.5, 0.38)]),
    "Ł": ("L", [(-0.25, 0.62), (0.45, 0.38)]),
    "đ": ("d", [(0.35, 0.15), (1.2, 0.15)]),
    "Đ": ("D", [(-0.25, 0.5), (0.45, 0.5)]),
    "Ð": ("D", [(-0.25, 0.5), (0.45, 0.5)]),
    "ħ": ("h", [(-0.25, 0.18), (0.6, 0.18)]),
    "Ħ": ("H", [(-0.15, 0.25), (1.15, 0.25)]),
    "ŧ": ("t", [(0.0, 0.62), (1.0, 0.62)]),
    "Ŧ": ("T", [(0.2, 0.5), (0.8, 0.5)]),
    "±": ("+", [(0.0, 1.15), (1.0, 1.15)]),
}
"""A letter, and the ends of its bar in shares of its box, y down."""


def _arc(middle: tuple[float, float], radii: tuple[float, float], first: float, last: float) -> Points:
    """Part of an ellipse, degrees clockwise from the right, in chords as short as the tables'."""
    angle = np.radians(np.linspace(first, last, max(3, int(abs(last - first) / 20))))
    return np.column_stack([middle[0] + radii[0] * np.cos(angle), middle[1] + radii[1] * np.sin(angle)])


def _line(*points: tuple[float, float]) -> Points:
    return np.array(points, dtype=float)


_POUND = np.concatenate([_arc((2, -7), (5, 5), -20, -180), _line((-2, 3), (-3, 6), (-6, 9), (8, 9))])
_SECTION = [
    np.concatenate([_arc((0, -8), (4, 4), -20, -200), _line((4, 0)), _arc((1, 3), (3.5, 3.5), 0, 60)]),
    np.concatenate([_line((-1, -6), (-4, -1), (4, 5)), _arc((0, 8), (4, 4), -20, 160)]),
]
_THORN = np.concatenate([_line((-5, -2)), _arc((0, 2), (6, 7), -120, 120), _line((-5, 6))])
_ETH = [_arc((0, 3), (6, 6), 0, 360), _line((6, 3), (5, -4), (1, -9), (-3, -12)), _line((-2, -6), (5, -10))]

OWN: dict[str, Glyph] = {
    "€": ([_arc((2, -1.5), (8, 10.5), -45, -315), _line((-9, -4), (4, -4)), _line((-9, 1), (3, 1))], -11.0, 21.0),
    "£": ([_POUND, _line((-6, -1), (4, -1))], -9.0, 19.0),
    "§": (_SECTION, -7.0, 14.0),
    "•": ([_arc((0, -1), (2, 2), 0, 360)], -5.0, 10.0),
    "þ": ([_line((-5, -12), (-5, 16)), _THORN], -9.0, 19.0),
    "Þ": (
        [_line((-6, -12), (-6, 9)), _line((-6, -7), (2, -7), (6, -5), (7, -2), (6, 1), (2, 3), (-6, 3))],
        -10.0,
        20.0,
    ),
    "ð": (_ETH, -9.0, 18.0),
}
"""Drawn here."""


def _shrunk(glyph: Glyph | None, share: float, foot: float) -> Glyph | None:
    """A smaller letter whose foot lies at a height."""
    if glyph is None:
        return None
    strokes, left, width = glyph
    return [(s - np.array([0.0, BASE])) * share + np.array([0.0, foot]) for s in strokes], left * share, width * share


def _mirrored(glyph: Glyph | None) -> Glyph | None:
    if glyph is None:
        return None
    strokes, left, width = glyph
    return [np.column_stack([2 * left + width - s[:, 0], s[:, 1]]) for s in strokes], left, width


def _turned(glyph: Glyph | None) -> Glyph | None:
    """Upside down, from the top of small letters down."""
    mirrored = _mirrored(glyph)
    if mirrored is None:
        return None
    strokes, left, width = mirrored
    return [np.column_stack([s[:, 0], BASE + LOWER - s[:, 1]]) for s in strokes], left, width


def _fraction(above: Glyph | None, slash: Glyph | None, below: Glyph | None) -> Glyph | None:
    above, below = _shrunk(above, 0.55, -0.5), _shrunk(below, 0.55, BASE)
    if above is None or below is None or slash is None:
        return None
    first, last = above[2], above[2] + 6 + below[2]
    strokes = [s - (above[1], 0) for s in above[0]]
    strokes.append(_line((first - 2, BASE), (first + 8, CAP)))
    strokes += [s + np.array([first + 6 - below[1], 0.0]) for s in below[0]]
    return strokes, 0.0, last


def _barred(glyph: Glyph | None, bar: Points) -> Glyph | None:
    if glyph is None or not glyph[0]:
        return None
    strokes, left, width = glyph
    points = np.concatenate(strokes)
    low, high = points.min(axis=0), points.max(axis=0)
    return [*strokes, low + bar * np.maximum(high - low, 2.0)], left, width


def _doubled(glyph: Glyph | None) -> Glyph | None:
    """Two small ones beside each other."""
    small = _shrunk(glyph, 0.5, 5.0)
    if small is None:
        return None
    strokes, left, width = small
    apart = width / 2
    return [*strokes, *(s + np.array([apart, 0.0]) for s in strokes)], left, width + apart
