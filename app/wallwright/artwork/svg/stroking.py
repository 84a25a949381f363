"""Lines with a width: dashes, caps and joins (SVG 2, 13.5)."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass

import numpy as np

from wallwright.artwork.drawing import Severity, Shape
from wallwright.artwork.svg.boxes import Box, box_for
from wallwright.artwork.svg.context import ReadingContext, is_crisp, largest_scale_of, mapped, scale_of
from wallwright.artwork.svg.dashes import dashed
from wallwright.artwork.svg.numbers import MM_PER_PX, BadNumber, length
from wallwright.artwork.svg.paint import paint_of
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.straight_paths import Subpath
from wallwright.document.arrays import Floats
from wallwright.document.language import tr
from wallwright.document.reading_limits import most

CAPS = ("butt", "round", "square")
JOINS = ("miter", "miter-clip", "round", "bevel")
MOST_DASHES = 100_000
DOT = 1e-3
"""Share of the width that a dash or line of no length is drawn with, so that its caps have a direction."""


@dataclass(frozen=True)
class Line:
    """How lines are drawn, in the units their points are in."""

    width: float
    pattern: tuple[float, ...]
    """Dash and gap in turn; empty: no dashes."""
    offset: float
    miter_limit: float


def stroke(
    subpaths: list[Subpath],
    to_mm: Floats,
    name: str,
    context: ReadingContext,
    sink: ShapeSink,
    box: Box | None = None,
) -> None:
    """Adds the painted line of subpaths in user units. to_mm: (3, 3). box: of the whole element, when it is more than these.

    Raises BadFile.
    It maps user units to mm.
    """
    if context.is_clip:
        return
    if context.style["stroke"] == "none":
        return
    line = line_of(name, context, sink)
    if line.width <= 0:
        return
    own = box_for(context.style["stroke"], box, [p for p, _ in subpaths])
    paint = paint_of("stroke", name, context, sink, own)
    if paint is None:
        return
    nib, scale = None, scale_of(to_mm)
    if context.style["vector-effect"] == "non-scaling-stroke":
        subpaths = [(mapped(to_mm, p), c) for p, c in subpaths]
        to_mm, scale = np.eye(3), 1.0
        line = in_mm(line)
    else:
        nib = nib_of(to_mm)
    cap, join = context.style["stroke-linecap"], context.style["stroke-linejoin"]
    cap, join = cap if cap in CAPS else "butt", join if join in JOINS else "miter"
    kept = _runs(subpaths, line, cap, scale, name, context, sink)
    if kept:
        sink.add(
            Shape(
                name,
                context.group,
                paint,
                tuple(mapped(to_mm, points) for points, _ in kept),
                False,
                width=line.width * scale,
                cap=cap,
                join=join,
                miter_limit=line.miter_limit,
                closed=tuple(closed for _, closed in kept),
                nib=nib,
                is_crisp=is_crisp(context),
            )
        )


def line_of(name: str, context: ReadingContext, sink: ShapeSink) -> Line:
    """Width and dashes in user units. What cannot be read counts as not given, and is reported."""
    style = context.style
    font = style.em
    diagonal = float(np.hypot(*context.viewport) / np.sqrt(2))
    asked = {key: style[key] for key in ("stroke-width", "stroke-dashoffset", "stroke-miterlimit", "stroke-dasharray")}
    try:
        return _line(*asked.values(), font, diagonal)
    except BadNumber:
        pass  # one of them: each by itself
    initial = {
        "stroke-width": "1",
        "stroke-dashoffset": "0",
        "stroke-miterlimit": "4",
        "stroke-dasharray": "none",
    }
    for key in asked:
        try:
            _line(*(initial | {key: asked[key]}).values(), font, diagonal)
        except BadNumber as error:
            sink.report(Severity.NOTE, name, tr("its {0} cannot be read ({1}) and is ignored", key, error))
            asked[key] = initial[key]
    return _line(*asked.values(), font, diagonal)


@functools.lru_cache(maxsize=1024)
def _line(width: str, offset: str, miter: str, dashes: str, font: float, diagonal: float) -> Line:
    """Raises BadNumber. Most lines of a drawing are alike, so that this is worth keeping."""
    words = re.split(r"[\s,]+", dashes.strip())
    pattern = [] if words in (["none"], [""]) else [length(word, diagonal, None, font) for word in words]
    if len(pattern) % 2:
        pattern = pattern * 2
    if pattern and (min(pattern) < 0 or sum(pattern) <= 0):
        pattern = []  # SVG 2, 13.5.6: an error, or a solid line
    return Line(
        length(width, diagonal, 1.0, font),
        tuple(pattern),
        length(offset, diagonal, 0.0, font),
        max(length(miter, diagonal, 4.0, font), 1.0),
    )


def in_mm(line: Line) -> Line:
    """A line whose lengths do not scale with the drawing: px of the page (SVG 2, 8.13), as mm."""
    return Line(
        line.width * MM_PER_PX,
        tuple(v * MM_PER_PX for v in line.pattern),
        line.offset * MM_PER_PX,
        line.miter_limit,
    )


def nib_of(to_mm: Floats) -> tuple[float, float, float, float] | None:
    """What a (3, 3) map makes of a round nib, with its area kept; None when it stays round.

    to_mm: (3, 3), user units to mm.
    """
    mean = scale_of(to_mm)
    if mean <= 0 or largest_scale_of(to_mm) / mean < 1 + 1e-6:
        return None
    a, b, c, d = (to_mm[:2, :2] / mean).ravel().tolist()
    return a, b, c, d


def _runs(
    subpaths: list[Subpath],
    line: Line,
    cap: str,
    scale: float,
    name: str,
    context: ReadingContext,
    sink: ShapeSink,
) -> list[Subpath]:
    """The dashes of subpaths, or the subpaths; those of no length as short as a dot when their caps show."""
    dot = DOT * line.width
    runs: list[Subpath] = []
    total = sum(line.pattern)
    whole = not line.pattern
    if line.pattern:
        far = sum(float(np.hypot(*np.diff(points, axis=0).T).sum()) for points, _ in subpaths)
        count = far / total * len(line.pattern)
        if (
            total * scale < context.document.flatness
            or count > most(MOST_DASHES)
            or not context.document.usage.has_room_for_dashes(count)
        ):
            whole = True
            sink.report(Severity.NOTE, name, tr("its dashes are too fine to draw; the line is solid"))
    for points, closed in subpaths:
        if len(points) == 1 or (points[0, 0] == points[-1, 0] and (points == points[0]).all()):
            if cap in ("round", "square"):
                runs.append((points[0] + np.array([[-dot / 2, 0], [dot / 2, 0]]), False))
        elif whole:
            runs.append((points, closed))
        else:
            least = dot if cap in ("round", "square") else 0.0
            runs += [(dash, False) for dash in dashed(points, closed, line.pattern, line.offset, least)]
    return runs
