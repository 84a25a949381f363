"""Gaps between flat areas of different pens: the edge of the lighter ink is pulled back from that of the darker one.

Two wet inks, at their drawn widths, should leave a gap of the chosen width. Each pen's ink ends at the edge of its region,
so the region of the lighter pen loses everything within the gap of the darker region. Where nothing is left of a thin
shape, its centreline is kept. Without a gap, the border that two regions share is drawn once, by the darker pen.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.colour import rgb_of
from wallwright.artwork.raster.tone import luminance
from wallwright.document.arrays import Floats, Integers, Objects
from wallwright.document.document import ColourGap, Pen
from wallwright.document.parallel import in_parts
from wallwright.strokes.thin_parts import middle_lines

WET_COVERAGE = 2 / 3
"""Coverage from which touching inks run into each other; hatches with bare wall between their lines do not."""
ARC_SEGMENTS = 32
"""Number of segments per quarter turn of a gap's edge: within a thousandth of the gap of a circle."""
RIBBON = 0.05
"""Width of a kept centreline to each side, in pen widths."""
LEAST_LOST = 0.05
"""Smallest lost piece that counts, in squares of the pen width: a smaller one is the tip of a corner."""
BORDER = 1.1
"""Distance from a border within which an edge runs along it, in half pen widths."""
AT_ONCE = 128
"""Number of areas pulled back in one batch."""


@dataclass(frozen=True)
class FlatArea:
    """A flat area drawn by one or more pens."""

    region: BaseGeometry
    colour: str
    pens: tuple[int, ...]
    """Pen indices, the one that draws the edge first."""
    coverage: float
    """Coverage of that pen, 0 to 1."""


@dataclass(frozen=True)
class ChokedArea:
    """The remainder of an area after choking."""

    region: BaseGeometry
    bordered_by: tuple[int, ...]
    """Numbers of the areas that it is pulled back from."""
    gaps: tuple[float, ...]
    """Gap to each of them, mm."""
    no_edge: BaseGeometry | None
    """Region within which the edge is not drawn, because the darker neighbour's is."""


def gap_between(first: str, second: str, gaps: Sequence[ColourGap], otherwise: float) -> float:
    """Returns the gap between two colours, mm: the one chosen for the pair, else the job's."""
    pair = {first, second}
    return next((g.gap for g in gaps if {g.first, g.second} == pair), otherwise)


