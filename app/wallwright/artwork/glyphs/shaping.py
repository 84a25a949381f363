"""Characters to glyphs in visual order: ligatures, kerning, marks, right-to-left scripts, by HarfBuzz."""

from __future__ import annotations

import functools
import itertools
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from fontTools.unicodedata import script

from wallwright.artwork.glyphs.bidi_levels import levels_of, visual_order
from wallwright.artwork.glyphs.fonts import FontFace, FontRequest, face_of
from wallwright.artwork.glyphs.open_font import Point
from wallwright.artwork.svg.curves import polylines
from wallwright.document.arrays import Points

FLATNESS = 1e-4
"""How far chords may leave a letter's curves, of its size: 0.1 mm on a letter a metre high."""
NO_GLYPH = 0
"""Number of the glyph that stands for what a font has not (OpenType, 'glyf' table: .notdef)."""
UNSEEN = ("Cc", "Cf", "Zs", "Zl", "Zp")
"""General categories of characters that draw nothing (Unicode Standard, 4.5)."""
JOINERS = " \u200d\u200c"
"""Drawn in the font of the letter before them."""
NO_SCRIPT = ("Zyyy", "Zinh", "Zzzz")
"""Common, Inherited and Unknown (Unicode Standard Annex 24)."""

Rings = tuple[Points, ...]


@dataclass(frozen=True)
class Cluster:
    """Characters that are drawn as one: a letter, a ligature, a letter with its marks."""

    start: int
    """Index of its first character."""
    count: int
    advance: float
    """Of the letter's size."""
    face: FontFace
    rings: Rings
    """Closed rings, (n, 2), letter's size 1, y down, from the cluster's origin on the baseline."""
    is_rtl: bool
    missing: str = ""
    """Characters that no font has: a gap is left in their place, never the font's box."""


@dataclass(frozen=True)
class _Run:
    """Characters that are shaped together: one font, one direction, one script."""

    first: int
    last: int
    face: FontFace
    wanted: FontRequest
    level: int
    script: str


def shaped(text: str, wanted: Sequence[FontRequest], is_rtl: bool = False) -> list[Cluster]:
    """Clusters of a line of text from left to right. wanted: the font of each character. Raises NoFonts."""
    runs = _runs(text, wanted, is_rtl)
    codes = [ord(c) for c in text]
    return [cluster for k in visual_order([run.level for run in runs]) for cluster in _clusters(codes, runs[k])]


def _runs(text: str, wanted: Sequence[FontRequest], is_rtl: bool) -> list[_Run]:
    """In the order of the text."""
    faces: list[FontFace] = []
    for i, (character, want) in enumerate(zip(text, wanted, strict=True)):
        joins = i > 0 and wanted[i - 1] == want and (_is_mark(character) or character in JOINERS)
        faces.append(faces[-1] if joins and faces[-1].has(character) else face_of(want, character))
    levels, scripts = levels_of(text, is_rtl), _scripts(text)
    looks = [(w.features, w.kerning) for w in wanted]
    cuts = [
        i
        for i in range(1, len(text))
        if faces[i] is not faces[i - 1]
        or levels[i] != levels[i - 1]
        or scripts[i] != scripts[i - 1]
        or looks[i] != looks[i - 1]
    ]
    return [
        _Run(i, j, faces[i], wanted[i], levels[i], scripts[i])
        for i, j in itertools.pairwise([0, *cuts, len(text)] if text else [])
    ]


def _scripts(text: str) -> list[str]:
    """The script of each character (ISO 15924); what belongs to none goes with what is before it, else after it."""
    if text.isascii():
        return ["Latn"] * len(text)
    own = [str(script(c)) for c in text]
    first = next((s for s in own if s not in NO_SCRIPT), "Latn")
    found: list[str] = []
    for one in own:
        found.append((found[-1] if found else first) if one in NO_SCRIPT else one)
    return found


def _clusters(codes: list[int], run: _Run) -> list[Cluster]:
    """From left to right."""
    features = dict(run.wanted.features)
    if not run.wanted.kerning:
        features["kern"] = 0
    is_rtl = run.level % 2 == 1
    glyphs = run.face.font.shape(codes, run.first, run.last, run.script, is_rtl, features)
    starts = sorted({glyph.cluster for glyph in glyphs})
    ends = dict(zip(starts, [*starts[1:], run.last], strict=True))
    found, units = [], run.face.font.units
    for start, group in itertools.groupby(glyphs, key=lambda glyph: glyph.cluster):
        rings: list[Points] = []
        pen = 0.0
        missing = ""
        for glyph in group:
            if glyph.glyph == NO_GLYPH:
                unknown = "".join(map(chr, codes[start : ends[start]]))
                missing = "".join(c for c in unknown if unicodedata.category(c) not in UNSEEN)
            offset = np.array([pen + glyph.x_offset, -glyph.y_offset]) / units
            if glyph.glyph != NO_GLYPH:
                rings += [ring + offset for ring in outline_of(run.face, glyph.glyph)]
            pen += glyph.advance
        found.append(Cluster(start, ends[start] - start, pen / units, run.face, tuple(rings), is_rtl, missing))
    return found


@functools.lru_cache(maxsize=4000)
def outline_of(face: FontFace, glyph: int) -> Rings:
    """Closed rings, (n, 2), of a glyph at size 1, y down."""
    pen = _CubicPen()
    face.font.draw(glyph, pen)
    pen.closePath()
    if not pen.cubics:
        return ()
    cubics = np.array(pen.cubics, dtype=np.float64) * (np.array([1.0, -1.0]) / face.font.units)
    lines = polylines(cubics, np.array(pen.straight), np.array(pen.lengths), [True] * len(pen.lengths), FLATNESS)
    return tuple(points for points, _ in lines if len(points) >= 3)


class _CubicPen:
    """Takes a glyph's outline as cubics (the protocol of fontTools' pens)."""

    def __init__(self) -> None:
        self.cubics: list[tuple[Point, Point, Point, Point]] = []
        self.straight: list[bool] = []
        self.lengths: list[int] = []
        """Cubics of each ring."""
        self._here: Point = (0.0, 0.0)
        self._start: Point = (0.0, 0.0)
        self._first = 0

    def moveTo(self, to: Point) -> None:
        self.closePath()
        self._here = self._start = to

    def lineTo(self, to: Point) -> None:
        self._add(self._here, to, to, is_straight=True)

    def qCurveTo(self, control: Point, to: Point) -> None:
        (x0, y0), (x1, y1), (x2, y2) = self._here, control, to
        self._add(
            (x0 + (x1 - x0) * 2 / 3, y0 + (y1 - y0) * 2 / 3),
            (x2 + (x1 - x2) * 2 / 3, y2 + (y1 - y2) * 2 / 3),
            to,
        )

    def curveTo(self, first: Point, second: Point, to: Point) -> None:
        self._add(first, second, to)

    def closePath(self) -> None:
        if len(self.cubics) > self._first:
            if self._here != self._start:
                self.lineTo(self._start)
            self.lengths.append(len(self.cubics) - self._first)
            self._first = len(self.cubics)
        self._here = self._start

    def endPath(self) -> None:
        self.closePath()

    def _add(self, first: Point, second: Point, to: Point, is_straight: bool = False) -> None:
        self.cubics.append((self._here, first, second, to))
        self.straight.append(is_straight)
        self._here = to


def _is_mark(character: str) -> bool:
    return unicodedata.category(character)[0] == "M"
