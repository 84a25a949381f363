"""Strokes of visible things: edges kept inside, thin parts along their centreline, fills.

Things with the same style are processed together, in batches on all cores; each gets the strokes that it has by itself, so
that cached and newly drawn strokes match.
"""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.shape_regions import all_lines, all_rings
from wallwright.document.arrays import Flags, Floats, Integers, Objects, Points
from wallwright.document.document import Fill, Pen
from wallwright.document.parallel import in_parts
from wallwright.strokes.fills import FILLS, MANY, TONED
from wallwright.strokes.fills.progress import Progress, no_progress
from wallwright.strokes.fills.quickest import USUAL_PACE, DrawingPace, are_worth_a_search, as_hatch, quickest
from wallwright.strokes.fills.spacing import coverage_of
from wallwright.strokes.line_geometries import line_strings
from wallwright.strokes.stroke_pieces import where_positive
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.thin_parts import thin_parts
from wallwright.strokes.tidy import simplify
from wallwright.strokes.tone import Tone
from wallwright.strokes.visibility import VisibleShape

EDGE_TONE = 0.25
"""Tone of a varying paint below which its region's edge is not drawn, because it would stand out."""
NARROW = 1.5
"""Width, in pen widths, below which a part is drawn once along its centreline, like lines (WIDE in
stroke_composition.py)."""
EDGES_COVER = 200 / 3
"""Coverage, %, of a strip whose edges leave a gap as wide as the pen; narrower strips are covered more."""
AT_ONCE = 256
"""Number of things in a batch: enough for numpy to be efficient, few enough for a quick cancel."""


class StrokeStyle(NamedTuple):
    """How a visible thing is drawn."""

    pen: int
    """Index into the pens."""
    width: float
    """Width of the pen, mm."""
    outline: bool
    fill: Fill
    is_overlay: bool = False
    """True: another pen draws the thing's thin parts."""
    mixed_from: tuple[Pen, ...] = ()
    """For a varying tone, the pens among which it was separated."""
    bordered_by: tuple[int, ...] = ()
    """Numbers of the areas of darker pens from which it is pulled back."""
    gaps: tuple[float, ...] = ()
    """Gap to each of them, mm."""
    pace: DrawingPace | None = None
    """Pace of the machine, by which the fastest fill is chosen; None: another fill was chosen."""


def generate_strokes(
    items: Sequence[VisibleShape],
    sources: Sequence[int] | Integers,
    styles: Mapping[int, StrokeStyle],
    tolerance: float,
    progress: Progress = no_progress,
) -> dict[int, Strokes]:
    """Returns simplified strokes of the things whose numbers have a style. sources: of each thing, for Strokes.source.

    sources may be an array (n,).
    """
    alike: dict[StrokeStyle, list[int]] = {}
    alone = []
    for number, style in _with_small_hatched(items, styles).items():
        region, tone = items[number].region, items[number].tone
        if region is not None and (tone is not None or style.fill.kind not in (*MANY, "none")):
            alone.append(number)
        else:
            # Neighbours no longer matter: they determine the region, not how it is drawn.
            alike.setdefault(style._replace(bordered_by=(), gaps=()), []).append(number)
    parts = [
        (style, numbers[i : i + AT_ONCE]) for style, numbers in alike.items() for i in range(0, len(numbers), AT_ONCE)
    ]
    found: dict[int, Strokes] = {}
    share = 1 - len(alone) / max(len(styles), 1)

    def work(part: tuple[StrokeStyle, list[int]]) -> list[Strokes]:
        style, numbers = part
        return strokes_alike([items[n] for n in numbers], [sources[n] for n in numbers], style, tolerance)

    for part, strokes in zip(parts, in_parts(work, parts, lambda done: progress(share * done)), strict=True):
        found.update(zip(part[1], strokes, strict=True))
    for i, number in enumerate(alone):

        def one(done: float, i: int = i) -> None:
            progress(share + (1 - share) * (i + done) / len(alone))

        one(0.0)
        found[number] = strokes_alone(items[number], sources[number], styles[number], tolerance, one)
    return found


def _with_small_hatched(items: Sequence[VisibleShape], styles: Mapping[int, StrokeStyle]) -> dict[int, StrokeStyle]:
    """Returns the styles, with hatch in place of the fastest fill for things so small that it cannot be much faster."""
    found = dict(styles)
    by_fill: dict[tuple[Fill, float], list[int]] = {}
    for number, style in styles.items():
        if style.fill.kind == "quickest":
            by_fill.setdefault((style.fill, style.width), []).append(number)
    for (fill, width), numbers in by_fill.items():
        regions = _array([items[number].region for number in numbers])
        for number, is_large in zip(numbers, are_worth_a_search(regions, fill, width), strict=True):
            if not is_large:
                found[number] = styles[number]._replace(fill=as_hatch(fill), pace=None)
    return found