class KnownGaps:
    """Cache of choked areas by number, valid while they and their neighbours are unchanged."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[tuple[object, ...], tuple[BaseGeometry, ...], ChokedArea]] = {}

    def find(self, number: int, values: tuple[object, ...], regions: tuple[BaseGeometry, ...]) -> ChokedArea | None:
        """Returns the cached result for equal values and identical regions, or None."""
        known = self._known.get(number)
        if known is None or known[0] != values or len(known[1]) != len(regions):
            return None
        return known[2] if all(a is b for a, b in zip(known[1], regions, strict=True)) else None

    def keep(
        self, number: int, values: tuple[object, ...], regions: tuple[BaseGeometry, ...], found: ChokedArea
    ) -> None:
        """Stores a result."""
        self._known[number] = values, regions, found


@dataclass(frozen=True)
class _Border:
    """An area and the areas it is pulled back from."""

    number: int
    area: FlatArea
    width: float
    """Width of its pen, mm."""
    near: tuple[int, ...]
    """Numbers of the others."""
    gaps: tuple[float, ...]
    """Gap to each, mm."""
    regions: tuple[BaseGeometry, ...]
    """Region of each."""

    @property
    def depends_on(self) -> tuple[tuple[object, ...], tuple[BaseGeometry, ...]]:
        """Returns the values and regions that determine the result."""
        return (self.width, *zip(self.near, self.gaps, strict=True)), (self.area.region, *self.regions)


def choked(
    areas: Mapping[int, FlatArea],
    pens: Sequence[Pen],
    gap_of: Callable[[str, str], float],
    known: KnownGaps | None = None,
) -> dict[int, ChokedArea]:
    """Returns the areas, by number, that are pulled back. gap_of: gap between two colours, mm; known: cache from earlier
    calls."""
    known = known or KnownGaps()
    numbers = [n for n, area in areas.items() if area.coverage >= WET_COVERAGE]
    if len({areas[n].pens[0] for n in numbers}) < 2:
        return {}
    light = luminance(np.array([rgb_of(pen.colour) for pen in pens]))
    colours = sorted({areas[n].colour for n in numbers})
    widest = max(gap_of(a, b) for a in colours for b in colours)
    regions = np.array([areas[n].region for n in numbers], dtype=object)
    one, other = shapely.STRtree(regions).query(regions, predicate="dwithin", distance=max(widest, 1e-6))
    darker: dict[int, list[tuple[int, float]]] = {}
    for i, j in zip(one.tolist(), other.tolist(), strict=True):
        a, b = areas[numbers[i]], areas[numbers[j]]
        is_lighter = (light[a.pens[0]], a.pens[0]) > (light[b.pens[0]], b.pens[0])
        if is_lighter and not set(a.pens) & set(b.pens):
            darker.setdefault(i, []).append((j, gap_of(a.colour, b.colour)))
    borders = []
    for i, others in darker.items():
        near = [
            (j, gap) for j, gap in others if gap >= widest or shapely.dwithin(regions[i], regions[j], max(gap, 1e-6))
        ]
        if near:
            area, those = areas[numbers[i]], [j for j, _ in near]
            borders.append(
                _Border(
                    numbers[i],
                    area,
                    pens[area.pens[0]].width,
                    tuple(numbers[j] for j in those),
                    tuple(gap for _, gap in near),
                    tuple(regions[those]),
                )
            )
    found = {border.number: known.find(border.number, *border.depends_on) for border in borders}
    new = [border for border in borders if found[border.number] is None]
    parts = [new[i : i + AT_ONCE] for i in range(0, len(new), AT_ONCE)]
    for part, left in zip(parts, in_parts(_pulled_back, parts), strict=True):
        for border, area_left in zip(part, left, strict=True):
            known.keep(border.number, *border.depends_on, area_left)
            found[border.number] = area_left
    return {number: area_left for number, area_left in found.items() if area_left is not None}


def _pulled_back(borders: Sequence[_Border]) -> list[ChokedArea]:
    """Returns the remainder of each area."""
    regions = np.array([b.area.region for b in borders], dtype=object)
    owner = np.repeat(np.arange(len(borders)), [len(b.near) for b in borders])
    gaps = np.array([gap for b in borders for gap in b.gaps])
    width = np.array([b.width for b in borders])
    # A wall-wide background with a thousand holes borders every spot in them: only nearby parts count.
    others = np.array([region for b in borders for region in b.regions], dtype=object)
    beside = _near_parts(others, regions[owner], np.maximum(gaps, BORDER * width[owner] / 2))
    apart = gaps > 0
    touching = _united(beside[~apart], owner[~apart], len(borders))
    kept = _united(shapely.buffer(beside[apart], gaps[apart], quad_segs=ARC_SEGMENTS), owner[apart], len(borders))
    has_gap = np.flatnonzero(~shapely.is_missing(kept))
    left = regions.copy()
    left[has_gap] = shapely.difference(regions[has_gap], kept[has_gap])
    largest = np.zeros(len(borders))
    np.maximum.at(largest, owner, gaps)
    reached = shapely.buffer(left[has_gap], 1.5 * largest[has_gap])
    lost = shapely.difference(regions[has_gap], reached)
    for i, what in zip(has_gap.tolist(), lost, strict=True):
        left[i] = _with_middle_lines(regions[i], left[i], what, width[i])
    no_edge = shapely.buffer(touching, BORDER * width / 2)  # stays None without touching regions
    return [
        ChokedArea(region, border.near, border.gaps, edge)
        for border, region, edge in zip(borders, left, no_edge, strict=True)
    ]


def _united(geometries: Objects, owner: Integers, count: int) -> Objects:
    """Returns, for each of count owners, the union of its geometries (n,), sorted by owner; None for owners without any."""
    found = np.full(count, None, dtype=object)
    numbers = np.bincount(owner, minlength=count)
    first = np.concatenate([[0], np.cumsum(numbers)])
    for n in np.unique(numbers[numbers > 0]).tolist():
        those = np.flatnonzero(numbers == n)
        found[those] = shapely.union_all(geometries[first[those][:, None] + np.arange(n)], axis=1)
    return found


def _near_parts(regions: Objects, areas: Objects, reach: Floats) -> Objects:
    """Returns (n,) the parts of regions (n,) that can be within (n,) reaches, mm, of areas (n,)."""
    margin = 1.01 * reach[:, None]
    boxes = shapely.bounds(areas) + np.concatenate([-margin, -margin, margin, margin], axis=1)
    bounds = shapely.bounds(regions)
    sticks_out = (bounds[:, :2] < boxes[:, :2]).any(axis=1) | (bounds[:, 2:] > boxes[:, 2:]).any(axis=1)
    parts = regions.copy()
    for i in np.flatnonzero(sticks_out).tolist():
        parts[i] = shapely.clip_by_rect(regions[i], *boxes[i].tolist())
    for i in np.flatnonzero(~shapely.is_valid(parts)).tolist():
        parts[i] = shapely.intersection(regions[i], shapely.box(*boxes[i].tolist()))
    return parts


def _with_middle_lines(whole: BaseGeometry, left: BaseGeometry, lost: BaseGeometry, width: float) -> BaseGeometry:
    """Returns what is left of an area, plus a ribbon along the centreline of what was lost."""
    parts = shapely.get_parts(lost)
    parts = parts[shapely.area(parts) > LEAST_LOST * width * width]
    if not len(parts):
        return left
    lines, _ = middle_lines(parts, width)
    ribbons = shapely.intersection(shapely.buffer(lines, RIBBON * width, cap_style="flat"), whole)
    return shapely.union_all([left, *ribbons])
