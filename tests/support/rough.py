"""Degenerate strokes: reversals, exact and near duplicate points, tiny legs, spikes."""

from __future__ import annotations

import numpy as np

KINDS = ("line", "back", "same", "near", "tiny", "spike", "short", "bend", "curl")


def rough_stroke(seed: int, centre: tuple[float, float] = (1000.0, 850.0), size: float = 60.0) -> np.ndarray:
    """Returns (n, 2) mm: a random stroke within about `size` of the centre."""
    random = np.random.default_rng(seed)
    points = [np.array(centre) + random.uniform(-size, size, 2)]
    heading = random.uniform(0, 2 * np.pi)
    for _ in range(random.integers(1, 14)):
        kind, here = KINDS[random.integers(len(KINDS))], points[-1]
        if kind == "line":
            points.append(np.array(centre) + random.uniform(-size, size, 2))
        elif kind == "back" and len(points) > 1:
            points.append(here + random.choice([1.0, 0.5, 1e-3, random.uniform()]) * (points[-2] - here))
        elif kind == "same":
            points.extend([here] * random.integers(1, 4))
        elif kind == "near":
            points.append(here + 10.0 ** random.uniform(-13, -2) * random.normal(size=2))
        elif kind == "tiny":
            points.append(here + 10.0 ** random.uniform(-3, 0) * random.normal(size=2))
        elif kind == "spike":
            tip = here + random.uniform(0.01, 10) * _unit(heading)
            points.extend([tip, here + random.choice([0.0, 1e-9, 1e-3]) * random.normal(size=2)])
        elif kind == "short":
            heading += random.choice([0.0, np.pi, random.normal()])
            points.append(here + random.uniform(0.5, 9) * _unit(heading))
        elif kind == "bend":
            heading += np.radians(random.uniform(-25, 25))
            points.append(here + 10.0 ** random.uniform(-2, 1.3) * _unit(heading))
        elif kind == "curl":
            step = 10.0 ** random.uniform(-2, 0)
            for _ in range(random.integers(3, 9)):
                heading += np.radians(random.uniform(10, 19))
                points.append(points[-1] + step * _unit(heading))
    return np.array(points)


def _unit(angle: float) -> np.ndarray:
    return np.array([np.cos(angle), np.sin(angle)])
