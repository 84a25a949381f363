"""Detours for travels whose straight path would leave the draw zone: the shortest path inside it, gently curved.

The zone's polygon is shrunk by a bend radius, which rounds its reentrant corners (at a keep-out or an anchor). The shortest
path runs along straight lines between these arcs (visibility graph; de Berg and others, Computational Geometry, 2008,
chapter 15), so a travel need not stop at them. A path is used only if every pose along it keeps every limit.
"""

from __future__ import annotations

import functools

import numpy as np
import shapely
from scipy.sparse.csgraph import shortest_path
from shapely.geometry.base import BaseGeometry

from wallwright.document.arrays import Flags, Floats, Points
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Wall
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.draw_zone import compute_zone
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.zone_boundary import zone_polygons

TEST_SPACING = 10.0
"""Distance along a travel between tested poses, mm; the zone's edge bends less than this."""
SPACING = 20.0
"""Grid spacing for finding the zone, mm."""
MOST_POINTS = 100_000
"""Largest number of grid points: on a wall larger than 10 by 4 m the grid is coarser."""
BENDS = (40.0, 20.0, 10.0, 5.0, 2.0)
"""Radii of bends, mm: wide ones are passed quickly, narrow ones are shorter and fit in more places."""
CHORD = 0.05
"""Largest distance between a bend and its chords, mm."""


class DetourFinder:
    """Finds detours for travels in one hanging."""

    def __init__(self, wall: Wall, machine: Machine, hanging: Hanging) -> None:
        self._wall, self._machine, self._hanging = wall, machine, hanging
        self._rig = CableRobotModel.of(machine, hanging)

    def blocked(self, travels: Floats) -> Flags:
        """Returns (k,) bool: straight travels (k, 2, 2), mm, that leave the zone between ends inside it."""
        way = travels[:, 1] - travels[:, 0]
        count = np.ceil(np.hypot(*way.T) / TEST_SPACING).astype(np.int64) - 1
        index = np.repeat(np.arange(len(travels)), np.maximum(count, 0))
        within = np.arange(len(index)) - np.repeat(
            np.cumsum(np.maximum(count, 0)) - np.maximum(count, 0), np.maximum(count, 0)
        )
        share = (within + 1) / (count[index] + 1)
        bad = np.zeros(len(travels), dtype=bool)
        bad[index[self._outside(travels[index, 0] + share[:, None] * way[index])]] = True
        some = np.flatnonzero(bad)
        bad[some] = ~self._outside(travels[some].reshape(-1, 2)).reshape(-1, 2).any(axis=1)
        return bad

    def around(self, travel: Floats) -> list[Floats]:
        """Returns (n, 2) mm each: paths from travel[0] to travel[1] inside the zone, one for each bend radius that fits."""
        found = [points for graph in self._graphs if (points := graph.shortest(travel)) is not None]
        inside = self.inside(found)
        return [points for points, good in zip(found, inside, strict=True) if good]

    def inside(self, lines: list[Floats]) -> Flags:
        """Returns (k,) bool: lines, (n, 2) mm each, on which all poses keep every limit."""
        dense = [np.concatenate([line[:1], _dense(line), line[-1:]]) for line in lines]
        of = np.repeat(np.arange(len(lines)), [len(line) for line in dense])
        bad = self._outside(np.concatenate([np.zeros((0, 2)), *dense]))
        result: Flags = np.bincount(of[bad], minlength=len(lines)) == 0
        return result

    def _outside(self, points: Points) -> Flags:
        parts = [points[i : i + 50_000] for i in range(0, len(points), 50_000)]
        found = [broken(self._wall, self._machine, self._rig, inverse_kinematics(self._rig, p)) != 0 for p in parts]
        return np.concatenate([np.zeros(0, dtype=bool), *found])

    @functools.cached_property
    def _zone(self) -> BaseGeometry:
        spacing = max(SPACING, float(np.sqrt(self._wall.width * self._wall.height / MOST_POINTS)))
        return zone_polygons(self._wall, self._machine, compute_zone(self._wall, self._machine, self._hanging, spacing))

    @functools.cached_property
    def _graphs(self) -> list[_Graph]:
        return [_Graph(self._zone, bend) for bend in BENDS]


class _Graph:
    """The corners of a region as a visibility graph, and shortest paths in it."""

    def __init__(self, zone: BaseGeometry, bend: float) -> None:
        quarter = int(np.ceil(np.pi / 4 / np.arccos(1 - min(CHORD / bend, 0.3))))
        self._room = shapely.buffer(zone, -bend, quad_segs=quarter)
        rings = shapely.get_rings(shapely.simplify(self._room, CHORD))
        corners = [np.zeros((0, 2))]
        for ring in rings:
            points = shapely.get_coordinates(ring)[:-1]
            middle = (np.roll(points, 1, axis=0) + np.roll(points, -1, axis=0)) / 2
            corners.append(points[~shapely.contains_xy(self._room, middle)])
        self._corners = np.concatenate(corners)
        # Lines along an edge touch it.
        self._wide = shapely.buffer(self._room, 4 * CHORD)
        shapely.prepare(self._wide)
        n = len(self._corners)
        a, b = np.triu_indices(n, 1)
        seen = self._sees(self._corners[a], self._corners[b])
        length = np.zeros((n, n))
        length[a[seen], b[seen]] = np.hypot(*(self._corners[a[seen]] - self._corners[b[seen]]).T)
        if n:
            self._far, self._before = shortest_path(length, directed=False, return_predecessors=True)

    def _sees(self, a: Points, b: Points) -> Flags:
        return np.asarray(shapely.covers(self._wide, shapely.linestrings(np.stack([a, b], axis=1))))

    def shortest(self, travel: Floats) -> Floats | None:
        """Returns (n, 2) mm from travel[0] to travel[1]; None if there is no path."""
        if self._room.is_empty or not len(self._corners):
            return None
        # Ends near the zone's edge are first moved inside the shrunk region.
        ends = [shapely.get_coordinates(shapely.shortest_line(self._room, shapely.Point(p)))[0] for p in travel]
        n = len(self._corners)
        reach = []
        for end in ends:
            seen = self._sees(np.repeat(end[None], n, axis=0), self._corners)
            reach.append(np.where(seen, np.hypot(*(self._corners - end).T), np.inf))
        total = reach[0][:, None] + self._far + reach[1]
        i, j = np.unravel_index(np.argmin(total), total.shape)
        if not np.isfinite(total[i, j]):
            return None
        passed = [int(j)]
        while passed[-1] != i:
            passed.append(int(self._before[i, passed[-1]]))
        points = np.concatenate([[travel[0], ends[0]], self._corners[passed[::-1]], [ends[1], travel[1]]])
        keep = np.ones(len(points), dtype=bool)
        keep[1:] = np.hypot(*np.diff(points, axis=0).T) > 1e-6
        return points[keep]


def _dense(points: Points) -> Floats:
    step = np.hypot(*np.diff(points, axis=0).T)
    at = np.concatenate([[0.0], np.cumsum(step)])
    places = np.linspace(0, at[-1], int(np.ceil(at[-1] / (TEST_SPACING / 2))) + 1)[1:-1]
    return np.column_stack([np.interp(places, at, points[:, i]) for i in (0, 1)])
