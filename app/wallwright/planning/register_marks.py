"""Positions of register marks, and their strokes.

Marks for a hanging lie where it and an earlier neighbour can both put a pen with room for the whole cross, off the artwork
where possible, and far from each other: a rotated or scaled hanging shows at the ends of the strip that both share, not in
its middle.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.spatial import cKDTree

from wallwright.artwork.generated.lettering import letters
from wallwright.document.arrays import Floats, Points
from wallwright.document.document import Document
from wallwright.document.machine import Machine
from wallwright.document.register import RegisterMark
from wallwright.document.wall import Hanging, Wall
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.draw_zone import DrawZone
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.dense_points import densify
from wallwright.strokes.strokes import Strokes

FINE = (10.0, 20.0)
"""Distances between candidate positions across and down, mm."""
MOST_PLACES = 2500
BEYOND = 100.0
"""Height above and below the drawing that is available for marks off it, mm."""
CLEAR = 8.0
"""Smallest distance between a mark and ink, mm."""
ROOM = 12.0
"""Additional room around the cross that both hangings can reach, mm: an anchor may be slightly misplaced."""
OUTER = 0.7
"""Share of the height of all free positions that those above and below the ink must span."""
NAME = 0.8
"""Height of a mark's name over the cross's arm."""
Marks = dict[int, tuple[RegisterMark, ...]]
"""The marks that each hanging uses, by its number."""


def marks_of(document: Document, strokes: Strokes, zone: Callable[[Wall, Machine, Hanging], DrawZone]) -> Marks:
    """Returns all register marks of a document: the stored ones, and computed ones for hangings without."""
    found: Marks = {}
    joining = document.settings.joining
    for number, hanging in enumerate(document.hangings):
        if not joining.marks or not document.earlier_neighbours(number):
            continue
        if hanging.register.marks:
            found[number] = hanging.register.marks
            continue
        points = [_chosen(document, other, number, strokes, zone) for other in document.earlier_neighbours(number)]
        places = np.concatenate([np.zeros((0, 2)), *points])
        found[number] = tuple(
            RegisterMark(f"{number + 1}{chr(65 + i)}", x, y) for i, (x, y) in enumerate(places.tolist())
        )
    return found


def drawn_by(document: Document, hanging: int, marks: Marks) -> tuple[RegisterMark, ...]:
    """Returns the marks that a hanging draws for later ones."""
    return tuple(m for number, own in sorted(marks.items()) for m in own if document.drawer_of(number, m.x) == hanging)


def _chosen(
    document: Document,
    one: int,
    other: int,
    strokes: Strokes,
    zone: Callable[[Wall, Machine, Hanging], DrawZone],
) -> Floats:
    """Returns (n, 2) mm: positions of the marks that one hanging draws for another; fewer than wanted if there is no
    room."""
    pair = [document.hangings[i].as_planned for i in (one, other)]
    places = _reached(document, pair, zone, _heights(document, strokes))
    if not len(places):
        return places
    arm = document.settings.joining.arm
    ink = densify(strokes, CLEAR).points
    clear = _distance(places, ink, arm + CLEAR) - arm * 2**0.5
    free = clear >= CLEAR
    if free.sum() >= 2:
        places = _above_and_below(places[free], ink, arm + CLEAR)
    else:  # among ink: where it is thinnest
        places = places[clear >= np.quantile(clear, 0.7)]
    return _far_apart(places, document.settings.joining.marks, 3 * arm)


def _heights(document: Document, strokes: Strokes) -> tuple[float, float]:
    """Returns the range of heights, mm, in which marks are useful: about the height of the drawing. Nearer to the anchors
    the motors have the smallest reserve."""
    wall = document.wall
    if not len(strokes.points):
        return wall.top, wall.floor
    y = strokes.points[:, 1]
    return float(y.min()) - BEYOND, float(y.max()) + BEYOND


def _reached(
    document: Document,
    hangings: list[Hanging],
    zone: Callable[[Wall, Machine, Hanging], DrawZone],
    heights: tuple[float, float],
) -> Floats:
    """Returns (n, 2) mm: positions between two heights at which both hangings can draw the whole mark."""
    wall, machine, arm = document.wall, document.machine, document.settings.joining.arm + ROOM
    zones = [zone(wall, machine, h) for h in hangings]
    both = (zones[0].bits == 0) & (zones[1].bits == 0)
    if not both.any():
        return np.zeros((0, 2))
    x, y = zones[0].x, zones[0].y
    both &= ((y >= heights[0]) & (y <= heights[1]))[:, None]
    if not both.any():
        return np.zeros((0, 2))
    rows, columns = np.nonzero(both)
    low = np.array([x[columns.min()] - (x[1] - x[0]), y[rows.min()]])
    high = np.array([x[columns.max()] + (x[1] - x[0]), y[rows.max()]])
    step = np.array(FINE) * max(1.0, np.sqrt(np.prod((high - low) / FINE) / MOST_PLACES))
    grid = np.stack(np.meshgrid(*(np.arange(low[i], high[i] + 1, step[i]) for i in (0, 1))), axis=2).reshape(-1, 2)
    grid = np.round(grid)
    # A square around the cross, and the cross's centre.
    corners = np.array([(0, 0), (-1, -1), (1, -1), (1, 1), (-1, 1)]) * arm
    good = np.ones(len(grid), dtype=bool)
    for hanging in hangings:
        rig = CableRobotModel.of(machine, hanging)
        for corner in corners:
            left = np.flatnonzero(good)
            good[left] = broken(wall, machine, rig, inverse_kinematics(rig, grid[left] + corner)) == 0
    return grid[good]


def _distance(places: Points, points: Points, around: float) -> Floats:
    """Returns (n,) mm from each position to the nearest of points (m, 2), considering only points within ten times
    `around`."""
    low, high = places.min(axis=0) - 10 * around, places.max(axis=0) + 10 * around
    near = points[np.all((points >= low) & (points <= high), axis=1)]
    return np.asarray(cKDTree(near).query(places)[0]) if len(near) else np.full(len(places), np.inf)


def _above_and_below(places: Points, ink: Points, room: float) -> Points:
    """Returns those of positions (n, 2) that are above or below all ink (m, 2) of their strip by room, mm, if they span
    nearly the same height as all: a cross in the counter of a letter spoils it, and is hard to find. Otherwise all
    positions."""
    low, high = places[:, 0].min() - room, places[:, 0].max() + room
    y = ink[(ink[:, 0] >= low) & (ink[:, 0] <= high), 1]
    if not len(y):
        return places
    outer = places[(places[:, 1] <= y.min() - room) | (places[:, 1] >= y.max() + room)]
    is_enough = len(outer) >= 2 and np.ptp(outer[:, 1]) >= OUTER * np.ptp(places[:, 1])
    return outer if is_enough else places


def _far_apart(places: Points, count: int, least: float) -> Floats:
    """Returns (m, 2): the first two far from each other, each further one farthest from all before (Gonzalez, 1985). So
    the first few are the most informative."""
    centre = places.mean(axis=0)
    first = int(np.argmax(np.hypot(*(places - centre).T)))
    chosen = [first]
    gap = np.hypot(*(places - places[first]).T)
    while len(chosen) < count and gap.max() >= least:
        chosen.append(int(np.argmax(gap)))
        gap = np.minimum(gap, np.hypot(*(places - places[chosen[-1]]).T))
    result: Floats = places[chosen]
    return result


def mark_strokes(document: Document, marks: tuple[RegisterMark, ...]) -> Strokes:
    """Returns the marks as strokes of their pen: for each a horizontal and a vertical line, and its name."""
    joining = document.settings.joining
    ids = [p.id for p in document.pens]
    pen = ids.index(joining.pen) if joining.pen else 0
    lines = []
    for mark in marks:
        at, arm = np.array([mark.x, mark.y]), joining.arm
        lines += [
            at + arm * np.array([(-1.0, 0.0), (1.0, 0.0)]),
            at + arm * np.array([(0.0, -1.0), (0.0, 1.0)]),
        ]
        found, _ = letters(mark.name, "plain")
        width = sum(letter.advance for letter in found)
        height = min(
            NAME * arm, 0.85 * arm / max(width, 1e-6)
        )  # above and right of the centre, within the cross's square
        x = 0.15 * arm
        for letter in found:
            lines += [at + [x, -0.15 * arm] + height * stroke for stroke in letter.strokes]
            x += height * letter.advance
    return Strokes.pack(lines, pen)


def with_marks(strokes: Strokes, marks: Strokes) -> Strokes:
    """Returns ordered strokes with marks after the other strokes of their pen, or at the very end if it draws nothing
    else."""
    if not len(marks):
        return strokes
    own = np.flatnonzero(strokes.pen == marks.pen[0])
    at = int(own[-1]) + 1 if len(own) else len(strokes)
    order = np.concatenate([np.arange(at), len(strokes) + np.arange(len(marks)), np.arange(at, len(strokes))])
    return Strokes.join([strokes, marks]).take(order)
