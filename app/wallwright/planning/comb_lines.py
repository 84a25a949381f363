"""Line positions of a comb in a photo: their centres in many sections, with subpixel accuracy.

A patch of the photo is sampled on a grid along and across the lines as given by the current map. Its darkness is the colour
direction that differs most from the wall, minus the wall's own shading. Each section is the mean over one millimetre along
the lines. The lines are first located together, by their common pattern, then each one by itself: its centre is midway
between the places where the ink rises through half of its darkness on either side. A blur, a slow change of the light and a
nonlinear tone curve shift both places alike, so the centre is unaffected.

Terms: along and across are coordinates of a comb, mm from its middle; a section runs across all lines; ink is darkness
above the wall's, in grey levels of 0 to 255 (for light ink on a dark wall, lightness).
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
"""Largest distance of a section from the middle, mm; nearer to their ends, lines are not yet straight."""
HALF_ACROSS = 46.0
"""Half width of a patch across the lines, mm: the comb, plus room for an inaccurate map."""
SECTION = 1.0
"""Length of a section along the lines, mm."""
STEPS = 2.0
"""Samples per pixel."""
FINEST = 0.06
"""Smallest distance between samples, mm."""
MOST_WITHIN = 5
"""Largest number of samples along a section."""
BROADEST_INK = 6.0
"""Largest width of a line, mm; less than the distance between lines."""
COARSE, WALL_LIGHT = 0.4, 10.0
"""Distance between the samples that determine the colours, mm, and standard deviation of the smoothing that gives the
wall's shading there."""
SMOOTH = 0.25
"""Standard deviation, mm, of the smoothing before edges are located."""
NEAR, NEAREST = 4.0, 1.5
"""Largest and smallest distance from a line's expected position in which its centre is searched, mm: half the distance
to the next line, within these."""
SIGN = np.where(np.arange(LINES) % 2 == 0, 1.0, -1.0)
"""(LINES,) direction in which each line is drawn."""
SHIFTS = np.arange(-14.0, 14.01, 0.5)
"""Common shifts of all lines that are tried, mm."""
FRICTION_SHIFTS = np.arange(-4.0, 4.01, 0.5)
"""Shifts of every second line by friction that are tried, mm."""
STRETCHES = np.linspace(0.88, 1.12, 9)
"""Factors on the line distances of an inaccurate map that are tried."""
PATTERN_SMOOTH = 0.8
"""Standard deviation, mm, of the smoothing before the pattern is searched."""
BLOCK = 6
"""Number of sections that are aligned together."""
LEAST_INK_SHARE = 0.35
"""Smallest ink of a line, as a share of that of most lines."""


@dataclass(frozen=True)
class Patch:
    """The ink around a comb."""

    ink: Floats
    """(sections, samples) grey levels."""
    along: Floats
    """(sections,) mm."""
    across: Floats
    """(samples,) mm, evenly spaced."""
    inside: Flags
    """(sections, samples) bool: within the photo."""
    noise: float
    """Standard deviation, grey levels, of what is neither line nor shading."""

    @property
    def step(self) -> float:
        """Distance between samples, mm."""
        return float(self.across[1] - self.across[0])


@dataclass(frozen=True)
class Sections:
    """Line positions in the sections of a comb."""

    along: Floats
    """(sections,) mm."""
    centres: Floats
    """(LINES, sections) mm across; NaN where a line is not visible."""
    ink: Floats
    """(LINES,) grey levels: contrast of each line."""
    blur: float
    """Standard deviation of the edge blur, mm; 0 if no line is visible."""


def patch_of(pixels: Pixels, photo_map: PhotoMap, comb: Comb) -> Patch:
    """Returns the patch of a comb in a photo, (rows, columns, 3) sRGB."""
    from scipy.ndimage import gaussian_filter, gaussian_filter1d, grey_opening, map_coordinates

    density = float(photo_map.pixels_per_mm(np.array([comb.middle]))[0].max())
    step = max(1 / (STEPS * density), FINEST)
    across = np.arange(-HALF_ACROSS, HALF_ACROSS + step / 2, step)
    fine = min(max(1, round(SECTION * density)), MOST_WITHIN)
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
    every = max(1, int(COARSE / step))  # shading changes slowly, and half a millimetre shows the colour of lines
    coarse = colours[:, ::every]
    coarse = coarse - gaussian_filter(coarse, (WALL_LIGHT / SECTION, WALL_LIGHT / (every * step), 0), mode="nearest")
    shown = coarse[inside[:, ::every]] if inside[:, ::every].any() else coarse.reshape(-1, coarse.shape[2])
    ink = colours @ _along_main_axis(shown)
    size = max(3, int(BROADEST_INK / step) | 1)
    ground = grey_opening(gaussian_filter1d(ink, SMOOTH / step, axis=1), size=(1, size))
    ink = ink - gaussian_filter(ground, (3.0 / SECTION, 3.0 / step), mode="nearest")
    rough = np.diff(ink, n=2, axis=0)[:, ::2]  # lines run along: differences from section to section are noise
    noise = 1.4826 * float(np.median(np.abs(rough))) / np.sqrt(6) if rough.size else 0.0
    return Patch(ink, sections, across, inside, max(noise, 0.05))


