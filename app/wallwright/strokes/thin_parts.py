"""Parts of regions too thin for the pen, drawn once along their centreline. Many regions at once; the result for one
does not depend on the others."""

from __future__ import annotations

import numpy as np
import shapely

from wallwright.document.arrays import Flags, Floats, Integers, Objects, Points
from wallwright.document.columns import row_all
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.strokes.line_geometries import line_strings

LEAST_LENGTH = 1.0
"""Shortest thin part, in pen widths: a shorter one is covered by its neighbours' ink, or is a speck."""
LEAST_AREA = 0.05
"""Smallest thin part, in squares of the pen width."""
APART = 0.05
"""Distance from what the pen reaches, in pen widths, above which a part is a separate dot that no other ink covers."""
DAB = 0.1
"""Smallest movement of the pen in a dot, in pen widths, so that it is a stroke."""
STEP, LEAST_STEP = 1.0, 0.15
"""Distance between points along the edge from which the centreline is found, in mean widths of the part, and its minimum
in pen widths."""
MOST_POINTS = 300_000
"""Largest number of points along the edge of one part: their triangulation takes a few seconds."""
AT_ONCE = 2_000
"""Largest number of points of a polygon triangulated in one piece: the time grows with the square of their number."""
GRID = 1e-5
"""Grid, in pen widths, to which points are rounded if rounding errors made their edges cross."""
SMOOTH = 0.1
"""Largest displacement of the line by simplification, in mean widths of the part."""


def thin_parts(regions: Objects, insides: Objects, width: float) -> tuple[Objects, Integers]:
    """Returns centrelines of what a pen of a given width, kept inside, cannot reach, and the region index of each,
    ascending.

    A dot smaller than the pen becomes a short move. insides: the regions (n,) inset by width / 2.
    """
    reached = shapely.buffer(insides, width / 2 * 1.02, join_style="mitre", mitre_limit=4.0)
    rest, owner = shapely.get_parts(shapely.difference(regions, reached), return_index=True)
    large = shapely.area(rest) > LEAST_AREA * width * width
    rest, owner = rest[large], owner[large]
    lines, part = middle_lines(rest, width)
    long = shapely.length(lines) >= LEAST_LENGTH * width
    left, top, right, bottom = shapely.bounds(rest).reshape(-1, 4).T
    # NaN where the pen reaches nothing of the region.
    is_apart = ~(shapely.distance(rest, reached[owner]) < APART * width)
    is_dot = is_apart & (np.maximum(right - left, bottom - top) <= width)  # its centreline would run back and forth
    long &= ~is_dot[part]
    lines, part = lines[long], part[long]
    alone = np.setdiff1d(np.arange(len(rest)), part)
    alone = alone[is_apart[alone]]
    part = np.concatenate([part, alone])
    order = np.argsort(part, kind="stable")
    return np.concatenate([lines, _dabs(rest[alone], width)])[order], owner[part[order]]


def _dabs(parts: Objects, width: float) -> Objects:
    """Returns for each polygon smaller than the pen a short move about its centre, along its longer side."""
    if not len(parts):
        return np.empty(0, dtype=object)
    left, top, right, bottom = shapely.bounds(parts).T
    middle = shapely.get_coordinates(shapely.centroid(parts))
    is_wide = right - left >= bottom - top
    half = np.maximum((np.maximum(right - left, bottom - top) - width) / 2, DAB * width / 2)
    move = half[:, None] * np.column_stack([is_wide, ~is_wide])
    return line_strings(np.stack([middle - move, middle + move], axis=1))


def middle_lines(parts: Objects, width: float) -> tuple[Objects, Integers]:
    """Returns LineStrings along the centrelines of polygons (n,), mm, at most about as wide as a pen, and the polygon index
    of each, ascending. Raises BadValue for a part that is too long for its width.

    Chordal axis (Prasad, "Morphological analysis of shapes", CNLS Newsletter 139, 1997): the part is divided into a
    Delaunay triangulation constrained by its edge; the midpoints of the sides that cross the part are joined from triangle
    to triangle, through the centre of those with three such sides. Branches shorter than the part is wide are its corners
    and are removed.
    """
    if not len(parts):
        return np.empty(0, dtype=object), np.zeros(0, dtype=np.int64)
    thickness = 2 * shapely.area(parts) / shapely.length(parts)
    step = np.maximum(STEP * thickness, LEAST_STEP * width)
    around = shapely.length(parts)
    worst = int(np.argmax(around / step))
    if around[worst] > MOST_POINTS * step[worst]:
        raise BadValue(
            tr(
                "It has a part {0:.2f} mm thin and {1:.0f} m long, too long for this pen. Make it smaller, or "
                "use a finer pen",
                float(thickness[worst]),
                float(around[worst]) / 2000,
            )
        )
    corners, of = _triangles(shapely.segmentize(parts, step), width)
    if not len(corners):
        return np.empty(0, dtype=object), np.zeros(0, dtype=np.int64)
    crossing = _are_shared(corners, of)
    middles = (corners + np.roll(corners, -1, axis=1)) / 2
    count = crossing.sum(axis=1)
    sleeves, joints, ends = (np.flatnonzero(count == n) for n in (2, 3, 1))
    centres = np.repeat(corners[joints].mean(axis=1)[:, None], 3, axis=1)
    # At an end the line extends to the corner between the two edges.
    tips = corners[ends][np.roll(crossing[ends], -1, axis=1)]
    ways = np.concatenate(
        [
            middles[sleeves][crossing[sleeves]].reshape(-1, 2, 2),
            np.stack([middles[joints], centres], axis=2).reshape(-1, 2, 2),
            np.stack([middles[ends][crossing[ends]], tips], axis=1),
        ]
    )
    owner = np.concatenate([of[sleeves], np.repeat(of[joints], 3), of[ends]])
    order = np.argsort(owner, kind="stable")
    return _chains(ways[order], owner[order], thickness)


