"""Which pens to buy: common marker colours that bring the colours of an artwork nearest.

The colours are those that Kelly chose because they are easiest to distinguish, "Twenty-two colors of maximum contrast",
Color Engineering 3 (1965): centroids of the ISCC-NBS colour names (Kelly and Judd, NBS Special Publication 440, 1976). Their
sRGB values are from memory; they stand for common markers, which nobody measured. White is left out.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from wallwright.artwork.colour import WHITE, ciede2000, lab_of, lab_of_light, rgb_of
from wallwright.artwork.inks.ink_model import InkModel
from wallwright.artwork.inks.recipes import MOST_OF_TWO, SHARES
from wallwright.document.arrays import Floats
from wallwright.document.document import Pen
from wallwright.document.language import N_

MARKER_COLOURS = {
    N_("Black"): "#222222",
    N_("Grey"): "#848482",
    N_("Yellow"): "#f3c300",
    N_("Yellow green"): "#8db600",
    N_("Green"): "#008856",
    N_("Dark green"): "#2b3d26",
    N_("Light blue"): "#a1caf1",
    N_("Blue"): "#0067a5",
    N_("Violet"): "#604e97",
    N_("Purple"): "#875692",
    N_("Pink"): "#e68fac",
    N_("Crimson"): "#b3446c",
    N_("Red"): "#be0032",
    N_("Orange red"): "#e25822",
    N_("Orange"): "#f38400",
    N_("Amber"): "#f6a600",
    N_("Lemon"): "#dcd300",
    N_("Salmon"): "#f99379",
    N_("Sand"): "#c2b280",
    N_("Red brown"): "#882d17",
    N_("Brown"): "#654522",
}
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
        best: tuple[float, str, Floats] | None = None
        for name, colour in MARKER_COLOURS.items():
            if colour in owned:
                continue
            pairs = [(colour,), *((colour, other) for other in owned)]
            then = np.min([now, *(_differences(wanted, pair) for pair in pairs)], axis=0)
            mean = float(weight @ then)
            if best is None or mean < best[0]:
                best = mean, name, then
        before = float(weight @ now)
        if best is None or before - best[0] < WORTH:
            break
        mean, name, now = best
        owned.append(MARKER_COLOURS[name])
        found.append(PenAdvice(name, MARKER_COLOURS[name], before, mean))
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
