"""Proposes where the friction figure is in a photo: each comb is one connected stroke with a quadrilateral outline.

The photo is reduced, and what is darker than the surrounding wall is split into connected parts, at several thresholds.
Parts with the size and fullness of a comb are tried in pairs as the two combs of a pen: a pair gives an initial similarity
map, the corners of its parts a homography, and the pattern of the lines decides. The user still sees where the lines were
found.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from wallwright.artwork.raster.raster import Pixels
from wallwright.document.arrays import Flags, Floats, Points
from wallwright.document.errors import BadValue
from wallwright.document.homography import homography, through
from wallwright.planning.comb_lines import aligned, patch_of
from wallwright.planning.friction_figure import LENGTH, Comb
from wallwright.planning.friction_photo import LEAST_MATCH, corner_places
from wallwright.planning.photo_map import PhotoMap

SMALL = 1000
"""Longer side of the reduced photo, pixels."""
LIGHT = 0.06
"""Window size, as a share of the longer side, whose brightest value is the wall's light."""
LEVELS = (0.5, 0.3, 0.18)
"""Shares of the darkest ink above which a pixel is ink."""
BRIDGES = (0, 2)
"""Widths of gaps in a line that are bridged, pixels."""
LEAST_SIDE, MOST_SIDE = 0.06, 0.8
"""Smallest and largest side of a comb, as a share of the photo's longer side."""
FULLNESS = (0.04, 0.75)
"""Smallest and largest share of a comb's outline that is ink."""
MOST_PARTS = 14
"""Largest number of parts to try, largest first."""
SIZE_RATIO = 1.8
"""Largest ratio of the apparent sizes of two combs of a pair."""
DISTANCE_RATIO = (0.6, 1.6)
"""Smallest and largest distance between two combs' middles, relative to the one expected from their size."""
LARGEST_OFFSET = 0.4
"""Largest distance of a comb from its expected position, as a share of its side."""
EQUAL_MATCH = 0.8
"""Share of the best match that counts as equally good, because a figure turned by a right angle may look the same."""
PROPOSAL_MATCH = 1.5 * LEAST_MATCH
"""Match of the line pattern above which a proposal is made."""


@dataclass(frozen=True)
class _Part:
    """A connected part of ink."""

    hull: Points
    """(n, 2) pixels of the reduced photo."""
    middle: Floats
    """(2,) pixels."""
    side: float
    """Square root of the outline's area, pixels."""


@dataclass(frozen=True)
class _Proposal:
    photo_map: PhotoMap
    """Map to the reduced photo."""
    middles: Points
    """(n, 2) pixels of the parts."""
    match: float
    roll: float
    """Apparent rotation of the figure, rad, at least 0."""


