"""The walk of an SVG tree: elements in painter's order, with style and map to the page, become shapes in mm."""

from __future__ import annotations

import contextlib
import sys
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator

import numpy as np

from wallwright.artwork.drawing import Drawing, Severity, placed
from wallwright.artwork.svg.clip import clip_to_page
from wallwright.artwork.svg.context import (
    KnownOutline,
    ReadingContext,
    Size,
    SvgElement,
)
from wallwright.artwork.svg.grouping import grouped
from wallwright.artwork.svg.images import read_image
from wallwright.artwork.svg.numbers import MM_PER_PX, BadNumber
from wallwright.artwork.svg.painting import read_shape
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.structure import (
    passes,
    place_page,
    read_group,
    read_svg_element,
    read_switch,
    read_symbol,
    read_use,
    size_as_drawn,
)
from wallwright.artwork.svg.style import Style
from wallwright.artwork.svg.svg_document import SvgDocument
from wallwright.artwork.svg.text.text_reader import read_text
from wallwright.artwork.svg.transforms import about_origin, transform_of
from wallwright.artwork.svg.visit_limits import PARSED
from wallwright.artwork.svg.xml_parser import DEEPEST, local, parse
from wallwright.document.arrays import Floats
from wallwright.document.language import N_, tr
from wallwright.document.reading_limits import TooCostly

Handler = Callable[[SvgElement, ReadingContext, ShapeSink], None]
HANDLERS: dict[str, Handler] = {
    **dict.fromkeys(("path", "rect", "circle", "ellipse", "line", "polyline", "polygon"), read_shape),
    "a": read_group,
    "g": read_group,
    "image": read_image,
    "svg": read_svg_element,
    "switch": read_switch,
    "symbol": read_symbol,
    "text": read_text,
    "use": read_use,
}
"""What reads each element. A new element is a module with its handler, and a line here."""
GROUPS_ITSELF = ("use", "svg", "symbol")
"""Elements whose handlers apply clip path, mask and opacity: what these refer to has its own coordinate system."""
NAMES_GROUP = ("g", "svg", "a", "use")
"""Elements whose id names a group."""
SILENT = frozenset(
    (
        "defs",
        "style",
        "title",
        "desc",
        "metadata",
        "linearGradient",
        "radialGradient",
        "pattern",
        "clipPath",
        "mask",
        "marker",
        "filter",
        "symbol",
        "script",
        "font",
        "font-face",
        "stop",
        "cursor",
        "color-profile",
        "view",
        "solidcolor",
    )
)
"""Elements that paint nothing where they stand."""
NOT_READ = {
    "foreignObject": N_("it contains something that is not SVG and is not drawn"),
    "video": N_("it is not drawn"),
    "audio": N_("it is not drawn"),
    "canvas": N_("it is not drawn"),
}
WITHOUT = {
    "filter": N_("is drawn without its filter"),
    "mix-blend-mode": N_("is drawn without its blend mode"),
}


class HandlerTable:
    """Reads elements by the table of handlers."""

    def is_known(self, tag: str) -> bool:
        """Whether elements of a tag are understood, if only as ones that paint nothing."""
        return tag in HANDLERS or tag in SILENT

    def read(
        self,
        element: ET.Element,
        context: ReadingContext,
        sink: ShapeSink,
        size: Size | None = None,
        outline: KnownOutline | None = None,
    ) -> None:
        """As ElementReader has it."""
        document = context.document
        document.limits.visit(len(context.open) > 1)
        tag = local(element)
        if not tag or (tag in SILENT and not (tag == "symbol" and size)) or not passes(element):
            return
        style = document.style_of(element, context.style)
        if style["display"] == "none" and tag != "symbol":
            return
        name = document.name_of(element, tag)
        matrix = _matrix(element, style, name, context, sink)
        for effect, what in WITHOUT.items():
            if style[effect] not in ("none", "normal", ""):
                sink.report(Severity.WARNING, name, tr(what))
        label = element.get("id", "")
        inner = ReadingContext(
            document,
            self,
            context.page,
            matrix,
            style,
            context.viewport,
            1.0,
            (*context.group, label) if label and tag in NAMES_GROUP else context.group,
            (*context.uses, id(element)) if label else context.uses,
            context.paint_context,
            context.is_clip,
            context.open,
        )
        handler = HANDLERS.get(tag, _report_unread)
        seen = SvgElement(element, tag, name, size or (None, None), outline)
        if tag in GROUPS_ITSELF:
            handler(seen, inner, sink)
        else:
            with grouped(inner, sink, name) as own:
                handler(seen, inner, own)


def _report_unread(element: SvgElement, context: ReadingContext, sink: ShapeSink) -> None:
    if element.tag in NOT_READ:
        sink.report(Severity.ERROR, element.name, tr(NOT_READ[element.tag]))
    else:
        sink.report(Severity.WARNING, element.name, tr("<{0}> is unknown and not drawn", element.tag))


def _matrix(element: ET.Element, style: Style, name: str, context: ReadingContext, sink: ShapeSink) -> Floats:
    """(3, 3) from the element's user units to px of the page."""
    text = style["transform"]
    if not text:
        return context.matrix
    try:
        own = transform_of(text, context.viewport, is_css=text != element.get("transform"))
        return np.asarray(context.matrix @ about_origin(own, style["transform-origin"], context.viewport))
    except BadNumber as error:
        sink.report(Severity.WARNING, name, tr("{0} and is ignored", error))
        return context.matrix


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
    """Reads an SVG file (SVG 2). flatness: how far chords may leave a curve, mm. progress: called with the share done.

    Raises BadFile with a sentence, TooCostly for what a person can agree to; Cancelled through progress.
    """
    root = parse(data, name, lambda done: progress(PARSED * done))
    document, sink = SvgDocument(root, name, flatness, progress), ShapeSink()
    with _deep_recursion():
        page = place_page(document, sink)
        context = ReadingContext(document, HandlerTable(), page, np.eye(3), Style(), page.size)
        drawn = sink.branch()
        try:
            context.elements.read(root, context, drawn)
        except TooCostly as error:  # known for the share that is read
            raise TooCostly(str(error), error.memory / document.limits.visited_share) from error
    sink.join(drawn, clip_to_page(drawn.shapes, name, sink, *page.size) if page.is_size_given else None)
    width, height = page.size if page.is_size_given else size_as_drawn(sink.shapes)
    if not sink.shapes and not any(f.severity is not Severity.NOTE for f in sink.findings):
        sink.report(Severity.WARNING, name, tr("the file contains nothing that can be drawn"))
    tree, findings = sink.tree(), placed(sink.findings, sink.shapes)
    return Drawing(width * MM_PER_PX, height * MM_PER_PX, tree.shapes, findings, tree.layers)
