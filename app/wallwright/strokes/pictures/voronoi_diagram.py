"""Voronoi diagrams from Delaunay triangulations by GEOS, and inset cells, compiled.

Own code: scipy's Voronoi takes three times as long, most of it holding Python's lock, and negative buffers of cells take
four times as long as clipping them, because cells are convex.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.compiled import compiled


@dataclass(frozen=True)
class VoronoiDiagram:
    """Diagram of at least three points (n, 2), mm."""

    points: Points
    vertices: Points
    """(m, 2) mm."""
    between: Integers
    """(e, 2) indices of the points on both sides of each edge; infinite edges are left out."""
    ends: Integers
    """(e, 2) indices of the vertices at the ends of each edge."""
    triangles: Integers
    """(m, 3) indices of the points about each vertex."""

    @staticmethod
    def of(points: Points) -> VoronoiDiagram:
        """Returns the diagram of points (n, 2), mm."""
        corners = shapely.get_coordinates(shapely.delaunay_triangles(shapely.multipoints(points)))
        corners = corners.reshape(-1, 4, 2)[:, :3]
        triangles = _numbers(corners.reshape(-1, 2), points).reshape(-1, 3)
        a, b = triangles, np.roll(triangles, -1, axis=1)
        sides = (np.minimum(a, b) * len(points) + np.maximum(a, b)).ravel()
        order = np.argsort(sides, kind="stable")
        twins = np.flatnonzero(sides[order][1:] == sides[order][:-1])
        side = sides[order[twins]]
        ends = np.column_stack([order[twins], order[twins + 1]]) // 3
        between = np.column_stack([side // len(points), side % len(points)])
        return VoronoiDiagram(points, _circumcentres(corners), between, ends, triangles)

    def smaller_cells(self, chosen: Integers, inset: Floats) -> tuple[Points, Integers]:
        """Returns points (k, 2), mm, of the outlines of chosen cells (c,), with edges moved inwards by an inset (c,), mm,
        and the first corner repeated; and the index into chosen of each point (k,). Some vanish. The cells are closed."""
        number = np.full(len(self.points), -1, dtype=np.int64)
        number[chosen] = np.arange(len(chosen))
        owner = number[self.triangles.ravel()]
        vertex = np.repeat(np.arange(len(self.vertices)), 3)[owner >= 0]
        owner = owner[owner >= 0]
        # Cells are convex: sorted by angle about their point, the corners are in order.
        away = self.vertices[vertex] - self.points[chosen][owner]
        order = np.lexsort((np.arctan2(away[:, 1], away[:, 0]), owner))
        first = np.searchsorted(owner[order], np.arange(len(chosen) + 1))
        corner = self.vertices[vertex[order]]
        room = 2 * len(corner) + len(chosen)
        found, line = np.empty((room, 2)), np.empty(room, dtype=np.int64)
        count = _inset(corner, first, np.ascontiguousarray(inset), found, line)
        return found[:count], line[:count]


def _numbers(places: Points, points: Points) -> Integers:
    """Returns (k,) the index of the point (n, 2) at each of the places (k, 2), which coincide with points."""
    ordered = points[:, 0] + 1j * points[:, 1]
    order = np.argsort(ordered, kind="stable")
    at = np.searchsorted(ordered[order], places[:, 0] + 1j * places[:, 1])
    return np.asarray(order[at], dtype=np.int64)


def _circumcentres(corners: Floats) -> Points:
    """Returns (m, 2) circumcentres of triangles (m, 3, 2)."""
    b, c = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
    bb, cc = (b * b).sum(axis=1), (c * c).sum(axis=1)
    away = np.column_stack([c[:, 1] * bb - b[:, 1] * cc, b[:, 0] * cc - c[:, 0] * bb])
    centres: Points = corners[:, 0] + away / np.where(np.abs(area) > 0, area, 1e-300)[:, None]
    return centres


@compiled
def _inset(corner: Points, first: Integers, inset: Floats, found: Points, line: Integers) -> int:
    """Clips each convex cell by its edges moved inwards (Sutherland and Hodgman, "Reentrant polygon clipping",
    Communications of the ACM 17, 1974). Corners are in order of increasing angle. Returns the number of points."""
    count = 0
    for k in range(len(first) - 1):
        begin, end = first[k], first[k + 1]
        if end - begin < 3:
            continue
        room = 2 * (end - begin) + 2
        now, then = np.empty((room, 2)), np.empty((room, 2))
        held = end - begin
        now[:held] = corner[begin:end]
        for i in range(begin, end):
            j = i + 1 if i + 1 < end else begin
            ex, ey = corner[j, 0] - corner[i, 0], corner[j, 1] - corner[i, 1]
            length = np.hypot(ex, ey)
            if length < 1e-9:
                continue
            nx, ny = -ey / length, ex / length  # inwards
            level = nx * corner[i, 0] + ny * corner[i, 1] + inset[k]
            kept = 0
            for p in range(held):
                q = p + 1 if p + 1 < held else 0
                a = nx * now[p, 0] + ny * now[p, 1] - level
                b = nx * now[q, 0] + ny * now[q, 1] - level
                if a >= 0:
                    then[kept] = now[p]
                    kept += 1
                if (a >= 0) != (b >= 0):
                    t = a / (a - b)
                    then[kept, 0] = now[p, 0] + t * (now[q, 0] - now[p, 0])
                    then[kept, 1] = now[p, 1] + t * (now[q, 1] - now[p, 1])
                    kept += 1
            now, then = then, now
            held = kept
            if held < 3:
                break
        if held < 3:
            continue
        for p in range(held):
            found[count] = now[p]
            line[count] = k
            count += 1
        found[count] = now[0]
        line[count] = k
        count += 1
    return count
