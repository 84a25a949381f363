"""One continuous line: a short tour through stippled points (Kaplan and Bosch, "TSP art", Bridges 2005).

The tour through points spread evenly with density n has the length k sqrt(n) on each unit of area (Beardwood, Halton,
Hammersley 1959), so points are laid as the square of the wanted tone.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from app.artwork.raster.layers import Tones
from app.document.language import tr
from app.document.picture import OneLine
from app.strokes.pictures.relax import spread

NEIGHBOURS = 8
"""Points that the local search looks at from each."""
NOMINAL = np.array([0.0, 0.1, 0.3, 0.5, 0.7, 0.8, 0.9, 1.0, 1.1, 1.25])
COVERED = np.array([0.0, 0.098, 0.295, 0.484, 0.672, 0.762, 0.847, 0.918, 0.964, 1.0])
"""Share of the wall under a line through points in the density (nominal / line width)², as measured."""


def one_line(
    tones: Tones,
    pen_width: float,
    style: OneLine,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> list[np.ndarray]:
    """One polyline, mm."""
    density = (np.interp(tones.tone, COVERED, NOMINAL) / pen_width) ** 2
    wanted, most = float(density.sum()) * tones.cell**2, style.turns * 1000
    if wanted > most:
        share = float(np.sqrt(most / wanted))
        tell(tr("its tone wants a line of {0:.0f} thousand turns; with {1:g} thousand it is drawn {2:.0f} % as dark. A "
                "broader pen, a smaller picture or more turns bring the tone.",
                wanted / 1000, style.turns, 100 * share))  # fmt: skip
        density *= share**2
    points = spread(density, tones.cell, lambda done: progress(0.7 * done))
    if len(points) < 2:
        return []
    return [tour_through(points, lambda done: progress(0.7 + 0.3 * done))]


def tour_through(points: np.ndarray, progress: Callable[[float], None]) -> np.ndarray:
    """The points, which follow Hilbert's curve, in the order of a shorter path. Points count as strokes without length.

    Local search leaves the long jumps of a nearest neighbour tour; along the curve there are none to begin with.
    """
    from app.strokes import tour  # numba: slow to import

    ends = np.repeat(points[:, None], 2, axis=1)
    # Cost is length: without a ramp to speak of, time at unit speed.
    search = tour.Search(ends, points[0], tour.neighbours(ends, NEIGHBOURS), 1.0, 1e9)
    search.descend(progress)
    return points[search.order]