def _triangles(parts: Objects, width: float) -> tuple[Points, Integers]:
    """Returns (t, 3, 2) mm, corners of triangles that fill the polygons and have no vertices but theirs and those of
    cuts, and the polygon index of each, ascending."""
    try:
        halves, owner = _halved(parts)
        found = shapely.constrained_delaunay_triangles(halves)
    except shapely.GEOSException:
        # Where rounding made edges cross, snapping the points to a grid makes them valid again.
        halves, owner = _halved(shapely.set_precision(parts, GRID * width))
        found = shapely.constrained_delaunay_triangles(halves)
    triangles, of = shapely.get_parts(found, return_index=True)
    return shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3], owner[of]


def _halved(parts: Objects) -> tuple[Objects, Integers]:
    """Returns the polygons halved until each has at most AT_ONCE points, and the original index of each, ascending. Both
    sides of a cut have the same corners, so that triangles on both share a side."""
    owner = np.arange(len(parts))
    while (large := np.flatnonzero(shapely.get_num_coordinates(parts) > AT_ONCE)).size:
        left, top, right, bottom = shapely.bounds(parts[large]).T
        is_wide = right - left > bottom - top
        x, y = (left + right) / 2, (top + bottom) / 2
        boxes = np.stack(
            [
                shapely.box(left, top, np.where(is_wide, x, right), np.where(is_wide, bottom, y)),
                shapely.box(np.where(is_wide, x, left), np.where(is_wide, top, y), right, bottom),
            ]
        )
        halves, of = shapely.get_parts(shapely.intersection(parts[large], boxes).ravel(), return_index=True)
        small = np.delete(np.arange(len(parts)), large)
        solid = shapely.get_dimensions(halves) == 2
        parts = np.concatenate([parts[small], halves[solid]])
        owner = np.concatenate([owner[small], owner[np.tile(large, 2)[of[solid]]]])
    order = np.argsort(owner, kind="stable")
    return parts[order], owner[order]


def _are_shared(corners: Points, owner: Integers) -> Flags:
    """Returns (t, 3) bool: a side of a triangle (t, 3, 2), from one corner to the next, also belongs to another triangle
    of the same owner (t,). Others lie on the edge."""
    of = np.repeat(owner, 3)
    x, y = corners.reshape(-1, 2).T
    order = np.lexsort((y, x, of))
    new = np.ones(len(order), dtype=bool)
    new[1:] = np.diff(of[order]) | np.diff(x[order]).astype(bool) | np.diff(y[order]).astype(bool)
    number = np.empty(len(order), dtype=np.int64)
    number[order] = np.cumsum(new)
    one, other = number, np.roll(number.reshape(-1, 3), -1, axis=1).ravel()
    _, side, count = np.unique(
        np.minimum(one, other) * (number.max() + 1) + np.maximum(one, other),
        return_inverse=True,
        return_counts=True,
    )
    twice: Flags = (count[side] == 2).reshape(-1, 3)
    return twice


def _chains(ways: Floats, owner: Integers, thickness: Floats) -> tuple[Objects, Integers]:
    """Returns pieces (n, 2, 2) of each owner (n,), ascending, merged at their ends. Side branches no longer than the part
    is wide are removed, repeatedly, because they may branch themselves."""
    lines, owner = _merged(line_strings(np.round(ways, 9)), owner)
    done, of_done = [], []
    while len(lines):
        ends = np.concatenate([shapely.get_coordinates(shapely.get_point(lines, n)) for n in (0, -1)])
        free = _is_alone(np.column_stack([ends, np.tile(owner, 2)])).reshape(2, -1)
        twig = free.any(axis=0) & (shapely.length(lines) <= thickness[owner])
        count, twigs = (np.bincount(owner, w, len(thickness)) for w in (None, twig))
        again = ((twigs > 0) & (twigs < count))[owner]
        done.append(lines[~again])
        of_done.append(owner[~again])
        lines, owner = _merged(lines[again & ~twig], owner[again & ~twig])
    if not done:
        return np.empty(0, dtype=object), np.zeros(0, dtype=np.int64)
    lines, owner = np.concatenate(done), np.concatenate(of_done)
    order = np.argsort(owner, kind="stable")
    lines, owner = lines[order], owner[order]
    return shapely.simplify(lines, SMOOTH * thickness[owner]), owner


def _is_alone(rows: Floats) -> Flags:
    """Returns (n,) bool: no other row (n, m) is equal."""
    order = np.lexsort(rows.T)
    same = row_all(rows[order[1:]] == rows[order[:-1]])
    alone = np.empty(len(rows), dtype=bool)
    alone[order] = ~(np.append(same, False) | np.append(False, same)) if len(rows) else True
    return alone


def _merged(lines: Objects, owner: Integers) -> tuple[Objects, Integers]:
    """Returns the lines (n,) of each owner, ascending, joined where two meet."""
    if not len(lines):
        return lines, owner
    present, number = np.unique(owner, return_inverse=True)
    merged, of = shapely.get_parts(
        shapely.line_merge(shapely.multilinestrings(lines, indices=number)), return_index=True
    )
    return merged, present[of]
