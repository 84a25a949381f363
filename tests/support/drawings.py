"""Made-up drawings of any size."""

from __future__ import annotations

import numpy as np

from app.strokes.strokes import Strokes


def made_up_drawing(segments: int, width: float = 1900.0, height: float = 1300.0, seed: int = 1) -> Strokes:
    """Half hatch lines of 2 to 12 mm in slanting patches, half wavy lines of 200 steps of 0.8 mm; pens 0, 1, 2."""
    rng = np.random.default_rng(seed)
    return Strokes.join([
        _hatch_patches(rng, segments // 2, width, height), _wavy_lines(rng, (segments + 1) // 2, width, height),
    ])  # fmt: skip


def _directions(angle: np.ndarray) -> np.ndarray:
    return np.stack([np.cos(angle), np.sin(angle)], axis=-1)


def _hatch_patches(rng: np.random.Generator, count: int, width: float, height: float) -> Strokes:
    patch, place = np.divmod(np.arange(count), 400)
    patches = count // 400 + 1
    middle = rng.random((patches, 2)) * (width, height)
    along = _directions(rng.random(patches) * 2 * np.pi)
    across = along[:, ::-1] * (-1.0, 1.0)
    start = middle[patch] + across[patch] * (place % 60 * 0.6 - 18)[:, None]
    start += along[patch] * (place // 60 * 12.0 - 36)[:, None]
    end = start + along[patch] * (2 + 10 * rng.random(count))[:, None]
    return Strokes(
        np.stack([start, end], axis=1).reshape(-1, 2), np.arange(0, 2 * count + 1, 2), (patch % 3).astype(np.int32),
        np.full(count, -1, np.int32), np.ones(count, bool),
    )  # fmt: skip


def _wavy_lines(rng: np.random.Generator, count: int, width: float, height: float) -> Strokes:
    lines = max(1, count // 200)
    turn = np.cumsum(rng.normal(size=(lines, 201)) * 0.2, axis=1)
    points = rng.random((lines, 1, 2)) * (width, height) + np.cumsum(_directions(turn) * 0.8, axis=1)
    return Strokes(
        points.reshape(-1, 2), np.arange(0, lines * 201 + 1, 201), (np.arange(lines) % 3).astype(np.int32),
        np.full(lines, -1, np.int32), np.zeros(lines, bool),
    )  # fmt: skip
