"""An independent model of a controller that plans acceleration itself, to replay exported RS-274 in its own time.

Common practice, no source: each line is a straight move along which the controller speeds up and brakes evenly, as fast as
no axis has to do more than its setting; between two moves it passes at the speed of an arc that stays within the junction
deviation of the corner, v² = a d sin(φ/2) / (1 - sin(φ/2)), φ the angle between the legs (Jeon, "improving cornering with
junction deviation", 2011, from memory); speeds are made reachable by one pass backwards and one forwards. Dwells stop it.
"""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass

from tests.support.ngc import arc_turn

WORD = re.compile(r"([A-Z])([-+0-9.]+)")
ARC_ERROR = 0.002
"""mm between an arc and the chords that it is run in (common practice, no source)."""


@dataclass
class Move:
    length: float
    unit: tuple[float, float]
    feed: float
    """mm/s."""


def replay_seconds(text: str, acceleration: float, deviation: float) -> float:
    """s that the program takes. acceleration: of each axis, mm/s²; deviation: mm."""
    place, feed, total = None, 0.0, 0.0
    moves: list[Move] = []
    for line in text.splitlines():
        if line.startswith("("):
            continue
        words = {k: float(v) for k, v in WORD.findall(line)}
        if line.startswith("G92"):
            place = (words["X"], words["Y"])
        elif line.startswith("G1 "):
            feed = words.get("F", feed * 60) / 60
            target = (words.get("X", place[0]), words.get("Y", place[1]))
            dx, dy = target[0] - place[0], target[1] - place[1]
            length = math.hypot(dx, dy)
            if length > 0:
                moves.append(Move(length, (dx / length, dy / length), feed))
            place = target
        elif line.startswith(("G2 ", "G3 ")):
            feed = words.get("F", feed * 60) / 60
            target = (words["X"], words["Y"])
            moves += _chords(
                place, target, (place[0] + words["I"], place[1] + words["J"]), line[1] == "2", feed
            )
            place = target
        elif line.startswith(("G4", "G0", "M")):
            total += _seconds(moves, acceleration, deviation) + (words["P"] if line.startswith("G4") else 0.0)
            moves = []
    return total + _seconds(moves, acceleration, deviation)


def _chords(begin, end, centre, clockwise: bool, feed: float) -> list[Move]:
    """An arc as such a controller runs it: in chords that stay within ARC_ERROR of it."""
    radius = math.hypot(begin[0] - centre[0], begin[1] - centre[1])
    turn = arc_turn(begin, end, centre, clockwise)
    n = max(1, math.ceil(abs(turn) / (2 * math.acos(1 - min(ARC_ERROR / radius, 1.0)))))
    start = math.atan2(begin[1] - centre[1], begin[0] - centre[0])
    chord, moves = 2 * radius * math.sin(abs(turn) / (2 * n)), []
    for k in range(n):
        heading = start + turn * (k + 0.5) / n + math.copysign(math.pi / 2, turn)
        moves.append(Move(chord, (math.cos(heading), math.sin(heading)), feed))
    return moves


def _seconds(moves: list[Move], acceleration: float, deviation: float) -> float:
    if not moves:
        return 0.0
    push = [acceleration / max(abs(m.unit[0]), abs(m.unit[1])) for m in moves]
    entry = [0.0]
    for a, b in itertools.pairwise(moves):
        cos = -(a.unit[0] * b.unit[0] + a.unit[1] * b.unit[1])  # of the angle between the legs
        top = min(a.feed, b.feed) ** 2
        if cos > 0.999999:
            entry.append(0.0)
            continue
        if cos < -0.999999:
            entry.append(top)
            continue
        half = math.sqrt((1 - cos) / 2)
        across = (b.unit[0] - a.unit[0], b.unit[1] - a.unit[1])
        size = math.hypot(*across)
        own = acceleration * size / max(abs(across[0]), abs(across[1]))
        entry.append(min(top, own * deviation * half / (1 - half)))
    entry.append(0.0)
    for i in range(len(moves) - 1, -1, -1):
        entry[i] = min(entry[i], entry[i + 1] + 2 * push[i] * moves[i].length)
    total = 0.0
    for i, move in enumerate(moves):
        entry[i + 1] = min(entry[i + 1], entry[i] + 2 * push[i] * move.length)
        v0, v1, a = math.sqrt(entry[i]), math.sqrt(entry[i + 1]), push[i]
        peak = min(move.feed, math.sqrt((2 * a * move.length + entry[i] + entry[i + 1]) / 2))
        peak = max(peak, v0, v1)
        ramps = (2 * peak * peak - entry[i] - entry[i + 1]) / (2 * a)
        total += (2 * peak - v0 - v1) / a + max(move.length - ramps, 0.0) / peak
    return total
