"""Ink coverage of lines, measured on a fine grid, compiled; and tone correction from the measurement.

Where a style's lines cover more or less than the tone requires, because they bend, end and meet, the input tone is shifted
by the difference, blurred as the eye sees it, and the lines are generated again: a fixed-point iteration.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
from scipy.fft import dctn, idctn
from scipy.ndimage import gaussian_filter

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.artwork.raster.raster import block_means, resampled, sampled
from wallwright.artwork.raster.raster import blurred as smoothed
from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.compiled import compiled
from wallwright.document.parallel import share_of
from wallwright.strokes.pictures import line_runs

A_WIDTH = 6
"""Number of fine cells per line width: the area of a line is accurate to a hundredth."""
MOST_OF_TILE = 8
"""Number of fine cells along a side of a tile: its bits fit one number."""
STRAIGHT, MOST_PASSED = 0.04, 8
"""Largest deviation of a painted line, in pen radii, allowed for skipping points, and largest number of points skipped."""
BLUR = 6.0
"""Standard deviation, mm, of the blur for comparing ink with tone; finer detail is the style's own texture."""
BLUR_WIDTHS = 3.0
"""Smallest value of that blur, in line widths."""
WHOLE = 4.0
"""Weight of the error of the whole picture relative to local errors: it is visible from farther away."""
GAIN = 0.8
"""Share of the difference by which the tone is shifted: part of it is noise."""
MOST_REQUEST = 0.99
EVENED_BLUR = 2.0
"""Blur for comparing ink with tone when lines are moved sideways, in line widths."""
EVENED_REACH = 12.0
"""Distance over which ink is moved, in line widths; larger imbalances are corrected by generating the lines again.
Moving ink from far away would also move the edges of dark areas."""
EVENED_STEP = 1.0
"""Distance between points that are moved, in line widths."""
LEAST_EVENED = 0.04
"""Share of ink below which the stretch for the same surplus grows no further."""
MOST_STRETCH = 0.5
"""Largest stretch of the plane per round, so that lines never cross."""


def ink_shares(lines: Sequence[Points], pen_width: float, tones: Tones) -> Floats:
    """Returns (rows, columns): share of each cell of the tones that a round pen's ink covers. lines: (n, 2) each, mm."""
    return _shares(*line_runs.packed(lines), pen_width, tones.tone.shape, tones.cell)


