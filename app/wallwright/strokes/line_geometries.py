"""Lines as arrays of shapely geometries."""

from __future__ import annotations

import numpy as np
import shapely

from wallwright.document.arrays import Floats, Integers, Objects


def line_strings(points: Floats, owner: Integers | None = None) -> Objects:
    """Returns (m,) LineStrings: of lines (m, p, 2) of p points each, mm; or of points (n, 2), mm, with the line index of
    each, owner (n,), ascending from 0."""
    return np.asarray(shapely.linestrings(points, indices=owner), dtype=np.object_)
