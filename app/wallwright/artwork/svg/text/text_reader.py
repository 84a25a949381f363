"""Text elements become shapes: letters by style, with lines under, over and through them (SVG 2, 11.12)."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING

import numpy as np

from wallwright.artwork.drawing import Severity
from wallwright.artwork.svg.boxes import Box, box_of
from wallwright.artwork.svg.context import Place, mapped, scale_of
from wallwright.artwork.svg.painting import fill, paint_order
from wallwright.artwork.svg.stroking import stroke
from wallwright.artwork.svg.text.characters import TextElement, characters_of
from wallwright.document.language import tr

if TYPE_CHECKING:
    from wallwright.artwork.svg.text.layout import PlacedCluster
    from wallwright.artwork.svg.walk import Reader


def read_text(reader: Reader, element: ET.Element, name: str, place: Place) -> None:
    """Appends the outlines of a text element to the reader's shapes."""
    characters, _ = characters_of(reader, element, name, place)
    if not characters:
        return
    from wallwright.artwork.svg.text.layout import laid_out  # Qt: only for files with words

    placed = [p for p in laid_out(reader, characters, name) if p.size > 0]
    _tell_fonts(reader, characters, name)
    runs: list[list[PlacedCluster]] = []
    for one in placed:
        if runs and runs[-1][-1].part is one.part:
            runs[-1].append(one)
        else:
            runs.append([one])
    box = box_of([mapped(one.matrix, _em_box(one)) for one in placed])
    for run in runs:
        if run[0].part.place.style["visibility"] != "visible":
            continue
        label = run[0].part.element.get("id") or name
        for kind in ("underline", "overline"):
            _decorate(reader, run, kind, label, box)
        rings = [mapped(one.matrix, ring) for one in run for ring in one.cluster.rings]
        _paint(reader, rings, label, run[0].part.place, box)
        _decorate(reader, run, "line-through", label, box)


def _em_box(one: PlacedCluster) -> np.ndarray:
    """(4, 2) the full-height cell of a cluster in its own frame: what a text's box is made of (SVG 2, 8.10)."""
    face, width = one.cluster.face, one.cluster.advance
    return np.array([[0, -face.ascent], [width, -face.ascent], [width, face.descent], [0, face.descent]])


def _paint(reader: Reader, rings: list[np.ndarray], name: str, place: Place, box: Box | None) -> None:
    to_mm = place.to_mm()
    if not rings or scale_of(to_mm) == 0:
        return
    subpaths = [(ring, True) for ring in rings]
    for kind in paint_order(place.style["paint-order"]):
        if kind == "fill":
            fill(reader, subpaths, to_mm, name, place, box)
        elif kind == "stroke":
            stroke(reader, subpaths, to_mm, scale_of(to_mm), name, place, box)


def _decorate(reader: Reader, run: list[PlacedCluster], kind: str, name: str, box: Box | None) -> None:
    """A line along a run of letters, in the paint of the element that asks for it."""
    for asking in run[0].part.chain():
        if kind not in asking.place.style["text-decoration"].split():
            continue
        rings: list[np.ndarray] = []
        for one in run:
            face = one.cluster.face
            at, thick = {
                "underline": (face.underline, face.thickness), "overline": (-face.ascent, face.thickness),
                "line-through": (-face.strike, face.strike_thickness),
            }[kind]  # fmt: skip
            width = one.width / (
                one.matrix[0, 0] if one.matrix[0, 1] == 0 and one.matrix[0, 0] > 0 else one.size
            )
            bar = np.array(
                [[0, at - thick / 2], [width, at - thick / 2], [width, at + thick / 2], [0, at + thick / 2]]
            )
            ring = mapped(one.matrix, bar)
            if rings and np.allclose(rings[-1][1:3], ring[[0, 3]], atol=1e-6 * one.size):
                rings[-1] = np.stack([rings[-1][0], ring[1], ring[2], rings[-1][3]])
            else:
                rings.append(ring)
        _paint(reader, rings, name, asking.place, box)


def _tell_fonts(reader: Reader, characters: list, name: str) -> None:
    from wallwright.artwork.glyphs.fonts import faces_of
    from wallwright.artwork.svg.text.embedded import embedded_fonts
    from wallwright.artwork.svg.text.text_style import wanted_of

    told: set[int] = set()
    for character in characters:
        part: TextElement = character.part
        if id(part) in told:
            continue
        told.add(id(part))
        faces, exact = faces_of(wanted_of(part.place.style, embedded_fonts(reader)))
        if not exact:
            reader.tell(Severity.NOTE, name, tr("its font is not installed; {0} is used", faces[0].family))
