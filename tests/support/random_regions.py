"""Regions for property tests of fills."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import strategies as st


@st.composite
def regions(draw):
    """Draws a star-shaped polygon of 3 to 25 corners with up to three holes."""
    seed = draw(st.integers(0, 10_000))
    rng = np.random.default_rng(seed)
    count = draw(st.integers(3, 25))
    angle = np.sort(rng.uniform(0, 2 * np.pi, count))
    radius = rng.uniform(20, 100, count)
    outer = shapely.Polygon(np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])).buffer(0)
    for _ in range(draw(st.integers(0, 3))):
        outer = outer.difference(shapely.Point(rng.uniform(-60, 60, 2)).buffer(rng.uniform(2, 25), quad_segs=5))
    return outer
