"""Where the lines of a comb are in a photo: their centres in many sections, to a fraction of a pixel.

A patch of the photo is sampled on a grid along and across the lines as the map so far has them. Its darkness is what stands
out most from the wall in colour, with the wall's own light taken away. Each section is the mean of one millimetre along the
lines. The lines are first found together, by the pattern of all of them, then each one by itself: its centre is midway
between the places where the ink rises through half of its darkness on either side. A blur, a slow change of the light and a
bent tone curve move both places alike, so that the centre stays.

Terms: along and across are coordinates of a comb, mm from its middle; a section runs across all lines; ink is darkness above
the wall's, in grey levels of 0 to 255 (for light ink on a dark wall, lightness).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from wallwright.artwork.raster.raster import Pixels
from wallwright.document.arrays import Flags, Floats
from wallwright.planning.friction_figure import LINE_PLACES, LINES, SPACING, Comb
from wallwright.planning.photo_map import PhotoMap

HALF_ALONG = 18.0
"""mm: sections lie so far to both sides of the middle; nearer to the ends lines are not yet as straight as they get."""
HALF_ACROSS = 46.0
"""mm that a patch reaches across: the comb, and room for a map that is off."""
SECTION = 1.0
"""mm along the lines."""
STEPS = 2.0
"""Samples per pixel."""
FINEST = 0.04
"""mm between samples at the least."""
BROADEST_INK = 6.0
"""mm: what is broader is not a line; narrower than the room between lines."""
COARSE, WALL_LIGHT = 0.4, 10.0
"""mm between samples that show the colours, and standard deviation of the smoothing that shows the wall's light there."""
SMOOTH = 0.25
"""mm: standard deviation of the smoothing along which heights are read."""
NEAR, NEAREST = 4.0, 1.5
"""mm around where a line should be, in which its centre is looked for: half the way to the next one, within these."""
SIGN = np.where(np.arange(LINES) % 2 == 0, 1.0, -1.0)
"""(LINES,) the direction in which each line is drawn."""
SHIFTS = np.arange(-14.0, 14.01, 0.5)
"""mm by which all lines may be off at once."""
OFFS = np.arange(-4.0, 4.01, 0.5)
"""mm by which friction may put every second line off."""
STRETCHES = np.linspace(0.88, 1.12, 9)
"""By which the distances of a map that is off may differ."""
PATTERN_SMOOTH = 0.8
"""mm: standard deviation of the smoothing with which the pattern is looked for."""
BLOCK = 6
"""Sections that are aligned together."""
PRESENT = 0.35
"""Share of the ink of most lines that a line has at least."""


@dataclass(frozen=True)
class Patch:
    """The ink of a comb's surroundings."""

    ink: Floats
    """(sections, samples) grey levels."""
    along: Floats
    """(sections,) mm."""
    across: Floats
    """(samples,) mm, evenly spaced."""
    inside: Flags
    """(sections, samples) bool: within the photo."""
    noise: float
    """Grey levels: standard deviation of what is neither line nor wall's light."""

    @property
    def step(self) -> float:
        """mm between samples."""
        return float(self.across[1] - self.across[0])


@dataclass(frozen=True)
class Sections:
    """What the sections of a comb show."""

    along: Floats
    """(sections,) mm."""
    centres: Floats
    """(LINES, sections) mm across; not a number where a line is not to be seen."""
    ink: Floats
    """(LINES,) grey levels that each line stands out by."""
    blur: float
    """mm: standard deviation of the edges' spread; 0 where no line is to be seen."""


