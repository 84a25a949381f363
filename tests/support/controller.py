"""An independent model of a controller that plans acceleration itself, to replay exported RS-274 in its own time.

Common practice, no source: each line is a straight move along which the controller speeds up and brakes evenly, as fast as
no axis has to do more than its setting; between two moves it passes at the speed of an arc that stays within the junction
deviation of the corner, v² = a d sin(φ/2) / (1 - sin(φ/2)), φ the angle between the legs (Jeon, "improving cornering with
junction deviation", 2011, from memory); speeds are made reachable by one pass backwards and one forwards. Dwells stop it.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np

from tests.support.ngc import arc_turn

LINE = re.compile(
    r"^([GM]\d+)(?: X([-+.\d]+))?(?: Y([-+.\d]+))?(?: Z([-+.\d]+))?(?: I([-+.\d]+))?(?: J([-+.\d]+))?(?: F([-+.\d]+))?"
    r"(?: P([-+.\d]+))?",
    re.MULTILINE,
)
ARC_ERROR = 0.002
"""mm between an arc and the chords that it is run in (common practice, no source)."""


@dataclass(frozen=True)
class Moves:
    """The straight moves of a program, and its waits."""

    way: np.ndarray
    """(n, 2) mm."""
    feed: np.ndarray
    """(n,) mm/s."""
    from_rest: np.ndarray
    """(n,) bool: the machine has stopped before it."""
    down: np.ndarray
    """(n,) bool: with the pen on the wall."""
    dwell: float
    """s of all waits."""


def moves_of(text: str) -> Moves:
    """The moves of a program that an export wrote; those of no length are left out."""
    x = y = feed = dwell = 0.0
    up, down, rest = None, False, True
    ways: list[tuple[float, float, float, bool, bool]] = []
    for word, to_x, to_y, to_z, i, j, f, wait in LINE.findall(text):
        if word in ("G1", "G2", "G3"):
            feed = float(f) / 60 if f else feed
            end = float(to_x) if to_x else x, float(to_y) if to_y else y
            legs = (
                [(end[0] - x, end[1] - y)]
                if word == "G1"
                else _chords((x, y), end, (x + float(i), y + float(j)), word == "G2")
            )
            for dx, dy in legs:
                if dx or dy:
                    ways.append((dx, dy, feed, rest, down))
                    rest = False
            x, y = end
        elif word == "G92":
            x, y = float(to_x), float(to_y)
        elif word in ("G0", "G4") or word[0] == "M":
            rest = True
            dwell += float(wait) if word == "G4" else 0.0
            if to_z:
                up = to_z if up is None else up
                down = to_z != up
            if word in ("M3", "M5"):
                down = word == "M3"
    table = np.array(ways, dtype=float).reshape(-1, 5)
    return Moves(table[:, :2], table[:, 2], table[:, 3] != 0, table[:, 4] != 0, dwell)


def replay_seconds(text: str, acceleration: float, deviation: float) -> float:
    """s that the program takes. acceleration: of each axis, mm/s²; deviation: mm."""
    return replayed(moves_of(text), acceleration, deviation)


def replayed(moves: Moves, acceleration: float, deviation: float) -> float:
    """s that moves and waits take. acceleration: of each axis, mm/s²; deviation: mm."""
    if not len(moves.way):
        return moves.dwell
    length = np.hypot(*moves.way.T)
    unit, top = moves.way / length[:, None], moves.feed**2
    push = acceleration / np.abs(unit).max(axis=1)
    # Speeds squared at which the corner before each move may be passed.
    corner = np.zeros(len(length) + 1)
    cos = -(unit[:-1] * unit[1:]).sum(axis=1)  # of the angle between the legs
    across = unit[1:] - unit[:-1]
    half = np.sqrt((1 - np.clip(cos, -1, 1)) / 2)
    with np.errstate(divide="ignore", invalid="ignore"):
        own = acceleration * np.hypot(*across.T) / np.abs(across).max(axis=1)
        passed = own * deviation * half / (1 - half)
    passed = np.where(cos > 0.999999, 0.0, np.where(cos < -0.999999, np.inf, passed))
    corner[1:-1] = np.where(moves.from_rest[1:], 0.0, np.minimum(passed, np.minimum(top[:-1], top[1:])))
    entry, gain = corner.tolist(), (2 * push * length).tolist()
    for i in range(len(gain) - 1, -1, -1):
        entry[i] = min(entry[i], entry[i + 1] + gain[i])
    for i, more in enumerate(gain):
        entry[i + 1] = min(entry[i + 1], entry[i] + more)
    before, after = np.array(entry[:-1]), np.array(entry[1:])
    v0, v1 = np.sqrt(before), np.sqrt(after)
    peak = np.minimum(moves.feed, np.sqrt((2 * push * length + before + after) / 2))
    peak = np.maximum(peak, np.maximum(v0, v1))
    ramps = (2 * peak * peak - before - after) / (2 * push)
    seconds = (2 * peak - v0 - v1) / push + np.maximum(length - ramps, 0.0) / peak
    return moves.dwell + float(seconds.sum())


def _chords(begin, end, centre, clockwise: bool) -> list[tuple[float, float]]:
    """An arc as such a controller runs it: in chords that stay within ARC_ERROR of it."""
    radius = math.hypot(begin[0] - centre[0], begin[1] - centre[1])
    turn = arc_turn(begin, end, centre, clockwise)
    n = max(1, math.ceil(abs(turn) / (2 * math.acos(1 - min(ARC_ERROR / radius, 1.0)))))
    start = math.atan2(begin[1] - centre[1], begin[0] - centre[0])
    chord, legs = 2 * radius * math.sin(abs(turn) / (2 * n)), []
    for k in range(n):
        heading = start + turn * (k + 0.5) / n + math.copysign(math.pi / 2, turn)
        legs.append((chord * math.cos(heading), chord * math.sin(heading)))
    return legs
