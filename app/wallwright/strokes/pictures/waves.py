"""A line whose wave follows the tone, used for straight lines and spirals.

Lines run a spacing apart. Where it is darker, their wave first grows until it meets the neighbours', then becomes shorter,
so that more ink covers the same place; the densest waves reach into each other, so that no white stripe stays between
them. The coverage of a wave is measured on the wave itself and its neighbours with the pen width, once for each spacing. It
depends on the phase shift between neighbours, so each line uses the phases of the line before it.
Tones lighter than a straight line gives are drawn with gaps.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import shapely
from shapely.affinity import translate

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.compiled import compiled
from wallwright.strokes.line_geometries import line_strings
from wallwright.strokes.pictures import line_runs

STEPS = 64
"""Number of waves measured between none and the densest."""
LONG = 1.6
"""Wavelength of the growing wave, in spacings."""
SHORT = 1.12
"""Wavelength of the densest wave, in line widths."""
REACH = 1.2
"""Overlap of the densest waves of neighbours, in line widths."""
DASH = 6.0
"""Distance from one gap to the next, in line widths, where lines have gaps."""
WHOLE = 0.98
"""Share of a straight line's tone from which it is drawn without gaps: a gap in fifty dashes would look like a fault."""
A_WAVE = 12
"""Number of points of the shortest wave."""
PIECE = 240
"""Number of points simplified together."""
FINE = 0.01
"""Largest deviation of lines from their wave, in line widths."""
SHIFTS = 5
"""Number of phase shifts between neighbours for which coverage is measured, from none to half a wavelength."""
TONES, AMOUNTS = 256, 1000
"""Number of tabulated tones, and of tabulated amounts."""


def step_of(pen_width: float) -> float:
    """Returns the distance, mm, between the points of the line that carries a wave."""
    return SHORT * pen_width / A_WAVE


@dataclass(frozen=True)
class WaveStyle:
    """Common parameters of the waves of all lines."""

    tones: Tones
    pen_width: float
    """mm."""
    spacing: float
    """Distance between lines, mm."""
    covered: Floats
    """(s, k) from covered_by, for equally spaced amounts from 0 to 1."""

    @cached_property
    def amounts(self) -> Floats:
        """(s + 1, t), s = SHIFTS, t = TONES: amounts for equally spaced tones from 0 to 1; last row: for random shifts."""
        weights = np.ones(SHIFTS)
        weights[[0, -1]] = 0.5  # the outer shifts come up half as often as those between them
        covered = [*self.covered, weights @ self.covered / weights.sum()]
        return np.stack([np.interp(np.linspace(0, 1, TONES), share, np.linspace(0, 1, STEPS)) for share in covered])

    @cached_property
    def phase_steps(self) -> Floats:
        """(a + 1,) for a = AMOUNTS: phase step between points, rad, for equally spaced amounts from 0 to 1."""
        length = wave(np.linspace(0, 1, AMOUNTS + 1), self.spacing, self.pen_width)[1]
        steps: Floats = 2 * np.pi * step_of(self.pen_width) / length
        return steps


def waved(
    foot: Points, normal: Points, waves: WaveStyle, number: Integers, phases: Floats, at: int, beside: Floats
) -> list[Points]:
    """Returns the runs of a wave about one line where it has tone, (n, 2) mm each; their ends are not trimmed.

    foot: (n, 2) mm, points of the line step_of apart; normal: (n, 2) across it; number: (n,) of the line or turn, different
    for neighbours; phases: (m,) rad: filled in for the line from index `at`, whose value is given; beside: (n,) fractional
    index in phases of the nearest point of the previous line; negative: none.
    """
    tones, pen_width = waves.tones, waves.pen_width
    # The wave uses the mean tone across its own strip.
    tone = np.mean([tones.at(foot + share * waves.spacing * normal) for share in (-0.33, 0.0, 0.33)], axis=0)
    amount = np.empty(len(foot))
    _follow(tone, waves.amounts, waves.phase_steps, beside, phases, at, amount)
    height, _ = wave(amount, waves.spacing, pen_width)
    own = phases[at : at + len(foot)]
    points = foot + (height * np.sin(own))[:, None] * normal
    # At the picture's edge the wave is flat, not cut: cuts would be lifts.
    edge = np.minimum(pen_width / 2, np.array(tones.size) / 2)
    points = np.where((tone > 0)[:, None], np.clip(points, edge, tones.size - edge), points)
    full = tone / waves.covered[0, 0]
    dash = np.floor(np.arange(len(foot)) * step_of(pen_width) / (DASH * pen_width)).astype(np.int64)
    gap = full - line_runs.thresholds(dash * 5 + 3 * number)
    value = np.where(full >= WHOLE, 1.0, gap)
    points, runs = line_runs.kept(points, np.zeros(len(points), dtype=np.int64), np.where(tone > 0, value, -1.0))
    if not len(points):
        return []
    return simplified(points, line_runs.numbered(runs), FINE * pen_width)


