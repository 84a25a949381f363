"""Single-line lettering: one run of the pen a stroke.

Letters: A. V. Hershey, Calligraphy for Computers, 1967; N. M. Wolcott and J. Hilsenrath, A Contribution to Computer
Typesetting Techniques: Tables of Coordinates for Hershey's Repertory of Occidental Type Fonts and Graphic Symbols, NBS
Special Publication 424, 1976 (public domain). Read through the Hershey-Fonts package.
"""

from __future__ import annotations

import functools
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from wallwright.artwork.generated.more_letters import TABLES, Glyph, composed
from wallwright.document.arrays import Flags, Floats, Points
from wallwright.document.generated_artwork import LetterStyle

SOURCES: dict[LetterStyle, str] = {
    "plain": "futural",
    "bold": "futuram",
    "roman": "timesr",
    "italic": "timesi",
    "script": "scripts",
    "ornate": "scriptc",
    "gothic": "gothgbt",
}
CAP, BASE = -12.0, 9.0
"""Top and foot of capitals in the tables' units, y down."""
LONG = 7.0
"""A line longer than this, in the tables' units, is meant straight; shorter ones stand for a curve."""
SHARP = np.radians(55)
"""A turn of more than this is meant as a corner."""
PIECES = 6
"""Chords a curved line is drawn in."""
INSTEAD = {
    "ß": "ss",
    "æ": "ae",
    "Æ": "AE",
    "œ": "oe",
    "Œ": "OE",
    "“": '"',
    "”": '"',
    "„": '"',
    "–": "-",
    "—": "-",
    "−": "-",
    "…": "...",
    "\u00a0": " ",
    "\u202f": " ",
    "ı": "i",
}
WORTH_TELLING = "ßæÆœŒ"
"""Of these, what a person would take for a mistake."""


def _arc(points: Sequence[tuple[float, float]]) -> Points:
    return np.array(points, float)


ACCENTS = {
    "\u0300": [_arc([(-3, -4), (1, 0)])],
    "\u0301": [_arc([(3, -4), (-1, 0)])],
    "\u0302": [_arc([(-3, 0), (0, -4), (3, 0)])],
    "\u030c": [_arc([(-3, -4), (0, 0), (3, -4)])],
    "\u0303": [_arc([(-4, -1), (-2, -3), (0, -2), (2, -1), (4, -3)])],
    "\u0308": [_arc([(-3, -3), (-3, -2)]), _arc([(3, -3), (3, -2)])],
    "\u030a": [_arc([(0, 0), (-2, -2), (0, -4), (2, -2), (0, 0)])],
    "\u0304": [_arc([(-3, -2), (3, -2)])],
    "\u0306": [_arc([(-3, -4), (-1, -2), (1, -2), (3, -4)])],
    "\u0307": [_arc([(0, -3), (0, -2)])],
    "\u030b": [_arc([(0, -4), (-3, 0)]), _arc([(5, -4), (2, 0)])],
}
"""Marks over a letter, from the middle of its top, in the tables' units; drawn here."""
BELOW = {
    "\u0327": [_arc([(0, 0), (1, 2), (0, 4), (-2, 4)])],
    "\u0328": [_arc([(2, 0), (0, 2), (1, 4), (3, 4)])],
    "\u0323": [_arc([(0, 2), (0, 3)])],
    "\u0326": [_arc([(1, 2), (1, 4), (-1, 6)])],
}


@dataclass(frozen=True)
class Letter:
    """One letter with capitals of height 1, baseline at y = 0, y down, from its own origin."""

    strokes: tuple[Points, ...]
    advance: float


@functools.lru_cache(maxsize=len(SOURCES) + 2)
def _table(name: str) -> dict[str, Any]:
    """The package's glyphs, which have no types, by character."""
    from HersheyFonts import HersheyFonts

    fonts = HersheyFonts()
    fonts.load_default_font(name)
    return dict(fonts.all_glyphs)


