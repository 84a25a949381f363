"""Text elements become shapes: letters by style, with lines under, over and through them (SVG 2, 11.12)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wallwright.artwork.drawing import Severity
from wallwright.artwork.svg.boxes import Box, box_of
from wallwright.artwork.svg.context import ReadingContext, SvgElement, mapped, scale_of
from wallwright.artwork.svg.painting import fill, paint_order
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.stroking import stroke
from wallwright.artwork.svg.text.characters import Character, TextElement, characters_of
from wallwright.document.arrays import Points
from wallwright.document.language import tr

if TYPE_CHECKING:
    from wallwright.artwork.svg.svg_document import SvgDocument
    from wallwright.artwork.svg.text.layout import PlacedCluster


def read_text(element: SvgElement, context: ReadingContext, sink: ShapeSink) -> None:
    """A text element. Raises BadFile for too many letters."""
    name, document = element.name, context.document
    characters = characters_of(element.node, name, context, sink)
    if not characters:
        return
    from wallwright.artwork.glyphs.fonts import NoFonts  # HarfBuzz: only for files with text
    from wallwright.artwork.svg.text.layout import laid_out

    try:
        placed = [p for p in laid_out(characters, name, document, sink) if p.size > 0]
    except NoFonts as error:
        sink.report(Severity.ERROR, name, tr("is not drawn: {0}", str(error).rstrip(".")))
        return
    _report_fonts(characters, name, document, sink)
    runs: list[list[PlacedCluster]] = []
    for one in placed:
        if runs and runs[-1][-1].part is one.part:
            runs[-1].append(one)
        else:
            runs.append([one])
    box = box_of([mapped(one.matrix, _em_box(one)) for one in placed])
    for run in runs:
        if run[0].part.context.style["visibility"] != "visible":
            continue
        label = run[0].part.element.get("id") or name
        for kind in ("underline", "overline"):
            _decorate(run, kind, label, sink, box)
        rings = [ring for one in run for ring in one.rings]
        _paint(rings, label, run[0].part.context, sink, box)
        _decorate(run, "line-through", label, sink, box)


def _em_box(one: PlacedCluster) -> Points:
    """(4, 2) the full-height cell of a cluster in its own frame: what a text's box is made of (SVG 2, 8.10)."""
    face, width = one.cluster.face, one.cluster.advance
    return np.array([[0, -face.ascent], [width, -face.ascent], [width, face.descent], [0, face.descent]])


def _paint(rings: list[Points], name: str, context: ReadingContext, sink: ShapeSink, box: Box | None) -> None:
    to_mm = context.to_mm()
    if not rings or scale_of(to_mm) == 0:
        return
    subpaths = [(ring, True) for ring in rings]
    for kind in paint_order(context.style["paint-order"]):
        if kind == "fill":
            fill(subpaths, to_mm, name, context, sink, box)
        elif kind == "stroke":
            stroke(subpaths, to_mm, name, context, sink, box)


def _decorate(run: list[PlacedCluster], kind: str, name: str, sink: ShapeSink, box: Box | None) -> None:
    """A line along a run of letters, in the paint of the element that asks for it."""
    for asking in run[0].part.chain():
        if kind not in asking.context.style["text-decoration"].split():
            continue
        rings: list[Points] = []
        for one in run:
            face = one.cluster.face
            at, thick = {
                "underline": (face.underline, face.thickness),
                "overline": (-face.ascent, face.thickness),
                "line-through": (-face.strike, face.strike_thickness),
            }[kind]
            width = one.width / (one.matrix[0, 0] if one.matrix[0, 1] == 0 and one.matrix[0, 0] > 0 else one.size)
            bar = np.array([[0, at - thick / 2], [width, at - thick / 2], [width, at + thick / 2], [0, at + thick / 2]])
            ring = mapped(one.matrix, bar)
            if rings and np.allclose(rings[-1][1:3], ring[[0, 3]], atol=1e-6 * one.size):
                rings[-1] = np.stack([rings[-1][0], ring[1], ring[2], rings[-1][3]])
            else:
                rings.append(ring)
        _paint(rings, name, asking.context, sink, box)


def _report_fonts(characters: list[Character], name: str, document: SvgDocument, sink: ShapeSink) -> None:
    from wallwright.artwork.glyphs.fonts import faces_of
    from wallwright.artwork.svg.text.embedded import embedded_fonts
    from wallwright.artwork.svg.text.text_style import wanted_of

    reported: set[int] = set()
    for character in characters:
        part: TextElement = character.part
        if id(part) in reported:
            continue
        reported.add(id(part))
        faces, exact = faces_of(wanted_of(part.context.style, embedded_fonts(document, sink)))
        if not exact:
            sink.report(Severity.NOTE, name, tr("its font is not installed; {0} is used instead", faces[0].family))
