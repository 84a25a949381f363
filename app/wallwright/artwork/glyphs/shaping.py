"""Characters to glyphs in visual order: ligatures, kerning, marks, right-to-left scripts. Asks QtGui, which has HarfBuzz."""

from __future__ import annotations

import functools
import itertools
import unicodedata
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QRawFont, QTextCharFormat, QTextLayout, QTextOption

from wallwright.artwork.glyphs.fonts import EM, FontFace, FontRequest, face_of

Rings = tuple[np.ndarray, ...]


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


def shaped(text: str, wanted: list[FontRequest], is_rtl: bool = False) -> list[Cluster]:
    """Clusters of a line of text from left to right. wanted: the font of each character."""
    if not text:
        return []
    faces: list[FontFace] = []
    for i, (character, want) in enumerate(zip(text, wanted, strict=True)):
        joins = i > 0 and wanted[i - 1] == want and (_is_mark(character) or character in " \u200d\u200c")
        faces.append(faces[-1] if joins and faces[-1].has(character) else face_of(want, character))
    to_index = [i for i, c in enumerate(text) for _ in range(2 if ord(c) > 0xFFFF else 1)]
    layout = QTextLayout(text, faces[0].font)
    option = QTextOption()
    option.setFlags(QTextOption.Flag.IncludeTrailingSpaces)
    option.setWrapMode(QTextOption.WrapMode.NoWrap)
    option.setTextDirection(Qt.LayoutDirection.RightToLeft if is_rtl else Qt.LayoutDirection.LeftToRight)
    layout.setTextOption(option)
    formats, unit = [], 0
    for first, last in _stretches(faces):
        length = sum(2 if ord(c) > 0xFFFF else 1 for c in text[first:last])
        part = QTextLayout.FormatRange()
        part.start, part.length = unit, length
        style = QTextCharFormat()
        style.setFont(faces[first].font)
        part.format = style
        formats.append(part)
        unit += length
    layout.setFormats(formats)
    layout.beginLayout()
    line = layout.createLine()
    line.setLineWidth(16e6)
    line.setPosition(QPointF(0.0, 0.0))
    layout.endLayout()
    glyphs = []
    for run in line.glyphRuns(-1, -1, QTextLayout.GlyphRunRetrievalFlag.RetrieveAll):
        raw, rtl = run.rawFont(), run.isRightToLeft()
        for glyph, unit, at in zip(run.glyphIndexes(), run.stringIndexes(), run.positions(), strict=True):
            glyphs.append((to_index[min(unit, len(to_index) - 1)], at.x(), at.y(), glyph, raw, rtl))
    return _clusters(text, glyphs, faces, line.naturalTextWidth(), line.naturalTextRect().x())


def _stretches(faces: list[FontFace]) -> list[tuple[int, int]]:
    cuts = [0, *(i for i in range(1, len(faces)) if faces[i] is not faces[i - 1]), len(faces)]
    return list(itertools.pairwise(cuts))


def _clusters(text: str, glyphs: list, faces: list[FontFace], width: float, left: float) -> list[Cluster]:
    by_start: dict[int, list] = {}
    for entry in glyphs:
        by_start.setdefault(entry[0], []).append(entry)
    starts = sorted(by_start)
    ends = dict(zip(starts, [*starts[1:], len(text)], strict=True))
    # Marks stand where their letter is, so the letter's glyph, the widest, tells where the cluster is.
    origin = {
        s: max(by_start[s], key=lambda g: g[4].advancesForGlyphIndexes([g[3]])[0].x())[1] for s in starts
    }
    baseline = glyphs[0][2] if glyphs else 0.0
    order = sorted(starts, key=lambda s: origin[s])
    edges = [origin[s] for s in order] + [left + width]
    found = []
    for k, s in enumerate(order):
        rings: list[np.ndarray] = []
        for _, x, y, glyph, raw, _ in by_start[s]:
            offset = np.array([x - origin[s], y - baseline]) / EM
            rings += [ring + offset for ring in outline_of(raw, glyph)]
        found.append(
            Cluster(s, ends[s] - s, (edges[k + 1] - edges[k]) / EM, faces[s], tuple(rings), by_start[s][0][5])
        )
    return found


def outline_of(raw: QRawFont, glyph: int) -> Rings:
    """Closed rings of a glyph at size 1."""
    return _outline(f"{raw.familyName()} {raw.styleName()} {raw.weight()}", glyph, _Hidden(raw))


class _Hidden:
    """Carries what is not part of a cache's key."""

    def __init__(self, value: QRawFont) -> None:
        self.value = value

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Hidden)

    def __hash__(self) -> int:
        return 0


@functools.lru_cache(maxsize=4000)
def _outline(key: str, glyph: int, raw: _Hidden) -> Rings:
    found = []
    for polygon in raw.value.pathForGlyph(glyph).toSubpathPolygons():
        points = np.array([[p.x(), p.y()] for p in polygon]) / EM
        if len(points) > 1 and np.all(points[0] == points[-1]):
            points = points[:-1]
        if len(points) >= 3:
            found.append(points)
    return tuple(found)


def _is_mark(character: str) -> bool:
    return unicodedata.category(character)[0] == "M"
