"""Proposing where the figure is in a photo: each comb is one connected stroke, with an outline of four corners.

The photo is made small and what is darker than the wall around is split into connected parts, at several thresholds. Parts of
the size and fullness of a comb are tried in pairs as the two combs of a pen: a pair gives a first similarity map, the corners
of its parts a homography, and the pattern of the lines along it decides. A person still sees where the lines were found.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from wallwright.artwork.raster.raster import Pixels, block_means
from wallwright.document.arrays import Flags, Floats, Points
from wallwright.document.errors import BadValue
from wallwright.document.homography import homography, through
from wallwright.planning.comb_lines import aligned, patch_of
from wallwright.planning.friction_figure import LENGTH, Comb
from wallwright.planning.friction_photo import LEAST_MATCH, corner_places
from wallwright.planning.photo_map import PhotoMap

SMALL = 1000
"""Pixels of the longer side of the small photo."""
LIGHT = 0.06
"""Of the longer side: the wall's light is the brightest within so much."""
LEVELS = (0.5, 0.3, 0.18)
"""Shares of the darkest ink above which a pixel is ink."""
BRIDGES = (0, 2)
"""Pixels of gaps in a line that are bridged."""
LEAST_SIDE, MOST_SIDE = 0.06, 0.8
"""Of the longer side of the photo: a comb's."""
FULLNESS = (0.04, 0.75)
"""Share of a comb's outline that is ink."""
MOST_PARTS = 14
"""Of the largest ones, how many are tried."""
ALIKE = 1.8
"""How many times as large as the other a comb of a pair may look."""
APART = (0.6, 1.6)
"""Of what the combs' size tells, how far apart their middles may look."""
OFF = 0.4
"""Of a comb's side, how far a comb may be from where others say."""
SURE = 1.5 * LEAST_MATCH
"""Match of the lines' pattern above which a proposal is made."""


@dataclass(frozen=True)
class _Part:
    """A connected part of ink."""

    hull: Points
    """(n, 2) pixels of the small photo."""
    middle: Floats
    """(2,) pixels."""
    side: float
    """Pixels: square root of the outline's area."""


@dataclass(frozen=True)
class _Proposal:
    photo_map: PhotoMap
    middles: Points
    """(n, 2) pixels of the parts."""
    match: float


