"""Reads the friction figure from a photo: the distances between the lines of its combs, and their uncertainty.

Four points of the figure, marked in the photo, give an initial map (`photo_map`). With it the lines are found
(`comb_lines`), and the map is fitted again so that all lines are straight, parallel and at their drawn distances, except
for the effect of friction: every second line of a comb is off by one length. Two families of parallel lines at right
angles, with known spacing, determine a homography; the relative position of the combs is not needed, nor are the ends of
lines, which friction moves too. The scale comes from the outer lines of each comb, LENGTH apart: both are drawn in the same
direction, so that friction moves them equally. An error in the drawing's scale changes the friction by no more than the
same share.

The uncertainty is the larger of the scatter of the centres along the lines and that of the lines about the fit, plus what a
photo of this resolution cannot show.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wallwright.artwork.media import media_of
from wallwright.artwork.raster.raster import Pixels
from wallwright.artwork.raster.raster_reader import read_raster
from wallwright.document.arrays import Floats, Points
from wallwright.document.document import PICTURES, Document
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.language import plural, tr
from wallwright.document.whole_file import read_whole_file
from wallwright.planning.comb_lines import SIGN, Patch, Sections, aligned, patch_of, sections_of
from wallwright.planning.friction_figure import DISTANCES, LINE_PLACES, LINES, SPACING, Comb, read_friction
from wallwright.planning.photo_map import MOST_DISTORTION, PhotoMap

LONGEST_SIDE = 4000
"""Longer side, pixels, to which a photo is reduced: ten pixels per mm for a figure with four pens."""
FEWEST_PIXELS = 3.0
"""Smallest resolution, pixels per mm; below it lines of half a millimetre are lost."""
LEAST_PIXELS = 1.0
"""Resolution, pixels per mm, below which no lines are searched. Between both values, the marks may be wrong rather than
the photo."""
MOST_SLANT = 3.0
"""Largest ratio of the scales in two directions."""
MOST_BLUR = 0.8
"""Largest standard deviation of the edge blur, mm; above it neighbouring lines merge."""
LEAST_INK = 8.0
"""Smallest contrast of lines, in grey levels of 255."""
FEWEST_SECTIONS = 0.4
"""Smallest share of the sections in which a line is visible."""
LEAST_MATCH = 1.2
"""Smallest match of the line pattern: between the values for combs and for anything else."""
MOST_MISFIT = 0.8
"""Largest error of the lines relative to the fit, mm, root mean square."""
OUTLIER = 0.3
"""Error of a centre, mm, above which it is weighted less."""
TIP, FRICTION, DISTORTION, HANDLES = 4.0, 4.0, 0.05, 60.0
"""Prior standard deviations: of whole combs, of every second line, mm; of the lens; of the four points, pixels. They
matter only for what the lines leave undetermined."""
ROUNDS = 3
SMALLEST = 0.015
"""Smallest standard uncertainty of a line's position in any photo, mm."""
PIXEL_SHARE = 0.05
"""Sampling error of a line's position, in pixels."""
BLOCK_LENGTH = 6
"""Number of consecutive sections with correlated errors."""
TERMS = 4
"""Number of fitted terms of the positions of a comb's lines: position, scale, perspective, friction."""
SHARED = np.sqrt((4 * LINES - 6) / DISTANCES)
"""Ratio of the uncertainty of distances, as if read one by one, to that of a line's position: for the mean difference of
wide and narrow ones, in which each inner line counts twice."""


@dataclass(frozen=True)
class CombReading:
    """Reading of one comb from a photo."""

    comb: Comb
    distances: tuple[float, ...]
    """Distances between neighbouring lines, mm, in order."""
    uncertainty: float
    """Uncertainty of a distance, mm, as if the distances were read one by one."""
    places: Floats
    """(LINES,) mm across: positions of the lines from the comb's middle."""
    sections: Sections


@dataclass(frozen=True)
class FrictionPhotoReading:
    """Reading of the figure from a photo."""

    combs: tuple[CombReading, ...]
    photo_map: PhotoMap
    pixels_per_mm: float
    """Smallest resolution in the figure."""

    def lines(self, reading: CombReading) -> list[Points]:
        """Returns for each line of a comb (n, 2) pixels of its centres in the sections where it is visible."""
        sections, found = reading.sections, []
        for centres in sections.centres:
            shown = np.isfinite(centres)
            found.append(self.photo_map.to_photo(reading.comb.places(sections.along[shown], centres[shown])))
        return found

    def of_pen(self, pen: int) -> tuple[CombReading, CombReading]:
        """Returns the first and the second comb of a pen, by its index in the document."""
        first, second = (reading for reading in self.combs if reading.comb.pen == pen)
        return first, second


