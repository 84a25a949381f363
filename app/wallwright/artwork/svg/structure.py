"""Elements that hold or copy others: the page, nested viewports, use and symbol, switch (SVG 1.1, sections 5 and 7.9)."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING

import numpy as np

from wallwright.artwork.drawing import Paint, Severity, Shape
from wallwright.artwork.svg.boxes import box_within
from wallwright.artwork.svg.clip import clip_to_page, clip_to_viewport
from wallwright.artwork.svg.colours import colour_of
from wallwright.artwork.svg.context import Context, Place, mapped
from wallwright.artwork.svg.grouping import grouped
from wallwright.artwork.svg.numbers import MM_PER_PX, BadNumber, length_or
from wallwright.artwork.svg.style import Style
from wallwright.artwork.svg.transforms import moved
from wallwright.artwork.svg.viewport import NOTHING_SAID, Box, fit, page_size, view_box
from wallwright.artwork.svg.xml_parser import href, local
from wallwright.document.errors import BadFile
from wallwright.document.language import tr

if TYPE_CHECKING:
    from wallwright.artwork.svg.walk import Reader

DEEPEST_USE = 500
"""Elements with an id that an element may stand in, through copies too."""


def read_page(reader: Reader) -> tuple[float, float]:
    """Walks the whole file; the page's width and height, px. What lies off a page is not drawn, as no viewer shows it.
    Raises BadFile for a page that has no size."""
    size = place_page(reader)
    draw_page(reader, Place(np.eye(3), Style(), size, 1.0, ()))
    if not reader.says_size:
        return _as_drawn(reader)
    clip_to_page(reader, *size)
    return size


def place_page(reader: Reader) -> tuple[float, float]:
    """Width and height of the page, px; the reader knows then how its viewBox lies on it. Raises BadFile."""
    root, doubts = reader.root, []
    try:
        box = _box_or_none(root, doubts)
        size = page_size(root, box, doubts)
        if box and 0 in box[2:]:
            raise BadNumber(tr("its viewBox '{0}' has no size", root.get("viewBox")))
        if box is None and size is None and doubts:
            raise BadNumber(doubts[0])
    except BadNumber as error:
        raise BadFile(
            tr("{0} cannot be placed: {1}. Set a page size in your drawing program.", reader.name, error)
        ) from error
    _tell_all(reader, "svg", doubts)
    reader.says_size = size is not None
    width, height = size or NOTHING_SAID
    reader.page = (
        fit(box, root.get("preserveAspectRatio"), width, height),
        box[2:] if box else (width, height),
    )
    return width, height


def draw_page(reader: Reader, place: Place) -> None:
    """Walks the whole file with its page at a place."""
    reader.element(reader.root, place)


def page(reader: Reader, element: ET.Element, name: str, place: Place) -> None:
    """The children of the outermost svg."""
    matrix, viewport = reader.page
    inner = dataclasses.replace(place, matrix=place.matrix @ matrix, viewport=viewport, group=())
    _background(reader, place)
    with grouped(reader, name, inner):
        reader.children(element, inner)


def _background(reader: Reader, place: Place) -> None:
    """The page in the background colour of the outermost svg, as web browsers paint it (CSS Backgrounds 3, 3.2)."""
    colour = colour_of(place.style["background-color"], place.style["color"])
    if colour is None or colour[1] == 0 or reader.clipping:
        return
    w, h = place.viewport
    ring = mapped(place.to_mm(), np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]]))
    reader.tell(Severity.NOTE, "svg", tr("its background colour is drawn as an area of the page's size"))
    reader.shapes.append(Shape("svg", (), Paint(*colour), (ring,), True))


def nested(
    reader: Reader, element: ET.Element, name: str, place: Place, width: str | None, height: str | None
) -> None:
    """A viewport inside another: an inner svg, or a symbol shown by use (SVG 1.1, 7.9)."""
    w, h = place.viewport
    font, doubts = reader.font_of(place.style), []
    try:
        x, y = (0.0, 0.0)
        if local(element) == "svg":
            x, y = (length_or(element.get(k), s, 0.0, font, doubts) for k, s in (("x", w), ("y", h)))
        width_px, height_px = (length_or(v, s, s, font, doubts) for v, s in ((width, w), (height, h)))
        box = _box_or_none(element, doubts)
    except BadNumber as error:
        reader.tell(Severity.ERROR, name, tr("is not drawn: {0}", error))
        return
    _tell_all(reader, name, doubts)
    if width_px <= 0 or height_px <= 0 or (box and 0 in box[2:]):
        return  # SVG 1.1, 5.1.2 and 7.7: nothing of it is shown
    inner = fit(box, element.get("preserveAspectRatio"), width_px, height_px)
    viewport = box[2:] if box else (width_px, height_px)
    first, outer = len(reader.shapes), place.matrix @ moved(x, y)
    content = dataclasses.replace(place, matrix=outer @ inner, viewport=viewport)
    with grouped(reader, name, content):
        reader.children(element, content)
    if place.style["overflow"] not in ("visible", "auto"):
        clip_to_viewport(reader, first, outer, width_px, height_px)


def use(reader: Reader, element: ET.Element, name: str, place: Place) -> None:
    """A copy of another element (SVG 2, 5.5)."""
    target = reader.by_id.get(href(element).removeprefix("#"))
    if target is None:
        reader.tell(Severity.WARNING, name, tr("shows '{0}', which is not in the file", href(element)[:40]))
        return
    if id(target) in place.uses or len(place.uses) > DEEPEST_USE:
        reader.tell(Severity.ERROR, name, tr("is not drawn: it is a copy of itself"))
        return
    reader.weigh(target)
    font, doubts = reader.font_of(place.style), []
    try:
        x, y = (
            length_or(element.get(k), v, 0.0, font, doubts) for k, v in zip("xy", place.viewport, strict=True)
        )
    except BadNumber as error:
        reader.tell(Severity.ERROR, name, tr("is not drawn: {0}", error))
        return
    _tell_all(reader, name, doubts)
    inner = dataclasses.replace(
        place, matrix=place.matrix @ moved(x, y), context=Context(place, None, place.context)
    )
    is_viewport = local(target) in ("symbol", "svg")
    size = (element.get("width"), element.get("height")) if is_viewport else (None, None)
    if _asks_for_box(target, place):
        box = _box_of_copy(reader, target, inner, size)
        inner = dataclasses.replace(inner, context=Context(place, box, place.context))
    with grouped(reader, name, place if is_viewport else inner):
        reader.element(target, inner, size)


def _asks_for_box(target: ET.Element, place: Place) -> bool:
    """Whether a copy takes a gradient or pattern of its use, whose box units are of the copy as a whole."""
    if not any(place.style[kind].startswith("url(") for kind in ("fill", "stroke")):
        return False
    return any("context-" in value for part in target.iter() for value in part.attrib.values())


def _box_of_copy(
    reader: Reader, target: ET.Element, place: Place, size: tuple[str | None, str | None]
) -> Box | None:
    """The box of what a use shows, in the user units of its place; nothing is drawn or told."""
    told = len(reader.findings)
    with reader.apart():
        reader.extents = []
        reader.element(target, place, size)
        box = box_within(reader.extents, place.to_mm())
    del reader.findings[told:]
    return box


def weight_of(element: ET.Element, by_id: dict[str, ET.Element], known: dict[int, int]) -> int:
    """Elements that are visited when an element is shown, those that its uses show included. known: of elements, by id(),
    filled on the way; an element that shows itself counts once."""
    stack = [element]
    while stack:
        one = stack[-1]
        parts = list(one)
        if local(one) == "use" and (target := by_id.get(href(one).removeprefix("#"))) is not None:
            parts.append(target)
        if id(one) not in known:
            known[id(one)] = 1  # stands for it while it is open
            waiting = [p for p in parts if id(p) not in known]
            if waiting:
                stack += waiting
                continue
        known[id(one)] = 1 + sum(known[id(p)] for p in parts)
        stack.pop()
    return known[id(element)]


FEATURES = (
    "http://www.w3.org/TR/SVG11/feature#",
    "http://www.w3.org/TR/SVG/feature#",
    "org.w3c.svg.",
    "org.w3c.dom.svg.",
)
"""What the names of SVG's own features begin with (SVG 1.1, appendix N)."""


