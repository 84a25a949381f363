"""Where the labels of a picture stand, so that they cover neither each other nor what has to be seen.

Greedy: each label takes the free place nearest to what it names (Christensen, Marks and Shieber, An Empirical Study of
Algorithms for Point-Feature Label Placement, ACM Transactions on Graphics, 1995, section 3.1), so the important ones come
first.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wallwright.document.arrays import Floats

MOST_STEPS = 8
"""Half widths and heights by which a label may be moved."""
STEPS = np.stack(np.meshgrid(*2 * [np.arange(-MOST_STEPS, MOST_STEPS + 1)], indexing="ij"), axis=-1).reshape(-1, 2)
"""(k, 2) of them."""
SHARE = 0.55
"""Of a label's width and height, in one step: two steps clear a label of the same size."""
UP_RIGHT = np.array([0.03, -0.05])
"""Steps: of places that are as near, the one above and to the right is taken."""


MOST_LETTERS = 24
"""Of a name on a picture."""


def shortened(name: str, letters: int = MOST_LETTERS) -> str:
    """A name cut in its middle to so many letters, at least 3: what tells it from others is at its beginning or its end."""
    if len(name) <= letters:
        return name
    end = (letters - 1) // 2
    return f"{name[: letters - 1 - end].rstrip()}\N{HORIZONTAL ELLIPSIS}{name[len(name) - end :].lstrip()}"


class LabelPlace(NamedTuple):
    """Where a label stands."""

    x: float
    """Of its middle."""
    y: float
    covered: float
    """Area of what it covers, by its weight; 0: nothing."""
    gap: float
    """From the label to the point that it names, at least 0."""


class LabelPlacer:
    """Places labels one after the other, in any unit of length, y down."""

    def __init__(self) -> None:
        self._rows = np.zeros((64, 5))
        """Left, top, right, bottom and weight of each box; the first `count` count."""
        self.count = 0

    def keep_clear(self, left: float, top: float, right: float, bottom: float, weight: float = 1.0) -> None:
        """Nothing is to stand on a box. weight: how much it matters."""
        if self.count == len(self._rows):
            self._rows = np.concatenate([self._rows, np.zeros_like(self._rows)])
        self._rows[self.count] = left, top, right, bottom, weight
        self.count += 1

    def back_to(self, count: int) -> None:
        """Forgets the boxes that came after the first so many."""
        self.count = min(count, self.count)

    def place(self, x: float, y: float, width: float, height: float, is_beside: bool = False) -> LabelPlace:
        """Takes the best place for a label of a size. x, y: what it names; is_beside: it stands beside that, else on it."""
        place = self.find(x, y, width, height, is_beside)
        self.take(place, width, height)
        return place

    def take(self, place: LabelPlace, width: float, height: float) -> None:
        """Nothing else is to stand where a label of a size does."""
        x, y = place.x, place.y
        self.keep_clear(x - width / 2, y - height / 2, x + width / 2, y + height / 2)

    def find(
        self, x: float, y: float, width: float, height: float, is_beside: bool = False, most: int = MOST_STEPS
    ) -> LabelPlace:
        """Returns the best place for a label, which stays free. most: steps by which it may be moved."""
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
        """(k,) weighed area of all boxes that labels (k, 2) of a size would cover."""
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