def corner_places(combs: Sequence[Comb]) -> Points:
    """Returns (4, 2) mm from the figure's corner: the ends of lines that a person marks in the photo, clockwise from the
    top left. Of all ends of lines, those farthest apart."""
    from scipy.spatial import ConvexHull

    ends = np.vstack([comb.path[[0, 1, -2, -1]] for comb in combs])
    hull = np.round(ends[ConvexHull(ends).vertices], 6)

    chosen = np.array(list(itertools.combinations(range(len(hull)), 4)))
    x, y = hull[chosen].transpose(2, 0, 1)
    areas = np.abs((x * np.roll(y, -1, axis=1) - y * np.roll(x, -1, axis=1)).sum(axis=1))
    best = hull[chosen[int(np.argmax(areas > areas.max() - 1e-3))]]
    middle = best.mean(axis=0)
    turn = np.arctan2(*(best - middle).T[::-1])
    clockwise = best[np.argsort(turn)]
    return np.roll(clockwise, -int(np.argmin(clockwise.sum(axis=1))), axis=0)


def map_of(pixels: Pixels, combs: Sequence[Comb], corners: Points) -> PhotoMap:
    """Returns the map from the positions of the figure's corners in a photo, (rows, columns, 3) sRGB: corners (4, 2)
    pixels, in the order of corner_places. Raises BadValue if they cannot be the corners of one figure."""
    found = PhotoMap((pixels.shape[1], pixels.shape[0]), corner_places(combs), np.asarray(corners, dtype=float))
    found.pixels_per_mm(found.places)
    return found


def photo_pixels(path: Path, progress: Callable[[float], None] = lambda done: None) -> Pixels:
    """Returns (rows, columns, 3) sRGB of a photo file, upright. Raises BadFile."""
    data = read_whole_file(path, path.name)
    try:
        is_picture = media_of(data, path.name) in PICTURES
    except BadFile:
        is_picture = False
    if not is_picture:
        raise BadFile(tr("{0} is not a readable picture (PNG, JPEG or WebP).", path.name))
    raster = read_raster(data, path.name, 1.0, progress, LONGEST_SIDE).raster
    assert raster is not None, "a picture has pixels"
    return raster.pixels


def read_photo(
    pixels: Pixels,
    document: Document,
    combs: Sequence[Comb],
    corners: Points,
    progress: Callable[[float], None] = lambda done: None,
) -> FrictionPhotoReading:
    """Reads combs of a document's figure from a photo, (rows, columns, 3) sRGB. corners: (4, 2) pixels in the order of
    corner_places. Raises BadValue with what is wrong with the photo, and where; progress may raise Cancelled."""
    names = [_name(document, comb) for comb in combs]
    found = map_of(pixels, combs, corners)
    density = _check_map(found, combs, LEAST_PIXELS)
    drawn, seen = [], []
    for number, (comb, name) in enumerate(zip(combs, names, strict=True)):
        progress(number / len(combs) / 2)
        comb, near, patch = _aligned(pixels, found, comb, name)
        drawn.append(comb)
        seen.append(_sections(patch, near, name))
    for turn in range(ROUNDS):
        progress(0.5 + turn / ROUNDS / 2)
        found, expected = _fitted(found, drawn, seen)
        density = _check_map(found, drawn)
        seen = []
        for comb, lines, name in zip(drawn, expected, names, strict=True):
            patch = patch_of(pixels, found, comb)
            seen.append(_sections(patch, np.repeat(lines[:, None], len(patch.along), axis=1), name))
    return FrictionPhotoReading(_readings(drawn, seen, density, names), found, density)


def with_friction_read(document: Document, hanging: int, reading: FrictionPhotoReading) -> Document:
    """Returns the document with the drag of each pen in a photo. Raises BadValue."""
    for pen in sorted({comb.comb.pen for comb in reading.combs}):
        first, second = reading.of_pen(pen)
        document = read_friction(
            document,
            hanging,
            pen,
            (first.distances, second.distances),
            (first.uncertainty, second.uncertainty),
        )
    return document


def _name(document: Document, comb: Comb) -> str:
    pen = document.pens[comb.pen].name
    return tr("{0}: the second comb", pen) if comb.number else tr("{0}: the first comb", pen)


