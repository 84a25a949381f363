"""Degenerate legs: points too close together to be reached one by one, points that say nothing, and legs that run back
over ink which the same stroke has just drawn.

    spur    a part of a stroke that runs out to a tip and back over itself
    tip     the point at which it turns back

Such legs cost a stop each, and a retraced leg makes the wall wet twice. Every stroke is changed by itself.
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
"""In pen widths: points closer than this become one; at a broad marker's line about a motor's step, and nothing that is
seen. No less than the tolerance of simplifying."""
RETRACED = 1 / 40
"""In pen widths: a way back that stays so close to the way out is ink drawn twice, for then the edge of the ink moves by
less than is seen. As much as the default path tolerance is of a broad marker's line."""
STRAIGHT = 1e-6
"""mm: nearer to the straight line between its neighbours is on it. More than rounding leaves on a wall of 100 m."""
SHARP = -0.9
"""Cosine: where a line turns as sharply, its shorter side lies along the longer one."""
TURN = 0.2
"""Cosine: a spur's tip turns by about a right angle at least; a blunt tip turns twice."""


def least_leg(widths: Floats, tolerance: float) -> Floats:
    """mm for each pen width (n,), mm."""
    return np.maximum(LEAST_LEG * widths, tolerance)


def without_degenerate(strokes: Strokes, widths: Floats, tolerance: float) -> Strokes:
    """Strokes whose legs are all at least `least_leg` long and that do not turn back and run over their own ink for more
    than a pen width. Shorter ways back stay: lifting takes longer. The edge of the ink moves by less than a fourteenth of
    the pen width. widths: (p,) mm of the pens; tolerance: mm, of simplifying.

    A stroke that stays closer than that to its beginning is a dot, and becomes one leg of that length in its direction; one
    without any length was asked for by nobody (dots of artwork have a length, see artwork/svg/stroking.py) and goes. A
    stroke with a spur in its middle becomes two; what has its spur at an end loses the way back, or the way out.
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
    cut = without_degenerate(cut, widths, tolerance)  # where one spur was cut out of another, and at new ends
    number = number[cut.source]
    cut = dataclasses.replace(cut, source=strokes.source[number])
    others = np.setdiff1d(np.arange(len(strokes)), spurred, assume_unique=True)
    together = Strokes.join([strokes.take(others), cut])
    return together.take(np.argsort(np.concatenate([others, number]), kind="stable"))


def _with_long_legs(strokes: Strokes, least: Floats, tolerance: Floats) -> tuple[Strokes, Integers]:
    """Strokes whose points are at least so many mm (k,) apart, and the numbers of those that are left."""
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
    """Points of all strokes and how many each has, 0 where nothing is left. Of points closer together than least the first
    stays, at a stroke's end the last. A point on the straight way between its neighbours goes; so do both points of a
    step back within tolerance of the way on, and the tip of a spur no longer than tolerance."""
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
            # A dot. There is room for its second point, for a stroke with a length has two; rounding leaves it long enough.
            size = max((1 + 1e-9) * least[k] / np.sqrt(far), 1.0)
            for axis in range(2):
                out[n, axis] = out[base, axis] + size * (points[farthest, axis] - out[base, axis])
            n += 1
        counts[k] = n - base
    return out[:n].copy(), counts


@compiled
def _is_straight(a: Floats, b: Floats, x: float, y: float) -> bool:
    """Whether b lies on the way from a on to (x, y)."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], x - b[0], y - b[1]
    if ux * vx + uy * vy <= 0.0:
        return False
    result: bool = abs(ux * vy - uy * vx) <= STRAIGHT * np.hypot(x - a[0], y - a[1])
    return result


@compiled
def _is_nub(a: Floats, b: Floats, x: float, y: float, tolerance: float) -> bool:
    """Whether the way from a to (x, y) turns sharply at b, and b is within tolerance of one of them."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], x - b[0], y - b[1]
    long, on = np.hypot(ux, uy), np.hypot(vx, vy)
    result: bool = min(long, on) <= tolerance and ux * vx + uy * vy < SHARP * long * on
    return result


@compiled
def _is_step_back(last: Points, x: float, y: float, tolerance: float) -> bool:
    """Whether, of the last three points, the third is a step back over the way from the first to the second, and the way
    on to (x, y) passes both, within tolerance of all of it."""
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
    """(k,) bool: whether a stroke runs back over itself for more than longest, mm (k,)."""
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
    """Whether a line turns at point i, of a ring at its seam too, so much that it may be a tip."""
    before = i - 1 if i else len(line) - 2
    ux, uy = line[i, 0] - line[before, 0], line[i, 1] - line[before, 1]
    vx, vy = line[i + 1, 0] - line[i, 0], line[i + 1, 1] - line[i, 1]
    result: bool = ux * vx + uy * vy < TURN * np.hypot(ux, uy) * np.hypot(vx, vy)
    return result


@compiled
def _retraced_ring(line: Points, i: int, tolerance: float) -> Retraced:
    """The same as _retraced for a ring, about its point i: neither way goes beyond half of its points."""
    turned = _begun_at(line, i)
    half = (len(line) + 1) // 2
    return _retraced(turned[half - 1 :], len(turned) - half, turned[:half], 1, tolerance)


@compiled
def _begun_at(line: Points, i: int) -> Points:
    """A ring begun at its point i."""
    n = len(line)
    turned = np.empty((n, 2))
    for j in range(n):
        turned[j] = line[i + j if i + j < n else i + j - n + 1]
    return turned


@compiled
def _retraced(out: Points, tip: int, back: Points, first: int, tolerance: float) -> Retraced:
    """How far the way on from a tip stays within tolerance of the way that led there: (mm along it, the number of its next
    point, x, y where it parts from the other, whether the way out is followed to its beginning, whether the way on ends).

    out: points of the way to the tip, which is out[tip]; back[first:] is the way on.
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
            # Both go on straight: as far as they stay together.
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
    """mm for which two points, moved at one speed along u and v of lengths la and lb, stay within the root of limit of each
    other; (dx, dy) from the second to the first."""
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
    """What is left of a stroke once it does not run back over itself for more than longest, mm: points and offsets of
    pieces."""
    if _is_ring(line):
        line = _opened(line, tolerance, longest)
    n = len(line)
    out = np.empty((2 * n + 2, 2))
    offsets = np.zeros(n + 2, dtype=np.int64)
    count, start, top = 0, 0, 1  # the piece at hand is out[start:top]
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
    """A ring as an open line without the way back from the tip of its first spur; as it is where it has none."""
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
