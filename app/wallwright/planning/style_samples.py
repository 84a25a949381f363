"""Small copies of a picture on which line styles are tried: so small that single lines are seen in a picture of a finger's
breadth."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence

import msgspec
import numpy as np

from wallwright.artwork.raster.pen_layers import chosen_pens
from wallwright.artwork.raster.raster import Raster
from wallwright.document.document import Document, Placement
from wallwright.document.picture import STYLES, PictureSettings
from wallwright.planning.plan import StyleSample
from wallwright.strokes.strokes import Strokes

LINES_ACROSS = 110
"""Widths of the broadest pen's line along a copy's longer side."""
PIXELS = 320
"""Of a copy's longer side, at most."""


def shrunk(raster: Raster) -> Raster:
    """The same picture with fewer pixels, where it has more than a copy needs."""
    from PIL import Image

    rows, columns = raster.pixels.shape[:2]
    share = PIXELS / max(rows, columns)
    if share >= 1:
        return raster
    size = max(round(columns * share), 1), max(round(rows * share), 1)
    pixels = np.asarray(Image.fromarray(raster.pixels).resize(size, Image.Resampling.BOX))
    return dataclasses.replace(raster, pixels=np.ascontiguousarray(pixels))


def trials(placement: Placement, document: Document, styles: Sequence[str] = ()) -> Iterator[Placement]:
    """The placement as a small copy in line styles, with the numbers that a style begins with. styles: their tags, in the
    order wanted; none: all."""
    picture = placement.picture or PictureSettings()
    pens = chosen_pens(picture, document.pens) or range(len(document.pens))
    longest = LINES_ACROSS * max((document.pens[pen].width for pen in pens), default=1.0)
    share = longest / max(placement.width, placement.height)
    for kind in (STYLES[name] for name in styles or STYLES):
        yield msgspec.structs.replace(
            placement,
            x=placement.width * share / 2,
            y=placement.height * share / 2,
            width=placement.width * share,
            height=placement.height * share,
            turn=0.0,
            mirror=False,
            picture=msgspec.structs.replace(picture, style=kind()),
        )


def sample_of(trial: Placement, strokes: Strokes, trouble: str = "") -> StyleSample:
    """What became of one of the trials. trouble: why nothing did."""
    picture = trial.picture or PictureSettings()
    return StyleSample(str(type(picture.style).__struct_config__.tag), strokes, (trial.width, trial.height), trouble)
