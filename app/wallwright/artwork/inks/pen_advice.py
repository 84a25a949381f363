"""Which pens to buy: common marker colours that bring the colours of an artwork nearest."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from wallwright.artwork.colour import WHITE, ciede2000, lab_of, lab_of_light, rgb_of
from wallwright.artwork.inks.ink_model import InkModel
from wallwright.artwork.inks.markers import MARKERS, Marker
from wallwright.artwork.inks.recipes import MOST_OF_TWO, SHARES
from wallwright.document.arrays import Floats
from wallwright.document.document import Pen

MOST_COLOURS = 32
"""Of the artwork, those that cover most."""
WORTH = 0.5
"""CIEDE2000, on average, that a pen must bring."""


@dataclass(frozen=True)
class PenAdvice:
    """A pen worth buying, after those before it."""

    name: str
    """An everyday name, to be translated."""
    colour: str
    before: float
    """CIEDE2000 between the artwork and the wall, mean over the ink, without this pen."""
    after: float
    """The same with it."""


def advise_pens(sizes: Mapping[str, float], pens: Sequence[Pen], most: int = 3) -> list[PenAdvice]:
    """At most so many pens, each the best beside those before it. sizes: mm² of each colour of the artwork."""
    colours = sorted((c for c in sizes if c != WHITE and sizes[c] > 0), key=lambda c: (-sizes[c], c))[:MOST_COLOURS]
    if not colours:
        return []
    weight = np.array([sizes[c] for c in colours])
    weight /= weight.sum()
    wanted = lab_of(np.array([rgb_of(c) for c in colours]))
    owned = [pen.colour for pen in pens]
    now = np.min([_differences(wanted, pair) for pair in _pairs(owned)], axis=0)
    found: list[PenAdvice] = []
    while len(found) < most:
        best: tuple[float, Marker, Floats] | None = None
        for marker in MARKERS:
            if marker.colour in owned:
                continue
            pairs = [(marker.colour,), *((marker.colour, other) for other in owned)]
            then = np.min([now, *(_differences(wanted, pair) for pair in pairs)], axis=0)
            mean = float(weight @ then)
            if best is None or mean < best[0]:
                best = mean, marker, then
        before = float(weight @ now)
        if best is None or before - best[0] < WORTH:
            break
        mean, marker, now = best
        owned.append(marker.colour)
        found.append(PenAdvice(marker.name, marker.colour, before, mean))
    return found


def _pairs(colours: Sequence[str]) -> list[tuple[str, ...]]:
    return [*((colour,) for colour in colours), *itertools.combinations(colours, 2)]


def _differences(wanted: Floats, colours: tuple[str, ...]) -> Floats:
    """(m,) CIEDE2000 of the best mixture of one or two inks for each colour (m, 3) in CIELAB, by trying them in steps."""
    shares = np.linspace(0, 1, 60) if len(colours) == 1 else np.linspace(0, MOST_OF_TWO, SHARES)
    tried = np.stack(np.meshgrid(*[shares] * len(colours), indexing="ij"), axis=-1).reshape(-1, len(colours))
    model = InkModel.of_pens([Pen(str(i), "", colour) for i, colour in enumerate(colours)])
    mixed = lab_of_light(model.light(tried))
    several = ciede2000(np.repeat(wanted, len(mixed), axis=0), np.tile(mixed, (len(wanted), 1)))
    best: Floats = several.reshape(len(wanted), len(mixed)).min(axis=1)
    return best