def passes(element: ET.Element) -> bool:
    """Whether the conditions of an element hold (SVG 1.1, 5.8): no extensions needed, features of SVG only, English or
    no language asked. An empty condition does not hold."""
    attributes = element.attrib
    if "requiredExtensions" in attributes:
        return False
    if "requiredFeatures" in attributes:
        features = attributes["requiredFeatures"].split()
        if not features or not all(f.startswith(FEATURES) for f in features):
            return False
    languages = attributes.get("systemLanguage")
    return languages is None or any(tag.strip().lower().split("-")[0] == "en" for tag in languages.split(","))


def _box_or_none(element: ET.Element, doubts: list[str]) -> Box | None:
    """The viewBox; one that cannot be read counts as not given."""
    try:
        return view_box(element)
    except BadNumber as error:
        doubts.append(str(error))
        return None


def _as_drawn(reader: Reader) -> tuple[float, float]:
    """The page of a file that says nothing of its size: from the origin to the far side of what is drawn, px."""
    far = np.array([0.0, 0.0])
    for shape in reader.shapes:
        for points in shape.paths:
            far = np.maximum(far, points.max(axis=0) + shape.width / 2)
    return tuple(np.where(far > 0, far / MM_PER_PX, NOTHING_SAID).tolist())


def _tell_all(reader: Reader, name: str, doubts: list[str]) -> None:
    for doubt in doubts:
        reader.tell(Severity.WARNING, name, tr("{0} and is left out", doubt))