def _along_main_axis(colours: npt.NDArray[np.floating]) -> Floats:
    """Returns (channels,) weights, with absolute values summing to 1, for which (n, channels) colours differ most; the
    rarer side, the ink, is positive."""
    centred = colours - colours.mean(axis=0)
    _, _, axes = np.linalg.svd(centred.T @ centred)
    axis: Floats = axes[0].astype(np.float64) / np.abs(axes[0]).sum()
    values = centred @ axis
    skew = float(np.mean((values - np.median(values)) ** 3))
    return axis if skew >= 0 else -axis


def aligned(patch: Patch) -> tuple[Floats, float]:
    """Returns (lines, sections) mm across where the pattern of all lines fits best, and the match: the mean ink of the
    lines minus that between and beside them, over its standard deviation in the patch."""
    from scipy.ndimage import gaussian_filter1d

    blocks, found, scores = np.array_split(np.arange(len(patch.along)), len(patch.along) // BLOCK), [], []
    for block in blocks:
        mean = patch.ink[block].mean(axis=0)
        # A line that is off its position in the pattern by a millimetre counts almost fully.
        mean = gaussian_filter1d(np.minimum(mean, np.quantile(mean, 0.97)), PATTERN_SMOOTH / patch.step)
        values = np.interp(_PATTERNS, patch.across, mean, left=0.0, right=0.0)
        lines, gaps, ends = np.split(values, [LINES, 2 * LINES + 1], axis=1)
        score = lines.mean(axis=1) - gaps.mean(axis=1) - ends.mean(axis=1) + 0.5 * lines.min(axis=1)
        best = int(np.argmax(score))
        found.append(_TRIED[best])
        scores.append(float(score[best]) / max(float(mean.std()), patch.noise / np.sqrt(len(block)), 1e-9))
    middles = np.array([patch.along[block].mean() for block in blocks])
    stretches, offs, shifts = np.array(found).T
    # A linear change along the comb, by medians: one block may be wrong.
    slope, base = _line_through(middles, shifts)
    lines = float(np.median(stretches)) * LINE_PLACES + float(np.median(offs)) * SIGN
    return lines[:, None] + (base + slope * patch.along)[None, :], float(np.median(scores))


def _patterns() -> tuple[Floats, Floats]:
    """Returns the patterns to try: (n, 3) stretch, shift of every second line and shift of all, mm; and (n, 3 LINES +
    ...) positions across, mm, of the lines, of the midpoints between them and beside the outer ones, and of possible
    further lines."""
    tried = np.stack(np.meshgrid(STRETCHES, FRICTION_SHIFTS, SHIFTS, indexing="ij"), axis=-1).reshape(-1, 3)
    number = np.arange(-1, LINES + 1)
    every = tried[:, :1] * (number - (LINES - 1) / 2) * SPACING + tried[:, 1:2] * (-1.0) ** number + tried[:, 2:]
    between = (every[:, 1:] + every[:, :-1]) / 2
    return tried, np.hstack([every[:, 1:-1], between, every[:, [0, -1]]])


_TRIED, _PATTERNS = _patterns()


def _line_through(x: Floats, y: Floats) -> tuple[float, float]:
    """Returns slope and value at 0 of a line through points, by medians (Theil, 1950)."""
    i, j = np.triu_indices(len(x), 1)
    slope = float(np.median((y[j] - y[i]) / (x[j] - x[i])))
    return slope, float(np.median(y - slope * x))


def sections_of(patch: Patch, near: Floats) -> Sections:
    """Returns the centres of the lines near (lines, sections) mm across."""
    from scipy.ndimage import gaussian_filter1d

    smooth = gaussian_filter1d(patch.ink, max(SMOOTH / patch.step, 0.5), axis=1)
    half = round(float(np.clip(np.diff(near, axis=0).min() / 2, NEAREST, NEAR)) / patch.step)
    first = np.rint((near - patch.across[0]) / patch.step).astype(int) - half
    columns = np.clip(first[:, :, None] + np.arange(2 * half + 1), 0, len(patch.across) - 1)
    rows = np.arange(len(patch.along))[None, :, None]
    windows, seen = smooth[rows, columns], patch.inside[rows, columns].all(axis=2)
    crests = windows.max(axis=2)
    usual = float(np.median(np.median(crests, axis=1)))
    has_ink = (crests > max(LEAST_INK_SHARE * usual, 3 * patch.noise)) & seen
    left, right = _edges(windows, 0.5)
    centres = patch.across[0] + patch.step * (first + (left + right) / 2)
    centres[~has_ink] = np.nan
    low, high = _edges(windows, 0.25), _edges(windows, 0.75)
    spread = ((high[0] - low[0]) + (low[1] - high[1])) / 2 * patch.step  # 25 to 75 %: 1.349 standard deviations
    spread = spread[has_ink & np.isfinite(centres)]
    blur = float(np.median(spread[np.isfinite(spread)])) / 1.349 if np.isfinite(spread).any() else 0.0
    return Sections(patch.along, centres, np.median(crests, axis=1), max(blur**2 - SMOOTH**2, 0.0) ** 0.5)


def _edges(windows: Floats, share: float) -> tuple[Floats, Floats]:
    """Returns (lines, sections) samples from the windows' beginning at which ink, (lines, sections, samples), rises
    through a share of its crest and falls again, nearest to the crest; NaN where it does not."""
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