def _shares(points: Points, line: Integers, pen_width: float, shape: tuple[int, ...], cell: float) -> Floats:
    """Returns the same for packed lines and a grid of the given shape and cell size, mm."""
    fine = max(1, int(np.ceil(A_WIDTH * cell / pen_width)))
    tiles_a_cell = -(-fine // MOST_OF_TILE)
    side = -(-fine // tiles_a_cell)
    ink = np.zeros((shape[0] * tiles_a_cell, shape[1] * tiles_a_cell), dtype=np.uint64)
    if len(points):
        scale = side * tiles_a_cell / cell
        _paint(np.ascontiguousarray(points * scale), line, pen_width / 2 * scale, side, ink)
    return block_means(np.bitwise_count(ink), tiles_a_cell) / side**2


@compiled
def _paint(points: Points, line: Integers, radius: float, side: int, ink: npt.NDArray[np.uint64]) -> None:
    """Marks fine cells whose centre is within a radius of a line. All in fine cells, of which side x side form a tile: the
    bits of a number, eight in a row.

    The area near a segment is convex: in each row one run of cells, from discs about its ends and the strip between them.
    The disc about a point that two segments share is marked with the first.
    """
    rows, columns = ink.shape[0] * side, ink.shape[1] * side
    squared_radius, a_side = radius * radius, 1.0 / side
    aside = STRAIGHT * radius
    then = 0
    while then < len(points) - 1:
        i = then
        then += 1
        if line[i] != line[then]:
            continue
        ax, ay = points[i, 0], points[i, 1]
        dx, dy = points[then, 0] - ax, points[then, 1] - ay
        squared = dx * dx + dy * dy
        # Points nearly on the line to later ones are skipped.
        while then + 1 < min(len(points), i + MOST_PASSED) and line[then + 1] == line[i]:
            ex, ey = points[then + 1, 0] - ax, points[then + 1, 1] - ay
            longer = ex * ex + ey * ey
            is_straight = longer > squared
            for k in range(i + 1, then + 1):
                px, py = points[k, 0] - ax, points[k, 1] - ay
                off, at = px * ey - py * ex, px * ex + py * ey
                if off * off > aside * aside * longer or at < 0.0 or at > longer:
                    is_straight = False
                    break
            if not is_straight:
                break
            then += 1
            dx, dy, squared = ex, ey, longer
        begins = i == 0 or line[i - 1] != line[i]
        across = dx / dy if dy != 0.0 else 0.0
        half_strip = radius * np.sqrt(squared) / abs(dy) if dy != 0.0 else 0.0
        down = dy / dx if dx != 0.0 else 0.0
        end = squared / dx if dx != 0.0 else 0.0
        top = max(int(np.floor(min(ay, ay + dy) - radius)), 0)
        bottom = min(int(np.ceil(max(ay, ay + dy) + radius)), rows - 1)
        tile_row = int((top + 0.5) * a_side)
        in_tile = top - tile_row * side
        for r in range(top, bottom + 1):
            y = r + 0.5 - ay
            left, right = np.inf, -np.inf
            if begins:
                room = squared_radius - y * y
                if room >= 0.0:
                    half = np.sqrt(room)
                    left, right = -half, half
            room = squared_radius - (y - dy) * (y - dy)
            if room >= 0.0:
                half = np.sqrt(room)
                left, right = min(left, dx - half), max(right, dx + half)
            if dy != 0.0:
                middle = y * across
                low, high = middle - half_strip, middle + half_strip
                if dx != 0.0:
                    first_end = -y * down
                    second_end = first_end + end
                    low, high = max(low, min(first_end, second_end)), min(high, max(first_end, second_end))
                elif y * dy < 0.0 or y * dy > squared:
                    low, high = np.inf, -np.inf
                if low <= high:
                    left, right = min(left, low), max(right, high)
            elif abs(y) <= radius:
                left, right = min(left, min(0.0, dx)), max(right, max(0.0, dx))
            if left <= right:
                first = max(int(np.ceil(left + ax - 0.5)), 0)
                last = min(int(np.floor(right + ax - 0.5)), columns - 1)
                tile = int((first + 0.5) * a_side)
                begin = first - tile * side
                left_over = last - first + 1
                while left_over > 0:
                    count = min(left_over, side - begin)
                    ink[tile_row, tile] |= np.uint64(((1 << count) - 1) << (8 * in_tile + begin))
                    left_over -= count
                    tile += 1
                    begin = 0
            in_tile += 1
            if in_tile == side:
                in_tile = 0
                tile_row += 1


def corrected(
    draw: Callable[[Tones, Callable[[float], None]], Sequence[Points]],
    tones: Tones,
    pen_width: float,
    rounds: int,
    progress: Callable[[float], None],
    least_tone: float = 0.0,
    evenings: int = 0,
) -> Sequence[Points]:
    """Returns the lines of a style for a tone shifted until their ink matches it.

    draw: from tones to lines (n, 2) in mm; rounds: number of times lines are generated, at least one; least_tone: lighter
    tones are not shifted, for a style that draws them as sparse dashes whose ink jumps; evenings: number of times the lines
    of each round are moved sideways (see evened). Returns the best of all rounds.
    """
    wanted, asked = tones.tone, tones.tone
    coarser = _coarser(tones, pen_width)
    coarse, cell = block_means(wanted, coarser), coarser * tones.cell
    sigma = max(BLUR, BLUR_WIDTHS * pen_width) / cell
    has_tone = wanted > 0
    best: Sequence[Points] = []
    least = np.inf
    for number in range(rounds):
        part = share_of(progress, number, rounds)
        lines = draw(replace(tones, tone=asked), share_of(part, 0, 1, 0.0, 0.9))
        if rounds == 1 and not evenings:
            return lines
        points, line = line_runs.packed(lines)
        surplus: Floats | None = None
        if evenings and len(points):
            points, line, surplus = _evened(points, line, tones, pen_width, evenings, share_of(part, 0, 1, 0.9))
            lines = line_runs.split(points, line)
        if rounds == 1:
            return lines
        if surplus is None:
            surplus = _shares(points, line, pen_width, coarse.shape, cell) - coarse
        off = gaussian_filter(-surplus, sigma, mode="reflect", truncate=3.0)
        error = float(np.mean(off**2)) + WHOLE * float(np.mean(off)) ** 2
        if error < least:
            best, least = lines, error
        if number == rounds - 1:
            break
        moved = asked + GAIN * _finer(off, coarser, wanted.shape)
        moved = np.clip(moved, np.minimum(least_tone, wanted), MOST_REQUEST)
        asked = np.where(has_tone, np.where(wanted < least_tone, wanted, moved), 0.0)
    return best


def _coarser(tones: Tones, pen_width: float) -> int:
    """Returns how many cells of the tones per row make one cell for comparing ink with tone: about a line width."""
    return max(1, min(round(pen_width / tones.cell), int(min(tones.tone.shape)) // 2))


def _finer(plane: Floats, times: int, shape: tuple[int, ...]) -> Floats:
    """Returns a smooth plane on cells smaller by an integer factor, of the given shape."""
    if times == 1:
        return plane
    rows, columns = plane.shape
    return resampled(plane, rows * times, columns * times)[: shape[0], : shape[1]].astype(np.float64)


def evened(
    lines: Sequence[Points], tones: Tones, pen_width: float, rounds: int, progress: Callable[[float], None]
) -> list[Points]:
    """Returns the lines moved slightly sideways, so that they are sparser where there is too much ink and denser where there
    is too little.

    The plane is stretched where there is too much ink and shrunk where there is too little, without rotation: by the
    gradient of a potential whose second derivatives add up to the relative surplus (Poisson's equation; Gastner and Newman,
    "Diffusion-based method for producing density-equalizing maps", Proceedings of the National Academy of Sciences 101,
    2004, for the same by diffusion). Nothing moves across the picture's edge. lines: (n, 2) each, mm.
    """
    if not rounds or not len(lines):
        return list(lines)
    points, line, _ = _evened(*line_runs.packed(lines), tones, pen_width, rounds, progress)
    return line_runs.split(points, line)


def _evened(
    points: Points, line: Integers, tones: Tones, pen_width: float, rounds: int, progress: Callable[[float], None]
) -> tuple[Points, Integers, Floats]:
    """Returns the same for packed lines, and the excess of their ink over the tone on the coarser cells."""
    points, line = line_runs.finer(points, line, pen_width * EVENED_STEP)
    coarser = _coarser(tones, pen_width)
    wanted, cell = block_means(tones.tone, coarser), coarser * tones.cell

    def blurred(plane: Floats) -> Floats:
        blurred: Floats = gaussian_filter(plane, EVENED_BLUR * pen_width / cell, mode="reflect", truncate=3.0)
        return blurred

    tone = blurred(wanted)
    best, best_off, least = points, wanted, np.inf
    for number in range(rounds + 1):
        progress(number / (rounds + 1))
        off = _shares(points, line, pen_width, wanted.shape, cell) - wanted
        surplus = blurred(off)
        ink = tone + surplus
        surplus -= surplus.mean()  # moving lines does not change their total ink
        error = float(np.mean(surplus**2))
        if error < least:
            best, best_off, least = points, off, error
        if error > least or number == rounds:
            break
        relative = np.clip(surplus / np.maximum(ink, LEAST_EVENED), -MOST_STRETCH, MOST_STRETCH)
        relative -= smoothed(relative, EVENED_REACH * pen_width / cell)
        relative -= relative.mean()
        potential = _potential(relative)
        slopes: list[Floats] = [np.gradient(potential, axis=axis) for axis in (1, 0)]
        move = np.column_stack([sampled(plane, points, cell) for plane in slopes])
        points = np.clip(points + move * cell, 0.0, np.array(tones.size))
    return best, line, best_off


def _potential(source: Floats) -> Floats:
    """Returns the function of cells whose second differences equal a source of mean 0; its gradient does not cross the
    edge."""
    rows, columns = source.shape
    down = 2 * np.cos(np.pi * np.arange(rows) / rows) - 2
    across = 2 * np.cos(np.pi * np.arange(columns) / columns) - 2
    both = down[:, None] + across
    both[0, 0] = 1.0
    spectrum = dctn(source, type=2) / both
    spectrum[0, 0] = 0.0
    return idctn(spectrum, type=2)
