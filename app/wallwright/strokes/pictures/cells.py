"""Cells: the edges of a Voronoi diagram, with smaller cells and thicker edges where it is darker.

Points spread by the tone (see point_relaxation) make cells that are nearly regular hexagons. With h from side to side,
edges of width w leave (1 - w / h)² of the wall white. In light tones w is the pen width and h follows the tone; then both
change, until in the dark an edge is two lines wide. A thin edge is drawn once, and edges are joined to the straightest
continuation at their ends; a thick edge is drawn from its two cells, as a ring along the inside of each.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.compiled import compiled
from wallwright.document.picture import Cells
from wallwright.strokes.line_geometries import line_strings
from wallwright.strokes.pictures import line_runs
from wallwright.strokes.pictures.ink_raster import corrected
from wallwright.strokes.pictures.point_relaxation import spread
from wallwright.strokes.pictures.voronoi_diagram import VoronoiDiagram

BLANK = 0.01
"""Tone below which there are no edges."""
SMALLEST = 2.9
"""Smallest cell, in line widths: smaller ones would be no darker than thicker edges."""
THICK = 1.15
"""Edge width, in line widths, from which an edge is drawn from both sides."""
WIDEST = 2.0
"""Largest width, in line widths, that the two rings of an edge cover together."""
SPOKE = 0.5
"""Share of the tone of a thick cell below which it has no edge on that ground."""
MIRRORED = 4.0
"""Distance from the picture's edge, in cells, within which points are mirrored, so that cells end there."""
ROUNDS = 2
EVENINGS = 1


