"""An RS-274/NGC reader after the grammar of NISTIR 6556, appendix E. Shares no code with app.jobs."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

NUMBER = r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)"
WORD = re.compile(rf"([A-Z])\s*({NUMBER})", re.IGNORECASE)
COMMENT = re.compile(r"\([^()\x00-\x1f\x7f-\xff]*\)")
# Modal groups of table 4 of NISTIR 6556; two words of one group may not stand on a line.
GROUPS = {
    "motion": {"0", "1", "2", "3", "38.2", "80", "81", "82", "83", "84", "85", "86", "87", "88", "89"},
    "plane": {"17", "18", "19"}, "distance": {"90", "91"}, "feed": {"93", "94"}, "units": {"20", "21"},
    "radius": {"40", "41", "42"}, "length": {"43", "49"}, "non-modal": {"4", "10", "28", "30", "53", "92", "92.1"},
}  # fmt: skip
M_WORDS = {"0", "1", "2", "30", "3", "4", "5", "6", "7", "8", "9", "48", "49", "60"}


class NotRs274(AssertionError):
    """The line does not follow the grammar."""


@dataclass
class Program:
    """What a program makes the axes and the pen do."""

    moves: list[tuple[float, float, float, bool]] = field(default_factory=list)
    """x, y, feed mm/min, pen down, one a move."""
    start: tuple[float, float] = (0.0, 0.0)
    stops: int = 0
    seconds: float = 0.0
    """Dwell and moves at the programmed feed."""


def read_line(line: str) -> list[tuple[str, str]]:
    """Words of a line, checked against the grammar."""
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


def normal(value: str) -> str:
    return f"{float(value):g}"


def read_program(text: str) -> Program:
    """Follows a whole program."""
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
        elif "1" in g:
            feed = values.get("F", feed)
            if feed <= 0:
                raise NotRs274("G1 without a feed")
            nx, ny = values.get("X", x), values.get("Y", y)
            program.seconds += ((nx - x) ** 2 + (ny - y) ** 2) ** 0.5 / feed * 60
            x, y = nx, ny
            program.moves.append((x, y, feed, pen_down))
        if "3" in m or "5" in m:
            pen_down = "3" in m
        program.stops += "0" in m
        ended = ended or "2" in m
    if not ended:
        raise NotRs274("no M2 at the end")
    return program
