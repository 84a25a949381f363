"""Removes degenerate legs: points too close together for the machine, redundant points, and legs that run back over ink
just drawn by the same stroke.

    spur    a part of a stroke that runs out to a tip and back over itself
    tip     the point at which it turns back

Each such leg costs a stop, and a retraced leg wets the wall twice. Every stroke is processed by itself.
"""

from __future__ import annotations

import dataclasses

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.compiled import compiled
from wallwright.strokes.strokes import Strokes

Retraced = tuple[float, int, float, float, bool, bool]
"""See `_retraced`."""
LEAST_LEG = 1 / 100
"""Smallest distance of two points, in pen widths: closer ones are merged. For a broad marker about a motor step, and
invisible. At least the tolerance of simplifying."""
RETRACED = 1 / 40
"""Largest distance, in pen widths, between the paths there and back of retraced ink: removing it then moves the edge of
the ink invisibly. For a broad marker as much as the default path tolerance."""
COLLINEAR = 1e-6
"""Distance, mm, within which a point counts as on the straight line between its neighbours: more than the rounding error
on a wall of 100 m."""
SHARP = -0.9
"""Largest cosine at a turn so sharp that its shorter side lies along the longer one."""
TURN = 0.2
"""Largest cosine at the tip of a spur: it turns by about a right angle or more; a blunt tip turns twice."""


def least_leg(widths: Floats, tolerance: float) -> Floats:
    """Returns the smallest leg, mm, for each pen width (n,), mm."""
    return np.maximum(LEAST_LEG * widths, tolerance)


def without_degenerate(strokes: Strokes, widths: Floats, tolerance: float) -> Strokes:
    """Returns strokes whose legs are all at least `least_leg` long and that nowhere retrace their own ink for more than a
    pen width. Shorter retraced parts stay: lifting takes longer. The edge of the ink moves by less than a fourteenth of the
    pen width. widths: (p,) mm of the pens; tolerance: of simplifying, mm.

    A stroke that stays within the smallest leg of its beginning is a dot, and becomes one leg of that length in its
    direction; a stroke without any length is not intended (dots of artwork have a length, see artwork/svg/stroking.py) and
    is removed. A stroke with a spur in its middle becomes two; one with a spur at an end loses one of its two sides.
    """
    if not len(strokes):
        return strokes
    width = np.asarray(widths, dtype=np.float64)[strokes.pen]
    least = least_leg(width, tolerance)
    strokes, kept = _with_long_legs(strokes, least, RETRACED * width)
    least, width = least[kept], width[kept]
    spurred = np.flatnonzero(_have_spurs(strokes.points, strokes.offsets, RETRACED * width, width))
    if not len(spurred):
        return strokes
    pieces, owner = [], []
    for i in spurred.tolist():
        points, offsets = _cut_spurs(strokes[i], RETRACED * width[i], width[i], least[i])
        pieces += np.split(points, offsets[1:-1])
        owner += [i] * (len(offsets) - 1)
    number = np.array(owner, dtype=np.int64)
    cut = Strokes.pack(pieces, strokes.pen[number], np.arange(len(number)), strokes.is_fill[number])
    cut = without_degenerate(cut, widths, tolerance)  # for a spur within another, and at new ends
    number = number[cut.source]
    cut = dataclasses.replace(cut, source=strokes.source[number])
    others = np.setdiff1d(np.arange(len(strokes)), spurred, assume_unique=True)
    together = Strokes.join([strokes.take(others), cut])
    return together.take(np.argsort(np.concatenate([others, number]), kind="stable"))


