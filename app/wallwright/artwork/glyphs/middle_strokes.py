"""Letters of any font as single lines: the middle lines of their stems.

The medial axis is taken from the Voronoi diagram of points along the outline (Brandt and Algazi, "Continuous skeleton
computation by Voronoi diagram", CVGIP: Image Understanding 55, 1992). Branches that only lead into corners are left out
by how far their two feet lie apart along the outline (Ogniewicz and Kübler, "Hierarchic Voronoi skeletons", Pattern
Recognition 28, 1995). Where stems meet or turn, the axis swerves; there its lines are drawn straight on to where they cross.

strokes/thin_parts.py finds such lines for very many parts that are narrower than a pen, whose joints and ends no eye sees.

    foot     point of the outline nearest to a point of the axis; each has two, radius away
    joint    where three or more lines meet, as one point of the axis or some close together
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.ndimage import gaussian_filter1d
from scipy.spatial import QhullError, Voronoi
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.shape_regions import region_of
from wallwright.document.arrays import Floats, Points

SAMPLE = 0.008
"""Of the letter's size: between points along the outline."""
LEAST_APART = 2.6
"""Diameters that the feet of the axis lie apart along the outline: 1 in a square corner, 1.57 in a round end, 2.4 in a
corner of 45 degrees."""
SMOOTH = 0.006
"""Of the letter's size: the Voronoi diagram of points trembles by less."""
FINE = 0.0015
"""Of the letter's size: how far points may be left out of the line."""
SHORTEST = 0.5
"""Radii of a joint: a branch from it that is shorter is part of the stem's end."""
SWERVES = 1.1
"""Radii about a joint or a corner within which the axis is replaced by straight lines."""
CORNER = np.radians(40)
"""Turn of an outline that is a corner."""
TURNS = np.radians(30)
"""Turn of an axis beside a corner of its outline from which on it is drawn as a corner."""
STRAIGHT = -np.cos(np.radians(35))
"""Cosine between two lines at a joint that are one line: its bend is less."""
A_DOT = 12
"""Points of the ring that stands for a dot."""
DOT = 0.3
"""Radius of that ring, of the dot's own radius."""


@dataclass
class _Chain:
    """One line of the axis between ends and joints."""

    points: Points
    """(n, 2)."""
    radius: Floats
    """(n,) distance to the outline."""


def middle_strokes(rings: Sequence[Points]) -> tuple[Points, ...]:
    """Lines (n, 2) along the middle of a letter's outline, closed rings (n, 2) at letter's size 1."""
    key = tuple(ring.tobytes() for ring in rings)
    return _of_outline(key)


@functools.lru_cache(maxsize=1000)
def _of_outline(outline: tuple[bytes, ...]) -> tuple[Points, ...]:
    """The same of rings as bytes: texts have few different letters."""
    region = region_of([np.frombuffer(ring).reshape(-1, 2) for ring in outline], False)
    found: list[Points] = []
    for part in shapely.get_parts(region):
        if part.geom_type == "Polygon" and part.area > SAMPLE**2:
            found += _of_part(part)
    return tuple(found)


def _of_part(part: shapely.Polygon) -> list[Points]:
    chains = _axis(part)
    if not chains:
        return [_dot(part)]
    chains = _without_twigs(chains)
    chains = _with_joints(chains)
    corners = _corners(part)
    lines = [_with_corners(chain, corners) for chain in chains]
    lines = _extended(lines, chains, part)
    lines = [line for line in lines if len(line) > 1 and np.hypot(*np.ptp(line, axis=0)) > SAMPLE]
    lines = _through_joints([shapely.get_coordinates(shapely.simplify(shapely.LineString(p), FINE)) for p in lines])
    return lines or [_dot(part)]


def _dot(part: shapely.Polygon) -> Points:
    """A small ring in the middle of a part that has no length."""
    middle = shapely.get_coordinates(shapely.centroid(part))[0]
    radius = DOT * float(np.sqrt(part.area / np.pi))
    turn = np.linspace(0, 2 * np.pi, A_DOT + 1)
    ring: Points = middle + radius * np.column_stack([np.cos(turn), np.sin(turn)])
    return ring


