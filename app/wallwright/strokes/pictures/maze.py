"""Maze: one closed line around a tree of paths, which are narrower where it is darker.

The picture is divided into squares, each half as wide as those of the next lighter tone, with half squares in between (a
quadtree: Finkel and Bentley, Acta Informatica 4, 1974). A random spanning tree joins these tiles; the line goes around it,
a quarter of a tile from its edges, and so passes everywhere just once (spanning-tree coverage: Gabriely and Rimon, Annals
of Mathematics and Artificial Intelligence 31, 2001). White ground splits the tree into several.

    unit      a quarter of the smallest square, half a line width: everything lies on a grid of units
    tile      n x n units, n = 4, 8, 16, ..., or 2 n x n; its own part of the tree is its centre, half as wide and high
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import minimum_spanning_tree

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.artwork.raster.raster import resampled
from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.compiled import compiled
from wallwright.document.picture import Maze
from wallwright.strokes.pictures import line_runs
from wallwright.strokes.pictures.halftone import PLASTIC
from wallwright.strokes.pictures.ink_raster import corrected

SMALLEST, DARKEST, SMALLER = 2.0, (0.92, 0.95), 0.1
"""Width of the smallest square, in line widths: its lines touch, but rounded corners leave gaps. Where the darkest tone
is in the range DARKEST or above, squares are smaller by up to SMALLER, and their lines overlap."""
UNITS = 4
"""Units per side of the smallest square."""
MOST_UNITS = 36_000_000
BLANK = 0.01
"""Tone below which there is no maze."""
CONTRAST_WEIGHT = 2.0
"""Weight of a difference in tone relative to chance: branches tend to run along edges rather than across."""
ROUNDED = 3.0
"""Rounding radius of corners, in line widths, where there is room."""
A_CORNER = 4
"""Number of points of a rounded corner."""
ROUNDS = 3
EVENINGS = 3
CHANCE = 0.3
"""Random variation of the dither's threshold from cell to cell."""
NOMINAL = np.array([0.0, 0.25, 0.5, 0.7, 0.85, 0.92, 1.0])
DENSITY = np.array([0.0, 0.24, 0.53, 0.7, 0.9, 1.0, 1.0])
"""Density of the lines relative to the densest, by tone: corners cover slightly less than straight lines."""


@dataclass(frozen=True)
class _Tiles:
    """Tiles of the maze, in units. All (n,)."""

    left: Integers
    top: Integers
    width: Integers
    height: Integers
    tone: Floats
    owner: npt.NDArray[np.int32]
    """(rows, columns) of smallest squares: index of the tile that each belongs to, -1: blank."""


