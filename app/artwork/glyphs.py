"""Outlines of installed fonts. The one module of artwork that asks QtGui for glyphs."""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass

import numpy as np
from PySide6.QtGui import QFont, QFontInfo, QFontMetricsF, QGuiApplication, QPainterPath

EM = 2000
"""Pixels a glyph is taken at: Qt flattens curves to about half a pixel, a four-thousandth of the letter's size."""
_application: list[QGuiApplication] = []


@dataclass(frozen=True)
class Face:
    """A font as asked for."""

    families: tuple[str, ...]
    weight: int = 400
    italic: bool = False


@dataclass(frozen=True)
class Glyphs:
    """Outlines of a run of characters at size 1, baseline at y = 0, y down."""

    rings: tuple[tuple[np.ndarray, ...], ...]
    """Of each character: closed rings, (n, 2), from the character's own origin."""
    advances: np.ndarray
    """(k,) with kerning against the next character."""
    family: str
    """What was used."""
    is_exact: bool
    """Whether one of the wanted families was found (generic ones always are)."""


GENERIC = {
    "serif": QFont.StyleHint.Serif, "sans-serif": QFont.StyleHint.SansSerif, "monospace": QFont.StyleHint.Monospace,
    "cursive": QFont.StyleHint.Cursive, "fantasy": QFont.StyleHint.Fantasy,
}  # fmt: skip


def glyphs(text: str, face: Face) -> Glyphs:
    """Outlines of text in a face."""
    _ensure_application()
    named = [f for f in face.families if f.lower() not in GENERIC]
    font = QFont(named or ["sans-serif"])
    for family in face.families:
        if family.lower() in GENERIC:
            font.setStyleHint(GENERIC[family.lower()])
            font.setFamilies([*named, family])
            break
    font.setPixelSize(EM)
    font.setWeight(QFont.Weight(min(max(face.weight, 1), 1000)))
    font.setItalic(face.italic)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    used = QFontInfo(font).family()
    metrics = QFontMetricsF(font)
    ends = np.array([0.0, *(metrics.horizontalAdvance(text[: i + 1]) for i in range(len(text)))])
    rings = []
    for character in text:
        path = QPainterPath()
        path.addText(0.0, 0.0, font, character)
        found = []
        for polygon in path.toSubpathPolygons():
            points = np.array([[p.x(), p.y()] for p in polygon]) / EM
            if len(points) > 1 and np.all(points[0] == points[-1]):
                points = points[:-1]
            if len(points) >= 3:
                found.append(points)
        rings.append(tuple(found))
    exact = not named or used.lower() in [f.lower() for f in named]
    return Glyphs(tuple(rings), np.diff(ends) / EM, used, exact)


def _ensure_application() -> None:
    if QGuiApplication.instance() is not None:
        return
    if not sys.platform.startswith(("win", "darwin")):
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")  # no screen is needed for outlines
    _application.append(QGuiApplication(["wallwright"]))