@functools.lru_cache(maxsize=4096)
def letter(character: str, face: LetterStyle) -> Letter | None:
    """A character's strokes; marks are put over the letters that there are. None for what there is not."""
    height = BASE - CAP
    plain, *marks = list(unicodedata.normalize("NFD", character))
    glyph = _glyph("i" if marks and plain == "ı" else plain, face)
    if glyph is None or not all(m in ACCENTS or m in BELOW for m in marks):
        return None
    strokes, left, width = glyph
    if plain in "ijіј" and any(m in ACCENTS for m in marks):
        strokes = [s for s in strokes if s[:, 1].max() > CAP / 2]  # without its dot
    if marks and strokes:
        points = np.concatenate(strokes)
        middle = (points[:, 0].min() + points[:, 0].max()) / 2
        top, foot = points[:, 1].min() - 2.5, points[:, 1].max()
        for mark in marks:
            at = (middle, top) if mark in ACCENTS else (middle, foot)
            strokes += [part + at for part in (ACCENTS.get(mark) or BELOW[mark])]
            top -= 6.0
    origin = np.array([left, BASE])
    return Letter(tuple((smoothed(s) - origin) / height for s in strokes), width / height)


def _glyph(character: str, face: LetterStyle) -> Glyph | None:
    """Of a face's own table, of another table, or put together; None for what there is nowhere."""
    own = _table(SOURCES[face]).get(character)
    if own is None and character in TABLES:
        name, key = TABLES[character]
        own = _table(name).get(key)
    if own is None:
        return composed(character, lambda part: _glyph(part, face))
    strokes = [np.array(stroke, float) for stroke in own.strokes if len(stroke)]
    return strokes, float(own.left_offset), float(own.char_width)


def letters(text: str, face: LetterStyle) -> tuple[list[Letter], str]:
    """The letters of one line, and the characters that could not be written."""
    found, missing = [], ""
    for character in unicodedata.normalize("NFC", text):
        for part in INSTEAD.get(character, character):
            one = letter(part, face)
            if one is None:
                missing += part
            else:
                found.append(one)
    return found, missing


def smoothed(points: Points) -> Floats:
    """A stroke of the tables, (n, 2), with its curves drawn as curves.

    The tables give curves as short chords that look like facets at wall size. Between corners a cubic runs through every
    point; lines that are long are meant straight, and give their direction to the curves beside them.
    In the own numbers of the tables.
    """
    steps = np.diff(points, axis=0)
    lengths = np.hypot(*steps.T)
    keep = lengths > 0
    points, steps, lengths = points[np.r_[True, keep]], steps[keep], lengths[keep]
    if len(steps) < 2:
        return points
    is_closed = bool(np.all(points[0] == points[-1]))
    ways = steps / lengths[:, None]
    turns = np.arccos(np.clip((ways * np.roll(ways, 1, axis=0)).sum(1), -1, 1))
    if not is_closed:
        turns[0] = np.pi
    straight = lengths > LONG
    out = [points[:1]]
    for i, step in enumerate(steps):
        following = (i + 1) % len(steps)
        if straight[i]:
            out.append(points[i + 1 : i + 2])
            continue
        corner_before = turns[i] > SHARP
        corner_after = turns[following] > SHARP or (not is_closed and following == 0)
        enter = ways[i] if corner_before else _tangent(ways, lengths, straight, i - 1, i)
        leave = ways[i] if corner_after else _tangent(ways, lengths, straight, i, following)
        if corner_before and not corner_after:
            enter = 2 * (ways[i] @ leave) * ways[i] - leave  # the end of an arc mirrors its other end
        elif corner_after and not corner_before:
            leave = 2 * (ways[i] @ enter) * ways[i] - enter
        t = np.linspace(0, 1, PIECES + 1)[1:, None]
        out.append(
            points[i]
            + (3 * t**2 - 2 * t**3) * step
            + lengths[i] * ((t**3 - 2 * t**2 + t) * enter + (t**3 - t**2) * leave)
        )
    return np.concatenate(out)


def _tangent(ways: Points, lengths: Floats, straight: Flags, before: int, after: int) -> Floats:
    """Direction at a point that is no corner: of a straight line beside it, else of the circle through three points."""
    if straight[before] != straight[after]:
        return np.asarray(ways[before] if straight[before] else ways[after])
    mean = ways[before] * lengths[after] + ways[after] * lengths[before]
    return np.asarray(mean / np.hypot(*mean))
