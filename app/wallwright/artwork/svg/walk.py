"""The walk of an SVG tree: elements in painter's order, with style and map to the page, become shapes in mm."""

from __future__ import annotations

import contextlib
import sys
import time
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from wallwright.artwork.drawing import Drawing, Finding, Paint, PaintLayer, Severity, Shape, ShapeTree, placed
from wallwright.artwork.svg.context import Place, largest_scale_of
from wallwright.artwork.svg.flatten import outline
from wallwright.artwork.svg.grouping import grouped
from wallwright.artwork.svg.images import Picture, read_image
from wallwright.artwork.svg.many_paths import BLOCK, read_together
from wallwright.artwork.svg.numbers import MM_PER_PX, BadNumber
from wallwright.artwork.svg.painting import shape
from wallwright.artwork.svg.straight_paths import Subpath
from wallwright.artwork.svg.structure import nested, page, passes, read_page, use, weight_of
from wallwright.artwork.svg.style import Cascade, Style, resolve
from wallwright.artwork.svg.text.text_reader import read_text
from wallwright.artwork.svg.transforms import about_origin, transform_of
from wallwright.artwork.svg.xml_parser import DEEPEST, SVG, local, parse
from wallwright.artwork.usage import Usage
from wallwright.document.language import N_, plural, tr
from wallwright.document.reading_limits import TooCostly, most

SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon")
MOST_DEEP = 3_000
"""Elements visited inside what is referred to by what is referred to (a mask's pattern, a marker's clip path)."""
DRAWN = (*SHAPES, "g", "a", "svg", "switch", "text", "use", "image")
SILENT = (
    "defs", "style", "title", "desc", "metadata", "linearGradient", "radialGradient", "pattern", "clipPath", "mask",
    "marker", "filter", "symbol", "script", "font", "font-face", "stop", "cursor", "color-profile", "view",
    "solidcolor",
)  # fmt: skip
"""Elements that paint nothing where they stand."""
NOT_READ = {
    "foreignObject": N_("it holds something that is not SVG and is not drawn"),
    "video": N_("it is not drawn"),
    "audio": N_("it is not drawn"),
    "canvas": N_("it is not drawn"),
}
WITHOUT = {
    "filter": N_("is drawn without its filter"),
    "mix-blend-mode": N_("is drawn without its blend mode"),
}
MOST_OUTLINES_KEPT = 200
"""Paths whose outlines are kept for further copies of them."""
FEW = 8
"""Paths side by side that are not worth reading together."""
PARSED = 0.15
"""Share of the time that the XML takes."""
STYLED = 0.1
"""Share that the style sheets take, or are taken to."""
MOST_COPIED = 100_000
"""Elements visited through copies (use) beyond those of the file; a few nested copies can ask for billions."""


