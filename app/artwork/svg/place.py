"""What an element inherits from where it stands in the tree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.artwork.svg.numbers import MM_PER_PX


@dataclass(frozen=True)
class Place:
    """What an element inherits from where it stands."""

    matrix: np.ndarray
    """(3, 3) user units to px of the page."""
    style: dict[str, str]
    viewport: tuple[float, float]
    opacity: float
    group: tuple[str, ...]
    uses: tuple[int, ...] = ()
    """Elements being copied by use, to see a copy of itself."""

    def to_mm(self) -> np.ndarray:
        """(3, 3) from user units to mm on the page."""
        return self.matrix * MM_PER_PX


def scale_of(to_mm: np.ndarray) -> float:
    """mm for a user unit, the mean of both directions."""
    return float(np.sqrt(abs(np.linalg.det(to_mm[:2, :2]))))


def mapped(to_mm: np.ndarray, line: np.ndarray) -> np.ndarray:
    """(n, 2) points through a (3, 3) map."""
    return line @ to_mm[:2, :2].T + to_mm[:2, 2]
