"""Placement of labels in a picture, clear of each other and of what must stay visible.

Greedy: each label takes the nearest free place (Christensen, Marks and Shieber, An Empirical Study of Algorithms for
Point-Feature Label Placement, ACM Transactions on Graphics, 1995, section 3.1), so important labels come first.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wallwright.document.arrays import Floats

MOST_STEPS = 8
"""Largest displacement of a label, in steps of about half its size."""
STEPS = np.stack(np.meshgrid(*2 * [np.arange(-MOST_STEPS, MOST_STEPS + 1)], indexing="ij"), axis=-1).reshape(-1, 2)
"""(k, 2) displacements, in steps."""
SHARE = 0.55
"""Size of a step as a share of a label's width and height: two steps clear a label of the same size."""
UP_RIGHT = np.array([0.03, -0.05])
"""Preferred direction, in steps: of equally near places, the one above and to the right is taken."""


MOST_LETTERS = 24
"""Largest number of letters of a name in a picture."""


def shortened(name: str, letters: int = MOST_LETTERS) -> str:
    """Returns a name shortened in its middle to at most `letters`, at least 3: names differ at their beginning or end."""
    if len(name) <= letters:
        return name
    end = (letters - 1) // 2
    return f"{name[: letters - 1 - end].rstrip()}\N{HORIZONTAL ELLIPSIS}{name[len(name) - end :].lstrip()}"


class LabelPlace(NamedTuple):
    """Place of a label."""

    x: float
    """Its middle."""
    y: float
    covered: float
    """Weighted area that it covers; 0: none."""
    gap: float
    """Distance from the label to the point that it names, at least 0."""


class LabelPlacer:
    """Places labels one after the other, in any unit of length, y down."""

    def __init__(self) -> None:
        self._rows = np.zeros((64, 5))
        """Left, top, right, bottom and weight of each box; the first `count` count."""
        self.count = 0

    def keep_clear(self, left: float, top: float, right: float, bottom: float, weight: float = 1.0) -> None:
        """Keeps labels off a box. weight: importance."""
        if self.count == len(self._rows):
            self._rows = np.concatenate([self._rows, np.zeros_like(self._rows)])
        self._rows[self.count] = left, top, right, bottom, weight
        self.count += 1

    def back_to(self, count: int) -> None:
        """Removes all boxes but the first `count`."""
        self.count = min(count, self.count)

    def place(self, x: float, y: float, width: float, height: float, is_beside: bool = False) -> LabelPlace:
        """Places a label of a size and keeps others off it. x, y: point that it names; is_beside: beside the point, not on
        it."""
        place = self.find(x, y, width, height, is_beside)
        self.take(place, width, height)
        return place

    def take(self, place: LabelPlace, width: float, height: float) -> None:
        """Keeps other labels off a label of a size."""
        x, y = place.x, place.y
        self.keep_clear(x - width / 2, y - height / 2, x + width / 2, y + height / 2)

    def find(
        self, x: float, y: float, width: float, height: float, is_beside: bool = False, most: int = MOST_STEPS
    ) -> LabelPlace:
        """Returns the best place for a label without taking it. most: largest displacement, in steps."""
        size = np.array([width, height])
        steps = STEPS[np.abs(STEPS).max(axis=1) <= most]
        aside = steps * SHARE * size
        gaps = np.hypot(*np.maximum(np.abs(aside) - size / 2, 0.0).T)
        far = gaps if is_beside else np.hypot(*aside.T)
        order = np.lexsort((np.hypot(*(steps - UP_RIGHT * 8).T), np.round(far, 6)))
        centres = np.array([x, y]) + aside[order]
        covered = self._covered(centres, size)
        if is_beside:
            covered = covered + np.where(gaps[order] > 0, 0.0, width * height)
        best = int(np.argmin(covered > covered.min() + 1e-9))  # the nearest of those that are as good
        middle = centres[best].tolist()
        return LabelPlace(middle[0], middle[1], float(covered[best]), float(gaps[order][best]))

    def _covered(self, centres: Floats, size: Floats) -> Floats:
        """Returns (k,) the weighted area of all boxes that a label of a size covers at centres (k, 2)."""
        low, high = centres - size / 2, centres + size / 2
        rows = self._rows[: self.count]
        is_near = np.all((rows[:, 2:4] > low.min(axis=0)) & (rows[:, :2] < high.max(axis=0)), axis=1)
        if not is_near.any():
            return np.zeros(len(centres))
        boxes, weights = rows[is_near, :4], rows[is_near, 4]
        across = np.minimum(high[:, None, 0], boxes[None, :, 2]) - np.maximum(low[:, None, 0], boxes[None, :, 0])
        down = np.minimum(high[:, None, 1], boxes[None, :, 3]) - np.maximum(low[:, None, 1], boxes[None, :, 1])
        covered: Floats = (np.maximum(across, 0.0) * np.maximum(down, 0.0)) @ weights
        return covered
