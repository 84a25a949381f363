"""A line whose wave follows the tone, used for straight lines and spirals.

Lines run a spacing apart. Where it is darker, their wave first grows until it meets the neighbours', then becomes shorter,
so that more ink covers the same place; the densest waves reach into each other, so that no white stripe stays between them.
The coverage of a wave is measured on the wave itself and its neighbours with the pen width, once for each spacing. Tones
lighter than a straight line gives are drawn with gaps.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely.affinity import translate

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.document.arrays import Floats, Integers, Points
from wallwright.strokes.line_geometries import line_strings
from wallwright.strokes.pictures import line_runs

STEPS = 64
"""Number of waves measured between none and the densest."""
LONG = 1.6
"""Wavelength of the growing wave, in spacings."""
SHORT = 1.12
"""Wavelength of the densest wave, in line widths."""
REACH = 0.5
"""Overlap of the densest waves of neighbours, in line widths."""
DASH = 6.0
"""Distance from one gap to the next, in line widths, where lines have gaps."""
A_WAVE = 12
"""Number of points of the shortest wave."""
FINE = 0.01
"""Largest deviation of lines from their wave, in line widths."""
SHIFTS = (0.0, 0.17, 0.41, 0.67)
"""Shifts, in wavelengths, between a line and its neighbours: these are random, so coverage is averaged over several."""


def step_of(pen_width: float) -> float:
    """Return the distance, mm, between the points of the line that carries a wave."""
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
    """(STEPS,) from covered_by, for equally spaced amounts from 0 to 1."""


def waved(foot: Points, normal: Points, waves: WaveStyle, number: Integers, phase: float = 0.0) -> WavedLine:
    """Return a wave about one line, where it has tone; its ends are not trimmed.

    foot: (n, 2) mm, points of the line step_of apart; normal: (n, 2) across it; number: (n,) of the line or turn, different
    for neighbours; phase: rad, of the wave before the first point.
    """
    tones, pen_width, spacing, covered = waves.tones, waves.pen_width, waves.spacing, waves.covered
    # The wave uses the mean tone across its own strip.
    tone = np.mean([tones.at(foot + share * spacing * normal) for share in (-0.33, 0.0, 0.33)], axis=0)
    amount = np.asarray(np.interp(tone, covered, np.linspace(0, 1, len(covered))))
    height, length = wave(amount, spacing, pen_width)
    step = step_of(pen_width)
    phases = phase + np.append(0.0, np.cumsum(2 * np.pi * step / length))
    points = foot + (height * np.sin(phases[:-1]))[:, None] * normal
    # At the picture's edge the wave is flat, not cut: cuts would be lifts.
    edge = np.minimum(pen_width / 2, np.array(tones.size) / 2)
    points = np.where((tone > 0)[:, None], np.clip(points, edge, tones.size - edge), points)
    full = tone / covered[0]
    dash = np.floor(np.arange(len(foot)) * step / (DASH * pen_width)).astype(np.int64)
    gap = full - line_runs.thresholds(dash * 5 + 3 * number)
    value = np.where(full >= 1, 1.0, gap)
    points, runs = line_runs.kept(points, np.zeros(len(points), dtype=np.int64), np.where(tone > 0, value, -1.0))
    if not len(points):
        return WavedLine([], float(phases[-2]))
    # Long waves need fewer points than short ones; a large picture has millions.
    lines = line_strings(points, line_runs.numbered(runs))
    simple = shapely.simplify(lines, FINE * pen_width, preserve_topology=False)
    return WavedLine(line_runs.split(*shapely.get_coordinates(simple, return_index=True)), float(phases[-2]))


@dataclass(frozen=True)
class WavedLine:
    """Runs of one line, (n, 2) mm each, and the phase, rad, of its last point, from which it can be continued."""

    runs: list[Points]
    phase: float


def trimmed(lines: list[Points], pen_width: float) -> list[Points]:
    """Return the lines shortened by what their round ends cover. Each (n, 2), mm."""
    return line_runs.split(*line_runs.trimmed(*line_runs.packed(lines), pen_width))


def wave(amount: Floats, spacing: float, pen_width: float) -> tuple[Floats, Floats]:
    """Return the height and length, mm, of waves from none (0) to the densest (1). Elementwise, (n,)."""
    grows, shortens = np.minimum(2 * amount, 1.0), np.maximum(2 * amount - 1, 0.0)
    height = (spacing - pen_width) / 2 * grows + REACH * pen_width / 2 * shortens
    longest, shortest = LONG * spacing, SHORT * pen_width
    length = longest * (shortest / longest) ** shortens
    return height, length


@lru_cache(maxsize=32)
def covered_by(spacing: float, pen_width: float) -> Floats:
    """Return (k,): share of the wall under ink for k = STEPS waves of equally spaced amounts from 0 to 1, ascending. In
    mm: spacing, width."""
    height, length = wave(np.linspace(0, 1, STEPS), spacing, pen_width)
    share = []
    for high, long in zip(height.tolist(), length.tolist(), strict=True):
        x = np.arange(-2 * long - pen_width, 3 * long + pen_width, long / A_WAVE)
        own = shapely.LineString(np.column_stack([x, high * np.sin(2 * np.pi * x / long)])).buffer(pen_width / 2)
        strip = shapely.box(0, -spacing / 2, long, spacing / 2)
        inks = []
        for shift in SHIFTS if high * 2 + pen_width > spacing else SHIFTS[:1]:
            neighbour = shapely.LineString(np.column_stack([x, high * np.sin(2 * np.pi * (x / long + shift))]))
            beside = neighbour.buffer(pen_width / 2)
            three = [own, translate(beside, yoff=-spacing), translate(beside, yoff=spacing)]
            inks.append(shapely.intersection(shapely.union_all(three), strip).area / strip.area)
        share.append(np.mean(inks))
    covered = np.maximum.accumulate(np.array(share))
    covered.setflags(write=False)
    return covered
