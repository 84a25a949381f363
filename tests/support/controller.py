"""An independent model of a controller that plans its own acceleration, to replay exported RS-274 in time.

Common practice, no source: each line is a straight move with constant acceleration and braking, the largest that keep every
axis within its setting; the speed between two moves is that of an arc within the junction deviation of the corner,
v² = a d sin(φ/2) / (1 - sin(φ/2)), φ the angle between the legs (Jeon, "improving cornering with junction deviation", 2011,
from memory); one backward and one forward pass make the speeds reachable. Dwells stop the machine.
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
"""Largest deviation of the chords of an arc, mm (common practice, no source)."""


@dataclass(frozen=True)
class Moves:
    """Straight moves and waits of a program."""

    displacement: np.ndarray
    """(n, 2) displacements, mm."""
    feed: np.ndarray
    """(n,) feeds, mm/s."""
    from_rest: np.ndarray
    """(n,) bool: whether the machine has stopped before the move."""
    down: np.ndarray
    """(n,) bool: whether the pen is on the wall."""
    dwell: float
    """Total time of all waits, s."""
    wait: np.ndarray
    """(n + 1,) waits before each move and after the last, s."""
    start: tuple[float, float] = (0.0, 0.0)
    """Initial position, mm."""


@dataclass(frozen=True)
class Played:
    """Axes and pen over time."""

    time: np.ndarray
    """(n,) evenly spaced times, s."""
    axes: np.ndarray
    """(n, 2) positions of the axes, mm."""
    down: np.ndarray
    """(n,) bool: whether the pen touches the wall, from and until the middle of the waits for its lift."""


def moves_of(text: str) -> Moves:
    """Returns the moves of an exported program, without those of zero length."""
    x = y = feed = dwell = 0.0
    up, down, rest = None, False, True
    ways: list[tuple[float, float, float, bool, bool]] = []
    waits, waited, start = [], 0.0, (0.0, 0.0)
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
                    waits.append(dwell - waited)
                    rest, waited = False, dwell
            x, y = end
        elif word == "G92":
            x, y = start = float(to_x), float(to_y)
        elif word in ("G0", "G4") or word[0] == "M":
            rest = True
            dwell += float(wait) if word == "G4" else 0.0
            if to_z:
                up = to_z if up is None else up
                down = to_z != up
            if word in ("M3", "M5"):
                down = word == "M3"
    table = np.array(ways, dtype=float).reshape(-1, 5)
    wait = np.array([*waits, dwell - waited])
    return Moves(table[:, :2], table[:, 2], table[:, 3] != 0, table[:, 4] != 0, dwell, wait, start)


def replay_seconds(text: str, acceleration: float, deviation: float) -> float:
    """Returns the duration of a program, s. acceleration: of each axis, mm/s²; deviation: mm."""
    return replayed(moves_of(text), acceleration, deviation)


def replayed(moves: Moves, acceleration: float, deviation: float) -> float:
    """Returns the duration of moves and waits, s. acceleration: of each axis, mm/s²; deviation: mm."""
    if not len(moves.displacement):
        return moves.dwell
    return moves.dwell + float(_profile(moves, acceleration, deviation).seconds.sum())


def played(text: str, acceleration: float, deviation: float, step: float) -> Played:
    """Returns axes and pen of a program at intervals of step, s. acceleration: of each axis, mm/s²; deviation: mm."""
    moves = moves_of(text)
    profile = _profile(moves, acceleration, deviation)
    begin = np.cumsum(moves.wait[:-1]) + np.concatenate([[0.0], np.cumsum(profile.seconds)[:-1]])
    end = begin + profile.seconds
    time = np.arange(0.0, end[-1] + moves.wait[-1], step)
    i = np.maximum(np.searchsorted(begin, time, side="right") - 1, 0)
    gone = np.clip(time - begin[i], 0.0, profile.seconds[i])
    v0, v1, peak, push = (x[i] for x in (profile.entry, profile.exit, profile.peak, profile.push))
    up, down = (peak - v0) / push, (peak - v1) / push
    flat = profile.seconds[i] - up - down
    a, c = np.minimum(gone, up), np.clip(gone - up - flat, 0.0, None)
    way = v0 * a + push * a * a / 2 + peak * np.clip(gone - up, 0.0, flat) + peak * c - push * c * c / 2
    length = np.hypot(*moves.displacement.T)
    place = np.array(moves.start) + np.concatenate([[[0.0, 0.0]], np.cumsum(moves.displacement, axis=0)[:-1]])
    axes = place[i] + (np.clip(way / length[i], 0.0, 1.0))[:, None] * moves.displacement[i]
    was = np.concatenate([[False], moves.down])
    middle = np.concatenate([begin - moves.wait[:-1] / 2, [end[-1] + moves.wait[-1] / 2]])
    state = np.concatenate([moves.down, [False]])
    changes = np.flatnonzero(state != was)
    k = np.searchsorted(middle[changes], time, side="right") - 1
    touches = np.where(k >= 0, state[changes][np.maximum(k, 0)], False)
    return Played(time, axes, touches)


@dataclass(frozen=True)
class _Profile:
    """Speeds, mm/s, acceleration, mm/s², and duration, s, of each move."""

    entry: np.ndarray
    exit: np.ndarray
    peak: np.ndarray
    push: np.ndarray
    seconds: np.ndarray


def _profile(moves: Moves, acceleration: float, deviation: float) -> _Profile:
    length = np.hypot(*moves.displacement.T)
    unit, top = moves.displacement / length[:, None], moves.feed**2
    push = acceleration / np.abs(unit).max(axis=1)
    # Squared speed limits of the corner before each move.
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
    return _Profile(v0, v1, peak, push, seconds)


def _chords(begin, end, centre, clockwise: bool) -> list[tuple[float, float]]:
    """Returns the chords of an arc, which are within ARC_ERROR of it."""
    radius = math.hypot(begin[0] - centre[0], begin[1] - centre[1])
    turn = arc_turn(begin, end, centre, clockwise)
    n = max(1, math.ceil(abs(turn) / (2 * math.acos(1 - min(ARC_ERROR / radius, 1.0)))))
    start = math.atan2(begin[1] - centre[1], begin[0] - centre[0])
    chord, legs = 2 * radius * math.sin(abs(turn) / (2 * n)), []
    for k in range(n):
        heading = start + turn * (k + 0.5) / n + math.copysign(math.pi / 2, turn)
        legs.append((chord * math.cos(heading), chord * math.sin(heading)))
    return legs


def expected_settings(text: str) -> tuple[float, float]:
    """Returns the acceleration of each axis, mm/s², and the junction deviation, mm, expected at the head of a file."""
    found = re.search(
        r"^\(Expects ([0-9.]+) mm/s2 of acceleration for each axis, and corners cut by ([0-9.]+) mm", text, re.MULTILINE
    )
    assert found, "the head names no acceleration"
    return float(found[1]), float(found[2])
