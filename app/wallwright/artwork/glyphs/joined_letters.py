"""Letters that join bend with an arc: turned one by one, their joins would gape above and lie on each other below."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import shapely

from wallwright.artwork.shape_regions import region_of
from wallwright.document.arrays import Points

if TYPE_CHECKING:
    from wallwright.artwork.glyphs.shaping import Cluster

TOUCH = 2e-3
"""Of the letter's size: letters no farther apart are joined."""
FINE = 0.02
"""mm that a bent line may be off its arc."""


def joined(clusters: Sequence[Cluster]) -> tuple[bool, ...]:
    """For each letter of a line, in order, whether its outline touches that of the next one."""
    regions, at = [], 0.0
    for cluster in clusters:
        regions.append(region_of([ring + np.array([at, 0.0]) for ring in cluster.rings], False))
        at += cluster.advance
    touches = [not a.is_empty and not b.is_empty and a.distance(b) < TOUCH for a, b in pairwise(regions)]
    return (*touches, False)[: len(clusters)]


def with_next(joins: Sequence[bool]) -> tuple[bool, ...]:
    """Which letters join the next one or the one before. joins: whether each joins the next one."""
    return tuple(a or b for a, b in zip(joins, (False, *joins[:-1]), strict=True)) if joins else ()


def bent(path: Points, radius: float, way: float, is_ring: bool) -> Points:
    """A path (n, 2), mm, laid along a baseline of some radius: x runs along it from its middle, y across it.

    way: above 0 the baseline is the top of its circle, below 0 the bottom; the origin is the circle's centre. is_ring:
    whether the path closes by itself.
    """
    line = dense(path, float(np.sqrt(8 * radius * FINE)), is_ring)
    sign = 1.0 if way > 0 else -1.0
    angle = sign * line[:, 0] / radius
    away = sign * radius - line[:, 1]
    found: Points = np.column_stack([away * np.sin(angle), -away * np.cos(angle)])
    return found


def dense(path: Points, step: float, is_ring: bool = True) -> Points:
    """The same path (n, 2) with points no farther apart than a step, both in mm or in shares of the letter's size. A ring
    does not repeat its first point."""
    line = np.concatenate([path, path[:1]]) if is_ring else path
    found: Points = shapely.get_coordinates(shapely.segmentize(shapely.LineString(line), step))
    return found[:-1] if is_ring else found