def proposed_corners(
    pixels: Pixels, combs: Sequence[Comb], progress: Callable[[float], None] = lambda done: None
) -> Points | None:
    """Returns (4, 2) pixels of the figure's corners in a photo, (rows, columns, 3) sRGB, in the order of corner_places;
    None if no such combs are visible, or if several positions are equally likely. progress may raise Cancelled."""
    factor = max(1, -(-max(pixels.shape[:2]) // SMALL))
    small = _reduced(pixels, factor)
    drawings = combs, [comb.turned for comb in combs]  # machine or hanging may have changed since it was drawn
    attempts = list(itertools.product((False, True), LEVELS, BRIDGES))
    for number, (is_light, level, bridge) in enumerate(attempts):
        progress(number / len(attempts))
        ink = _ink_of(small, is_light)
        chosen = list(_assignments(_parts(ink > level * np.quantile(ink, 0.995), bridge), combs))
        tried = [_tried(small, drawn, parts) for parts in chosen for drawn in drawings]
        found = [proposal for proposal in tried if proposal is not None]
        if found:
            best = _only(found, combs)
            return None if best is None else factor * best.photo_map.to_photo(corner_places(combs))
    return None


def _only(found: Sequence[_Proposal], combs: Sequence[Comb]) -> _Proposal | None:
    """Returns, of those that match about equally well, the most upright one, unless others lie elsewhere."""
    most = max(proposal.match for proposal in found)
    as_good = [proposal for proposal in found if proposal.match > EQUAL_MATCH * most]
    best = min(as_good, key=lambda proposal: proposal.roll)
    side = LENGTH * float(best.photo_map.pixels_per_mm(np.array([combs[0].middle]))[0].max())
    middles = [proposal.middles.mean(axis=0) for proposal in found]
    is_elsewhere = any(np.hypot(*(middle - best.middles.mean(axis=0))) > LARGEST_OFFSET * side for middle in middles)
    return None if is_elsewhere else best


def _reduced(pixels: Pixels, factor: int) -> Pixels:
    """Returns (rows, columns, 3) sRGB: means over squares of factor pixels."""
    if factor == 1:
        return pixels
    from PIL import Image

    return np.asarray(Image.fromarray(pixels).reduce(factor))


def _ink_of(pixels: Pixels, is_light: bool) -> Floats:
    """Returns (rows, columns) grey levels by which the darkest, or else the lightest, channel differs from the wall
    around it."""
    from scipy.ndimage import gaussian_filter, maximum_filter

    plane = 255.0 - pixels.max(axis=2) if is_light else pixels.min(axis=2).astype(np.float64)
    plane = gaussian_filter(plane, 0.7)
    size = max(3, int(LIGHT * max(plane.shape)))
    wall = gaussian_filter(maximum_filter(plane, size), size / 2)
    return np.asarray(wall - plane)


def _parts(is_ink: Flags, bridge: int) -> list[_Part]:
    """Returns connected parts that may be combs, largest first."""
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
    """Returns the (2,) centroid of the area within an outline, in its unit."""
    x, y = (outline - outline[0]).T
    u, v = np.roll(x, -1), np.roll(y, -1)
    cross = x * v - u * y
    area = cross.sum()
    return np.asarray(outline[0] + np.array([((x + u) * cross).sum(), ((y + v) * cross).sum()]) / (3 * area))


def _assignments(parts: Sequence[_Part], combs: Sequence[Comb]) -> Iterator[list[_Part]]:
    """Yields parts assigned to combs: pairs as one pen's combs, and for other pens the parts at the positions that follow
    from the pair."""
    middles, done = np.array([comb.middle for comb in combs]), set()
    for left, right in itertools.permutations(parts, 2):
        if max(left.side, right.side) > SIZE_RATIO * min(left.side, right.side):
            continue
        for first in range(0, len(combs), 2):
            between = middles[first + 1] - middles[first]
            expected = np.hypot(*between) / LENGTH * (left.side + right.side) / 2
            if not DISTANCE_RATIO[0] < np.hypot(*(right.middle - left.middle)) / expected < DISTANCE_RATIO[1]:
                continue
            # With complex numbers a similarity is a product and a sum.
            turn = complex(*(right.middle - left.middle)) / complex(*between)
            chosen = []
            for middle in middles:
                way = turn * complex(*(middle - middles[first]))
                at = left.middle + np.array([way.real, way.imag])
                off = [float(np.hypot(*(part.middle - at))) for part in parts]
                part = parts[int(np.argmin(off))]
                if min(off) < LARGEST_OFFSET * part.side:
                    chosen.append(part)
            names = tuple(id(part) for part in chosen)
            if len(chosen) == len(combs) == len(set(names)) and names not in done:
                done.add(names)
                yield chosen


def _tried(pixels: Pixels, combs: Sequence[Comb], parts: Sequence[_Part]) -> _Proposal | None:
    """Returns the map from the corners of parts, assumed to be the combs, if the line pattern confirms it."""
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
        to_photo = homography(np.array(known), np.array(seen))
        found = PhotoMap(size, corners, through(to_photo, corners))
        matches = []
        for comb in combs:
            matches.append(aligned(patch_of(pixels, found, comb))[1])
            if matches[-1] < PROPOSAL_MATCH:
                return None
    except (BadValue, np.linalg.LinAlgError):
        return None
    return _Proposal(found, middles, min(matches), abs(float(np.angle(turn))))
