"""Generated drawings of any size."""

from __future__ import annotations

import numpy as np

from wallwright.document import edits
from wallwright.document.document import Document, Pen
from wallwright.strokes.strokes import Strokes


def made_up_drawing(segments: int, width: float = 1900.0, height: float = 1300.0, seed: int = 1) -> Strokes:
    """Returns strokes, half of them hatch lines of 2 to 12 mm in oblique patches, half wavy lines of 200 steps of 0.8 mm."""
    rng = np.random.default_rng(seed)
    return Strokes.join(
        [
            _hatch_patches(rng, segments // 2, width, height),
            _wavy_lines(rng, (segments + 1) // 2, width, height),
        ]
    )


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
        np.stack([start, end], axis=1).reshape(-1, 2),
        np.arange(0, 2 * count + 1, 2),
        (patch % 3).astype(np.int32),
        np.full(count, -1, np.int32),
        np.ones(count, bool),
    )


def _wavy_lines(rng: np.random.Generator, count: int, width: float, height: float) -> Strokes:
    lines = max(1, count // 200)
    turn = np.cumsum(rng.normal(size=(lines, 201)) * 0.2, axis=1)
    points = rng.random((lines, 1, 2)) * (width, height) + np.cumsum(_directions(turn) * 0.8, axis=1)
    return Strokes(
        points.reshape(-1, 2),
        np.arange(0, lines * 201 + 1, 201),
        (np.arange(lines) % 3).astype(np.int32),
        np.full(lines, -1, np.int32),
        np.zeros(lines, bool),
    )


YARD = b"""<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="200mm" viewBox="0 0 400 200">
<g id="house"><rect x="10" y="10" width="80" height="80" fill="#c02020"/>
  <g id="roof"><rect x="110" y="10" width="80" height="80" fill="#c02020"/></g></g>
<g id="tree"><rect x="210" y="10" width="80" height="80" fill="#c02020"/><rect x="310" y="10" width="80" height="80" fill="#1f4e8c"/></g>
</svg>"""
"""A house with a roof, and a tree: four squares of 80 mm in a row, the last one blue."""


def yard_document() -> Document:
    """Returns the yard on a wall, 400 mm wide, centred at 1000, 800 mm, with a pen for each colour and a black one."""
    pens = (Pen("black", "Black", "#202020"), Pen("red", "Red", "#c02020"), Pen("blue", "Blue", "#1f4e8c"))
    document = edits.replace(Document(), pens=pens)
    natural, centre = (400.0, 200.0), (1000.0, 800.0)
    return edits.add_artwork(document, "yard.svg", "image/svg+xml", YARD, natural, centre, 400.0)[0]