def _axis(part: shapely.Polygon) -> list[_Chain]:
    """The medial axis without the branches that lead into corners."""
    dense = shapely.segmentize(part, SAMPLE)
    feet, ring, place, around = [], [], [], []
    for number, line in enumerate([dense.exterior, *dense.interiors]):
        points = shapely.get_coordinates(line)[:-1]
        steps = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
        feet.append(points)
        ring.append(np.full(len(points), number))
        place.append(np.concatenate([[0.0], np.cumsum(steps)[:-1]]))
        around.append(steps.sum())
    sites, of, at = np.concatenate(feet), np.concatenate(ring), np.concatenate(place)
    length = np.array(around)
    try:
        diagram = Voronoi(sites)
    except QhullError:
        return []
    ridge = np.array(diagram.ridge_vertices)
    one, other = diagram.ridge_points.T
    bounded = (ridge >= 0).all(axis=1)
    ridge, one, other = ridge[bounded], one[bounded], other[bounded]
    inside = shapely.contains_xy(part, diagram.vertices)
    apart = np.abs(at[one] - at[other])
    apart = np.where(of[one] == of[other], np.minimum(apart, length[of[one]] - apart), np.inf)
    radius = np.hypot(*(diagram.vertices[ridge].mean(axis=1) - sites[one]).T)
    keep = inside[ridge].all(axis=1) & (apart > LEAST_APART * 2 * radius) & (ridge[:, 0] != ridge[:, 1])
    if not keep.any():
        return []
    lines = shapely.linestrings(diagram.vertices[ridge[keep]])
    merged = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(lines)))
    outline = shapely.boundary(part)
    shapely.prepare(outline)
    return _connected([_chain(shapely.get_coordinates(line), outline) for line in merged])


def _chain(points: Points, outline: BaseGeometry) -> _Chain:
    return _Chain(points, np.asarray(shapely.distance(shapely.points(points), outline)))


def _connected(chains: list[_Chain]) -> list[_Chain]:
    """Those that hang together with the longest: others are what is left of a branch that leads into a corner."""
    longest = max(range(len(chains)), key=lambda number: _length(chains[number].points))
    ends = _ends(chains)
    found, new = {longest}, [longest]
    while new:
        chain = chains[new.pop()]
        for end in (0, -1):
            beside = {number for number, _ in ends[_key(chain.points[end])]} - found
            found |= beside
            new += sorted(beside)
    return [chains[number] for number in sorted(found)]


def _key(point: Points) -> tuple[float, float]:
    return round(float(point[0]), 9), round(float(point[1]), 9)


def _length(points: Points) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _ends(chains: list[_Chain]) -> dict[tuple[float, float], list[tuple[int, int]]]:
    """By point: the chains, and which of their ends (0, -1), that end there."""
    found: dict[tuple[float, float], list[tuple[int, int]]] = {}
    for number, chain in enumerate(chains):
        for end in (0, -1):
            found.setdefault(_key(chain.points[end]), []).append((number, end))
    return found


def _without_twigs(chains: list[_Chain]) -> list[_Chain]:
    """Branches no longer than a joint is wide go, the shortest first, and what they parted is one chain again."""
    while True:
        ends = _ends(chains)
        twigs = []
        for number, chain in enumerate(chains):
            for free, joint in ((0, -1), (-1, 0)):
                if len(ends[_key(chain.points[free])]) == 1 and len(ends[_key(chain.points[joint])]) > 2:
                    long = _length(chain.points) / max(float(chain.radius[joint]), 1e-9)
                    if long < SHORTEST:
                        twigs.append((long, number))
        if not twigs:
            return chains
        chains = _merged([chain for number, chain in enumerate(chains) if number != min(twigs)[1]])


def _merged(chains: list[_Chain]) -> list[_Chain]:
    """Chains joined where just two meet."""
    chains = list(chains)
    while True:
        pair = next((e for e in _ends(chains).values() if len(e) == 2 and e[0][0] != e[1][0]), None)
        if pair is None:
            return chains
        (a, end_a), (b, end_b) = pair
        first, second = chains[a], chains[b]
        one = first if end_a == -1 else _Chain(first.points[::-1], first.radius[::-1])
        two = second if end_b == 0 else _Chain(second.points[::-1], second.radius[::-1])
        joined = _Chain(np.concatenate([one.points, two.points[1:]]), np.concatenate([one.radius, two.radius[1:]]))
        chains = [chain for number, chain in enumerate(chains) if number not in (a, b)] + [joined]


