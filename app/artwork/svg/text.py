"""Text as outlines: characters placed by x, y, dx, dy, anchored in chunks (SVG 1.1, 10.5 to 10.9)."""

from __future__ import annotations

import dataclasses
import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from app.artwork.drawing import Severity
from app.artwork.svg.numbers import BadNumber, length
from app.artwork.svg.painting import fill, stroke
from app.artwork.svg.parse import local
from app.artwork.svg.place import Place, scale_of
from app.document.language import marked, tr

if TYPE_CHECKING:
    from app.artwork.svg.walk import Reader

XML_SPACE = "{http://www.w3.org/XML/1998/namespace}space"
NOT_DONE = {
    "textLength": marked("its text is not stretched to the wanted length"),
    "rotate": marked("its letters are not turned one by one"),
}  # fmt: skip
WEIGHTS = {"normal": 400, "bold": 700, "bolder": 700, "lighter": 300}


@dataclass
class Run:
    """Characters of one element with one style."""

    text: str
    place: Place
    name: str
    at: list[tuple[float, float]] = field(default_factory=list)
    """Where each character stands, user units."""
    glyphs: object = None


@dataclass
class Pen:
    """Where the next character goes, and the chunk under way."""

    x: float = 0.0
    y: float = 0.0
    chunk: list[tuple[Run, int]] = field(default_factory=list)
    chunk_start: float = 0.0
    last_was_space: bool = True


def read_text(reader: Reader, element: ET.Element, name: str, place: Place) -> None:
    """Appends the outlines of a text element to the reader's shapes."""
    runs: list[Run] = []
    pen = Pen()
    _walk(reader, element, name, place, pen, runs)
    _end_chunk(pen)
    for run in runs:
        size = _size(reader, run.place)
        subpaths = [
            (ring * size + np.array(at), True)
            for rings, at in zip(run.glyphs.rings, run.at, strict=True) for ring in rings
        ]  # fmt: skip
        if subpaths and run.place.style["visibility"] == "visible":
            to_mm = run.place.to_mm()
            fill(reader, subpaths, to_mm, run.name, run.place)
            stroke(reader, subpaths, to_mm, scale_of(to_mm), run.name, run.place)


def _walk(reader: Reader, element: ET.Element, name: str, place: Place, pen: Pen, runs: list[Run]) -> None:
    lists = {key: _numbers(reader, element, key, name, place) for key in ("x", "y", "dx", "dy")}
    for attribute, what in NOT_DONE.items():
        if element.get(attribute):
            reader.tell(Severity.WARNING, name, tr(what))
    keep = element.get(XML_SPACE) == "preserve"
    counter = [0]
    _characters(reader, element.text, name, place, pen, runs, lists, counter, keep)
    for child in element:
        tag = local(child)
        if tag in ("tspan", "a"):
            style = reader.style_of(child, place.style)
            if style["display"] != "none":
                inner = dataclasses.replace(
                    place, style=style, opacity=place.opacity * reader.opacity_of(style)
                )
                _walk(reader, child, name, inner, pen, runs)
        elif tag == "textPath":
            reader.tell(
                Severity.ERROR, name, tr("its words along a path are not drawn; turn them into paths")
            )
        elif tag not in ("title", "desc", "animate", "set", ""):
            reader.tell(Severity.WARNING, name, tr("<{0}> in text is not drawn", tag))
        _characters(reader, child.tail, name, place, pen, runs, lists, counter, keep)


def _characters(
    reader: Reader, text: str | None, name: str, place: Place, pen: Pen, runs: list[Run],
    lists: dict[str, list[float]], counter: list[int], keep: bool,
) -> None:  # fmt: skip
    """Places the characters of one piece of text."""
    from app.artwork.glyphs import glyphs  # Qt: only for files with words

    text = _spaces(text or "", keep, pen)
    if not text:
        return
    run = Run(text, place, name)
    run.glyphs = glyphs(text, _face(place.style))
    if not run.glyphs.is_exact:
        reader.tell(Severity.NOTE, name, tr("its font is not installed; {0} is used", run.glyphs.family))
    size, spacing = _size(reader, place), _spacing(reader, place)
    runs.append(run)
    for i, advance in enumerate(run.glyphs.advances.tolist()):
        n = counter[0]
        counter[0] += 1
        new_x, new_y = (lists[key][n] if n < len(lists[key]) else None for key in ("x", "y"))
        if new_x is not None or new_y is not None:
            _end_chunk(pen)
            pen.x, pen.y = pen.x if new_x is None else new_x, pen.y if new_y is None else new_y
            pen.chunk_start = pen.x
        pen.x += lists["dx"][n] if n < len(lists["dx"]) else 0.0
        pen.y += lists["dy"][n] if n < len(lists["dy"]) else 0.0
        if not pen.chunk:
            pen.chunk_start = pen.x
        run.at.append((pen.x, pen.y))
        pen.chunk.append((run, i))
        pen.x += advance * size + spacing


def _end_chunk(pen: Pen) -> None:
    """Moves the characters of a chunk so that its anchor stands where it should."""
    if not pen.chunk:
        return
    anchor = pen.chunk[0][0].place.style["text-anchor"]
    share = {"middle": 0.5, "end": 1.0}.get(anchor, 0.0)
    shift = -share * (pen.x - pen.chunk_start)
    for run, i in pen.chunk:
        x, y = run.at[i]
        run.at[i] = (x + shift, y)
    pen.x += shift
    pen.chunk = []


def _spaces(text: str, keep: bool, pen: Pen) -> str:
    """White space as XML's default says: line ends go, runs of blanks become one, none at the start."""
    if keep:
        return re.sub(r"[\n\r\t]", " ", text)
    text = re.sub(r"[ \t]+", " ", re.sub(r"[\n\r]+\s*", " ", text))
    if pen.last_was_space:
        text = text.lstrip(" ")
    if text:
        pen.last_was_space = text.endswith(" ")
    return text


def _numbers(reader: Reader, element: ET.Element, key: str, name: str, place: Place) -> list[float]:
    reference = place.viewport[0] if key.endswith("x") else place.viewport[1]
    try:
        return [length(v, reference, font_size=_size(reader, place))
                for v in re.split(r"[\s,]+", (element.get(key) or "").strip()) if v]  # fmt: skip
    except BadNumber as error:
        reader.tell(Severity.WARNING, name, tr("the place of its letters cannot be read: {0}", error))
        return []


def _size(reader: Reader, place: Place) -> float:
    return reader.font_of(place.style)


def _spacing(reader: Reader, place: Place) -> float:
    value = place.style["letter-spacing"]
    try:
        return 0.0 if value == "normal" else length(value, 0.0, 0.0, _size(reader, place))
    except BadNumber:
        return 0.0


def _face(style: dict[str, str]):
    from app.artwork.glyphs import Face

    families = tuple(f.strip().strip("'\"") for f in style["font-family"].split(",") if f.strip())
    weight = WEIGHTS.get(style["font-weight"], 0) or (
        int(style["font-weight"]) if style["font-weight"].isdigit() else 400
    )
    return Face(families, weight, style["font-style"] in ("italic", "oblique"))