def _with_long_legs(strokes: Strokes, least: Floats, tolerance: Floats) -> tuple[Strokes, Integers]:
    """Returns strokes whose points are at least so many mm (k,) apart, and the numbers of the remaining strokes."""
    points, counts = _spaced(strokes.points, strokes.offsets, least, tolerance)
    kept = np.flatnonzero(counts)
    offsets = np.concatenate([[0], np.cumsum(counts[kept])]).astype(np.int64)
    found = Strokes(points, offsets, strokes.pen, strokes.source, strokes.is_fill)
    if len(kept) < len(strokes):
        found = dataclasses.replace(
            found, pen=strokes.pen[kept], source=strokes.source[kept], is_fill=strokes.is_fill[kept]
        )
    return found, kept


@compiled
def _spaced(points: Points, offsets: Integers, least: Floats, tolerance: Floats) -> tuple[Points, Integers]:
    """Returns the points of all strokes and the number in each, 0 where nothing is left. Of points closer together than
    least the first is kept, at the end of a stroke the last. Removed: a point on the straight line between its
    neighbours; both points of a step back that stays within tolerance of the line; the tip of a spur no longer than
    tolerance."""
    out = np.empty_like(points)
    counts = np.zeros(len(offsets) - 1, dtype=np.int64)
    n = 0
    for k in range(len(offsets) - 1):
        first, end = offsets[k], offsets[k + 1]
        base, near = n, least[k] * least[k]
        far, farthest = 0.0, first
        out[n] = points[first]
        n += 1
        for i in range(first + 1, end):
            x, y = points[i, 0], points[i, 1]
            away = (x - points[first, 0]) ** 2 + (y - points[first, 1]) ** 2
            if away > far:
                far, farthest = away, i
            while True:
                dx, dy = x - out[n - 1, 0], y - out[n - 1, 1]
                is_near = dx * dx + dy * dy < near
                if is_near:
                    if i < end - 1 or n - base == 1:
                        break
                    n -= 1  # the last point stays: those before it go
                elif n - base > 1 and (
                    _is_straight(out[n - 2], out[n - 1], x, y) or _is_nub(out[n - 2], out[n - 1], x, y, tolerance[k])
                ):
                    n -= 1
                elif n - base > 2 and _is_step_back(out[n - 3 : n], x, y, tolerance[k]):
                    n -= 2
                else:
                    break
            if not is_near:
                out[n, 0], out[n, 1] = x, y
                n += 1
        if n - base == 1:
            if far == 0.0:
                n = base
                continue
            # A dot. There is room for its second point, because a stroke with a length has two; rounding leaves it long
            # enough.
            size = max((1 + 1e-9) * least[k] / np.sqrt(far), 1.0)
            for axis in range(2):
                out[n, axis] = out[base, axis] + size * (points[farthest, axis] - out[base, axis])
            n += 1
        counts[k] = n - base
    return out[:n].copy(), counts


@compiled
def _is_straight(a: Floats, b: Floats, x: float, y: float) -> bool:
    """Returns whether b lies on the line from a to (x, y)."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], x - b[0], y - b[1]
    if ux * vx + uy * vy <= 0.0:
        return False
    result: bool = abs(ux * vy - uy * vx) <= COLLINEAR * np.hypot(x - a[0], y - a[1])
    return result


@compiled
def _is_nub(a: Floats, b: Floats, x: float, y: float, tolerance: float) -> bool:
    """Returns whether the line from a to (x, y) turns sharply at b, with b within tolerance of one of them."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], x - b[0], y - b[1]
    long, on = np.hypot(ux, uy), np.hypot(vx, vy)
    result: bool = min(long, on) <= tolerance and ux * vx + uy * vy < SHARP * long * on
    return result


@compiled
def _is_step_back(last: Points, x: float, y: float, tolerance: float) -> bool:
    """Returns whether, of the last three points, the third steps back along the leg from the first to the second, and the
    line to (x, y) passes both within tolerance."""
    (ax, ay), (bx, by), (cx, cy) = last[0], last[1], last[2]
    wx, wy = x - ax, y - ay
    long = np.hypot(wx, wy)
    if long == 0.0:
        return False
    wx, wy = wx / long, wy / long
    b, c = (bx - ax) * wx + (by - ay) * wy, (cx - ax) * wx + (cy - ay) * wy
    if not 0.0 <= c < b <= long:
        return False
    result: bool = (
        abs((bx - ax) * wy - (by - ay) * wx) <= tolerance and abs((cx - ax) * wy - (cy - ay) * wx) <= tolerance
    )
    return result