Size = tuple[str | None, str | None]


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
        self._told = time.monotonic()
        self._seen = self._deep = 0
        self._count = max(sum(1 for _ in self.root.iter()), 1)
        self._styled = 0.0
        self.cascade = Cascade.of(self.root, self._styling)
        if self.cascade.left_out:
            text = plural("one rule of its style sheet has too long a selector and is left out",
                           "{0} rules of its style sheet have too long selectors and are left out",
                           self.cascade.left_out)  # fmt: skip
            self.tell(Severity.WARNING, self.name, text)
        self.by_id = {e.get("id"): e for e in reversed(list(self.root.iter())) if e.get("id")}
        self._weights: dict[int, int] = {}
        self._positions: dict[str, int] = {}
        self.usage = Usage(self.name)
        self.pictures: dict[str, Picture] = {}
        """Pictures unpacked already, by their URI."""
        self.fonts: dict[str, str] | None = None
        """Names of the fonts that the document brings; None: not looked at yet."""
        self.ahead: dict[int, tuple[float, list[Subpath]]] = {}
        """Outlines read ahead, by id() of their elements, with the tolerance they were made for."""
        self._copied: dict[int, tuple[float, list[Subpath]]] = {}
        """Outlines of paths that copies show, likewise."""
        self.depth = 0
        """Drawings it is inside of, as the picture of an image element."""
        self.says_size = True
        """Whether the file says how large its page is."""
        self.page = (np.eye(3), (0.0, 0.0))
        """Map of the outermost viewBox to px, and its size."""
        self.layers: list[PaintLayer] = []
        self.clipping = False
        """Whether what is walked is a clip path: only the shapes count, not their paint."""
        self.extents: list[np.ndarray] | None = None
        """Outlines met, (n, 2) mm, when somebody wants to know the box of what is walked."""
        self.open: set[int] = set()
        """Elements being read by reference, to see one that refers to itself."""
        self.patterns: dict[tuple, Paint | None] = {}
        """Patterns read already, by element, place and box."""
        self.stops: dict[int, tuple[np.ndarray, np.ndarray]] = {}
        """Stops of gradients read already, by id() of their element."""
        self._parents: dict[int, ET.Element] = {}
        self._standing: dict[int, Style] = {}

    def read(self) -> Drawing:
        with _deep_recursion():
            try:
                width, height = read_page(self)
            except TooCostly as error:  # by then, for the share that is walked
                walked = min(max(self._seen, 1) / self._count, 1.0)
                raise TooCostly(str(error), error.memory / walked) from error
        if not self.shapes and not any(f.severity is not Severity.NOTE for f in self.findings):
            self.tell(Severity.WARNING, self.name, tr("the file holds nothing that can be drawn"))
        return Drawing(width * MM_PER_PX, height * MM_PER_PX, tuple(self.shapes),
                       placed(self.findings, self.shapes), tuple(self.layers))  # fmt: skip

    def children(self, parent: ET.Element, place: Place) -> None:
        """The children of an element where it stands; path elements among many are read together."""
        elements = list(parent)
        for i in range(0, len(elements), BLOCK):
            block = elements[i : i + BLOCK]
            ahead = self._read_ahead(block, place) if len(block) > FEW else {}
            self.ahead |= ahead
            for child in block:
                self.element(child, place)
            for key in ahead:
                self.ahead.pop(key, None)

    def _read_ahead(self, block: list[ET.Element], place: Place) -> dict[int, tuple[float, list[Subpath]]]:
        paths = [
            e for e in block if e.tag == f"{SVG}path" and "transform" not in e.attrib and "d" in e.attrib
        ]
        largest = largest_scale_of(place.to_mm())
        if len(paths) <= FEW or largest == 0:
            return {}
        tolerance = self.flatness / largest
        found = read_together([e.get("d") for e in paths], tolerance)
        return {id(e): (tolerance, f) for e, f in zip(paths, found, strict=True) if f is not None}

    def outline(
        self, element: ET.Element, tag: str, place: Place, tolerance: float, doubts: list[str]
    ) -> list[Subpath]:
        """Subpaths of a shape, user units; doubts: filled with what cannot be read. Raises TooLarge."""
        ahead = self.ahead.pop(id(element), None)
        copied = self._copied.get(id(element)) if place.context is not None else None
        if ahead is not None and ahead[0] == tolerance:
            found = ahead[1]
        elif copied is not None and copied[0] == tolerance:
            found = copied[1]
        else:
            said = len(doubts)
            found = outline(element, tag, place.viewport, tolerance, self.font_of(place.style), doubts)
            if (
                place.context is not None and tag == "path" and len(doubts) == said
            ):  # path data knows no units
                if len(self._copied) >= MOST_OUTLINES_KEPT:
                    self._copied.clear()
                self._copied[id(element)] = tolerance, found
        self.usage.add_points(sum(len(points) for points, _ in found))
        return found

    def inside(self, root: ET.Element) -> Reader:
        """A reader of a drawing inside this one, which adds to the same shapes."""
        inner = Reader(root, self.name, self.flatness, self.progress, self.shapes, self.findings)
        inner.depth, inner.usage, inner.pictures = self.depth + 1, self.usage, self.pictures
        inner.layers, inner.extents, inner.clipping = self.layers, self.extents, self.clipping
        return inner

    # One element.

    def element(self, element: ET.Element, place: Place, size: Size | None = None) -> None:
        """One element where it stands. size: width and height asked by the use that shows it; None: it is no copy."""
        self._tick()
        tag = local(element)
        if not tag or (tag in SILENT and not (tag == "symbol" and size)) or not passes(element):
            return
        style = self.style_of(element, place.style)
        if style["display"] == "none" and tag != "symbol":
            return
        name = self._name(element, tag)
        matrix = self._matrix(element, style, name, place)
        for effect, what in WITHOUT.items():
            if style[effect] not in ("none", "normal", ""):
                self.tell(Severity.WARNING, name, tr(what))
        label = element.get("id", "")
        inner = Place(
            matrix, style, place.viewport, 1.0,
            (*place.group, label) if label and tag in ("g", "svg", "a", "use") else place.group,
            (*place.uses, id(element)) if label else place.uses, place.context,
        )  # fmt: skip
        if tag in ("use", "svg", "symbol"):
            # They group themselves: what their clip paths and masks refer to is a space of their own.
            self._paint_element(element, tag, name, inner, size or (None, None))
        else:
            with grouped(self, name, inner):
                self._paint_element(element, tag, name, inner, size or (None, None))

    def _paint_element(self, element: ET.Element, tag: str, name: str, inner: Place, size: Size) -> None:
        if tag in SHAPES:
            shape(self, element, tag, name, inner)
        elif tag in ("g", "a"):
            self.children(element, inner)
        elif element is self.root and size == (None, None):
            page(self, element, name, inner)
        elif tag in ("svg", "symbol"):
            own = (element.get(k) if tag == "svg" else None for k in ("width", "height"))
            nested(self, element, name, inner, *(asked or o for asked, o in zip(size, own, strict=True)))
        elif tag == "switch":
            for child in element:
                if local(child) in (*DRAWN, *SILENT) and passes(child):
                    self.element(child, inner)
                    break
        elif tag == "text":
            read_text(self, element, name, inner)
        elif tag == "use":
            use(self, element, name, inner)
        elif tag == "image":
            read_image(self, element, name, inner)
        elif tag in NOT_READ:
            self.tell(Severity.ERROR, name, tr(NOT_READ[tag]))
        else:
            self.tell(Severity.WARNING, name, tr("<{0}> is not known and not drawn", tag))

    # What is read by reference.

    @contextlib.contextmanager
    def opened(self, element: ET.Element) -> Iterator[None]:
        """Marks an element as being read."""
        self.open.add(id(element))
        try:
            yield
        finally:
            self.open.discard(id(element))

    @contextlib.contextmanager
    def apart(self, clipping: bool = False) -> Iterator[None]:
        """What is found inside is no part of the drawing."""
        kept = self.shapes, self.layers, self.extents, self.clipping
        self.shapes, self.layers, self.extents, self.clipping = [], [], None, clipping
        try:
            yield
        finally:
            self.shapes, self.layers, self.extents, self.clipping = kept

    def scene_of(self, holder: ET.Element, place: Place) -> ShapeTree:
        """What the children of an element show, apart from the drawing."""
        with self.apart():
            for child in holder:
                self.element(child, place)
            return ShapeTree(tuple(self.shapes), tuple(self.layers))

    def style_at(self, element: ET.Element) -> Style:
        """The style of an element where it stands in the file, whoever refers to it."""
        if not self._parents:
            self._parents = {id(child): parent for parent in self.root.iter() for child in parent}
        if id(element) not in self._standing:
            parent = self._parents.get(id(element))
            self._standing[id(element)] = self.style_of(
                element, Style() if parent is None else self.style_at(parent)
            )
        return self._standing[id(element)]

    # Small things.

    def tell(self, severity: Severity, element: str, text: str) -> None:
        self.findings.append(Finding(severity, element, text))

    def style_of(self, element: ET.Element, parent: Style) -> Style:
        return resolve(self.cascade.own(element), parent)

    def font_of(self, style: dict[str, str]) -> float:
        """User units of an em."""
        return float(style["font-size"])

    def _matrix(self, element: ET.Element, style: dict[str, str], name: str, place: Place) -> np.ndarray:
        if not style["transform"]:
            return place.matrix
        try:
            own = transform_of(
                style["transform"], place.viewport, is_css=style["transform"] != element.get("transform")
            )
            return place.matrix @ about_origin(own, style["transform-origin"], place.viewport)
        except BadNumber as error:
            self.tell(Severity.WARNING, name, tr("{0} and is left out", error))
            return place.matrix

    def _name(self, element: ET.Element, tag: str) -> str:
        if element.get("id"):
            return element.get("id")
        self._positions[tag] = self._positions.get(tag, 0) + 1
        return f"{tag} {self._positions[tag]}"

    def weigh(self, element: ET.Element) -> None:
        """Counts what a copy of an element shows, copies in it included. Raises TooCostly when it is too much."""
        if weight_of(element, self.by_id, self._weights) > most(MOST_COPIED):
            raise self._too_many()

    def breathe(self) -> None:
        """Tells how far the reading is, a few times a blink; where it can be cancelled."""
        if time.monotonic() - self._told > 0.02:
            self._told = time.monotonic()
            walked = (0.99 - PARSED - STYLED) * min(self._seen / self._count, 1.0)
            self.progress(PARSED + STYLED * self._styled + walked)

    def _styling(self, done: float) -> None:
        self._styled = done
        self.breathe()

    def _tick(self) -> None:
        self._seen += 1
        self._deep += len(self.open) > 1
        if self._deep > most(MOST_DEEP):
            raise TooCostly(
                tr(
                    "{0} nests patterns, masks, clip paths or markers in each other into more than {1:,} elements and is "
                    "not read. Simplify them in your drawing program.",
                    self.name,
                    most(MOST_DEEP),
                )
            )
        if self._seen > self._count + most(MOST_COPIED):
            raise self._too_many()
        if self._seen % 16 == 0:
            self.breathe()

    def _too_many(self) -> TooCostly:
        text = tr(
            "{0} copies its parts into more than {1:,} elements and is not read. Remove nested copies in your "
            "drawing program.", self.name, most(MOST_COPIED),
        )  # fmt: skip
        return TooCostly(text)


@contextlib.contextmanager
def _deep_recursion() -> Iterator[None]:
    """The walk goes as deep as the tree, several calls a level."""
    before = sys.getrecursionlimit()
    sys.setrecursionlimit(max(before, 20 * DEEPEST))
    try:
        yield
    finally:
        sys.setrecursionlimit(before)


def read_svg(data: bytes, name: str, flatness: float, progress: Callable[[float], None]) -> Drawing:
    """Reads an SVG file. flatness: chord tolerance in mm. Raises BadFile, TooCostly."""
    root = parse(data, name, lambda done: progress(PARSED * done))
    return Reader(root, name, flatness, progress).read()
