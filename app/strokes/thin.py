"""Parts of a region too thin for the pen: drawn once, along their middle."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

LEAST_LENGTH = 1.0
"""In pen widths: a thin part shorter than this is covered by its neighbours' ink, or is a speck."""


def thin_parts(region: BaseGeometry, inside: BaseGeometry, width: float) -> list[np.ndarray]:
    """Centrelines of what a pen of some width, kept inside, cannot reach. inside: the region pulled in by width / 2.

    The centreline of a part is the chain of midpoints of cuts square to its long side: right for the slivers and
    strips that are left when everything a pen wide is taken away, which do not branch much.
    """
    reached = shapely.buffer(inside, width / 2 * 1.02, join_style="mitre", mitre_limit=4.0)
    rest = shapely.get_parts(shapely.difference(region, reached))
    rest = rest[shapely.area(rest) > 0.05 * width * width]
    lines = []
    for part in rest:
        line = _middle(part, width)
        if line is not None and shapely.length(shapely.LineString(line)) >= LEAST_LENGTH * width:
            lines.append(line)
    return lines


def _middle(part: BaseGeometry, width: float) -> np.ndarray | None:
    box = shapely.minimum_rotated_rectangle(part)
    if box.geom_type != "Polygon":
        return None
    corners = shapely.get_coordinates(box)[:4]
    sides = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(*sides.T)
    if lengths.max() == 0:
        return None
    long = int(np.argmax(lengths[:2]))
    along, length = sides[long] / lengths[long], lengths[long]
    across, depth = sides[(long + 1) % 4], lengths[(long + 1) % 4]
    count = max(2, int(np.ceil(length / max(width, 0.05 * length))) + 1)
    at = np.linspace(0.0, 1.0, count + 2)[1:-1] * length
    feet = corners[long] + at[:, None] * along
    cuts = shapely.linestrings(np.stack([feet - 0.01 * across, feet + 1.01 * across], axis=1))
    pieces = shapely.intersection(part, cuts)
    centres = shapely.get_coordinates(shapely.centroid(pieces[~shapely.is_empty(pieces)]))
    if len(centres) < 2 or depth == 0:
        return None
    return centres