@compiled
def _have_spurs(points: Points, offsets: Integers, tolerance: Floats, longest: Floats) -> Flags:
    """Returns (k,) bool: the stroke retraces itself for more than longest, mm (k,)."""
    found = np.zeros(len(offsets) - 1, dtype=np.bool_)
    for k in range(len(offsets) - 1):
        line = points[offsets[k] : offsets[k + 1]]
        ring = _is_ring(line)
        for i in range(0 if ring else 1, len(line) - 1):
            if not _turns(line, i):
                continue
            length = _retraced_ring(line, i, tolerance[k]) if ring else _retraced(line, i, line, i + 1, tolerance[k])
            if length[0] > longest[k]:
                found[k] = True
                break
    return found


@compiled
def _is_ring(line: Points) -> bool:
    return len(line) > 3 and line[0, 0] == line[-1, 0] and line[0, 1] == line[-1, 1]


@compiled
def _turns(line: Points, i: int) -> bool:
    """Returns whether a line turns at point i (for a ring, also at its seam) so much that it may be a tip."""
    before = i - 1 if i else len(line) - 2
    ux, uy = line[i, 0] - line[before, 0], line[i, 1] - line[before, 1]
    vx, vy = line[i + 1, 0] - line[i, 0], line[i + 1, 1] - line[i, 1]
    result: bool = ux * vx + uy * vy < TURN * np.hypot(ux, uy) * np.hypot(vx, vy)
    return result


@compiled
def _retraced_ring(line: Points, i: int, tolerance: float) -> Retraced:
    """Returns _retraced for a ring, about its point i: neither side goes beyond half of its points."""
    turned = _begun_at(line, i)
    half = (len(line) + 1) // 2
    return _retraced(turned[half - 1 :], len(turned) - half, turned[:half], 1, tolerance)


@compiled
def _begun_at(line: Points, i: int) -> Points:
    """Returns a ring begun at its point i."""
    n = len(line)
    turned = np.empty((n, 2))
    for j in range(n):
        turned[j] = line[i + j if i + j < n else i + j - n + 1]
    return turned


@compiled
def _retraced(out: Points, tip: int, back: Points, first: int, tolerance: float) -> Retraced:
    """Measures how far the path after a tip stays within tolerance of the path before it: (mm along it, index of its next
    point, x, y where it leaves the other, whether the path before is followed to its beginning, whether the path after
    ends).

    out: points of the path to the tip, which is out[tip]; back[first:] is the path after it.
    """
    ox, oy = out[tip, 0], out[tip, 1]
    bx, by = ox, oy
    o, b, length = tip - 1, first, 0.0
    limit = tolerance * tolerance
    while o >= 0 and b < len(back):
        ux, uy, vx, vy = out[o, 0] - ox, out[o, 1] - oy, back[b, 0] - bx, back[b, 1] - by
        la, lb = np.hypot(ux, uy), np.hypot(vx, vy)
        if la <= lb:
            share = min(max(((out[o, 0] - bx) * vx + (out[o, 1] - by) * vy) / (lb * lb), 0.0), 1.0) if lb else 0.0
            fx, fy = bx + share * vx, by + share * vy
            off = (out[o, 0] - fx) ** 2 + (out[o, 1] - fy) ** 2
        else:
            share = min(max(((back[b, 0] - ox) * ux + (back[b, 1] - oy) * uy) / (la * la), 0.0), 1.0) if la else 0.0
            fx, fy = ox + share * ux, oy + share * uy
            off = (back[b, 0] - fx) ** 2 + (back[b, 1] - fy) ** 2
        if off > limit:
            # Both continue straight: how far they stay together.
            s = _together(ox - bx, oy - by, ux, uy, la, vx, vy, lb, limit)
            return length + s, b, bx + s * vx / lb if lb else bx, by + s * vy / lb if lb else by, False, False
        if la <= lb:
            length += share * lb
            ox, oy, bx, by = out[o, 0], out[o, 1], fx, fy
            o -= 1
            if share == 1.0:
                b += 1
        else:
            length += lb
            ox, oy, bx, by = fx, fy, back[b, 0], back[b, 1]
            b += 1
            if share == 1.0:
                o -= 1
    return length, b, bx, by, o < 0, b >= len(back)