def patch_of(pixels: Pixels, photo_map: PhotoMap, comb: Comb) -> Patch:
    """The patch of a comb in a photo, (rows, columns, 3) sRGB."""
    from scipy.ndimage import gaussian_filter, gaussian_filter1d, grey_opening, map_coordinates

    density = float(photo_map.pixels_per_mm(np.array([comb.middle]))[0].max())
    step = max(1 / (STEPS * density), FINEST)
    across = np.arange(-HALF_ACROSS, HALF_ACROSS + step / 2, step)
    fine = max(1, round(SECTION * density))  # samples along within a section
    sections = np.arange(-HALF_ALONG, HALF_ALONG + SECTION / 2, SECTION)
    along = (sections[:, None] + (np.arange(fine) + 0.5) / fine * SECTION - SECTION / 2).ravel()
    u, v = np.meshgrid(along, across, indexing="ij")
    seen = photo_map.to_photo(comb.places(u.ravel(), v.ravel())) - 0.5
    rows, columns = pixels.shape[:2]
    off = np.abs(seen - np.array([columns - 1, rows - 1]) / 2) - np.array([columns - 1, rows - 1]) / 2
    inside: Flags = off.max(axis=1).reshape(len(sections), fine, -1).max(axis=1) <= 0
    low = np.maximum(np.floor(seen.min(axis=0)).astype(int) - 1, 0)
    high = np.minimum(np.ceil(seen.max(axis=0)).astype(int) + 2, (columns, rows))
    if (high - low < 2).any():
        nothing = np.zeros((len(sections), len(across)))
        return Patch(nothing, sections, across, np.zeros(nothing.shape, dtype=bool), 1.0)
    part = pixels[low[1] : high[1], low[0] : high[0]].astype(np.float32)
    place = (seen - low).T[::-1]
    colours = np.stack(
        [
            map_coordinates(part[..., channel], place, order=1, mode="nearest")
            .reshape(len(sections), fine, -1)
            .mean(axis=1)
            for channel in range(part.shape[2])
        ],
        axis=2,
    )
    every = max(1, int(COARSE / step))  # light changes slowly, and half a millimetre shows the colour of lines
    coarse = colours[:, ::every]
    coarse = coarse - gaussian_filter(coarse, (WALL_LIGHT / SECTION, WALL_LIGHT / (every * step), 0), mode="nearest")
    shown = coarse[inside[:, ::every]] if inside[:, ::every].any() else coarse.reshape(-1, coarse.shape[2])
    ink = colours @ _along_main_axis(shown)
    size = max(3, int(BROADEST_INK / step) | 1)
    ground = grey_opening(gaussian_filter1d(ink, SMOOTH / step, axis=1), size=(1, size))
    ink = ink - gaussian_filter(ground, (3.0 / SECTION, 3.0 / step), mode="nearest")
    rough = np.diff(ink, n=2, axis=0)[:, ::2]  # lines run along: what differs from section to section is noise
    noise = 1.4826 * float(np.median(np.abs(rough))) / np.sqrt(6) if rough.size else 0.0
    return Patch(ink, sections, across, inside, max(noise, 0.05))


def _along_main_axis(colours: npt.NDArray[np.floating]) -> Floats:
    """(channels,) weights, their sizes 1 together, with which (n, channels) colours differ most; the rarer side, the ink, is
    positive."""
    centred = colours - colours.mean(axis=0)
    _, _, axes = np.linalg.svd(centred.T @ centred)
    axis: Floats = axes[0].astype(np.float64) / np.abs(axes[0]).sum()
    values = centred @ axis
    skew = float(np.mean((values - np.median(values)) ** 3))
    return axis if skew >= 0 else -axis


