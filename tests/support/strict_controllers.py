"""Five invented controllers that accept only a few words, like small firmware, and refuse all others.

Each reads bytes with its own words, units and line endings, and moves a drawing machine; the drawing is compared with the
plan. Shares no code with wallwright.jobs.
"""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass, field

WORD = re.compile(r"([A-Z])(-?\d+(?:\.\d+)?)")


class Refused(AssertionError):
    """The controller stops with an error."""


@dataclass
class Drawn:
    """Result of a program."""

    lines: list[list[tuple[float, float]]] = field(default_factory=list)
    """Points with the pen down, in mm of the two axes, a list per stroke; arcs as chords."""
    heights: list[float] = field(default_factory=list)
    """Number that lowered the pen, for each stroke."""
    pauses: int = 0
    seconds: float = 0.0
    waited: float = 0.0
    ended: bool = False
    begin: tuple[float, float] | None = None
    """Stated initial position of the machine, mm."""
    own: list[str] = field(default_factory=list)
    """Custom lines in the program."""


@dataclass(frozen=True)
class StrictController:
    """A controller. All other words are refused."""

    name: str
    axes: str = "XY"
    per_mm: tuple[float, float] = (1.0, 1.0)
    """Units of the two axes per mm, negative when reversed."""
    words: frozenset[str] = frozenset({"G17", "G21", "G40", "G49", "G80", "G90", "G94"})
    """Words without effect that confirm its fixed modes."""
    has_arcs: bool = False
    feed_seconds: float = 60.0
    """Time unit of F, s; 0: inverse time."""
    wait_seconds: float = 1.0
    """Time unit of P, s."""
    lift: str = "Z"
    """Axis letter, "M3 M5", "M3 M3" or "G4 G4"."""
    up: float = 5.0
    down: float = 0.0
    preset: bool = True
    """Whether it accepts G92."""
    begins: tuple[float, float] = (0.0, 0.0)
    """Known initial position of its axes, in its units."""
    pause: str = "M0"
    end: str = "M2"
    comments: bool = True
    ending: bytes = b"\n"
    longest: int = 256
    decimals: int = 4
    own: tuple[str, ...] = ()
    """Custom lines that it accepts."""

    def run(self, data: bytes) -> Drawn:
        """Runs a program. Raises Refused."""
        drawn = Drawn()
        if not data.endswith(self.ending) or (self.ending == b"\n" and b"\r" in data):
            raise Refused("line ends")
        at, is_down, feed = list(self.begins), None, None
        for number, raw in enumerate(data.removesuffix(self.ending).split(self.ending), start=1):
            line = raw.decode("ascii")
            where = f"{self.name}, line {number}: {line}"
            if drawn.ended or len(line) > self.longest or "\r" in line or "\n" in line:
                raise Refused(where)
            if line in self.own:
                drawn.own.append(line)
                continue
            if line.startswith("("):
                if not self.comments or not re.fullmatch(r"\([^()]*\)", line):
                    raise Refused(where)
                continue
            words = WORD.findall(line)
            if " ".join(a + b for a, b in words) != line:
                raise Refused(where)
            if all(a + b in self.words for a, b in words):
                continue
            (code, value), rest = words[0], dict(words[1:])
            if any(len(v.partition(".")[2]) > self.decimals for a, v in rest.items() if a in self.axes):
                raise Refused(where)
            numbers = {a: float(v) for a, v in rest.items()}
            command = code + value
            lifted = self._lifts(command, numbers, is_down)
            if lifted is not None:
                is_down = lifted
                if is_down:
                    drawn.lines.append([self._mm(at)])
                    drawn.heights.append(next(iter(numbers.values())))
            elif command == "G92" and self.preset and set(numbers) == set(self.axes):
                at = [numbers[a] for a in self.axes]
                drawn.begin = drawn.begin or self._mm(at)
            elif command == "G4" and set(numbers) == {"P"}:
                drawn.waited += numbers["P"] * self.wait_seconds
            elif command in ("G1", "G2", "G3") and set(numbers) <= {*self.axes, "F", "I", "J"}:
                feed = self._feed(numbers, feed, where)
                way = self._way(command, at, numbers, where)
                length = sum(math.dist(a, b) for a, b in itertools.pairwise(way))
                drawn.seconds += 60 / feed if self.feed_seconds == 0 else self.feed_seconds * length / feed
                if is_down:
                    drawn.lines[-1] += [self._mm(p) for p in way[1:]]
                at = list(way[-1])
            elif line == self.pause:
                drawn.pauses += 1
            elif line == self.end:
                drawn.ended = True
            else:
                raise Refused(where)
        if not drawn.ended or is_down:
            raise Refused(f"{self.name}: it does not end, or with the pen down")
        return drawn

    def _mm(self, at) -> tuple[float, float]:
        return at[0] / self.per_mm[0], at[1] / self.per_mm[1]

    def _lifts(self, command: str, numbers: dict[str, float], is_down: bool | None) -> bool | None:
        if len(self.lift) == 1:
            if command != "G0" or set(numbers) != {self.lift}:
                return None
            return numbers[self.lift] != self.up
        first, last = self.lift.split()
        letter = "P" if first == "G4" else "S"
        if command == last and command != first and not numbers:
            return False
        if command != first or set(numbers) != {letter} or numbers[letter] not in (self.up, self.down):
            return None
        return numbers[letter] == self.down

    def _feed(self, numbers: dict[str, float], feed: float | None, where: str) -> float:
        if self.feed_seconds == 0 and "F" not in numbers:
            raise Refused(where)
        feed = numbers.get("F", feed)
        if feed is None or feed <= 0:
            raise Refused(where)
        return feed

    def _way(self, command: str, at: list[float], numbers: dict[str, float], where: str) -> list[tuple[float, float]]:
        to = tuple(numbers.get(a, v) for a, v in zip(self.axes, at, strict=True))
        if command == "G1":
            if "I" in numbers or "J" in numbers or not set(self.axes) & set(numbers):
                raise Refused(where)
            return [tuple(at), to]
        if not self.has_arcs or not {"I", "J"} <= set(numbers):
            raise Refused(where)
        cx, cy = at[0] + numbers["I"], at[1] + numbers["J"]
        radius = math.dist(at, (cx, cy))
        if abs(radius - math.dist(to, (cx, cy))) > 0.002:
            raise Refused(where)
        a, b = math.atan2(at[1] - cy, at[0] - cx), math.atan2(to[1] - cy, to[0] - cx)
        turn = -((a - b) % math.tau) if command == "G2" else (b - a) % math.tau
        steps = max(2, math.ceil(abs(turn) * 50))
        inner = [
            (cx + radius * math.cos(a + turn * k / steps), cy + radius * math.sin(a + turn * k / steps))
            for k in range(1, steps)
        ]
        return [tuple(at), *inner, to]
