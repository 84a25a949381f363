"""Small copies of a picture on which line styles are tried: so small that single lines are visible in a thumbnail."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Sequence

import msgspec
import numpy as np

from wallwright.artwork.raster.pen_layers import chosen_pens
from wallwright.artwork.raster.raster import Raster
from wallwright.document.document import Document, Placement
from wallwright.document.picture import STYLES, PictureSettings
from wallwright.planning.plan import StyleSample
from wallwright.strokes.fills.quickest import DrawingPace
from wallwright.strokes.pictures.style_times import (
    COSTS,
    GROWTH,
    CopyLines,
    LayerInk,
    ink_of_copy,
    seconds_from_copy,
    seconds_of_styles,
)
from wallwright.strokes.strokes import Strokes

LINES_ACROSS = 110
"""Longer side of a copy, in widths of the broadest pen's line."""
PIXELS = 320
"""Largest number of pixels along a copy's longer side."""


def shrunk(raster: Raster) -> Raster:
    """Returns the picture with fewer pixels, if it has more than a copy needs."""
    from PIL import Image

    rows, columns = raster.pixels.shape[:2]
    share = PIXELS / max(rows, columns)
    if share >= 1:
        return raster
    size = max(round(columns * share), 1), max(round(rows * share), 1)
    pixels = np.asarray(Image.fromarray(raster.pixels).resize(size, Image.Resampling.BOX))
    return dataclasses.replace(raster, pixels=np.ascontiguousarray(pixels))


def trials(placement: Placement, document: Document, styles: Sequence[str] = ()) -> Iterator[Placement]:
    """Yields the placement as a small copy in each line style, with default parameters. styles: their tags, in the order
    wanted; none: all."""
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
    """Returns the sample from one of the trials. trouble: why there is none."""
    picture = trial.picture or PictureSettings()
    return StyleSample(str(type(picture.style).__struct_config__.tag), strokes, (trial.width, trial.height), trouble)


def style_seconds(
    placement: Placement, document: Document, inks: Sequence[LayerInk], samples: Iterable[StyleSample]
) -> dict[str, float]:
    """Returns the approximate time, s, of each line style for a placement's picture, by its tag, as far as known. inks:
    that the pens should lay; without any, derived from samples of styles that draw the tone. samples: of this picture."""
    size, pace = (placement.width, placement.height), DrawingPace.of(document)
    usable = {sample.style: sample for sample in samples if len(sample.strokes)}
    tonal = next((usable[name] for name in STYLES if name in usable and STYLES[name] in COSTS), None)
    if not inks and tonal is not None:
        lengths = np.bincount(tonal.strokes.pen, tonal.strokes.lengths(), minlength=len(document.pens))
        larger = placement.width / tonal.size[0]
        inks = [
            ink_of_copy(tonal.style, float(length), pen.width, larger)
            for length, pen in zip(lengths, document.pens, strict=False)
            if length > 0
        ]
    found = seconds_of_styles(inks, size, pace) if inks else {}
    for name, sample in usable.items():
        if STYLES[name] in GROWTH:
            length, larger = float(sample.strokes.lengths().sum()), placement.width / sample.size[0]
            found[name] = seconds_from_copy(name, CopyLines(length, len(sample.strokes), larger), size, pace)
    return found
