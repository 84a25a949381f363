"""The walk of an SVG tree: elements in painter's order, with style and map to the page, become shapes in mm."""

from __future__ import annotations

import re
import time
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from svgelements import Matrix

from app.artwork.drawing import Drawing, Finding, Paint, Severity, Shape
from app.artwork.svg.clip import clip_shapes, clip_to_viewport
from app.artwork.svg.flatten import Subpath, dashed, outline
from app.artwork.svg.numbers import MM_PER_PX, BadNumber, length, numbers
from app.artwork.svg.paint import paint_of
from app.artwork.svg.parse import href, local, parse
from app.artwork.svg.style import Cascade, resolve
from app.artwork.svg.text import read_text
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
DEEPEST_USE = 50


@dataclass(frozen=True)
class Place:
    """What an element inherits from where it stands."""

    matrix: np.ndarray
    """(3, 3) user units to px of the page."""
    style: dict[str, str]
    viewport: tuple[float, float]
    opacity: float
    group: tuple[str, ...]
    uses: tuple[int, ...] = ()
    """Elements being copied by use, to see a copy of itself."""


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
            self.shape(element, tag, name, inner)
        elif tag in ("g", "a"):
            for child in element:
                self.element(child, inner)
        elif tag == "svg":
            self.nested(element, name, inner, element.get("width"), element.get("height"))
        elif tag == "switch":
            for child in element:
                if local(child) and passes(child):
                    self.element(child, inner)
                    break
        elif tag == "text":
            read_text(self, element, name, inner)
        elif tag == "use":
            self.use(element, name, inner)
        elif tag in NOT_READ:
            self.tell(Severity.ERROR, name, tr(NOT_READ[tag]))
        else:
            self.tell(Severity.WARNING, name, tr("<{0}> is not known and not drawn", tag))

    def nested(
        self, element: ET.Element, name: str, place: Place, width: str | None, height: str | None
    ) -> None:
        """A viewport inside another: an inner svg, or a symbol shown by use (SVG 1.1, 7.9)."""
        w, h = place.viewport
        try:
            x, y = length(element.get("x"), w, 0.0), length(element.get("y"), h, 0.0)
            width_px, height_px = length(width, w, w), length(height, h, h)
            if width_px <= 0 or height_px <= 0:
                return
            inner = fit(element, width_px, height_px)
            box = view_box(element)
        except BadNumber as error:
            self.tell(Severity.ERROR, name, tr("is not drawn: {0}", error))
            return
        move = np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]])
        viewport = box[2:] if box else (width_px, height_px)
        first, outer = len(self.shapes), place.matrix @ move
        for child in element:
            self.element(child, Place(outer @ inner, place.style, viewport, place.opacity,
                                      place.group, place.uses))  # fmt: skip

        if self.style_of(element, place.style)["overflow"] not in ("visible", "auto"):
            clip_to_viewport(self, first, outer, width_px, height_px)

    def use(self, element: ET.Element, name: str, place: Place) -> None:
        target = self.by_id.get(href(element).removeprefix("#"))
        if target is None:
            self.tell(Severity.WARNING, name, tr("shows '{0}', which is not in the file", href(element)[:40]))
            return
        if id(target) in place.uses or len(place.uses) > DEEPEST_USE:
            self.tell(Severity.ERROR, name, tr("is not drawn: it is a copy of itself"))
            return
        try:
            x, y = (length(element.get(k), v, 0.0) for k, v in zip("xy", place.viewport, strict=True))
        except BadNumber as error:
            self.tell(Severity.ERROR, name, tr("is not drawn: {0}", error))
            return
        move = np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]])
        inner = Place(place.matrix @ move, place.style, place.viewport, place.opacity, place.group,
                      (*place.uses, id(target)))  # fmt: skip
        if local(target) in ("symbol", "svg"):
            style = self.style_of(target, inner.style)
            inner = Place(inner.matrix, style, inner.viewport, inner.opacity * self.opacity_of(style), inner.group,
                          inner.uses)  # fmt: skip
            default = (
                ("100%", "100%") if local(target) == "symbol" else (target.get("width"), target.get("height"))
            )
            self.nested(
                target, name, inner, element.get("width") or default[0], element.get("height") or default[1]
            )
        else:
            self.element(target, inner)

    def shape(self, element: ET.Element, tag: str, name: str, place: Place) -> None:
        style = place.style
        if style["visibility"] != "visible":
            return
        to_mm = self.to_mm(place)
        scale = self.scale_of(to_mm)
        largest = float(np.linalg.norm(to_mm[:2, :2], 2))
        if largest == 0 or scale == 0:
            return  # a transform that flattens everything paints nothing
        try:
            subpaths = outline(element, tag, place.viewport, self.flatness / largest, self.font_of(style))
        except BadNumber as error:
            self.tell(
                Severity.ERROR,
                name,
                tr("is not drawn: it {0}", error) if tag == "path" else tr("is not drawn: {0}", error),
            )
            return
        if not subpaths:
            return
        paints = [
            lambda: self.fill(subpaths, to_mm, name, place),
            lambda: self.stroke(subpaths, to_mm, scale, name, place),
        ]
        order = style["paint-order"].split()
        if "stroke" in order and ("fill" not in order or order.index("stroke") < order.index("fill")):
            paints.reverse()
        for paint in paints:
            paint()
        for position in ("marker-start", "marker-mid", "marker-end"):
            value = style[position] if style[position] != "none" else style["marker"]
            if value != "none" and tag in ("path", "line", "polyline", "polygon"):
                self.tell(Severity.WARNING, name, tr("is drawn without its markers (arrow heads, dots)"))
                break

    def fill(self, subpaths: list[Subpath], to_mm: np.ndarray, name: str, place: Place) -> None:
        paint = Paint("#000000") if self.clipping else paint_of(self, "fill", name, place)
        rings = [_mapped(to_mm, line) for line, _ in subpaths if len(line) >= 3]
        if paint is None or not rings:
            return
        even_odd = place.style["clip-rule" if self.clipping else "fill-rule"] == "evenodd"
        self.shapes.append(Shape(name, place.group, paint, tuple(rings), True, even_odd))

    def stroke(
        self, subpaths: list[Subpath], to_mm: np.ndarray, scale: float, name: str, place: Place
    ) -> None:
        paint = None if self.clipping else paint_of(self, "stroke", name, place)
        style = place.style
        if paint is None:
            return
        diagonal = float(np.hypot(*place.viewport) / np.sqrt(2))
        try:
            width = length(style["stroke-width"], diagonal, 1.0, self.font_of(style))
            pattern = []
            if style["stroke-dasharray"] not in ("none", ""):
                pattern = [
                    length(v, diagonal) for v in re.split(r"[\s,]+", style["stroke-dasharray"].strip()) if v
                ]
            offset = length(style["stroke-dashoffset"], diagonal, 0.0)
            miter = float(style["stroke-miterlimit"])
        except (BadNumber, ValueError) as error:
            self.tell(
                Severity.WARNING,
                name,
                tr("a line width or dash cannot be read ({0}); its line is not drawn", error),
            )
            return
        if width <= 0:
            return
        lines, closed = [line for line, _ in subpaths], [c for _, c in subpaths]
        if pattern and min(pattern) >= 0 and sum(pattern) > 0:
            if sum(pattern) * scale < self.flatness:
                self.tell(
                    Severity.NOTE, name, tr("its dashes are finer than can be drawn; the line is drawn whole")
                )
            else:
                lines = [dash for line, c in subpaths for dash in dashed(line, c, pattern, offset)]
                closed = [False] * len(lines)
        kept = [(_mapped(to_mm, line), c) for line, c in zip(lines, closed, strict=True) if len(line) >= 2]
        if kept:
            self.shapes.append(
                Shape(
                    name, place.group, paint, tuple(k[0] for k in kept), False, width=width * scale,
                    cap=style["stroke-linecap"], join=style["stroke-linejoin"], miter_limit=max(miter, 1.0),
                    closed=tuple(k[1] for k in kept),
                )
            )  # fmt: skip

    # Small things.

    def to_mm(self, place: Place) -> np.ndarray:
        """(3, 3) from user units to mm on the page."""
        return place.matrix * MM_PER_PX

    def scale_of(self, to_mm: np.ndarray) -> float:
        """mm for a user unit, the mean of both directions."""
        return float(np.sqrt(abs(np.linalg.det(to_mm[:2, :2]))))

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


