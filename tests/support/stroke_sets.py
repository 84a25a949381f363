"""Sets of strokes for tests and benchmarks of the order."""

from __future__ import annotations

import numpy as np

from wallwright.strokes.strokes import Strokes


def random_strokes(count: int, seed: int, pens: int = 1) -> Strokes:
    """Returns straight strokes of 5 to 40 mm anywhere in 1.5 m by 1 m, in any direction; source is their index."""
    rng = np.random.default_rng(seed)
    start = rng.uniform([0, 0], [1500, 1000], (count, 2))
    length, angle = rng.uniform(5, 40, count), rng.uniform(0, 2 * np.pi, count)
    end = start + np.column_stack([length * np.cos(angle), length * np.sin(angle)])
    return Strokes.pack(list(np.stack([start, end], axis=1)), rng.integers(0, pens, count), np.arange(count))


def hatched_clusters(count: int, seed: int, clusters: int = 200) -> Strokes:
    """Returns patches of parallel hatch lines anywhere in 1.5 m by 1 m, each with its own angle, spacing and size."""
    rng = np.random.default_rng(seed)
    each = count // clusters
    line = np.arange(each)
    middle, angle = rng.uniform([0, 0], [1500, 1000], (clusters, 2)), rng.uniform(0, np.pi, clusters)
    along = np.column_stack([np.cos(angle), np.sin(angle)])
    across = np.column_stack([-along[:, 1], along[:, 0]])
    foot = middle[:, None] + across[:, None] * (line * rng.uniform(0.8, 2, clusters)[:, None])[..., None]
    half = rng.uniform(10, 30, clusters)[:, None] * (0.6 + 0.4 * np.sin(line / 7 + np.arange(clusters)[:, None]))
    half = (half * rng.uniform(0.9, 1.1, (clusters, each)))[..., None] * along[:, None]
    lines = np.stack([foot - half, foot + half], axis=2).reshape(-1, 2, 2)
    return Strokes.pack(list(lines), 0, np.arange(len(lines)))
