"""Which pen, and how much of it, comes nearest to a colour: seen from afar a hatch is a tint.

Ink that covers a share a of a white wall has the light of a parts ink and 1 - a parts wall (Murray and Davies, "Monotone
reproduction in photoengraving", Journal of the Franklin Institute 221, 1936); how far that is from the colour is CIEDE2000.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from wallwright.artwork.colour import WHITE, ciede2000, lab_of, rgb_of
from wallwright.artwork.raster.tone import linear, srgb
from wallwright.document import edits
from wallwright.document.document import Document, Ink, Pen

if TYPE_CHECKING:
    from wallwright.strokes.stroke_composition import ColourUse

LEAST, MOST = 0.05, 0.9
"""Shares that a fill covers: less is hardly seen, more wets the wall twice."""
NEAR, FAR = 5.0, 15.0
"""CIEDE2000 differences below which two colours pass for alike, and above which for others; common practice, no source."""


@dataclass(frozen=True)
class Suggestion:
    """What draws a colour best."""

    pen: int
    """Index into the pens, -1: nothing, the wall is like it."""
    share: float
    """Of an area that the ink is to cover, 0 to 1."""
    difference: float
    """CIEDE2000 between the colour and what is seen from afar."""


def suggest(colour: str, pens: Sequence[Pen], is_area: bool = True) -> Suggestion:
    """The nearest tint of any pen for an area, the nearest pen for lines."""
    if colour == WHITE:
        return Suggestion(-1, 0.0, 0.0)
    wanted = lab_of(np.array([rgb_of(colour)]))
    shares = np.round(np.arange(LEAST, 1.001, 0.01), 2) if is_area else np.ones(1)
    best = Suggestion(-1, 0.0, np.inf)
    for number, pen in enumerate(pens):
        tints = srgb(1 - shares[:, None] * (1 - linear(np.array(rgb_of(pen.colour)))))
        apart = ciede2000(np.repeat(wanted, len(shares), axis=0), lab_of(tints))
        least = int(np.argmin(apart))
        if apart[least] < best.difference - 1e-9:
            best = Suggestion(
                number, float(min(shares[least], MOST)) if is_area else 1.0, float(apart[least])
            )
    return best


def difference(colour: str, pen: Pen, share: float = 1.0) -> float:
    """CIEDE2000 between a colour and the ink of a pen on a share of a white wall."""
    tint = srgb(1 - share * (1 - linear(np.array([rgb_of(pen.colour)]))))
    return float(ciede2000(lab_of(np.array([rgb_of(colour)])), lab_of(tint))[0])


def with_suggestions(document: Document, placement: str, uses: Iterable[ColourUse]) -> Document:
    """Gives each colour of a placement to the pen, and each area the coverage, that come nearest."""
    old = {ink.colour: ink for ink in document.placement(placement).inks if not ink.group}
    for use in uses:
        found = suggest(use.colour, document.pens, use.area > 0)
        ink = old.get(use.colour, Ink(use.colour))
        fill = ink.fill
        if use.area > 0 and found.pen >= 0:
            base = fill or document.settings.fill
            kind = "hatch" if base.kind == "none" else base.kind
            fill = edits.replace(base, kind=kind, coverage=round(100 * found.share))
        pen = document.pens[found.pen].id if found.pen >= 0 else ""
        document = edits.set_ink(document, placement, edits.replace(ink, pen=pen, fill=fill))
    return document
