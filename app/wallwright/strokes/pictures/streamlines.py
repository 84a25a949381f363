"""Streamlines of a direction field at given distances from each other, compiled.

Jobard and Lefer, "Creating evenly-spaced streamlines of arbitrary density", Visualization in Scientific Computing 1997: a
new line begins at the wanted distance beside an existing one, and runs both ways until it comes nearer to another than a
share of that distance. Here the distance is a field too: the darker the tone, the closer the lines.

    spacing   wanted distance between lines at a place, mm; not finite: no line may be there
    bin       square of the plane with a list of the points of lines in it, for finding nearby points
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.compiled import compiled
from wallwright.strokes.pictures import line_runs

NEAREST = 0.88
"""Share of the wanted distance to another line at which a line ends."""
START_SHARE = 0.97
"""Smallest distance for a line to begin, as a share of the wanted distance."""
OWN_DISTANCE = 2.5
"""Distance along a line, in wanted distances, within which its own points are no obstacle."""
BIN = 2.0
"""Side of a bin, in smallest wanted distances."""
MOST_BINS = 4000
"""Largest number of bins along the longer side."""
MOST_POINTS = 12_000_000
LINES_AT_ONCE = 200
"""Number of lines processed between two checks for cancel."""
BUFFER_RATIO = 1.8
"""Size of the point buffer, relative to lines at the wanted distance everywhere."""


def evenly_spaced(
    turn: Floats,
    spacing: Floats,
    cell: float,
    step: float,
    shortest: float,
    seeds: Points,
    given: list[Points],
    progress: Callable[[float], None],
) -> list[Points]:
    """Returns polylines, mm, with points a step apart. Each (n, 2).

    turn: (2, rows, columns) cosine and sine of twice the direction, on square cells; spacing: (rows, columns) mm; cell,
    step: mm; shortest: shortest line, mm; seeds: (n, 2) mm, where lines may begin before anywhere else; given: existing
    lines, (n, 2) mm each, points about a step apart: others keep their distance from them, and they are not returned.
    """
    finite = np.isfinite(spacing)
    if not finite.any():
        return []
    least = float(spacing[finite].min())
    there, owner = line_runs.packed(given)
    new = int(BUFFER_RATIO * float((cell * cell / spacing[finite]).sum()) / step) + 10_000
    room = min(len(there) + new, MOST_POINTS)
    rows, columns = spacing.shape
    width = max(BIN * least, max(rows, columns) * cell / MOST_BINS)
    bins = np.full((int(rows * cell / width) + 1, int(columns * cell / width) + 1), -1, dtype=np.int64)
    points = np.empty((room, 2))
    places = np.empty((room, 2), dtype=np.int64)  # line and index along it
    following = np.empty(room, dtype=np.int64)  # next point of the same bin
    queue = np.empty(room, dtype=np.int64)  # 2 point + side: where to begin beside
    seeds = np.concatenate([seeds, _scan(spacing, cell, least)])
    state = np.zeros(5, dtype=np.int64)  # points, lines, first and last of the queue, seeds used
    if len(there):
        state[:2] = len(there), owner[-1] + 1
        points[: len(there)] = there
        places[: len(there)] = np.column_stack([owner, np.arange(len(there))])
        _enter(points, len(there), following, bins, width)
    work = (
        np.ascontiguousarray(turn),
        np.where(finite, spacing, np.inf),
        cell,
        step,
        shortest,
        np.ascontiguousarray(seeds),
    )
    while _grow(*work, points, places, following, bins, width, queue, state, LINES_AT_ONCE):
        progress(min(state[0] / room * 1.5, 0.95))
    points, places = points[len(there) : state[0]], places[len(there) : state[0]]
    # Indices along lines are ascending or descending runs, which this sort exploits.
    order = np.argsort(places[:, 0] * (2 * len(points) + 1) + places[:, 1], kind="stable")
    return line_runs.split(points[order], places[order, 0])


def _scan(spacing: Floats, cell: float, least: float) -> Points:
    """Returns places all over the field, mm, where a line may begin that is beside no other."""
    stride = max(1, int(2 * least / cell))
    row, column = np.nonzero(np.isfinite(spacing[stride // 2 :: stride, stride // 2 :: stride]))
    places: Points = np.column_stack([column, row]).astype(np.float64) * (stride * cell) + (stride // 2 + 0.5) * cell
    return places


@compiled
def _enter(points: Points, count: int, following: Integers, bins: Integers, width: float) -> None:
    for at in range(count):
        r = min(max(int(points[at, 1] / width), 0), bins.shape[0] - 1)
        c = min(max(int(points[at, 0] / width), 0), bins.shape[1] - 1)
        following[at] = bins[r, c]
        bins[r, c] = at


@compiled
def _grow(
    turn: Floats,
    spacing: Floats,
    cell: float,
    step: float,
    shortest: float,
    seeds: Points,
    points: Points,
    places: Integers,
    following: Integers,
    bins: Integers,
    width: float,
    queue: Integers,
    state: Integers,
    most: int,
) -> bool:
    """Grow more lines; return False if there is no room for any other."""
    begun = 0
    while begun < most:
        x = y = 0.0
        if state[2] < state[3]:
            parent = queue[state[2]]
            state[2] += 1
            i, side = parent // 2, 1.0 if parent % 2 else -1.0
            px, py = points[i]
            d = _at(spacing, px / cell, py / cell)
            dx, dy, _ = _direction(turn, px / cell, py / cell, 1.0, 0.0)
            x, y = px - side * dy * d, py + side * dx * d
        elif state[4] < len(seeds):
            x, y = seeds[state[4]]
            state[4] += 1
        else:
            return False
        d = _at(spacing, x / cell, y / cell)
        if not np.isfinite(d):
            continue
        if not _is_clear(x, y, START_SHARE * d, -1, 0, 0.0, points, places, following, bins, width):
            continue
        first = state[0]
        line = state[1]
        length = 0
        for way in range(2):
            px, py = x, y
            dx, dy, strength = _direction(turn, x / cell, y / cell, 1.0, 0.0)
            if way:
                dx, dy = -dx, -dy
            number = 0
            while strength > 0 and state[0] < len(points):
                if way == 0 or number != 0:
                    d = _at(spacing, px / cell, py / cell)
                    if not np.isfinite(d) or not _is_clear(
                        px,
                        py,
                        NEAREST * d,
                        line,
                        number,
                        OWN_DISTANCE * d / step,
                        points,
                        places,
                        following,
                        bins,
                        width,
                    ):
                        break
                    at = state[0]
                    points[at, 0], points[at, 1] = px, py
                    places[at, 0], places[at, 1] = line, number
                    r, c = int(py / width), int(px / width)
                    following[at] = bins[r, c]
                    bins[r, c] = at
                    state[0] += 1
                    length += 1
                # Midpoint rule.
                mx, my, _ = _direction(turn, (px + dx * step / 2) / cell, (py + dy * step / 2) / cell, dx, dy)
                px, py = px + mx * step, py + my * step
                dx, dy, strength = _direction(turn, px / cell, py / cell, mx, my)
                number += -1 if way else 1
        if (length - 1) * step < shortest:
            while state[0] > first:  # removed again, last in first out
                state[0] -= 1
                at = state[0]
                bins[int(points[at, 1] / width), int(points[at, 0] / width)] = following[at]
            continue
        state[1] += 1
        begun += 1
        apart = 0.0
        for at in range(first, state[0]):
            apart += step
            if apart >= _at(spacing, points[at, 0] / cell, points[at, 1] / cell) and state[3] + 2 <= len(queue):
                apart = 0.0
                queue[state[3]], queue[state[3] + 1] = 2 * at, 2 * at + 1
                state[3] += 2
        if state[0] >= len(points):
            return False
    return True


@compiled
def _is_clear(
    x: float,
    y: float,
    reach: float,
    line: int,
    number: int,
    own: float,
    points: Points,
    places: Integers,
    following: Integers,
    bins: Integers,
    width: float,
) -> bool:
    """Returns whether no point of another line, or of a distant part of the same one, is within reach."""
    top, bottom = max(int((y - reach) / width), 0), min(int((y + reach) / width), bins.shape[0] - 1)
    left, right = max(int((x - reach) / width), 0), min(int((x + reach) / width), bins.shape[1] - 1)
    for r in range(top, bottom + 1):
        for c in range(left, right + 1):
            at = bins[r, c]
            while at >= 0:
                if (points[at, 0] - x) ** 2 + (points[at, 1] - y) ** 2 < reach * reach and (
                    places[at, 0] != line or abs(places[at, 1] - number) > own
                ):
                    return False
                at = following[at]
    return True


@compiled
def _at(plane: Floats, x: float, y: float) -> float:
    """Returns the value of the cell at a place in cells; infinite off the plane."""
    r, c = int(np.floor(y)), int(np.floor(x))
    if r < 0 or c < 0 or r >= plane.shape[0] or c >= plane.shape[1]:
        return np.inf
    return float(plane[r, c])


@compiled
def _direction(turn: Floats, x: float, y: float, towards_x: float, towards_y: float) -> tuple[float, float, float]:
    """Returns the unit vector of the direction at a place in cells, oriented towards a given one, and its strength."""
    rows, columns = turn.shape[1:]
    x, y = min(max(x - 0.5, 0.0), columns - 1.000001), min(max(y - 0.5, 0.0), rows - 1.000001)
    c, r = int(x), int(y)
    fx, fy = x - c, y - r
    c1, r1 = min(c + 1, columns - 1), min(r + 1, rows - 1)
    cos = (1 - fy) * ((1 - fx) * turn[0, r, c] + fx * turn[0, r, c1]) + fy * (
        (1 - fx) * turn[0, r1, c] + fx * turn[0, r1, c1]
    )
    sin = (1 - fy) * ((1 - fx) * turn[1, r, c] + fx * turn[1, r, c1]) + fy * (
        (1 - fx) * turn[1, r1, c] + fx * turn[1, r1, c1]
    )
    # Half the angle, without trigonometric functions.
    strength = np.sqrt(cos * cos + sin * sin)
    share = cos / strength if strength > 0.0 else 1.0
    dx, dy = np.sqrt(max((1 + share) / 2, 0.0)), np.sqrt(max((1 - share) / 2, 0.0))
    if sin < 0:
        dy = -dy
    if dx * towards_x + dy * towards_y < 0:
        dx, dy = -dx, -dy
    return dx, dy, strength * strength
