"""Strokes of a picture: its layers, one per pen, each drawn in the chosen line style."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from wallwright.artwork.drawing import Finding, Severity
from wallwright.artwork.raster.pen_layers import Tones, layers
from wallwright.artwork.raster.raster import Raster
from wallwright.document.arrays import Floats
from wallwright.document.document import Pen, Settings
from wallwright.document.language import tr
from wallwright.document.parallel import in_long_parts, share_of
from wallwright.document.picture import CrossHatch, PictureSettings, ScanLines, ToneContours
from wallwright.document.placing import transform
from wallwright.strokes.amount import refuse_too_much
from wallwright.strokes.pictures import LINE_STYLES
from wallwright.strokes.stroke_composition import ColourUse
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tidy import tidy

TIDY_FROM = 0.7
"""Share of a layer's time for generating its lines."""


@dataclass(frozen=True)
class PictureStrokes:
    """A picture's strokes before placement."""

    strokes: Strokes
    """In the artwork's frame at its size on the wall: mm from its top left corner. Their source is 0."""
    size: tuple[float, float]
    """Width and height of that frame, mm."""
    uses: tuple[ColourUse, ...]
    """One per pen: the area that its ink should cover and the length of its lines."""
    findings: tuple[Finding, ...]

    def placed(self, matrix: Floats) -> Strokes:
        """Returns the strokes on the wall. matrix: (2, 3) from the artwork's frame, of the size above, to the wall, mm."""
        old = self.strokes
        return Strokes(transform(matrix, old.points), old.offsets, old.pen, old.source, old.is_fill)


def picture_lines(
    raster: Raster,
    picture: PictureSettings,
    pens: Sequence[Pen],
    size: tuple[float, float],
    settings: Settings,
    progress: Callable[[float], None] = lambda done: None,
) -> PictureStrokes:
    """Draws a picture of a given size on the wall, (width, height) mm, with its style (except Regions, which are traced).

    Raises BadValue if it takes more ink than any wall holds.
    """
    progress(0.0)
    found = layers(raster, picture, pens, *size, lambda done: progress(0.1 * done))
    refuse_too_much(sum(_length(picture, tones, pens[pen].width) for pen, tones in found))
    draw = LINE_STYLES[type(picture.style)]
    widths = np.array([pen.width for pen in pens])

    def drawn(layer: tuple[int, Tones], part: Callable[[float], None]) -> tuple[Strokes, list[str]]:
        pen, tones = layer
        sentences: list[str] = []
        lines = draw(tones, pens[pen].width, picture.style, share_of(part, 0, 1, 0.0, TIDY_FROM), sentences.append)
        # Grid cells are square, so the grid may be slightly wider or narrower than the picture.
        strokes = Strokes.pack(lines, pen, 0)
        strokes = replace(strokes, points=strokes.points * np.divide(size, tones.size))
        part_of_tidy = share_of(part, 0, 1, TIDY_FROM)
        tidied = tidy(strokes, settings.join_gap, settings.flatness / 2, widths, part_of_tidy, is_toned=True)
        return tidied, sentences

    # The pens' layers are independent of each other.
    inks = [float(tones.tone.sum()) * tones.cell**2 for _, tones in found]
    results = in_long_parts(drawn, found, inks, lambda done: progress(0.1 + 0.9 * done))
    uses = [
        ColourUse(pens[pen].colour, pen, pens[pen].id in picture.pens, ink, float(strokes.lengths().sum()))
        for (pen, _), ink, (strokes, _) in zip(found, inks, results, strict=True)
    ]
    findings = [Finding(Severity.NOTE, tr("picture"), text) for _, sentences in results for text in sentences]
    return PictureStrokes(Strokes.join(strokes for strokes, _ in results), size, tuple(uses), tuple(findings))


def _length(picture: PictureSettings, tones: Tones, pen_width: float) -> float:
    """Returns the approximate length of lines in a layer, mm; 0 for styles that limit themselves."""
    style = picture.style
    if isinstance(style, ScanLines):
        return float(np.prod(tones.size)) / (style.spacing * pen_width)
    if isinstance(style, CrossHatch | ToneContours):
        return float(tones.tone.sum()) * tones.cell**2 / pen_width
    return 0.0
