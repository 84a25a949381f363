"""Gaps between flat areas of different pens: the edge of the lighter ink is pulled back from that of the darker one.

The drawn widths of two wet inks are to leave a gap as wide as chosen. Each pen's ink ends at the edge of its region, so the
region of the lighter pen loses all that lies within the gap of the darker one's. Where nothing is left of a thin shape, its
middle line is kept. Without a gap the border that two regions share is drawn once, by the darker pen.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.colour import rgb_of
from wallwright.artwork.raster.tone import luminance
from wallwright.document.arrays import Floats
from wallwright.document.document import ColourGap, Pen
from wallwright.strokes.thin_parts import middle_lines

WET = 2 / 3
"""Coverage from which inks that touch run into each other; hatches with bare wall between their lines do not."""
ROUND = 32
"""Segments of a quarter turn of a gap's edge: a thousandth of the gap from a circle."""
RIBBON = 0.05
"""Pen widths to each side of a middle line that is kept."""
LEAST_LOST = 0.05
"""Squares of the pen width: of what vanishes, less than this is the tip of a corner."""
BORDER = 1.1
"""Half pen widths within which an edge runs along a border."""


@dataclass(frozen=True)
class FlatArea:
    """A flat area that one or more pens draw."""

    region: BaseGeometry
    colour: str
    pens: tuple[int, ...]
    """Indices, the one that draws the edge first."""
    coverage: float
    """Of that pen, 0 to 1."""


@dataclass(frozen=True)
class ChokedArea:
    """What is left of an area."""

    region: BaseGeometry
    bordered_by: tuple[int, ...]
    """Numbers of the areas that it keeps away from."""
    gaps: tuple[float, ...]
    """mm to each of them."""
    no_edge: BaseGeometry | None
    """Within it the edge is not drawn: the darker neighbour's is."""


def gap_between(first: str, second: str, gaps: Sequence[ColourGap], otherwise: float) -> float:
    """mm between two colours: as chosen for the pair, else for the job."""
    pair = {first, second}
    return next((g.gap for g in gaps if {g.first, g.second} == pair), otherwise)


class KnownGaps:
    """Areas that were pulled back before, by number, kept while they and their neighbours stay as they are."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[tuple[object, ...], tuple[BaseGeometry, ...], ChokedArea]] = {}

    def get(
        self, number: int, values: tuple[object, ...], regions: tuple[BaseGeometry, ...], make: Callable[[], ChokedArea]
    ) -> ChokedArea:
        """What was found for equal values and the very same regions, else what make finds."""
        known = self._known.get(number)
        if (
            known is not None
            and known[0] == values
            and len(known[1]) == len(regions)
            and all(a is b for a, b in zip(known[1], regions, strict=True))
        ):
            return known[2]
        found = make()
        self._known[number] = values, regions, found
        return found


def choked(
    areas: Mapping[int, FlatArea],
    pens: Sequence[Pen],
    gap_of: Callable[[str, str], float],
    known: KnownGaps | None = None,
) -> dict[int, ChokedArea]:
    """The areas, by number, that are pulled back. gap_of: mm between two colours; known: by earlier calls."""
    known = known or KnownGaps()
    numbers = [n for n, area in areas.items() if area.coverage >= WET]
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
    found = {}
    for i, others in darker.items():
        near = [
            (j, gap) for j, gap in others if gap >= widest or shapely.dwithin(regions[i], regions[j], max(gap, 1e-6))
        ]
        if near:
            area = areas[numbers[i]]
            found[numbers[i]] = known.get(
                numbers[i],
                (pens[area.pens[0]].width, tuple((numbers[j], gap) for j, gap in near)),
                (area.region, *(regions[j] for j, _ in near)),
                functools.partial(_pulled_back, area, near, regions, numbers, pens),
            )
    return found


def _pulled_back(
    area: FlatArea, near: Sequence[tuple[int, float]], regions: np.ndarray, numbers: Sequence[int], pens: Sequence[Pen]
) -> ChokedArea:
    width = pens[area.pens[0]].width
    gaps = np.array([gap for _, gap in near])
    # A wall-wide background with a thousand holes is a neighbour of each spark in them: only what is near counts.
    beside = _near_parts(regions[[j for j, _ in near]], area.region, np.maximum(gaps, BORDER * width / 2))
    kept = shapely.buffer(beside[gaps > 0], gaps[gaps > 0], quad_segs=ROUND)
    touching = beside[gaps <= 0]
    region = shapely.difference(area.region, shapely.union_all(kept)) if len(kept) else area.region
    if len(kept):
        region = _with_middle_lines(area.region, region, float(gaps.max()), width)
    no_edge = shapely.buffer(shapely.union_all(touching), BORDER * width / 2) if len(touching) else None
    return ChokedArea(region, tuple(numbers[j] for j, _ in near), tuple(g for _, g in near), no_edge)


def _near_parts(regions: np.ndarray, area: BaseGeometry, reach: Floats) -> np.ndarray:
    """(n,) the parts of regions that can be within (n,) reaches, mm, of an area."""
    x0, y0, x1, y1 = shapely.bounds(area)
    parts = np.empty(len(regions), dtype=object)
    for i, (region, r) in enumerate(zip(regions, (1.01 * reach).tolist(), strict=True)):
        part = shapely.clip_by_rect(region, x0 - r, y0 - r, x1 + r, y1 + r)
        box = shapely.box(x0 - r, y0 - r, x1 + r, y1 + r)
        parts[i] = part if shapely.is_valid(part) else shapely.intersection(region, box)
    return parts


def _with_middle_lines(whole: BaseGeometry, left: BaseGeometry, gap: float, width: float) -> BaseGeometry:
    """What is left, and a ribbon along the middle of what has nothing left near it."""
    lost = shapely.get_parts(shapely.difference(whole, shapely.buffer(left, 1.5 * gap)))
    lost = lost[shapely.area(lost) > LEAST_LOST * width * width]
    if not len(lost):
        return left
    lines, _ = middle_lines(lost, width)
    ribbons = shapely.intersection(shapely.buffer(lines, RIBBON * width, cap_style="flat"), whole)
    return shapely.union_all([left, *ribbons])