def _with_joints(chains: list[_Chain]) -> list[_Chain]:
    """Each chain smooth, and straight on to the joints at its ends."""
    ends = _ends(chains)
    joint_of: dict[tuple[float, float], int] = {}
    for point, there in ends.items():
        if len(there) > 2:
            joint_of[point] = len(joint_of)
    group = list(range(len(joint_of)))

    def root(number: int) -> int:
        while group[number] != number:
            number = group[number]
        return number

    inner: set[int] = set()  # chains between two joints that are one
    for number, chain in enumerate(chains):
        a, b = (joint_of.get(_key(chain.points[end])) for end in (0, -1))
        if a is None or b is None or a == b:
            continue
        if _length(chain.points) < SWERVES * float(chain.radius[[0, -1]].max()):
            inner.add(number)
            group[root(a)] = root(b)
    cuts: dict[int, list[tuple[int, int, int]]] = {}  # joint: chain, end, points cut off there
    ways: dict[int, list[tuple[Points, Points]]] = {}
    smooth = {n: _smoothed(chain) for n, chain in enumerate(chains) if n not in inner}
    for point, number in joint_of.items():
        for which, end in ends[point]:
            if which in inner:
                continue
            line = smooth[which] if end == 0 else _Chain(smooth[which].points[::-1], smooth[which].radius[::-1])
            cut = _cut(line)
            cuts.setdefault(root(number), []).append((which, end, cut))
            ways.setdefault(root(number), []).append(
                (line.points[cut], _way(line.points[cut:], float(line.radius[cut])))
            )
    for joint, parts in cuts.items():
        middles = [np.array(p) for p, n in joint_of.items() if root(n) == joint]
        middle = np.asarray(np.mean(middles, axis=0), dtype=np.float64)
        most = max(float(smooth[c].radius[0 if end == 0 else -1]) for c, end, _ in parts)
        crossing = _crossing(ways[joint], middle, most)
        for which, end, cut in sorted(parts, key=lambda one: one[1]):
            line = smooth[which]
            if end == 0:
                cut = min(cut, len(line.points) - 1)
                points, radius = line.points[cut:], line.radius[cut:]
                smooth[which] = _Chain(np.concatenate([crossing[None], points]), np.concatenate([radius[:1], radius]))
            else:
                keep = max(len(line.points) - cut, 1)
                points, radius = line.points[:keep], line.radius[:keep]
                smooth[which] = _Chain(np.concatenate([points, crossing[None]]), np.concatenate([radius, radius[-1:]]))
    return list(smooth.values())


def _smoothed(chain: _Chain) -> _Chain:
    """The chain with points evenly apart and without the trembling of the diagram; its ends stay."""
    points = chain.points
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    count = max(int(along[-1] / (SMOOTH / 2)), 2)
    at = np.linspace(0, along[-1], count + 1)
    even = np.column_stack([np.interp(at, along, column) for column in points.T])
    radius = np.interp(at, along, chain.radius)
    is_closed = bool(np.allclose(points[0], points[-1]))
    if is_closed:
        turning = gaussian_filter1d(even[:-1], 2.0, axis=0, mode="wrap")
        return _Chain(np.concatenate([turning, turning[:1]]), radius)
    # Mirrored about its ends, so that they stay where they are.
    room = min(len(even) - 1, 8)
    before, after = 2 * even[0] - even[room:0:-1], 2 * even[-1] - even[-2 : -room - 2 : -1]
    whole = gaussian_filter1d(np.concatenate([before, even, after]), 2.0, axis=0)
    return _Chain(whole[room : room + len(even)], radius)


def _cut(chain: _Chain) -> int:
    """How many points from the beginning, a joint, lie where the axis swerves; at most half of the chain."""
    away = np.hypot(*(chain.points - chain.points[0]).T)
    beyond = np.flatnonzero(away > SWERVES * chain.radius[0])
    half = (len(chain.points) - 1) // 2
    return min(int(beyond[0]) if len(beyond) else half, half)


def _way(points: Points, radius: float) -> Points:
    """Unit vector in which a line begins, over a radius."""
    away = np.hypot(*(points - points[0]).T)
    far = np.flatnonzero(away > radius)
    end = points[far[0]] if len(far) else points[-1]
    move = end - points[0]
    way: Points = move / max(float(np.hypot(*move)), 1e-12)
    return way