def simplified(points: Points, run: Integers, tolerance: float) -> list[Points]:
    """Returns runs with fewer points where waves are long: a large picture has millions. Pieces are simplified separately,
    since the time of the method of Douglas and Peucker (1973) may grow with the square of the number of points. points: (n,
    2) mm; run: (n,); tolerance: mm."""
    place = np.arange(len(points))
    starts = np.append(True, run[1:] != run[:-1])
    ends = np.append(starts[1:], True)
    joint = ~starts & ~ends & ((place - np.maximum.accumulate(np.where(starts, place, 0))) % PIECE == 0)
    piece = np.cumsum(starts | joint) - 1
    at = np.flatnonzero(joint)
    # A piece ends with the point with which the next one begins.
    lines = line_strings(np.insert(points, at, points[at], axis=0), np.insert(piece, at, piece[at] - 1))
    simple = shapely.simplify(lines, tolerance, preserve_topology=False)
    found, of_piece = shapely.get_coordinates(simple, return_index=True)
    continues = np.append(False, of_piece[1:] != of_piece[:-1]) & joint[np.searchsorted(piece, of_piece)]
    return line_runs.split(found[~continues], run[np.searchsorted(piece, of_piece[~continues])])


@compiled
def _follow(
    tone: Floats, amounts: Floats, steps: Floats, beside: Floats, phases: Floats, at: int, amount: Floats
) -> None:
    """Writes the amount (n,) and the phase of the wave at each point of a line. Other arguments: see WaveStyle and waved."""
    shifts, tones = amounts.shape[0] - 1, amounts.shape[1]
    for i in range(len(tone)):
        phase = phases[at + i]
        low = shifts
        high, part = low, 0.0
        if beside[i] >= 0.0:
            k = int(beside[i])
            apart = phases[k] + (beside[i] - k) * (phases[k + 1] - phases[k]) - phase
            waves = apart / (2.0 * np.pi)
            shift = abs(waves - np.floor(waves + 0.5)) * 2.0 * (shifts - 1)
            low = min(int(shift), shifts - 2)
            high, part = low + 1, shift - low
        at_tone = min(max(tone[i], 0.0), 1.0) * (tones - 1)
        t = min(int(at_tone), tones - 2)
        u = at_tone - t
        found = (1.0 - part) * ((1.0 - u) * amounts[low, t] + u * amounts[low, t + 1])
        found += part * ((1.0 - u) * amounts[high, t] + u * amounts[high, t + 1])
        amount[i] = found
        if at + i + 1 < len(phases):
            phases[at + i + 1] = phase + steps[int(found * (len(steps) - 1) + 0.5)]


def trimmed(lines: list[Points], pen_width: float) -> list[Points]:
    """Returns the lines shortened by what their round ends cover. Each (n, 2), mm."""
    return line_runs.split(*line_runs.trimmed(*line_runs.packed(lines), pen_width))


def wave(amount: Floats, spacing: float, pen_width: float) -> tuple[Floats, Floats]:
    """Returns the height and length, mm, of waves from none (0) to the densest (1). Elementwise, (n,)."""
    grows, shortens = np.minimum(2 * amount, 1.0), np.maximum(2 * amount - 1, 0.0)
    height = (spacing - pen_width) / 2 * grows + REACH * pen_width / 2 * shortens
    longest, shortest = LONG * spacing, SHORT * pen_width
    length = longest * (shortest / longest) ** shortens
    return height, length


@lru_cache(maxsize=32)
def covered_by(spacing: float, pen_width: float) -> Floats:
    """Returns (s, k), s = SHIFTS, k = STEPS: share of the wall under ink, ascending with the amount, for equally spaced
    shifts between neighbours from none to half a wavelength and equally spaced amounts from 0 to 1. In mm: spacing,
    width."""
    height, length = wave(np.linspace(0, 1, STEPS), spacing, pen_width)
    share = np.empty((SHIFTS, STEPS))
    for number, (high, long) in enumerate(zip(height.tolist(), length.tolist(), strict=True)):
        x = np.arange(-2 * long - pen_width, 3 * long + pen_width, long / A_WAVE)
        own = shapely.LineString(np.column_stack([x, high * np.sin(2 * np.pi * x / long)])).buffer(pen_width / 2)
        strip = shapely.box(0, -spacing / 2, long, spacing / 2)
        meet = high * 2 + pen_width > spacing
        for shift in range(SHIFTS if meet else 1):
            aside = np.sin(2 * np.pi * (x / long + shift / (2 * (SHIFTS - 1))))
            beside = shapely.LineString(np.column_stack([x, high * aside])).buffer(pen_width / 2)
            three = [own, translate(beside, yoff=-spacing), translate(beside, yoff=spacing)]
            share[shift, number] = shapely.intersection(shapely.union_all(three), strip).area / strip.area
        if not meet:
            share[:, number] = share[0, number]
    covered = np.maximum.accumulate(share, axis=1)
    covered.setflags(write=False)
    return covered