def _check_map(found: PhotoMap, combs: Sequence[Comb], fewest: float = FEWEST_PIXELS) -> float:
    """Returns the smallest resolution, pixels per mm. Raises BadValue if it is below fewest."""
    ends = np.vstack([comb.path[[0, 1, -2, -1]] for comb in combs])
    sizes = found.pixels_per_mm(ends)
    least = float(sizes[:, 0].min())
    if not np.isfinite(sizes).all() or (sizes[:, 1] > MOST_SLANT * sizes[:, 0]).any():
        raise BadValue(
            tr("The photo shows the figure from too far to the side. Take it from in front, or drag the four marks")
        )
    if least < fewest:
        raise BadValue(
            tr(
                "The photo has only {0:.1f} pixels per mm of the figure; at least {1:g} are needed. Take it from nearer, "
                "each pen by itself if need be",
                least,
                FEWEST_PIXELS,
            )
        )
    return least


def _aligned(pixels: Pixels, found: PhotoMap, comb: Comb, name: str) -> tuple[Comb, Floats, Patch]:
    """Returns a comb as it was drawn, the approximate positions of its lines, and its patch. If machine or hanging have
    changed since, the lines may be at right angles to those that would be drawn now; friction moves both equally. Raises
    BadValue."""
    best: tuple[float, Comb, Floats, Patch] | None = None
    for tried in (comb, comb.turned):
        patch = patch_of(pixels, found, tried)
        room = np.abs(patch.across) < LINE_PLACES[-1] + SPACING / 2
        if not patch.inside[:, room].all():
            raise BadValue(tr("{0} is cut off at the photo's edge. Take a photo of the whole figure", name))
        near, match = aligned(patch)
        if best is None or match > best[0]:
            best = match, tried, near, patch
    assert best is not None, "two were tried"
    if best[0] < LEAST_MATCH:
        raise BadValue(tr("{0} was not found where the four marks say. Drag the marks", name))
    return best[1:]


def _sections(patch: Patch, near: Floats, name: str) -> Sections:
    """Returns the sections of a comb. Raises BadValue if lines are missing."""
    found = sections_of(patch, near)
    _check_lines(found, name)
    return found


def _check_lines(sections: Sections, name: str) -> None:
    """Checks the lines. Raises BadValue that names the missing line, or says why all are missing."""
    if float(np.median(sections.ink)) < LEAST_INK:
        raise BadValue(
            tr(
                "{0}: the lines hardly stand out from the wall ({1:.0f} of 255 grey levels; at least {2:g} are needed). "
                "Take the photo in better light",
                name,
                max(float(np.median(sections.ink)), 0.0),
                LEAST_INK,
            )
        )
    if sections.blur > MOST_BLUR:
        raise BadValue(
            tr(
                "{0} is too blurred: its edges spread over {1:.1f} mm. Hold the camera still, wait until it is in focus, "
                "and take the photo again",
                name,
                2 * sections.blur,
            )
        )
    share = np.isfinite(sections.centres).mean(axis=1)
    missing = np.flatnonzero(share < FEWEST_SECTIONS)
    if len(missing):
        raise BadValue(
            plural(
                "{1}: line {2} cannot be seen well enough. Check the marks and the photo, or read this comb with a ruler",
                "{1}: lines {2} cannot be seen well enough. Check the marks and the photo, or read this comb with a ruler",
                len(missing),
                name,
                ", ".join(str(line + 1) for line in missing),
            )
        )


