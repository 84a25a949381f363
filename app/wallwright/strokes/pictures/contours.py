"""Contour lines by tone: lines around light and dark, spaced so that their ink is the tone.

A front starts from a contour of one tone and propagates through the picture; it takes a unit of time for each line that the
tone requires along the way. Lines drawn at whole units lie w / tone apart everywhere (Pnueli and Bruckstein, "DigiDürer: a
digital engraving system", The Visual Computer 10, 1994).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from scipy.ndimage import gaussian_filter

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.artwork.raster.raster import resampled
from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.parallel import share_of
from wallwright.document.picture import ToneContours
from wallwright.strokes.pictures import line_runs
from wallwright.strokes.pictures.eikonal import FAR, arrival
from wallwright.strokes.pictures.flow_lines import between_lines
from wallwright.strokes.pictures.ink_raster import corrected
from wallwright.strokes.pictures.level_lines import whole_level_lines
from wallwright.strokes.pictures.streamlines import evenly_spaced

BLANK = 0.004
"""Tone below which nothing is drawn."""
SHORTEST = 4.0
"""Shortest line, in line widths; shorter ones are fragments where fronts meet."""
ROUNDS = 2
EVENINGS = 1
"""Number of times lines are moved into the seams between fronts."""
DARK_RIDGE = 0.1
"""Smallest tone in which the white seam where fronts meet is visible."""
DARK_CREST = 0.7
"""Smallest tone in which a line follows a crest of time; in lighter tones lines that bend leave no more white than
others."""
CREST_BLUR = 1.5
"""Blur for finding crests, in cells."""
SHARP = 0.25
"""Threshold of the crest's second derivative, in slownesses over the blur: fronts that meet at less than about 20
degrees bend smoothly."""
CREST_APART = 4.0
"""Smallest distance between lines along crests, in line widths: one line per crest."""
FLOOR = 1e-3
"""Smallest slowness, as a tone: blank areas are crossed, and contribute almost no lines."""


def contours(
    tones: Tones,
    pen_width: float,
    style: ToneContours,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> Sequence[Points]:
    """Returns polylines, mm; closed ones repeat their first point. Each (n, 2)."""
    return corrected(
        lambda asked, part: _level_lines(asked, pen_width, style, part),
        tones,
        pen_width,
        ROUNDS,
        progress,
        evenings=EVENINGS,
    )


def _level_lines(
    tones: Tones, pen_width: float, style: ToneContours, progress: Callable[[float], None]
) -> list[Points]:
    width, height = tones.size
    rows, columns = (max(3, round(n * min(1.0, tones.cell / pen_width * 1.25))) for n in tones.tone.shape)
    cell = width / columns
    tone = np.maximum(resampled(tones.tone, rows, columns).astype(float), 0.0)
    smooth = gaussian_filter(tone, style.smooth * pen_width / cell, mode="nearest")
    slow = np.maximum(smooth, FLOOR) * cell / pen_width
    seeds = _seeds(smooth, slow, style.begin)
    time = arrival(slow, seeds, lambda done: progress(0.1 + 0.4 * done))
    beyond = np.pad(time, 1, mode="reflect", reflect_type="odd")
    points, line, _ = whole_level_lines(np.maximum(beyond, 0.0) + 0.5)
    points = (points - 0.5) * (cell, height / rows)
    progress(0.8)
    if not len(points):
        return []
    points, line = line_runs.kept(points, line, tones.at(points) - BLANK)
    points, line = line_runs.longer(points, line, SHORTEST * pen_width)
    lines = line_runs.split(points, line)
    return lines + _in_ridges(points, line, time, smooth, tones, pen_width, share_of(progress, 0, 1, 0.8))


def _in_ridges(
    points: Points,
    line: Integers,
    time: Floats,
    smooth: Floats,
    tones: Tones,
    pen_width: float,
    progress: Callable[[float], None],
) -> list[Points]:
    """Returns lines where fronts meet between two levels, which would leave a white seam."""
    dy, dx = np.gradient(time)
    along = np.arctan2(dy, dx) + np.pi / 2
    turn = np.stack(
        [resampled(part, *tones.tone.shape).astype(float) for part in (np.cos(2 * along), np.sin(2 * along))]
    )
    tone = resampled(smooth, *tones.tone.shape).astype(float)
    spacing = np.where((tones.tone > 0) & (tone > DARK_RIDGE), pen_width / np.maximum(tone, DARK_RIDGE), np.inf)
    fine, numbers = line_runs.finer(points, line, pen_width / 2)
    lines = line_runs.split(fine, numbers)
    crests = _along_crests(time, smooth, tones, pen_width)
    return crests + between_lines(lines + crests, tones, spacing, pen_width, turn, progress)


def _along_crests(time: Floats, smooth: Floats, tones: Tones, pen_width: float) -> list[Points]:
    """Returns lines along the crests of time in dark areas: where fronts meet at an angle, their lines bend and leave a
    chain of white triangles.

    Across a crest the second derivative of time is strongly negative: 2 s / (b sqrt(2 pi)) where fronts of slowness s meet
    head-on and time is blurred by b.
    """
    xx, xy, yy = (gaussian_filter(time, CREST_BLUR, order=order, mode="nearest") for order in ((0, 2), (1, 1), (2, 0)))
    size = np.hypot((xx - yy) / 2, xy)
    cell = tones.size[0] / time.shape[1]
    slow = np.maximum(smooth, FLOOR) * cell / pen_width
    sharp = (size - (xx + yy) / 2) * CREST_BLUR / slow
    is_crest = (sharp > SHARP) & (smooth > DARK_CREST)
    if not is_crest.any():
        return []
    along = np.stack([(xx - yy) / 2, xy]) / np.maximum(size, 1e-300)
    row, column = np.nonzero(is_crest)
    sharpest = np.argsort(-sharp[is_crest], kind="stable")
    seeds = (np.column_stack([column, row])[sharpest] + 0.5) * cell
    apart = np.where(is_crest, CREST_APART * pen_width, np.inf)
    return evenly_spaced(along, apart, cell, pen_width / 2, SHORTEST * pen_width, seeds, [], lambda done: None)


def _seeds(tone: Floats, slow: Floats, begin: float) -> Floats:
    """Returns the times at the cells beside the contour of the first tone; if there is none, the front starts at the left
    edge."""
    above = tone > np.clip(begin, tone.min(), tone.max()) if np.ptp(tone) > 0.02 else np.zeros_like(tone, dtype=bool)
    beside = np.zeros_like(above)
    beside[:, 1:] |= above[:, 1:] != above[:, :-1]
    beside[:, :-1] |= above[:, 1:] != above[:, :-1]
    beside[1:] |= above[1:] != above[:-1]
    beside[:-1] |= above[1:] != above[:-1]
    seeds = np.full(tone.shape, FAR)
    if not beside.any():
        seeds[:, 0] = slow[:, 0] / 2
        return seeds
    dy, dx = np.gradient(tone)
    away = np.abs(tone - np.clip(begin, tone.min(), tone.max())) / np.maximum(np.hypot(dx, dy), 1e-6)
    seeds[beside] = np.minimum(away[beside], 1.0) * slow[beside]
    return seeds
