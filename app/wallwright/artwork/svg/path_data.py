"""Path data as cubic Béziers (SVG 1.1, 8.3).

A track is one subpath: its segments in order, each as the four control points of a cubic, with a flag for straight ones.
Data that breaks off is read up to the break (SVG 1.1, F.2).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np

from wallwright.artwork.svg.numbers import NUMBER
from wallwright.document.arrays import Flags, Floats, Points
from wallwright.document.language import tr

Point = tuple[float, float]
ARITY = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
COMMAND = re.compile("([MmZzLlHhVvCcSsQqTtAa])")
NUMBERS = re.compile(rf"\s*(?:{NUMBER.pattern}\s*,?\s*)*")
_S, _N = r"\s*,?\s*", f"({NUMBER.pattern})"
ARC = re.compile(rf"\s*{_N}{_S}{_N}{_S}{_N}{_S}([01]){_S}([01]){_S}{_N}{_S}{_N}{_S}")
ARC_STEP = np.pi / 6
"""Largest turn that one cubic stands for; the error is 4e-7 of the radius."""

_LETTERS = b"MmZzLlHhVvCcSsQqTtAa"
TO_BLANK = bytes.maketrans(_LETTERS + b",", b" " * 21)
NO_LETTERS = b"0123456789.,+- \t\r\f"
_PLAIN = re.compile(rb"M(?:L*|C*|[LC]*)Z?|m(?:l*|c*)z?")
"""Commands that are read as arrays: one subpath of lines and curves, all absolute, or relative and of one kind."""


@dataclass(frozen=True)
class Track:
    """One subpath, user units."""

    cubics: Floats
    """(k, 4, 2) control points."""
    straight: Flags
    """(k,) which of them are lines."""
    closed: bool


def tracks_of(d: str) -> tuple[list[Track], str]:
    """The subpaths of path data, and what is wrong with it in words ("" when nothing is)."""
    plain = _plain(d)
    if plain is not None:
        return plain, ""
    writer = _Writer()
    pieces = COMMAND.split(d)
    if pieces[0].strip():
        return [], tr("has path data that cannot be read")
    for i in range(1, len(pieces), 2):
        command, text = pieces[i], pieces[i + 1]
        if i == 1 and command not in "Mm":
            return [], tr("has path data that does not begin with a starting point (M)")
        values, whole = _arcs(text) if command in "Aa" else _numbers(text)
        arity = ARITY[command.upper()]
        count = len(values) // arity if arity else 0
        if arity == 0:
            writer.close()
        for k in range(count):
            # Further pairs after a move are lines (8.3.2).
            writer.add(
                command if k == 0 or command not in "Mm" else "Ll"["Mm".index(command)],
                values[k * arity : (k + 1) * arity],
            )
        if not whole or len(values) != count * arity or (arity and count == 0):
            return writer.finish(), tr("has path data that breaks off after {0} commands", i // 2 + 1)
    return writer.finish(), ""


def _plain(d: str) -> list[Track] | None:
    """Tracks of the commonest data, read as arrays; None for anything else."""
    try:
        data = d.encode("ascii")
    except UnicodeEncodeError:
        return None
    commands = data.translate(None, NO_LETTERS + b"\n")
    if not _PLAIN.fullmatch(commands):
        return None
    text = data.translate(TO_BLANK).replace(b"-", b" -")
    try:
        numbers = np.fromstring(text, sep=" ")
    except ValueError:
        return None
    if len(numbers) < 4 or len(numbers) % 2:
        return None
    closed = commands[-1:] in b"Zz"
    body = commands[1 : len(commands) - closed].upper()
    points = numbers.reshape(-1, 2)
    count = len(points) - 1
    if len(body) <= 1 and (body != b"C" or count % 3 == 0):  # one command for all, or only a move
        straight = np.full(count // 3 if body == b"C" else count, body != b"C")
    else:
        straight = np.frombuffer(body, np.uint8) == ord("L")
        if straight.sum() + 3 * (len(straight) - straight.sum()) != count:
            return None
    if straight.all():
        if commands[:1] == b"m":
            points = points.cumsum(axis=0)
        cubics = _straight(points[:-1], points[1:])
    elif not straight.any():
        if commands[:1] == b"m":
            points = points.copy()
            ends = np.concatenate([points[:1], points[3::3]]).cumsum(axis=0)
            points[1:] += np.repeat(ends[:-1], 3, axis=0)
            points[0] = ends[0]
        cubics = np.lib.stride_tricks.sliding_window_view(points, 4, axis=0)[::3].transpose(0, 2, 1)
    else:
        last = np.cumsum(np.where(straight, 1, 3))
        first = np.concatenate([[0], last[:-1]])
        cubics = points[
            np.stack(
                [first, np.where(straight, first, first + 1), np.where(straight, last, first + 2), last],
                axis=1,
            )
        ]
        cubics[straight] = _straight(cubics[straight, 0], cubics[straight, 3])
    return [Track(cubics, straight, closed)]


def _straight(a: Points, b: Points) -> Floats:
    """(k, 4, 2) of lines from (k, 2) to (k, 2)."""
    return np.stack([a, a, b, b], axis=1)


def _numbers(text: str) -> tuple[list[float], bool]:
    """The numbers at the head of a text, and whether that is all of it."""
    head = NUMBERS.match(text)
    end = 0 if head is None else head.end()
    return [float(v) for v in NUMBER.findall(text[:end])], end == len(text)


def _arcs(text: str) -> tuple[list[float], bool]:
    """Arguments of arcs, whose flags may stand without blanks."""
    values, at = [], 0
    while match := ARC.match(text, at):
        values += [float(v) for v in match.groups()]
        at = match.end()
    return values, not text[at:].strip()


@dataclass
class _Writer:
    """Takes commands one by one."""

    tracks: list[Track] = field(default_factory=list)
    here: Point = (0.0, 0.0)
    start: Point = (0.0, 0.0)
    handle: Point | None = None
    """Last control point, for S and T."""
    handle_of: str = ""
    segments: list[tuple[Point, Point, Point, Point]] = field(default_factory=list)
    straight: list[bool] = field(default_factory=list)

    def add(self, command: str, v: list[float]) -> None:
        kind = command.upper()
        x0, y0 = self.here
        dx, dy = (0.0, 0.0) if command == kind else self.here
        if kind == "M":
            self._end(False)
            self.here = self.start = (v[0] + dx, v[1] + dy)
        elif kind in "LHV":
            self._line((v[0] + dx if kind != "V" else x0, v[-1] + dy if kind != "H" else y0))
        elif kind == "A":
            end = (v[5] + dx, v[6] + dy)
            if end == self.here:
                pass  # SVG 1.1, F.6.2: the arc is left out
            elif v[0] == 0 or v[1] == 0:
                self._line(end)
            else:
                for cubic in _arc_cubics(self.here, end, v):
                    self._curve(*cubic)
        else:
            points = [(v[i] + dx, v[i + 1] + dy) for i in range(0, len(v), 2)]
            same = self.handle_of == {"S": "C", "T": "Q"}.get(kind)
            mirrored = self.here
            if same and self.handle is not None:
                mirrored = (2 * x0 - self.handle[0], 2 * y0 - self.handle[1])
            if kind in "CS":
                a, b, end = points if kind == "C" else (mirrored, *points)
                self._curve(a, b, end)
                self.handle, self.handle_of = b, "C"
            else:
                q, end = points if kind == "Q" else (mirrored, *points)
                self._curve(_towards(self.here, q), _towards(end, q), end)
                self.handle, self.handle_of = q, "Q"
            return
        self.handle, self.handle_of = None, ""

    def close(self) -> None:
        self._end(True)
        self.here = self.start
        self.handle_of = ""

    def finish(self) -> list[Track]:
        self._end(False)
        return self.tracks

    def _line(self, end: Point) -> None:
        self.segments.append((self.here, self.here, end, end))
        self.straight.append(True)
        self.here = end

    def _curve(self, a: Point, b: Point, end: Point) -> None:
        self.segments.append((self.here, a, b, end))
        self.straight.append(False)
        self.here = end

    def _end(self, closed: bool) -> None:
        if closed and not self.segments:
            self._line(self.start)
        if self.segments:
            self.tracks.append(Track(np.array(self.segments), np.array(self.straight), closed))
        self.segments, self.straight = [], []


def _towards(point: Point, control: Point) -> Point:
    """The control point of a cubic that draws a quadratic (SVG 2, 9.3.7)."""
    (x, y), (qx, qy) = point, control
    return x + 2 / 3 * (qx - x), y + 2 / 3 * (qy - y)


def _arc_cubics(start: Point, end: Point, v: list[float]) -> list[tuple[Point, Point, Point]]:
    """Cubics of an elliptical arc (SVG 1.1, F.6.5 and F.6.6). v: rx, ry, angle in degrees, large, sweep."""
    rx, ry, large, sweep = abs(v[0]), abs(v[1]), v[3] != 0, v[4] != 0
    phi = np.radians(v[2])
    turn = np.array([[np.cos(phi), -np.sin(phi)], [np.sin(phi), np.cos(phi)]])
    a, b = np.array(start), np.array(end)
    x, y = turn.T @ (a - b) / 2
    grow = max(1.0, np.hypot(x / rx, y / ry))
    rx, ry = rx * grow, ry * grow
    share = (x / rx) ** 2 + (y / ry) ** 2
    root = np.sqrt(max(0.0, 1 / share - 1)) * (-1 if large == sweep else 1)
    centre = np.array([root * rx * y / ry, -root * ry * x / rx])
    first = np.arctan2((y - centre[1]) / ry, (x - centre[0]) / rx)
    span = np.arctan2((-y - centre[1]) / ry, (-x - centre[0]) / rx) - first
    span = span % (2 * np.pi) if sweep else -(-span % (2 * np.pi))
    count = max(1, int(np.ceil(abs(span) / ARC_STEP)))
    angle = first + span * np.arange(count + 1) / count
    on = np.column_stack([np.cos(angle), np.sin(angle)])
    along = np.column_stack([-np.sin(angle), np.cos(angle)]) * (4 / 3 * np.tan(span / count / 4))
    to_user = turn * [rx, ry]
    middle = (a + b) / 2 + turn @ centre
    handles = [p @ to_user.T + middle for p in (on[:-1] + along[:-1], on[1:] - along[1:], on[1:])]
    handles[2][-1] = b
    return [((a, b), (c, d), (e, f)) for (a, b), (c, d), (e, f) in np.stack(handles, axis=1).tolist()]
