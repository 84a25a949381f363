"""The line that textPath puts words on (SVG 2, 11.8)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.artwork.drawing import Severity
from wallwright.artwork.svg.context import mapped
from wallwright.artwork.svg.flatten import outline
from wallwright.artwork.svg.numbers import BadNumber, length
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.straight_paths import Subpath
from wallwright.artwork.svg.text.characters import TextElement
from wallwright.artwork.svg.transforms import transform_of
from wallwright.artwork.svg.xml_parser import href, local
from wallwright.document.arrays import Floats, Points
from wallwright.document.language import tr

SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon")
FINE = 1e-4
"""How far chords may leave the path, of the letters' size: their directions must be true within half a degree."""


@dataclass(frozen=True)
class TextPathTrack:
    """A path measured by its length."""

    points: Floats
    """(n, 2) user units."""
    lengths: Floats
    """(n,) along it; jumps between subpaths take none."""
    start: float
    """startOffset, user units."""

    def at(self, place: float) -> Floats | None:
        """(3, 3) with the point at a length as origin and x along the path; None beyond its ends.

        Lengths are numbers in user units.
        """
        if not 0 <= place <= self.lengths[-1]:
            return None
        k = int(np.clip(np.searchsorted(self.lengths, place, side="right"), 1, len(self.lengths) - 1))
        while k > 1 and self.lengths[k] == self.lengths[k - 1]:
            k -= 1
        a, b = self.points[k - 1], self.points[k]
        span = self.lengths[k] - self.lengths[k - 1]
        if span <= 0:
            return None
        x, y = a + (b - a) * ((place - self.lengths[k - 1]) / span)
        cos, sin = (b - a) / np.hypot(*(b - a))
        return np.array([[cos, -sin, x], [sin, cos, y], [0, 0, 1.0]])

    def laid(self, points: Points) -> Points:
        """Points (n, 2), x along the path and y across it, in user units: bent with the path, and straight on beyond its
        ends."""
        place = points[:, 0]
        k = np.clip(np.searchsorted(self.lengths, place, side="right"), 1, len(self.lengths) - 1)
        span = self.lengths[k] - self.lengths[k - 1]
        k = np.where(span > 0, k, np.maximum(k - 1, 1))
        a, b = self.points[k - 1], self.points[k]
        way = (b - a) / np.maximum(self.lengths[k] - self.lengths[k - 1], 1e-12)[:, None]
        across = np.column_stack([-way[:, 1], way[:, 0]])
        found: Points = a + (place - self.lengths[k - 1])[:, None] * way + points[:, 1:] * across
        return found


def track_of(part: TextElement, name: str, sink: ShapeSink) -> TextPathTrack | None:
    """The track of a textPath element; None, and reported, when there is none."""
    context, document = part.context, part.context.document
    target = document.by_id.get(href(part.element).removeprefix("#"))
    size = context.style.em
    doubts: list[str] = []
    subpaths: list[Subpath] = []
    try:
        if data := part.element.get("path"):
            subpaths = outline({"d": data}, "path", context.viewport, FINE * size, size, doubts)
        elif target is not None and local(target) in SHAPES:
            own = document.style_of(target, context.style)
            subpaths = outline(target.attrib, local(target), context.viewport, FINE * max(size, 1.0), size, doubts)
            matrix = transform_of(own["transform"], context.viewport)
            subpaths = [(mapped(matrix, line), closed) for line, closed in subpaths]
    except BadNumber as error:
        doubts.append(str(error))
    subpaths = [s for s in subpaths if len(s[0]) > 1]
    if not subpaths:
        what = doubts[0] if doubts else tr("“{0}” is not a path in the file", href(part.element)[:40])
        sink.report(Severity.ERROR, name, tr("its text along a path is not drawn: {0}", what))
        return None
    if part.element.get("side") == "right":
        subpaths = [(line[::-1], closed) for line, closed in subpaths[::-1]]
    lines = [np.concatenate([line, line[:1]]) if closed else line for line, closed in subpaths]
    steps = [np.concatenate([[0.0], np.hypot(*np.diff(line, axis=0).T)]) for line in lines]
    lengths = np.cumsum(np.concatenate(steps))
    start = 0.0
    try:
        start = length(part.element.get("startOffset"), lengths[-1], 0.0, size)
        if (
            target is not None
            and (given := length(target.get("pathLength"), 0.0, 0.0)) > 0
            and "%" not in part.element.get("startOffset", "")
        ):
            start *= lengths[-1] / given
    except BadNumber as error:
        sink.report(Severity.WARNING, name, tr("{0} and is ignored", error))
    return TextPathTrack(np.concatenate(lines), lengths, start)