def proposed_corners(pixels: Pixels, combs: Sequence[Comb]) -> Points | None:
    """(4, 2) pixels of the figure's corners in a photo, (rows, columns, 3) sRGB, in the order of corner_places; None where no
    combs like these are seen, or where several places are as likely."""
    factor = max(1, -(-max(pixels.shape[:2]) // SMALL))
    found: list[_Proposal] = []
    for is_light in (False, True):
        ink = _ink_of(pixels, factor, is_light)
        for level, bridge in itertools.product(LEVELS, BRIDGES):
            parts = _parts(ink > level * np.quantile(ink, 0.995), bridge)
            for chosen in _assignments(parts, combs):
                proposal = _tried(pixels, combs, chosen, factor)
                if proposal is not None:
                    found.append(proposal)
            if found:
                return _only(found, combs)
    return None


def _only(found: Sequence[_Proposal], combs: Sequence[Comb]) -> Points | None:
    """The corners of the best one, unless others that are as good lie elsewhere."""
    best = max(found, key=lambda proposal: proposal.match)
    side = LENGTH * float(best.photo_map.pixels_per_mm(np.array([combs[0].middle]))[0].max())
    for other in found:
        if np.hypot(*(other.middles.mean(axis=0) - best.middles.mean(axis=0))) > OFF * side:
            return None
    return best.photo_map.to_photo(corner_places(combs))


def _ink_of(pixels: Pixels, factor: int, is_light: bool) -> Floats:
    """(rows, columns) grey levels by which the darkest, or else the lightest channel leaves the wall around it."""
    from scipy.ndimage import gaussian_filter, maximum_filter

    plane = 255.0 - pixels.max(axis=2) if is_light else pixels.min(axis=2).astype(np.float64)
    rows, columns = (length // factor * factor for length in plane.shape)
    small = gaussian_filter(block_means(plane[:rows, :columns], factor), 0.7)
    size = max(3, int(LIGHT * max(small.shape)))
    wall = gaussian_filter(maximum_filter(small, size), size / 2)
    return np.asarray(wall - small)


def _parts(is_ink: Flags, bridge: int) -> list[_Part]:
    """Connected parts that may be combs, the largest first."""
    from scipy.ndimage import binary_closing, find_objects, label
    from scipy.spatial import ConvexHull

    if bridge:
        is_ink = binary_closing(is_ink, iterations=bridge)
    labels, _ = label(is_ink, structure=np.ones((3, 3)))
    longest, parts = max(is_ink.shape), []
    for number, box in enumerate(find_objects(labels), start=1):
        rows, columns = (side.stop - side.start for side in box)
        if not LEAST_SIDE * longest < min(rows, columns) <= max(rows, columns) < MOST_SIDE * longest:
            continue
        y, x = np.nonzero(labels[box] == number)
        points = np.column_stack([x + box[1].start + 0.5, y + box[0].start + 0.5])
        hull = ConvexHull(points)
        if FULLNESS[0] < len(points) / hull.volume < FULLNESS[1]:  # in the plane, the volume is the area
            outline = points[hull.vertices]
            parts.append(_Part(outline, _centroid(outline), float(np.sqrt(hull.volume))))
    return sorted(parts, key=lambda part: -part.side)[:MOST_PARTS]


def _centroid(outline: Points) -> Floats:
    """(2,) of the area within an outline, in its unit."""
    x, y = (outline - outline[0]).T
    u, v = np.roll(x, -1), np.roll(y, -1)
    cross = x * v - u * y
    area = cross.sum()
    return np.asarray(outline[0] + np.array([((x + u) * cross).sum(), ((y + v) * cross).sum()]) / (3 * area))


def _assignments(parts: Sequence[_Part], combs: Sequence[Comb]) -> Iterator[list[_Part]]:
    """Parts as combs: pairs as each pen's, and for other pens the parts that are where the pair says."""
    middles = np.array([comb.middle for comb in combs])
    for left, right in itertools.permutations(parts, 2):
        if max(left.side, right.side) > ALIKE * min(left.side, right.side):
            continue
        for first in range(0, len(combs), 2):
            between = middles[first + 1] - middles[first]
            expected = np.hypot(*between) / LENGTH * (left.side + right.side) / 2
            if not APART[0] < np.hypot(*(right.middle - left.middle)) / expected < APART[1]:
                continue
            # As complex numbers a similarity is a product and a sum.
            turn = complex(*(right.middle - left.middle)) / complex(*between)
            chosen = []
            for middle in middles:
                way = turn * complex(*(middle - middles[first]))
                at = left.middle + (way.real, way.imag)
                part = min(parts, key=lambda part, at=at: float(np.hypot(*(part.middle - at))))
                if np.hypot(*(part.middle - at)) < OFF * part.side:
                    chosen.append(part)
            if len(chosen) == len(combs) and len({id(part) for part in chosen}) == len(combs):
                yield chosen


def _tried(pixels: Pixels, combs: Sequence[Comb], parts: Sequence[_Part], factor: int) -> _Proposal | None:
    """The map by the corners of parts as combs, where the pattern of the lines bears it out."""
    middles = np.array([part.middle for part in parts])
    places = np.array([comb.middle for comb in combs])
    way, between = middles[1] - middles[0], places[1] - places[0]
    turn = complex(*way) / complex(*between)
    unit = turn / abs(turn)
    seen, known = [], []
    for comb, part in zip(combs, parts, strict=True):
        for corner in comb.path[[0, 1, -2, -1]]:
            outwards = unit * complex(*(corner - comb.middle))
            reach = (part.hull - part.middle) @ (outwards.real, outwards.imag)
            seen.append(part.hull[int(np.argmax(reach))])
            known.append(corner)
    corners = corner_places(combs)
    size = (pixels.shape[1], pixels.shape[0])
    try:
        to_photo = homography(np.array(known), np.array(seen) * factor)
        found = PhotoMap(size, corners, through(to_photo, corners))
        matches = []
        for comb in combs:
            matches.append(aligned(patch_of(pixels, found, comb))[1])
            if matches[-1] < SURE:
                return None
    except (BadValue, np.linalg.LinAlgError):
        return None
    return _Proposal(found, middles * factor, min(matches))