def _mapped(to_mm: np.ndarray, line: np.ndarray) -> np.ndarray:
    return line @ to_mm[:2, :2].T + to_mm[:2, 2]


def transform_of(text: str | None) -> np.ndarray:
    """(3, 3) of a transform attribute. Raises BadNumber when it cannot be read."""
    if not text or text.strip() == "none":
        return np.eye(3)
    names = re.findall(r"([a-zA-Z]+)\s*\(([^)]*)\)", text)
    if not names or re.sub(r"[a-zA-Z]+\s*\([^)]*\)|[\s,]", "", text):
        raise BadNumber(tr("its transform '{0}' cannot be read", text[:40]))
    for name, inside in names:
        if name not in ("matrix", "translate", "scale", "rotate", "skewX", "skewY"):
            raise BadNumber(tr("its transform '{0}' is not known", name))
        numbers(re.sub(r"(px|deg)\b", "", inside))
    m = Matrix(text)
    return np.array([[m.a, m.c, m.e], [m.b, m.d, m.f], [0, 0, 1.0]])


def passes(element: ET.Element) -> bool:
    """Whether a child of switch is chosen (SVG 1.1, 5.8): no extensions needed, English or no language asked."""
    if element.get("requiredExtensions"):
        return False
    languages = element.get("systemLanguage")
    return languages is None or any(tag.strip().lower().split("-")[0] == "en" for tag in languages.split(","))


def read_svg(data: bytes, name: str, flatness: float, progress: Callable[[float], None]) -> Drawing:
    """Reads an SVG file. flatness: chord tolerance in mm. Raises BadFile."""
    return Reader(parse(data, name), name, flatness, progress).read()