@compiled
def _together(
    dx: float,
    dy: float,
    ux: float,
    uy: float,
    la: float,
    vx: float,
    vy: float,
    lb: float,
    limit: float,
) -> float:
    """Returns the distance, mm, for which two points, moving at one speed along u and v of lengths la and lb, stay within
    the root of limit of each other; (dx, dy) from the second to the first."""
    if la == 0.0 or lb == 0.0:
        return 0.0
    wx, wy = ux / la - vx / lb, uy / la - vy / lb
    a, b, c = wx * wx + wy * wy, dx * wx + dy * wy, dx * dx + dy * dy - limit
    most = min(la, lb)
    if c > 0.0:
        return 0.0
    if a < 1e-18:
        return most
    result: float = min((-b + np.sqrt(max(b * b - a * c, 0.0))) / a, most)
    return result


@compiled
def _cut_spurs(line: Points, tolerance: float, longest: float, least: float) -> tuple[Points, Integers]:
    """Returns what is left of a stroke without parts that retrace it for more than longest, mm: points and offsets of the
    pieces."""
    if _is_ring(line):
        line = _opened(line, tolerance, longest)
    n = len(line)
    out = np.empty((2 * n + 2, 2))
    offsets = np.zeros(n + 2, dtype=np.int64)
    count, start, top = 0, 0, 1  # the current piece is out[start:top]
    out[0] = line[0]
    i = 1
    while i < n:
        out[top] = line[i]
        top += 1
        i += 1
        if i == n or top - start < 2:
            continue
        ux, uy = out[top - 1, 0] - out[top - 2, 0], out[top - 1, 1] - out[top - 2, 1]
        vx, vy = line[i, 0] - out[top - 1, 0], line[i, 1] - out[top - 1, 1]
        if ux * vx + uy * vy >= TURN * np.hypot(ux, uy) * np.hypot(vx, vy):
            continue
        length, on, x, y, from_start, to_end = _retraced(out[start:top], top - start - 1, line, i, tolerance)
        if length <= longest:
            continue
        if to_end:
            break
        if from_start:
            out[start] = out[top - 1]
            top = start + 1
            continue
        count += 1
        offsets[count] = top
        start, i = top, on
        if np.hypot(line[on, 0] - x, line[on, 1] - y) < least:
            x, y = line[on, 0], line[on, 1]
            i += 1
        out[top, 0], out[top, 1] = x, y
        top += 1
    if top - start > 1:
        count += 1
        offsets[count] = top
    else:
        top = start
    return out[:top].copy(), offsets[: count + 1].copy()


@compiled
def _opened(ring: Points, tolerance: float, longest: float) -> Points:
    """Returns a ring as an open line without the way back from the tip of its first spur; unchanged if it has none."""
    for i in range(len(ring) - 1):
        if not _turns(ring, i):
            continue
        length, on, x, y, _, _ = _retraced_ring(ring, i, tolerance)
        if length <= longest:
            continue
        turned = _begun_at(ring, i)
        opened = np.empty((len(turned) - on + 1, 2))
        opened[0, 0], opened[0, 1] = x, y
        opened[1:] = turned[on:]
        return opened
    return ring