def _crossing(ways: list[tuple[Points, Points]], middle: Points, reach: float) -> Points:
    """(2,) the point nearest to all lines, each through a point along a unit vector; the middle when it is out of reach."""
    matrix: Floats = 1e-3 * np.eye(2)
    right: Floats = 1e-3 * middle
    for point, way in ways:
        across: Floats = np.eye(2) - np.outer(way, way)
        matrix, right = matrix + across, right + across @ point
    found: Points = np.asarray(np.linalg.solve(matrix, right), dtype=np.float64)
    return found if float(np.hypot(*(found - middle))) < reach else middle


def _corners(part: shapely.Polygon) -> Points:
    """(n, 2) outer corners of the outline."""
    found = []
    for number, ring in enumerate([part.exterior, *part.interiors]):
        points = shapely.get_coordinates(shapely.simplify(ring, FINE))[:-1]
        if len(points) < 3:
            continue
        before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
        turn = np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1))
        if shapely.is_ccw(ring) == bool(number):
            turn = -turn
        found.append(points[turn > CORNER])
    return np.concatenate(found) if found else np.zeros((0, 2))


def _with_corners(chain: _Chain, corners: Points) -> Points:
    """The chain's points with a sharp corner where it turns beside a corner of the outline."""
    points, radius = chain.points, chain.radius
    if len(points) < 5 or not len(corners):
        return points
    away = np.hypot(*(points[:, None] - corners[None]).transpose(2, 0, 1))
    nearest = away.argmin(axis=0)
    is_beside = away[nearest, np.arange(len(corners))] < 1.7 * radius[nearest]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    pieces: list[Points] = []
    start = 0
    for at in sorted(set(nearest[is_beside].tolist())):
        room = SWERVES * radius[at]
        first = int(np.searchsorted(along, along[at] - room))
        last = int(np.searchsorted(along, along[at] + room))
        if first < max(start, 1) or last > len(points) - 2:
            continue
        into, out = _way(points[first::-1], float(radius[at])), _way(points[last:], float(radius[at]))
        if np.arccos(np.clip(-into @ out, -1, 1)) < TURNS:
            continue
        corner = _crossing([(points[first], into), (points[last], out)], points[at], 2 * float(radius[at]))
        pieces += [points[start : first + 1], corner[None]]
        start = last
    return np.concatenate([*pieces, points[start:]])


def _extended(lines: list[Points], chains: list[_Chain], part: shapely.Polygon) -> list[Points]:
    """The lines with their free ends drawn on to the outline."""
    count: dict[tuple[float, float], int] = {}
    for line in lines:
        for end in (0, -1):
            count[_key(line[end])] = count.get(_key(line[end]), 0) + 1
    outline = shapely.boundary(part)
    found = []
    for line, chain in zip(lines, chains, strict=True):
        for end in (0, -1):
            if count[_key(line[end])] > 1:
                continue
            radius = float(chain.radius[end])
            points = line if end == 0 else line[::-1]
            far = np.hypot(*(points - points[0]).T)
            begin = int(np.argmax(far > 0.5 * radius)) if (far > 0.5 * radius).any() else 0
            way = -_way(points[begin:], 2 * radius)
            ray = shapely.LineString([points[begin], points[begin] + 4 * max(radius, SAMPLE) * way])
            hits = shapely.get_coordinates(shapely.intersection(ray, outline))
            if not len(hits):
                continue
            hit = hits[np.argmin(np.hypot(*(hits - points[begin]).T))]
            points = np.concatenate([hit[None], points[begin:]])
            line = points if end == 0 else points[::-1]
        found.append(line)
    return found


def _through_joints(lines: list[Points]) -> list[Points]:
    """Lines that run straight on through a joint are one, so that the pen is not lifted there."""
    while True:
        ends: dict[tuple[float, float], list[tuple[int, int]]] = {}
        for number, line in enumerate(lines):
            for end in (0, -1):
                ends.setdefault(_key(line[end]), []).append((number, end))
        best, pair = STRAIGHT, None
        for there in ends.values():
            for (a, end_a), (b, end_b) in itertools.combinations(there, 2):
                ways = [_way(lines[n][:: 1 if end == 0 else -1], 0.0) for n, end in ((a, end_a), (b, end_b))]
                bend = float(ways[0] @ ways[1])
                if a != b and bend < best:
                    best, pair = bend, (a, end_a, b, end_b)
        if pair is None:
            return lines
        a, end_a, b, end_b = pair
        one = lines[a] if end_a == -1 else lines[a][::-1]
        two = lines[b] if end_b == 0 else lines[b][::-1]
        lines = [line for number, line in enumerate(lines) if number not in (a, b)]
        lines.append(np.concatenate([one, two[1:]]))
