"""Lines side by side that follow a picture: level lines of a phase.

The gradient of the phase approximates (least squares, a Poisson equation) that of lines in a wanted direction: along the
picture's structure (structure tensor; Bigun and Granlund 1987) as far as there is one, else at a given angle.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.fft import dctn, idctn

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.artwork.raster.raster import blurred, resampled, sampled
from wallwright.document.arrays import Floats, Integers, Points
from wallwright.strokes.pictures import line_runs
from wallwright.strokes.pictures.level_lines import whole_level_lines

COARSE = 2.0
"""Size of a cell of the phase, in line widths: the phase is smooth."""
MOST_COARSE = 400
"""Largest number of cells of the phase along the longer side."""
LEAST_STRUCTURE = 1.5
"""Smallest structure that gives a direction, in line widths."""
AVERAGING_WIDTH = 8.0
"""Distance over which directions are averaged, in line widths."""
FLAT_STEP = 0.05
"""Step of tone over AVERAGING_WIDTH line widths that weighs as much as the default direction."""
MOST_TURN = 0.85
"""Weight of the picture's direction relative to 1 for the hatch angle. Lines turn almost fully into directions within
45° of the hatch angle, and not at all where the picture runs perpendicular to it: there a line could turn either way."""


@dataclass(frozen=True)
class PhaseLines:
    """Lines, packed."""

    points: Points
    """(n, 2) mm."""
    line: Integers
    """(n,) index of the point's piece."""
    number: Integers
    """(n,) number of the line; neighbours differ by one."""
    spacing: Floats
    """(n,) mm from the point to the next line."""


def grid_shape(tones: Tones, pen_width: float) -> tuple[int, int]:
    """Returns the rows and columns of the phase."""
    width, height = tones.size
    cell = max(COARSE * pen_width, max(width, height) / MOST_COARSE, tones.cell)
    return max(3, round(height / cell)), max(3, round(width / cell))


def direction(tones: Tones, pen_width: float, angle: float, follow: float, shape: tuple[int, int]) -> Floats:
    """Returns (rows, columns): turn of the lines from an angle, rad, within a right angle. follow: 0 to 1."""
    rows, columns = shape
    sees, agrees = LEAST_STRUCTURE * pen_width / tones.cell, AVERAGING_WIDTH * pen_width / tones.cell
    seen = blurred(tones.tone if tones.guide is None else tones.guide, sees)
    dy, dx = (np.asarray(np.gradient(seen, axis=axis)) for axis in (0, 1))
    xx, xy, yy = (blurred(p, agrees) for p in (dx * dx, dx * dy, dy * dy))
    strength = (xx + yy) / (xx + yy + (FLAT_STEP / agrees) ** 2 + 1e-12)
    # Twice the angle of the lines, which run across the gradient: -(cos, sin) of twice the gradient's.
    size = xx + yy + 1e-12
    along = -((xx - yy) + 2j * xy) / size * strength * follow * MOST_TURN
    along = resampled(along.real, rows, columns) + 1j * resampled(along.imag, rows, columns)
    result: Floats = np.angle(1.0 + along * np.exp(-2j * angle))
    return result


def phase_lines(angle: Floats, spacing: float, size: tuple[float, float], step: float) -> PhaseLines:
    """Returns all lines. angle: (rows, columns) rad; spacing: mm between lines where they run straight; size: width and
    height, mm; step: largest distance between points, mm."""
    rows, columns = angle.shape
    width, height = size
    cell = np.array([width / columns, height / rows])
    phase = fitted_phase(-np.sin(angle) / spacing, np.cos(angle) / spacing, *cell.tolist())
    gy, gx = np.gradient(phase, cell[1], cell[0])
    density = np.hypot(gx, gy)
    # One more cell on each side, so that lines reach the picture's edge.
    points, line, level = whole_level_lines(np.pad(phase, 1, mode="reflect", reflect_type="odd"))
    points, line = line_runs.finer((points - 0.5) * cell, line, step)
    there = sampled(density, points / cell, 1.0)
    return PhaseLines(points, line, level[line], 1 / np.maximum(there, 1e-9))


def fitted_phase(gx: Floats, gy: Floats, dx: float, dy: float) -> Floats:
    """Returns (rows, columns): the function whose gradient is nearest to (gx, gy) in the least squares sense.

    Poisson's equation with the gradient given at the edge too, by cosine transform.
    """
    rows, columns = gx.shape
    source = np.zeros((rows, columns))
    across, down = (gx[:, 1:] + gx[:, :-1]) / 2 / dx, (gy[1:] + gy[:-1]) / 2 / dy
    source[:, :-1] += across
    source[:, 1:] -= across
    source[:-1] += down
    source[1:] -= down
    kx = (2 * np.cos(np.pi * np.arange(columns) / columns) - 2) / dx**2
    ky = (2 * np.cos(np.pi * np.arange(rows) / rows) - 2) / dy**2
    both = ky[:, None] + kx
    both[0, 0] = 1.0
    spectrum = dctn(source, type=2) / both
    spectrum[0, 0] = 0.0
    return idctn(spectrum, type=2)