def strokes_alike(
    items: Sequence[VisibleShape], sources: Sequence[int], style: StrokeStyle, tolerance: float
) -> list[Strokes]:
    """Returns strokes of things without tones, with a fill that processes many at once or none."""
    of_regions = np.array([i for i, item in enumerate(items) if item.region is not None], dtype=np.int64)
    of_lines = np.array([i for i, item in enumerate(items) if item.region is None], dtype=np.int64)
    layers = [_layer(*all_lines(_array([items[i].lines for i in of_lines])), of_lines)]
    if len(of_regions):
        regions = _array([items[i].region for i in of_regions])
        inside, edges = _edges(regions, style)
        no_edge = _array([items[i].no_edge for i in of_regions])
        edges = tuple(_outside(*found, no_edge) for found in edges)
        layers += [_layer(*found, of_regions) for found in edges]
        if style.fill.kind in MANY:
            lines, owner = MANY[style.fill.kind](inside, style.fill, style.width)
            if style.outline:
                seen = _beside_edges(inside, line_strings(lines), owner, style, edges[-1])
                lines, owner = lines[seen], owner[seen]
            counts = np.full(len(lines), lines.shape[1])
            layers.append((lines.reshape(-1, 2), counts, of_regions[owner], True))
    return _of_each(layers, len(items), sources, style.pen, tolerance)


def strokes_alone(item: VisibleShape, source: int, style: StrokeStyle, tolerance: float, progress: Progress) -> Strokes:
    """Returns strokes of one region with any tone and fill."""
    assert item.region is not None, "only regions are drawn alone"
    edges, fills = edges_and_fills(item.region, style, item.tone, progress)
    if item.no_edge is not None and edges:
        drawn = _array([shapely.LineString(edge) for edge in edges])
        left, _ = _outside(drawn, np.zeros(len(drawn), dtype=np.int64), _array([item.no_edge]))
        edges = [shapely.get_coordinates(line) for line in left]
    owner = np.zeros(len(edges) + len(fills), dtype=np.int64)
    lines = [*edges, *fills]
    counts = np.array([len(line) for line in lines], dtype=np.int64)
    points = np.concatenate([np.zeros((0, 2)), *lines])
    cut = counts[: len(edges)].sum()
    layers = [
        (points[:cut], counts[: len(edges)], owner[: len(edges)], False),
        (points[cut:], counts[len(edges) :], owner[len(edges) :], True),
    ]
    return _of_each(layers, 1, [source], style.pen, tolerance)[0]


def edges_and_fills(
    region: BaseGeometry, style: StrokeStyle, tone: Tone | None = None, progress: Progress = no_progress
) -> tuple[list[Floats], list[Floats]]:
    """Returns the edge strokes and fill strokes of a region, mm.

    The pen's centre stays half its width inside, so that ink ends at the drawn edge; where the region is too thin for that,
    its centreline is drawn. With a tone the fill follows it, and edges are drawn where it is at least EDGE_TONE. Each
    stroke is (n, 2).
    """
    inside, found = _edges(_array([region]), style)
    edges = [shapely.get_coordinates(line) for lines, _ in found for line in lines]
    if tone is None:
        if style.fill.kind == "quickest":
            fills = quickest(inside[0], style.fill, style.width, progress, style.pace or USUAL_PACE)
        else:
            fills = FILLS[style.fill.kind](inside[0], style.fill, style.width, progress)
        if style.outline and fills:
            lines = _array([shapely.LineString(line) for line in fills])
            seen = _beside_edges(inside, lines, np.zeros(len(fills), dtype=np.int64), style, found[-1])
            fills = [fills[i] for i in np.flatnonzero(seen)]
        return edges, fills
    packed = Strokes.pack(edges, 0)
    dark = where_positive(packed, tone(packed.points) - EDGE_TONE) if edges else packed
    if inside[0].is_empty:  # thinner than the pen: only the centreline remains
        return list(dark), []
    return list(dark), TONED[style.fill.kind](inside[0], style.fill, style.width, progress, tone)