def _fitted(before: PhotoMap, combs: Sequence[Comb], seen: Sequence[Sections]) -> tuple[PhotoMap, Floats]:
    """Returns the map for which all lines are where they were drawn, except for the effect of friction and tips; and
    (combs, LINES) mm across, their positions in it."""
    from scipy.optimize import least_squares

    points, owner, line = [], [], []
    for number, (comb, sections) in enumerate(zip(combs, seen, strict=True)):
        shown = np.isfinite(sections.centres)
        along = np.broadcast_to(sections.along, shown.shape)[shown]
        points.append(before.to_photo(comb.places(along, sections.centres[shown])))
        line.append(np.nonzero(shown)[0])
        owner.append(np.full(len(along), number))
    photo, which, lines = np.vstack(points), np.concatenate(owner), np.concatenate(line)
    across = np.array([comb.across for comb in combs])[which]
    middles = np.array([comb.middle for comb in combs])[which]
    wanted, sign = LINE_PLACES[lines], SIGN[lines]
    count = len(combs)

    def residuals(unknown: Floats) -> Floats:
        found = before.moved(before.seen + unknown[:8].reshape(4, 2) * HANDLES, DISTORTION * unknown[8])
        places = found.to_figure(photo)
        off = ((places - middles) * across).sum(axis=1)
        tips, friction = TIP * unknown[9 : 9 + count], FRICTION * unknown[9 + count :]
        off = off - wanted - tips[which] - friction[which] * sign
        # Huber's weights (1964), applied here because they must not affect the priors below.
        size = np.abs(off) / OUTLIER
        off = np.where(size > 1, np.sign(off) * OUTLIER * np.sqrt(2 * np.maximum(size, 1) - 1), off)
        return np.concatenate([np.nan_to_num(off / OUTLIER, nan=1e3), unknown])

    start = np.zeros(9 + 2 * count)
    start[8] = before.distortion / DISTORTION
    try:
        unknown = least_squares(residuals, start, method="trf", max_nfev=40).x
    except BadValue:  # a step to where the four points form no quadrilateral
        unknown = start
    distortion = float(np.clip(DISTORTION * unknown[8], -MOST_DISTORTION, MOST_DISTORTION))
    found = before.moved(before.seen + unknown[:8].reshape(4, 2) * HANDLES, distortion)
    tips, friction = TIP * unknown[9 : 9 + count, None], FRICTION * unknown[9 + count :, None]
    return found, LINE_PLACES + tips + friction * SIGN


def _readings(
    combs: Sequence[Comb], seen: Sequence[Sections], density: float, names: Sequence[str]
) -> tuple[CombReading, ...]:
    """Returns the readings. Raises BadValue for lines that are not those of a comb."""
    measured = [_line_places(sections) for sections in seen]
    rests = [_rest(places) for places, _ in measured]
    readings = []
    for comb, sections, name, (places, scatter) in zip(combs, seen, names, measured, strict=True):
        # Few lines give a poor estimate of scatter: both combs of a pen are taken together.
        squares = [float(other @ other) for other, of in zip(rests, combs, strict=True) if of.pen == comb.pen]
        freedom = len(squares) * (LINES - TERMS)
        if sum(squares) / freedom > MOST_MISFIT**2:
            raise BadValue(
                tr("{0}: these lines are not those of the figure. Drag the four marks, or take another photo", name)
            )
        # Two degrees of freedom fewer, because there are so few: the variance of Student's distribution (1908).
        variance = max(scatter, sum(squares) / (freedom - 2)) + SMALLEST**2 + (PIXEL_SHARE / density) ** 2
        distances = tuple(np.diff(places).tolist())
        readings.append(CombReading(comb, distances, float(SHARED * np.sqrt(variance)), places, sections))
    return tuple(readings)


def _line_places(sections: Sections) -> tuple[Floats, float]:
    """Returns (LINES,) mm across, the lines' positions at their middles, and the variance of one from the scatter along
    it, mm²."""
    places, scatter = np.empty(LINES), []
    for line, centres in enumerate(sections.centres):
        shown = np.isfinite(centres)
        middle, slope = _robust_line(sections.along[shown], centres[shown])
        places[line] = middle
        off = np.clip(centres[shown] - middle - slope * sections.along[shown], -OUTLIER, OUTLIER)
        means = [part.mean() for part in np.array_split(off, max(2, len(off) // BLOCK_LENGTH))]
        scatter.append(np.var(means, ddof=1) / len(means))
    return places, float(np.mean(scatter))


def _rest(places: Floats) -> Floats:
    """Returns (LINES,) mm: residuals of the lines after fitting a common offset of every second one, and position, scale
    and perspective of the map."""
    design = np.column_stack([np.ones(LINES), LINE_PLACES, LINE_PLACES**2, SIGN])
    assert design.shape[1] == TERMS, "the terms are counted"
    rest: Floats = places - design @ np.linalg.lstsq(design, places, rcond=None)[0]
    return rest


def _robust_line(x: Floats, y: Floats) -> tuple[float, float]:
    """Returns value at 0 and slope of a line through points, ignoring outliers."""
    keep = np.ones(len(x), dtype=bool)
    base, slope = float(np.median(y)), 0.0
    for _ in range(3):
        slope, base = np.polyfit(x[keep], y[keep], 1).tolist()
        off = np.abs(y - base - slope * x)
        keep = off <= max(3 * 1.4826 * float(np.median(off)), 0.05)
    return base, slope