def maze(
    tones: Tones,
    pen_width: float,
    style: Maze,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> Sequence[Points]:
    """Returns closed polylines, mm, with their first point repeated. Each (n, 2)."""
    if tones.tone.max() <= BLANK:
        return []
    darkest = float(tones.tone.max())
    smallest = (SMALLEST - SMALLER * float(np.interp(darkest, DARKEST, (0, 1)))) * pen_width
    return corrected(
        lambda asked, part: _lines(asked, pen_width, smallest, style.widest, part),
        tones,
        pen_width,
        ROUNDS,
        progress,
        evenings=EVENINGS,
    )


def _lines(
    tones: Tones, pen_width: float, smallest: float, widest: float, progress: Callable[[float], None]
) -> list[Points]:
    width, height = tones.size
    smallest = max(smallest, UNITS * np.sqrt(width * height / MOST_UNITS))
    levels = max(0, round(np.log2(max(2 * widest * pen_width / smallest, 1.0))))
    # The ink of the outer line stays on the picture.
    edge = min(max(pen_width / 2 - smallest / UNITS, 0.0), width / 4, height / 4)
    shape = [max(1, round((side - 2 * edge) / smallest)) for side in (height, width)]
    tiles = _tiles(tones, shape, levels, tones.seed)
    progress(0.3)
    if not len(tiles.left):
        return []
    region = _tree(tiles, tones.seed)
    progress(0.6)
    corners, line = _outlines(region)
    progress(0.8)
    scale = np.array([(width - 2 * edge) / region.shape[1], (height - 2 * edge) / region.shape[0]])
    rings = line_runs.split(corners * scale + edge, line)
    return [rounded(ring, ROUNDED * pen_width) for ring in rings]


def _tiles(tones: Tones, shape: list[int], levels: int, seed: int) -> _Tiles:
    """Returns the tiles, from the largest down: a square is split into halves, and a half into squares, where the tone needs
    more lines.

    shape: rows and columns of smallest squares in the picture.
    """
    block = 2**levels
    rows, columns = shape
    padded = -(-rows // block) * block, -(-columns // block) * block
    fine = np.maximum(resampled(tones.tone, rows, columns).astype(float), 0.0)
    is_blank = resampled((tones.tone > 0).astype(np.float32), rows, columns) < 0.5
    density = np.where(is_blank, 0.0, np.interp(fine, NOMINAL, DENSITY))
    room = (0, padded[0] - rows), (0, padded[1] - columns)
    density, is_inside = np.pad(density, room), np.pad(~is_blank, room)
    found: list[Integers] = []  # (n, 4) each: left, top, width, height in smallest squares
    is_open = np.ones((padded[0] // block, padded[1] // block), dtype=bool)
    # Squares that are small because of adjacent blank ground: choose only as many as the tone needs.
    is_chance = is_open.copy()
    for level in range(levels, -1, -1):
        side = 2**level
        at = np.indices(is_open.shape).astype(np.int64)
        row, column = at[0], at[1]
        mean, inside = _means(density, side, side), _means(is_inside.astype(float), side, side)
        share = mean / 0.5**level
        order = _order(row, column, seed)
        has_edge = (inside > 0) & (inside < 1)  # at the edge of blank ground the squares are small
        cuts = is_open & (_dithered(2 * (share - 1), is_open, seed) | has_edge) & (level > 0)
        stays = is_open & ~cuts & (inside >= 1) & (share > np.where(is_chance, order, 0.0))
        is_chance = np.repeat(np.repeat(has_edge | (is_chance & (share < 1)), 2, axis=0), 2, axis=1)
        found.append(np.column_stack([column[stays] * side, row[stays] * side, *_sides(side, side, stays)]))
        is_open = np.zeros((2 * len(is_open), 2 * is_open.shape[1]), dtype=bool)
        if not level:
            break
        half, is_upright = side // 2, (row + column + seed) % 2 == 0
        for upright in (False, True):
            wide, high = (half, side) if upright else (side, half)
            mine = cuts & (is_upright == upright)
            halves = np.repeat(mine, 2, axis=1 if upright else 0)
            again_of = _dithered(2 * (_means(density, high, wide) / 0.5**level - 1.5), halves, seed + 1)
            for second in range(2):
                r, c = (row, 2 * column + second) if upright else (2 * row + second, column)
                again = mine & (again_of[r, c] | has_edge)
                whole = mine & ~again
                found.append(np.column_stack([c[whole] * wide, r[whole] * high, *_sides(wide, high, whole)]))
                for other in range(2):
                    rr, cc = (2 * row + other, c) if upright else (r, 2 * column + other)
                    is_open[rr[again], cc[again]] = True
    left, top, width, height = np.concatenate(found).astype(np.int64).T
    owner = np.full(padded, -1, dtype=np.int32)
    _own(left, top, width, height, owner)
    middle = np.minimum(top + height // 2, rows - 1), np.minimum(left + width // 2, columns - 1)
    sides = left * UNITS, top * UNITS, width * UNITS, height * UNITS
    return _Tiles(*sides, density[middle], owner[:rows, :columns])


def _dithered(share: Floats, is_open: npt.NDArray[np.bool_], seed: int) -> npt.NDArray[np.bool_]:
    """Returns (rows, columns) bool: open cells chosen with a local density equal to their shares: error diffusion (Floyd
    and Steinberg, "An adaptive algorithm for spatial greyscale", Proceedings of the Society for Information Display 17,
    1976), in alternating directions, with some randomness to avoid patterns."""
    chosen = np.zeros(share.shape, dtype=np.bool_)
    chance = np.random.default_rng(seed).random(share.shape)
    _diffuse(np.ascontiguousarray(share), np.ascontiguousarray(is_open), chance, chosen)
    return chosen


@compiled
def _diffuse(share: Floats, is_open: npt.NDArray[np.bool_], chance: Floats, chosen: npt.NDArray[np.bool_]) -> None:
    rows, columns = share.shape
    error = np.zeros((rows + 1, columns + 2))
    for r in range(rows):
        back = r % 2 == 1
        step = -1 if back else 1
        for i in range(columns):
            c = columns - 1 - i if back else i
            if not is_open[r, c] or share[r, c] <= 0:
                continue
            if share[r, c] >= 1:
                chosen[r, c] = True
                continue
            wanted = share[r, c] + error[r, c + 1]
            chosen[r, c] = wanted > 0.5 + CHANCE * (chance[r, c] - 0.5)
            off = wanted - (1.0 if chosen[r, c] else 0.0)
            error[r, c + 1 + step] += off * 7 / 16
            error[r + 1, c + 1 - step] += off * 3 / 16
            error[r + 1, c + 1] += off * 5 / 16
            error[r + 1, c + 1 + step] += off * 1 / 16


def _sides(wide: int, high: int, which: npt.NDArray[np.bool_]) -> list[Integers]:
    count = int(which.sum())
    return [np.full(count, wide), np.full(count, high)]


def _means(plane: Floats, high: int, wide: int) -> Floats:
    """Returns means over blocks of a given height and width."""
    rows, columns = plane.shape
    means: Floats = plane.reshape(rows // high, high, columns // wide, wide).mean(axis=(1, 3))
    return means


def _order(row: Integers, column: Integers, seed: int) -> Floats:
    """Returns a rank, 0 to 1, spread evenly over neighbours: the order in which they are split."""
    order: Floats = (0.5 * seed + row / PLASTIC + column / PLASTIC**2) % 1
    return order


@compiled
def _own(left: Integers, top: Integers, width: Integers, height: Integers, owner: npt.NDArray[np.int32]) -> None:
    for i in range(len(left)):
        owner[top[i] : top[i] + height[i], left[i] : left[i] + width[i]] = i


def _tree(tiles: _Tiles, seed: int) -> npt.NDArray[np.bool_]:
    """Returns (rows, columns) of units: the tree that the line goes around."""
    owner = tiles.owner
    beside = np.concatenate(
        [
            np.column_stack([owner[:, :-1].ravel(), owner[:, 1:].ravel()]),
            np.column_stack([owner[:-1].ravel(), owner[1:].ravel()]),
        ]
    )
    is_across = np.arange(len(beside)) < owner.shape[0] * (owner.shape[1] - 1)
    joins = (beside[:, 0] != beside[:, 1]) & (beside >= 0).all(axis=1)
    pairs, first = np.unique(beside[joins].astype(np.int64), axis=0, return_index=True)
    region = np.zeros((owner.shape[0] * UNITS, owner.shape[1] * UNITS), dtype=np.bool_)
    _fill_middles(tiles.left, tiles.top, tiles.width, tiles.height, region)
    if len(pairs):
        # By position, not by index: where nothing changes from round to round, the tree stays.
        chance = np.random.default_rng(seed).random((2, *owner.shape))
        row, column = tiles.top[pairs] // UNITS, tiles.left[pairs] // UNITS
        weight = 1 + (chance[0, row[:, 0], column[:, 0]] + chance[1, row[:, 1], column[:, 1]]) % 1
        weight += CONTRAST_WEIGHT * np.abs(np.diff(tiles.tone[pairs], axis=1)[:, 0])
        count = len(tiles.left)
        tree = minimum_spanning_tree(coo_matrix((weight, (pairs[:, 0], pairs[:, 1])), (count, count)).tocsr()).tocoo()
        links = np.column_stack([tree.row, tree.col]).astype(np.int64)
        number = np.searchsorted(pairs @ np.array([count, 1]), links @ np.array([count, 1]))
        across = is_across[joins][first][number]
        _join(links, across, tiles.left, tiles.top, tiles.width, tiles.height, region)
    return region


@compiled
def _fill_middles(
    left: Integers, top: Integers, width: Integers, height: Integers, region: npt.NDArray[np.bool_]
) -> None:
    for i in range(len(left)):
        a, b = width[i] // 4, height[i] // 4
        region[top[i] + b : top[i] + height[i] - b, left[i] + a : left[i] + width[i] - a] = True


@compiled
def _join(
    links: Integers,
    across: npt.NDArray[np.bool_],
    left: Integers,
    top: Integers,
    width: Integers,
    height: Integers,
    region: npt.NDArray[np.bool_],
) -> None:
    """Marks strips from the centre of the tile with the shorter shared side straight into the other one, half as wide as
    that side, then along the other's centreline to its centre."""
    for i in range(len(links)):
        a, b = links[i, 0], links[i, 1]
        if (across[i] and height[a] > height[b]) or (not across[i] and width[a] > width[b]):
            a, b = b, a
        ax, ay = left[a] + width[a] // 2, top[a] + height[a] // 2
        bx, by = left[b] + width[b] // 2, top[b] + height[b] // 2
        if across[i]:
            half = height[a] // 4
            leg = min(half, width[b] // 4)
            region[ay - half : ay + half, min(ax, bx) : max(ax, bx)] = True
            region[min(ay - half, by) : max(ay + half, by), bx - leg : bx + leg] = True
        else:
            half = width[a] // 4
            leg = min(half, height[b] // 4)
            region[min(ay, by) : max(ay, by), ax - half : ax + half] = True
            region[by - leg : by + leg, min(ax - half, bx) : max(ax + half, bx)] = True


def _outlines(region: npt.NDArray[np.bool_]) -> tuple[Points, Integers]:
    """Returns the corners (n, 2) of the outlines of a region, in its cells, and the outline index of each; the first
    corner is repeated at the end."""
    edges = int(np.count_nonzero(region[1:] != region[:-1]) + region[0].sum() + region[-1].sum())
    corners = np.empty((2 * edges + 2, 2), dtype=np.int64)
    line = np.empty(len(corners), dtype=np.int64)
    padded = np.pad(region, 1)
    count = _trace(padded, np.zeros_like(padded), corners, line)
    return corners[:count].astype(np.float64) - 1.0, line[:count]


@compiled
def _trace(region: npt.NDArray[np.bool_], visited: npt.NDArray[np.bool_], corners: Integers, line: Integers) -> int:
    """Traces each part and each hole with the region on the right. Returns the number of corners."""
    rows, columns = region.shape
    count, number = 0, 0
    for r0 in range(1, rows):
        for c0 in range(columns):
            if not region[r0, c0] or region[r0 - 1, c0] or visited[r0, c0]:
                continue
            r, c, way = r0, c0, 0  # a corner and the direction from it: 0 east, 1 south, 2 west, 3 north
            before = -1
            first = count
            while True:
                if way == 0:
                    if r == r0 and c == c0 and before >= 0:
                        break
                    visited[r, c] = True
                if way != before:
                    corners[count, 0], corners[count, 1], line[count] = c, r, number
                    count += 1
                before = way
                if way == 0:
                    c += 1
                    ahead_left, ahead_right = region[r - 1, c], region[r, c]
                elif way == 1:
                    r += 1
                    ahead_left, ahead_right = region[r, c], region[r, c - 1]
                elif way == 2:
                    c -= 1
                    ahead_left, ahead_right = region[r, c - 1], region[r - 1, c - 1]
                else:
                    r -= 1
                    ahead_left, ahead_right = region[r - 1, c - 1], region[r - 1, c]
                if not ahead_right:
                    way = (way + 1) % 4
                elif ahead_left:
                    way = (way + 3) % 4
            if count - first > 1 and before == 0:
                first += 1  # it began in the middle of a straight edge
                line[first - 1] = -1
            corners[count, 0], corners[count, 1], line[count] = corners[first, 0], corners[first, 1], number
            count += 1
            number += 1
    kept = 0
    for i in range(count):
        if line[i] >= 0:
            corners[kept, 0], corners[kept, 1], line[kept] = corners[i, 0], corners[i, 1], line[i]
            kept += 1
    return kept


def rounded(ring: Points, radius: float) -> Points:
    """Returns a closed polyline (n, 2), mm, with corners rounded from at most a radius, or half a leg, before them."""
    if len(ring) < 4:
        return ring
    corner = ring[:-1]
    leg = np.diff(ring, axis=0)
    length = np.hypot(*leg.T)
    towards = leg / np.maximum(length, 1e-12)[:, None]
    room = np.minimum(np.minimum(length, np.roll(length, 1)) / 2, radius)[:, None]
    begin, end = corner - room * np.roll(towards, 1, axis=0), corner + room * towards
    t = np.linspace(0, 1, A_CORNER)[:, None]
    bends = (1 - t) ** 2 * begin[:, None] + 2 * t * (1 - t) * corner[:, None] + t**2 * end[:, None]
    points = bends.reshape(-1, 2)
    moves = np.append(True, np.hypot(*np.diff(points, axis=0).T) > 1e-9)
    return np.concatenate([points[moves], points[:1]])
