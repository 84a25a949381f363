"""What set-up compiles is all that a plan needs."""

import numpy as np

from tests.support.stroke_sets import random_strokes
from wallwright.document.document import Document
from wallwright.planning.warm_up import warm_up
from wallwright.strokes import degenerate, overlaps
from wallwright.strokes.order import order_strokes
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tidy import tidy
from wallwright.strokes.tour import nearest, ring_starts, search, windows


def compiled() -> dict[str, int]:
    """Compiled versions of each function of the search."""
    return {
        f"{module.__name__}.{name}": len(function.signatures)
        for module in (degenerate, overlaps, nearest, search, ring_starts, windows)
        for name, function in vars(module).items()
        if hasattr(function, "signatures")
    }


def test_nothing_is_left_to_compile():
    warm_up()
    before = compiled()
    strokes = random_strokes(60, 1)
    square = np.array([[0, 0], [5, 0], [5, 5], [0, 5], [0, 0]], dtype=float)
    limits = Document().machine.limits
    for some in (strokes, Strokes.join([strokes, Strokes.pack([square, square + 50], 0)])):
        order_strokes(some, np.array([1000.0, 800.0]), limits.travel_speed, limits.acceleration)
        tidy(some, 0.2, 0.0125, np.array([2.0]))
    assert compiled() == before
    assert all(
        before[f"wallwright.strokes.{name}"]
        for name in (
            "overlaps._search",
            "tour.nearest._nearest",
            "tour.search.anneal",
            "tour.ring_starts.best_seams",
        )
    )