def aligned(patch: Patch) -> tuple[Floats, float]:
    """(lines, sections) mm across where the pattern of all lines fits best, and how well: the mean ink of the lines less
    that between and beside them, over its standard deviation in the patch."""
    from scipy.ndimage import gaussian_filter1d

    blocks, found, scores = np.array_split(np.arange(len(patch.along)), len(patch.along) // BLOCK), [], []
    for block in blocks:
        mean = patch.ink[block].mean(axis=0)
        # A line that is off its place in the pattern by a millimetre counts nearly whole.
        mean = gaussian_filter1d(np.minimum(mean, np.quantile(mean, 0.97)), PATTERN_SMOOTH / patch.step)
        values = np.interp(_PATTERNS, patch.across, mean, left=0.0, right=0.0)
        lines, gaps, ends = np.split(values, [LINES, 2 * LINES + 1], axis=1)
        score = lines.mean(axis=1) - gaps.mean(axis=1) - ends.mean(axis=1) + 0.5 * lines.min(axis=1)
        best = int(np.argmax(score))
        found.append(_TRIED[best])
        scores.append(float(score[best]) / max(float(mean.std()), patch.noise / np.sqrt(len(block)), 1e-9))
    middles = np.array([patch.along[block].mean() for block in blocks])
    stretches, offs, shifts = np.array(found).T
    # A straight change along the comb, by medians: one block may be misled.
    slope, base = _line_through(middles, shifts)
    lines = float(np.median(stretches)) * LINE_PLACES + float(np.median(offs)) * SIGN
    return lines[:, None] + (base + slope * patch.along)[None, :], float(np.median(scores))


def _patterns() -> tuple[Floats, Floats]:
    """What is tried: (n, 3) stretch, mm by which every second line is off, and mm by which all are; and (n, 3 LINES + ...)
    mm across of the lines, of the middles between them and beside the outer ones, and of where further lines would be."""
    tried = np.stack(np.meshgrid(STRETCHES, OFFS, SHIFTS, indexing="ij"), axis=-1).reshape(-1, 3)
    number = np.arange(-1, LINES + 1)
    every = tried[:, :1] * (number - (LINES - 1) / 2) * SPACING + tried[:, 1:2] * (-1.0) ** number + tried[:, 2:]
    between = (every[:, 1:] + every[:, :-1]) / 2
    return tried, np.hstack([every[:, 1:-1], between, every[:, [0, -1]]])


_TRIED, _PATTERNS = _patterns()


def _line_through(x: Floats, y: Floats) -> tuple[float, float]:
    """Slope and value at 0 of a line through points, by medians (Theil, 1950)."""
    i, j = np.triu_indices(len(x), 1)
    slope = float(np.median((y[j] - y[i]) / (x[j] - x[i])))
    return slope, float(np.median(y - slope * x))


def sections_of(patch: Patch, near: Floats) -> Sections:
    """Centres of the lines near (lines, sections) mm across."""
    from scipy.ndimage import gaussian_filter1d

    smooth = gaussian_filter1d(patch.ink, max(SMOOTH / patch.step, 0.5), axis=1)
    half = round(float(np.clip(np.diff(near, axis=0).min() / 2, NEAREST, NEAR)) / patch.step)
    first = np.rint((near - patch.across[0]) / patch.step).astype(int) - half
    columns = np.clip(first[:, :, None] + np.arange(2 * half + 1), 0, len(patch.across) - 1)
    rows = np.arange(len(patch.along))[None, :, None]
    windows, seen = smooth[rows, columns], patch.inside[rows, columns].all(axis=2)
    crests = windows.max(axis=2)
    usual = float(np.median(np.median(crests, axis=1)))
    has_ink = (crests > max(PRESENT * usual, 3 * patch.noise)) & seen
    left, right = _edges(windows, 0.5)
    centres = patch.across[0] + patch.step * (first + (left + right) / 2)
    centres[~has_ink] = np.nan
    low, high = _edges(windows, 0.25), _edges(windows, 0.75)
    spread = ((high[0] - low[0]) + (low[1] - high[1])) / 2 * patch.step  # 25 to 75 %: 1.349 standard deviations
    spread = spread[has_ink & np.isfinite(centres)]
    blur = float(np.median(spread[np.isfinite(spread)])) / 1.349 if np.isfinite(spread).any() else 0.0
    return Sections(patch.along, centres, np.median(crests, axis=1), max(blur**2 - SMOOTH**2, 0.0) ** 0.5)


def _edges(windows: Floats, share: float) -> tuple[Floats, Floats]:
    """(lines, sections) samples from the windows' beginning at which ink, (lines, sections, samples), rises through a share
    of its crest and falls again, nearest to the crest; not a number where it does not."""
    samples = windows.shape[2]
    crest, top = windows.argmax(axis=2), windows.max(axis=2)
    level, number = (share * top)[:, :, None], np.arange(samples)
    below = windows <= level
    before = np.where(below & (number < crest[:, :, None]), number, -1).max(axis=2)
    after = np.where(below & (number > crest[:, :, None]), number, samples).min(axis=2)
    result = []
    for outer, way in ((before, 1), (after, -1)):
        is_there = (outer >= 0) & (outer < samples)
        index = np.clip(outer, 0, samples - 1)[:, :, None]
        inner = np.clip(index + way, 0, samples - 1)
        a, b = (np.take_along_axis(windows, k, axis=2)[:, :, 0] for k in (index, inner))
        share_on = (share * top - a) / np.maximum(b - a, 1e-9)
        result.append(np.where(is_there, outer + way * share_on, np.nan))
    return result[0], result[1]
