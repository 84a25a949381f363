"""The walk of an SVG tree: elements in painter's order, with style and map to the page, become shapes in mm."""

from __future__ import annotations

import time
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from app.artwork.drawing import Drawing, Finding, Severity, Shape
from app.artwork.svg.clip import clip_shapes
from app.artwork.svg.numbers import MM_PER_PX, BadNumber, length
from app.artwork.svg.painting import shape
from app.artwork.svg.parse import local, parse
from app.artwork.svg.place import Place
from app.artwork.svg.structure import nested, passes, use
from app.artwork.svg.style import Cascade, resolve
from app.artwork.svg.text import read_text
from app.artwork.svg.transforms import transform_of
from app.artwork.svg.viewport import fit, page_size, view_box
from app.document.errors import BadFile
from app.document.language import marked, tr

SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon")
SILENT = (
    "defs", "style", "title", "desc", "metadata", "linearGradient", "radialGradient", "pattern", "clipPath", "mask",
    "marker", "filter", "symbol", "script", "font", "font-face", "stop", "cursor", "color-profile", "view",
    "solidcolor",
)  # fmt: skip
"""Elements that paint nothing where they stand."""
NOT_READ = {
    "image": marked("a picture inside the SVG is not read; bring it as a file of its own"),
    "foreignObject": marked("it holds something that is not SVG and is not drawn"),
    "video": marked("it is not drawn"),
    "audio": marked("it is not drawn"),
    "canvas": marked("it is not drawn"),
}
WITHOUT = {
    "mask": marked("is drawn whole, without its mask"),
    "filter": marked("is drawn without its filter"),
    "mix-blend-mode": marked("is drawn without its blend mode"),
}
MOST_COPIED = 100_000
"""Elements visited through copies (use) beyond those of the file; a few nested copies can ask for billions."""


@dataclass
class Reader:
    """One reading of one file."""

    root: ET.Element
    name: str
    flatness: float
    """mm."""
    progress: Callable[[float], None]
    shapes: list[Shape] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.cascade = Cascade.of(self.root)
        self.by_id = {e.get("id"): e for e in reversed(list(self.root.iter())) if e.get("id")}
        self._count = max(sum(1 for _ in self.root.iter()), 1)
        self._seen = 0
        self._told = time.monotonic()
        self._positions: dict[str, int] = {}
        self.clipping = False
        """Whether what is walked is a clip path: only the shapes count, not their paint."""

    def read(self) -> Drawing:
        name = self.name
        try:
            width, height = page_size(self.root)
            matrix = fit(self.root, width, height)
            box = view_box(self.root)
        except BadNumber as error:
            raise BadFile(
                tr("{0} cannot be placed: {1}. Set a page size in your drawing program.", name, error)
            ) from error
        viewport = box[2:] if box else (width, height)
        style = self.style_of(self.root, {})
        place = Place(matrix, style, viewport, self.opacity_of(style), ())
        for child in self.root:
            self.element(child, place)
        if not self.shapes and not any(f.severity is not Severity.NOTE for f in self.findings):
            self.tell(Severity.WARNING, name, tr("the file holds nothing that can be drawn"))
        return Drawing(width * MM_PER_PX, height * MM_PER_PX, tuple(self.shapes), tuple(self.findings))

    # One element.

    def element(self, element: ET.Element, place: Place) -> None:
        self._tick()
        tag = local(element)
        if tag in SILENT or not tag:
            return
        style = self.style_of(element, place.style)
        if style["display"] == "none":
            return
        name = self._name(element, tag)
        try:
            matrix = place.matrix @ transform_of(element.get("transform"))
            if not np.isfinite(matrix).all():
                raise BadNumber(tr("its transform gives numbers that are not usable"))
        except BadNumber as error:
            self.tell(Severity.ERROR, name, tr("is not drawn: {0}", error))
            return
        for effect, what in WITHOUT.items():
            if style[effect] not in ("none", "normal", ""):
                self.tell(Severity.WARNING, name, tr(what))
        label = element.get("id", "")
        inner = Place(
            matrix, style, place.viewport, place.opacity * self.opacity_of(style),
            (*place.group, label) if label and tag in ("g", "svg", "a", "use") else place.group, place.uses,
        )  # fmt: skip
        first = len(self.shapes)
        self._paint_element(element, tag, name, inner)
        if style["clip-path"] not in ("none", "") and len(self.shapes) > first:
            clip_shapes(self, first, style["clip-path"], inner, name)

    def _paint_element(self, element: ET.Element, tag: str, name: str, inner: Place) -> None:
        if tag in SHAPES:
            shape(self, element, tag, name, inner)
        elif tag in ("g", "a"):
            for child in element:
                self.element(child, inner)
        elif tag == "svg":
            nested(self, element, name, inner, element.get("width"), element.get("height"))
        elif tag == "switch":
            for child in element:
                if local(child) and passes(child):
                    self.element(child, inner)
                    break
        elif tag == "text":
            read_text(self, element, name, inner)
        elif tag == "use":
            use(self, element, name, inner)
        elif tag in NOT_READ:
            self.tell(Severity.ERROR, name, tr(NOT_READ[tag]))
        else:
            self.tell(Severity.WARNING, name, tr("<{0}> is not known and not drawn", tag))

    # Small things.

    def tell(self, severity: Severity, element: str, text: str) -> None:
        self.findings.append(Finding(severity, element, text))

    def style_of(self, element: ET.Element, parent: dict[str, str]) -> dict[str, str]:
        return resolve(self.cascade.own(element), parent)

    def font_of(self, style: dict[str, str]) -> float:
        try:
            return length(style["font-size"], 16.0, 16.0)
        except BadNumber:
            return 16.0

    def opacity_of(self, style: dict[str, str]) -> float:
        try:
            return min(max(length(style["opacity"], 1.0, 1.0), 0.0), 1.0)
        except BadNumber:
            return 1.0

    def _name(self, element: ET.Element, tag: str) -> str:
        if element.get("id"):
            return element.get("id")
        self._positions[tag] = self._positions.get(tag, 0) + 1
        return f"{tag} {self._positions[tag]}"

    def _tick(self) -> None:
        self._seen += 1
        if self._seen > self._count + MOST_COPIED:
            raise BadFile(
                tr(
                    "{0} copies its parts into more than {1:,} elements and is not read. Remove nested "
                    "copies in your drawing program.",
                    self.name,
                    MOST_COPIED,
                )
            )
        if self._seen % 64 == 0 and time.monotonic() - self._told > 0.02:
            self._told = time.monotonic()
            self.progress(min(self._seen / self._count, 0.99))


def read_svg(data: bytes, name: str, flatness: float, progress: Callable[[float], None]) -> Drawing:
    """Reads an SVG file. flatness: chord tolerance in mm. Raises BadFile."""
    return Reader(parse(data, name), name, flatness, progress).read()
