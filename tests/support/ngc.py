"""An RS-274/NGC reader after the grammar of NISTIR 6556, appendix E. Shares no code with wallwright.jobs."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

NUMBER = r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)"
WORD = re.compile(rf"([A-Z])\s*({NUMBER})", re.IGNORECASE)
COMMENT = re.compile(r"\([^()\x00-\x1f\x7f-\xff]*\)")
# Modal groups of table 4 of NISTIR 6556; a line must not have two words of a group.
GROUPS = {
    "motion": {"0", "1", "2", "3", "38.2", "80", "81", "82", "83", "84", "85", "86", "87", "88", "89"},
    "plane": {"17", "18", "19"},
    "distance": {"90", "91"},
    "feed": {"93", "94"},
    "units": {"20", "21"},
    "radius": {"40", "41", "42"},
    "length": {"43", "49"},
    "non-modal": {"4", "10", "28", "30", "53", "92", "92.1"},
}
M_WORDS = {"0", "1", "2", "30", "3", "4", "5", "6", "7", "8", "9", "48", "49", "60"}


class NotRs274(AssertionError):
    """The line does not follow the grammar."""


@dataclass
class Program:
    """Moves of axes and pen by a program."""

    moves: list[tuple[float, float, float, bool]] = field(default_factory=list)
    """x, y, feed mm/min, pen down, for each move."""
    arcs: dict[int, tuple[float, float, bool]] = field(default_factory=dict)
    """Arcs by index of the move: centre, and whether clockwise with x to the right and y up."""
    start: tuple[float, float] = (0.0, 0.0)
    stops: int = 0
    seconds: float = 0.0
    """Time of dwells and moves at the programmed feed, s."""


def read_line(line: str) -> list[tuple[str, str]]:
    """Returns the words of a line, checked against the grammar."""
    if len(line) > 256:
        raise NotRs274(f"longer than 256 characters: {line[:40]}")
    rest = COMMENT.sub("", line)
    if "(" in rest or ")" in rest:
        raise NotRs274(f"unclosed comment: {line}")
    words = [(letter.upper(), value) for letter, value in WORD.findall(rest)]
    left = WORD.sub("", rest).strip()
    if left not in ("", "%", "/"):
        raise NotRs274(f"not words: {left!r} in {line}")
    g = [normal(v) for letter, v in words if letter == "G"]
    for name, members in GROUPS.items():
        if sum(v in members for v in g) > 1:
            raise NotRs274(f"two words of group {name}: {line}")
    for v in g:
        if not any(v in members for members in GROUPS.values()):
            raise NotRs274(f"unknown G{v}")
    for letter, v in words:
        if letter == "M" and normal(v) not in M_WORDS:
            raise NotRs274(f"unknown M{v}")
        if letter not in "GM" and [w for w, _ in words].count(letter) > 1:
            raise NotRs274(f"{letter} twice: {line}")
    return words


def arc_turn(begin, end, centre, clockwise: bool) -> float:
    """Returns the angle of an arc in centre format, rad, negative if clockwise. NISTIR 6556, 3.5.3.2: the distances
    of its ends from the centre may differ by 0.002 mm, and equal ends make a full circle."""
    (x0, y0), (x1, y1) = ((p[0] - centre[0], p[1] - centre[1]) for p in (begin, end))
    if abs(math.hypot(x0, y0) - math.hypot(x1, y1)) > 0.002:
        raise NotRs274(f"arc from {begin} to {end} about {centre}: radii differ")
    turn = (math.atan2(y1, x1) - math.atan2(y0, x0)) % (2 * math.pi)
    if clockwise:
        return turn - 2 * math.pi
    return turn if turn > 0 else 2 * math.pi


def on_the_way(program: Program, step: float) -> list[tuple[float, float, bool]]:
    """Returns points at most a step apart along all moves, with both ends of each, mm, and whether the pen is down."""
    (x, y), found = program.start, []
    for number, (nx, ny, _, down) in enumerate(program.moves):
        if number in program.arcs:
            cx, cy, clockwise = program.arcs[number]
            turn = arc_turn((x, y), (nx, ny), (cx, cy), clockwise)
            radius, begin = math.hypot(x - cx, y - cy), math.atan2(y - cy, x - cx)
            n = max(1, math.ceil(radius * abs(turn) / step))
            angles = (begin + turn * k / n for k in range(n + 1))
            found += [(cx + radius * math.cos(a), cy + radius * math.sin(a), down) for a in angles]
        else:
            n = max(1, math.ceil(math.hypot(nx - x, ny - y) / step))
            found += [(x + (nx - x) * k / n, y + (ny - y) * k / n, down) for k in range(n + 1)]
        x, y = nx, ny
    return found


def normal(value: str) -> str:
    return f"{float(value):g}"


def read_program(text: str) -> Program:
    """Reads a whole program."""
    program = Program()
    x = y = feed = 0.0
    pen_down, up_height, ended = False, None, False
    for line in text.splitlines():
        words = read_line(line)
        if ended and words:
            raise NotRs274("words after M2")
        values = {letter: float(v) for letter, v in words}
        g = {normal(v) for letter, v in words if letter == "G"}
        m = {normal(v) for letter, v in words if letter == "M"}
        if "92" in g:
            x, y = values["X"], values["Y"]
            program.start = (x, y)
        elif "4" in g:
            program.seconds += values["P"]
        elif "Z" in values:
            up_height = values["Z"] if up_height is None else up_height
            pen_down = values["Z"] != up_height
        elif g & {"1", "2", "3"}:
            feed = values.get("F", feed)
            if feed <= 0:
                raise NotRs274("G1, G2 or G3 without a feed")
            nx, ny = values.get("X", x), values.get("Y", y)
            way = math.hypot(nx - x, ny - y)
            if "1" not in g:
                cx, cy = x + values.get("I", 0.0), y + values.get("J", 0.0)
                program.arcs[len(program.moves)] = cx, cy, "2" in g
                way = math.hypot(x - cx, y - cy) * abs(arc_turn((x, y), (nx, ny), (cx, cy), "2" in g))
            program.seconds += way / feed * 60
            x, y = nx, ny
            program.moves.append((x, y, feed, pen_down))
        if "3" in m or "5" in m:
            pen_down = "3" in m
        program.stops += "0" in m
        ended = ended or "2" in m
    if not ended:
        raise NotRs274("no M2 at the end")
    return program
