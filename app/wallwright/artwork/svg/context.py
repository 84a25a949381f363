"""What an element inherits from where it stands in the tree. Immutable: an inner element gets a new context."""

from __future__ import annotations

import dataclasses
import math
import xml.etree.ElementTree as ET
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from wallwright.artwork.drawing import Severity
from wallwright.artwork.svg.boxes import Box
from wallwright.artwork.svg.numbers import MM_PER_PX
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.straight_paths import Subpath
from wallwright.artwork.svg.style import Style
from wallwright.artwork.svg.svg_document import SvgDocument
from wallwright.document.arrays import Floats, Points
from wallwright.document.language import tr

TO_MM = np.array([[MM_PER_PX], [MM_PER_PX], [1.0]])
Size = tuple[str | None, str | None]
"""Width and height that a use asks for, as written."""
KnownOutline = tuple[float, list[Subpath]]
"""The tolerance an outline was made for, user units, and its subpaths."""


class ElementReader(Protocol):
    """Reads any element; handlers read what is inside theirs with it."""

    def read(
        self,
        element: ET.Element,
        context: ReadingContext,
        sink: ShapeSink,
        size: Size | None = None,
        outline: KnownOutline | None = None,
    ) -> None:
        """Puts what an element shows into the sink. size: asked by the use that shows it; None: it is no copy.
        outline: its own, when it was read together with others. Raises BadFile, Cancelled."""

    def is_known(self, tag: str) -> bool:
        """Whether elements of a tag are understood, if only as ones that paint nothing."""


@dataclass(frozen=True)
class PageLayout:
    """How the outermost viewBox lies on the page."""

    size: tuple[float, float]
    """Width and height, px."""
    is_size_given: bool
    """Whether the file says how large its page is."""
    matrix: Floats
    """(3, 3) from the viewBox to px."""
    viewport: tuple[float, float]
    """Of the viewBox, user units: what percentages are of."""


@dataclass(frozen=True)
class ReadingContext:
    """What holds where an element stands."""

    document: SvgDocument
    elements: ElementReader
    page: PageLayout
    matrix: Floats
    """(3, 3) user units to px of the page."""
    style: Style
    viewport: tuple[float, float]
    opacity: float = 1.0
    """Laid on every paint; that of groups is on their layers."""
    group: tuple[str, ...] = ()
    """Ids of the groups it stands in, outermost first."""
    uses: tuple[int, ...] = ()
    """Elements being copied by use, to see a copy of itself."""
    paint_context: PaintContext | None = None
    """What context-fill and context-stroke refer to."""
    is_clip: bool = False
    """Whether it is part of a clip path: only its region counts, not its paint."""
    open: frozenset[int] = frozenset()
    """Elements being read by reference, by id(), to see one that refers to itself."""

    def to_mm(self) -> Floats:
        """(3, 3) from user units to mm on the page."""
        return np.asarray(TO_MM * self.matrix)

    def inside(self, element: ET.Element) -> ReadingContext:
        """The context with an element marked as being read by reference."""
        return dataclasses.replace(self, open=self.open | {id(element)})


@dataclass(frozen=True)
class PaintContext:
    """The element whose paint its markers, or copies, may ask for (SVG 2, 13.2)."""

    context: ReadingContext
    box: Box | None
    outer: PaintContext | None = None


@dataclass(frozen=True)
class SvgElement:
    """An element to be read, as its handler gets it."""

    node: ET.Element
    tag: str
    name: str
    """How findings name it."""
    size: Size = (None, None)
    """Asked by the use that shows it."""
    outline: KnownOutline | None = None
    """Its own, when it was read together with others."""


def report_doubts(sink: ShapeSink, name: str, doubts: Iterable[str]) -> None:
    """Reports attributes that cannot be read and count as not given."""
    for doubt in doubts:
        sink.report(Severity.WARNING, name, tr("{0} and is ignored", doubt))


def is_crisp(context: ReadingContext) -> bool:
    """Whether edges are painted without smoothing (SVG 2, 13.9)."""
    return context.style["shape-rendering"] in ("optimizeSpeed", "crispEdges")


def scale_of(to_mm: Floats) -> float:
    """mm for a user unit, the mean of both directions. to_mm: (3, 3)."""
    (a, b), (c, d) = to_mm[:2, :2].tolist()
    return math.sqrt(abs(a * d - b * c))


def largest_scale_of(to_mm: Floats) -> float:
    """mm that a user unit becomes at most: the larger singular value of a (3, 3) map's linear part."""
    (a, b), (c, d) = to_mm[:2, :2].tolist()
    return (math.hypot(a + d, b - c) + math.hypot(a - d, b + c)) / 2


def mapped(to_mm: Floats, line: Points) -> Points:
    """(n, 2) points through a (3, 3) map. From user units to those of the map, px or mm."""
    return np.asarray(line @ to_mm[:2, :2].T + to_mm[:2, 2])