def cells(
    tones: Tones,
    pen_width: float,
    style: Cells,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> Sequence[Points]:
    """Returns polylines, mm; rings repeat their first point. Each (n, 2)."""
    if tones.tone.max() <= BLANK:
        return []
    return corrected(
        lambda asked, part: _edges(asked, pen_width, style.largest, part),
        tones,
        pen_width,
        ROUNDS,
        progress,
        evenings=EVENINGS,
    )


def cell_width(tone: Floats, pen_width: float, largest: float) -> Floats:
    """Returns the width of cells, mm, from side to side, for a tone, elementwise, (n,) or (rows, columns). largest: in
    line widths."""
    width: Floats = pen_width * np.clip(1 / np.maximum(1 - np.sqrt(1 - np.minimum(tone, 1.0)), 1e-6), SMALLEST, largest)
    return width


def _edges(tones: Tones, pen_width: float, largest: float, progress: Callable[[float], None]) -> list[Points]:
    wide = cell_width(tones.tone, pen_width, largest)
    density = np.where(tones.tone > BLANK, 2 / np.sqrt(3) / wide**2, 0.0)
    points = spread(density, tones.cell, lambda done: progress(0.5 * done), tones.seed)
    if len(points) < 3:
        return []
    size = np.array(tones.size)
    inset = np.minimum(pen_width / 2, size / 4)
    points = np.clip(points, inset * 1.001, size - inset * 1.001)
    tone = tones.at(points)
    own = cell_width(tone, pen_width, largest)
    diagram = VoronoiDiagram.of(np.concatenate([points, _mirrored(points, own, inset, size)]))
    progress(0.7)
    width = np.minimum((1 - np.sqrt(1 - np.minimum(tone, 1.0))) * own, WIDEST * pen_width)
    is_thick = width > THICK * pen_width
    thick_cells = np.flatnonzero(is_thick)
    rings, cell = diagram.smaller_cells(thick_cells, (width[thick_cells] - pen_width) / 2)
    found = _on_like_ground(rings, cell, tone[thick_cells], tones, pen_width)
    progress(0.8)
    between, ends = diagram.between, diagram.ends
    count = len(points)
    is_ours = (between < count).any(axis=1)
    thick = np.append(is_thick, np.zeros(len(diagram.points) - count, dtype=bool))
    outer = (between >= count).any(axis=1)
    is_drawn = is_ours & ~np.where(outer, thick[between].any(axis=1), thick[between].all(axis=1))
    chains = _chains(diagram.vertices, ends[is_drawn])
    packed, line = line_runs.finer(*line_runs.packed(chains), pen_width)
    if len(packed):
        packed, line = line_runs.kept(packed, line, tones.at(packed) - BLANK)
        packed, line = line_runs.longer(packed, line, pen_width)
        if len(packed):
            simple = shapely.simplify(line_strings(packed, line_runs.numbered(line)), pen_width / 100)
            found.extend(line_runs.split(*shapely.get_coordinates(simple, return_index=True)))
    return found


def _on_like_ground(rings: Points, cell: Integers, tone: Floats, tones: Tones, pen_width: float) -> list[Points]:
    """Returns the outlines (n, 2) of thick cells without the parts on much lighter ground: otherwise thick edges of
    surrounding cells would cross a bright spot too small for its own cell, like spokes. cell: (n,) of each point; tone:
    of each cell."""
    points, line = line_runs.finer(rings, cell, pen_width)
    value = tones.at(points) - SPOKE * tone[line]
    is_cut = np.zeros(len(tone), dtype=bool)
    is_cut[line[value <= 0]] = True
    whole = ~is_cut[cell]
    some = is_cut[line]
    left, run = line_runs.longer(*line_runs.kept(points[some], line[some], value[some]), pen_width)
    return line_runs.split(rings[whole], cell[whole]) + line_runs.split(left, run)


def _mirrored(points: Points, wide: Floats, inset: Floats, size: Floats) -> Points:
    """Returns the points (n, 2) near an edge of the picture, mirrored at it. inset, size: (2,) mm."""
    found = []
    for axis in range(2):
        for edge in (inset[axis], size[axis] - inset[axis]):
            near = np.abs(points[:, axis] - edge) < MIRRORED * wide
            beyond = points[near].copy()
            beyond[:, axis] = 2 * edge - beyond[:, axis]
            found.append(beyond)
    return np.concatenate(found)


def _chains(vertices: Points, ends: Integers) -> list[Points]:
    """Returns lines (n, 2) through edges that continue each other. ends: (m, 2) vertex indices."""
    if not len(ends):
        return []
    half = ends.ravel()
    order = np.argsort(half, kind="stable")
    begins = np.flatnonzero(np.append(True, np.diff(half[order]) != 0))
    away = vertices[ends[:, ::-1].ravel()] - vertices[half]
    away /= np.maximum(np.hypot(*away.T), 1e-12)[:, None]
    partner = np.full(len(half), -1, dtype=np.int64)
    _pair(order, np.append(begins, len(order)), np.ascontiguousarray(away), partner)
    walk, number = np.empty(3 * len(ends) + 3, dtype=np.int64), np.empty(3 * len(ends) + 3, dtype=np.int64)
    count = _walk(half, partner, walk, number)
    return line_runs.split(vertices[walk[:count]], number[:count])


@compiled
def _pair(order: Integers, begins: Integers, away: Points, partner: Integers) -> None:
    """At each vertex, pair the edges that continue each other most straightly."""
    for k in range(len(begins) - 1):
        best, a, b = 1.0, -1, -1
        for i in range(begins[k], begins[k + 1]):
            for j in range(i + 1, begins[k + 1]):
                p, q = order[i], order[j]
                cos = away[p, 0] * away[q, 0] + away[p, 1] * away[q, 1]
                if cos < best:
                    best, a, b = cos, p, q
        if a >= 0:
            partner[a], partner[b] = b, a


@compiled
def _walk(vertex: Integers, partner: Integers, walk: Integers, chain: Integers) -> int:
    """Writes vertices along chains of partners; open chains first, then rings. Half edges 2 i and 2 i + 1 are edge i."""
    done = [False] * (len(vertex) // 2)
    count, number = 0, 0
    for rings in range(2):
        for start in range(len(vertex)):
            if done[start // 2] or (rings == 0 and partner[start] >= 0):
                continue
            half = start
            walk[count], chain[count] = vertex[half], number
            count += 1
            while half >= 0 and not done[half // 2]:
                done[half // 2] = True
                other = half ^ 1
                walk[count], chain[count] = vertex[other], number
                count += 1
                half = partner[other]
            number += 1
    return count