def _edges(regions: Objects, style: StrokeStyle) -> tuple[Objects, tuple[tuple[Objects, Integers], ...]]:
    """Returns where the pen's centre may be in each region, and what is drawn along its edge and its thin parts: lines,
    and the region index of each. A part up to NARROW pen widths across is thin: two lines along its edges would mostly
    overlap."""
    inside = _grown(_grown(regions, -style.width * NARROW / 2), style.width * (NARROW - 1) / 2)
    if style.is_overlay:
        return inside, ()
    thin = thin_parts(regions, inside, style.width)
    return inside, (all_rings(inside), thin) if style.outline else (thin,)


def _grown(regions: Objects, distance: float) -> Objects:
    """Returns regions with their edges moved outwards, mm; corners stay sharp."""
    return shapely.buffer(regions, distance, join_style="mitre", mitre_limit=4.0)


def _outside(lines: Objects, owner: Integers, zones: Objects) -> tuple[Objects, Integers]:
    """Returns the parts of lines outside the zone of their owner, which may be None."""
    has = np.array([zone is not None for zone in zones], dtype=bool)
    if not has.any() or not len(lines):
        return lines, owner
    cut = has[owner]
    left = lines.copy()
    left[cut] = shapely.line_merge(shapely.difference(lines[cut], zones[owner[cut]]))
    parts, number = shapely.get_parts(left, return_index=True)
    there = ~shapely.is_empty(parts)
    return parts[there], owner[number[there]]


def _beside_edges(
    inside: Objects, lines: Objects, owner: Integers, style: StrokeStyle, thin: tuple[Objects, Integers]
) -> Flags:
    """Returns (n,) bool: fill lines to draw besides their region's edge: those whose ink is not entirely under that of
    the edge and of thin parts and, where the edge alone gives the wanted tone, not only in gaps narrower than the pen.
    Others would cost lifts and wet the wall for nothing. owner: (n,) index into inside. thin: centrelines of thin parts,
    and the region index of each, ascending."""
    bare = shapely.buffer(inside, -style.width / 2, quad_segs=4)
    if coverage_of(style.fill, style.width) <= EDGES_COVER:
        half = 0.499 * style.width  # a gap as wide as the pen is not narrower
        bare = shapely.buffer(shapely.buffer(bare, -half, quad_segs=4), half, quad_segs=4)
    shapely.prepare(bare)
    seen = np.asarray(shapely.dwithin(bare[owner], lines, style.width / 2), dtype=np.bool_)
    middles, of = thin
    both = np.intersect1d(of, owner[seen])
    if len(both):
        first, last = np.searchsorted(of, both, side="left"), np.searchsorted(of, both, side="right")
        ink = shapely.buffer(middles, style.width / 2, quad_segs=4)
        bare[both] = [
            shapely.difference(bare[r], shapely.union_all(ink[a:b]))
            for r, a, b in zip(both.tolist(), first.tolist(), last.tolist(), strict=True)
        ]
        again = np.flatnonzero(seen & np.isin(owner, both))
        seen[again] = shapely.dwithin(bare[owner[again]], lines[again], style.width / 2)
    return seen


Layer = tuple[Points, Integers, Integers, bool]
"""Points of all lines; number of points of each; number of the thing of each; whether they are fills."""


def _layer(lines: Objects, owner: Integers, numbers: Integers) -> Layer:
    """Returns a layer of lines, whose owners are given as indices into an array of numbers."""
    points, line = shapely.get_coordinates(lines, return_index=True)
    return points, np.bincount(line, minlength=len(lines)), numbers[owner], False


def _of_each(layers: Sequence[Layer], count: int, sources: Sequence[int], pen: int, tolerance: float) -> list[Strokes]:
    """Returns the lines of each of count things: those of the first layer first."""
    owner = np.concatenate([layer[2] for layer in layers])
    strokes = Strokes(
        np.concatenate([layer[0] for layer in layers]),
        np.concatenate([[0], np.cumsum(np.concatenate([layer[1] for layer in layers]))]).astype(np.int64),
        np.full(len(owner), pen, dtype=np.int32),
        owner.astype(np.int32),
        np.concatenate([np.full(len(layer[1]), layer[3]) for layer in layers]),
    )
    strokes = simplify(strokes.take(np.argsort(owner, kind="stable")), tolerance)
    owner = strokes.source
    strokes = dataclasses.replace(strokes, source=np.asarray(sources, dtype=np.int32)[owner])
    first = np.searchsorted(owner, np.arange(count + 1)).tolist()
    return [strokes.between(a, b) for a, b in itertools.pairwise(first)]


def _array(geometries: Sequence[BaseGeometry | None]) -> Objects:
    found = np.empty(len(geometries), dtype=object)
    found[:] = geometries
    return found
