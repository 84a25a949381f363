"""Replays an RS-274/NGC program in pieces of whole lines: axes, spindle, pauses and times."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.language import N_, tr
from wallwright.jobs.interpreter import constants as c

LONGEST_LINE = 256
"""Largest number of characters in a line (NISTIR 6556, 3.3.1)."""
AXES = "XYZABC"
MODES = {
    "G17": (c.PLANE, 17),
    "G18": (c.PLANE, 18),
    "G19": (c.PLANE, 19),
    "G20": (c.UNITS, 20),
    "G21": (c.UNITS, 21),
} | {
    "G40": (c.RADIUS, 40),
    "G49": (c.LENGTH, 49),
    "G90": (c.DISTANCE, 90),
    "G91": (c.DISTANCE, 91),
    "G93": (c.FEED_MODE, 93),
    "G94": (c.FEED_MODE, 94),
}
"""Words that may be in force at the start, with what they set."""
WRONG = {
    c.BAD_CHARACTER: N_("a character that has no meaning there"),
    c.NO_NUMBER: N_("a letter without a number"),
    c.OPEN_COMMENT: N_("a comment that does not end, or one inside another"),
    c.TOO_LONG: N_("more characters than a line may have"),
    c.TOO_MANY_WORDS: N_("too many words"),
    c.EXPRESSION: N_("an expression or parameter"),
    c.BLOCK_DELETE: N_("a block delete mark (/)"),
    c.BAD_LINE_NUMBER: N_("an invalid line number"),
    c.SAME_GROUP: N_("two words that exclude each other"),
    c.UNKNOWN_WORD: N_("a word that the standard does not have"),
    c.TWICE: N_("the same word twice"),
    c.NOT_FOLLOWED: N_("a word that moves or shifts the machine in a way the plan does not know"),
    c.NO_AXIS: N_("a move without an axis"),
    c.UNUSED: N_("a word that nothing on its line uses"),
    c.UNKNOWN_MODE: N_("a move although no word has set units, distances, plane or feed"),
    c.UNKNOWN_POSITION: N_("a move to a position although no word has set where the machine is"),
    c.NO_FEED: N_("a move without a feed"),
    c.BAD_ARC: N_("an arc that does not end on its circle"),
    c.NEGATIVE: N_("a negative number where only an amount can be"),
    c.NO_DWELL_TIME: N_("a wait without a time"),
}


FOREIGN = {c.BAD_CHARACTER, c.NO_NUMBER, c.OPEN_COMMENT, c.EXPRESSION, c.UNKNOWN_WORD}
"""Errors that are accepted in foreign lines."""


class ProgramError(Exception):
    """A line does not follow the standard or cannot be replayed. The text says which line and why."""

    def __init__(self, line: int, wrong: int) -> None:
        super().__init__(tr("line {0} has {1}", line, tr(WRONG[wrong])))
        self.line = line


@dataclass(frozen=True)
class Events:
    """The n events of a piece of a program, in order."""

    rows: Floats
    """(n, EVENT_SIZE), columns named in constants.py."""

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def kind(self) -> Integers:
        """(n,) kinds of events: RAPID, LINE, ..."""
        return self.rows[:, c.KIND].astype(np.int64)

    @property
    def line(self) -> Integers:
        """(n,) line numbers from 1."""
        return self.rows[:, c.AT_LINE].astype(np.int64)

    def axis(self, letter: str) -> Floats:
        """Returns (n,) the position of an axis after each event: mm, or the unit of a rotary axis."""
        return self.rows[:, c.AXES + AXES.index(letter)]

    @property
    def feed(self) -> Floats:
        """(n,) feed, mm/min; with inverse time minus 1/min."""
        return self.rows[:, c.EVENT_FEED]

    @property
    def seconds(self) -> Floats:
        """(n,) duration of a move at its feed, s."""
        return self.rows[:, c.SECONDS]

    @property
    def centre(self) -> Floats:
        """(n, 2) centre of an arc relative to its start, mm, along X and Y for G17; 0 for lines."""
        return self.rows[:, c.CENTRE : c.CENTRE + 2]

    @property
    def value(self) -> Floats:
        """(n,) s of a dwell; spindle speed, -1 when stopped, -2 - speed when it turns anticlockwise."""
        return self.rows[:, c.VALUE]


class Interpreter:
    """Replays one program."""

    def __init__(
        self,
        start: dict[str, float] | None = None,
        known: dict[str, float] | None = None,
        modes: Container[str] = (),
        longest: int = LONGEST_LINE,
        foreign: Container[bytes] = (),
    ) -> None:
        """start: initial positions of axes, mm; others are at 0. known: the controller's coordinates of these positions;
        those of other axes are unknown. modes: words of MODES in force at the start. foreign: lines that may be outside
        the standard; they are then skipped."""
        self.line = 0
        self._longest, self._foreign = longest, foreign
        self._state = np.full(c.STATE_SIZE, np.nan)
        self._state[[c.ENDED, c.PERCENTS]] = 0.0
        self._position, self._offset = np.zeros(6), np.full(6, np.nan)
        for letter, value in (start or {}).items():
            self._position[AXES.index(letter)] = value
        for letter, value in (known or {}).items():
            self._offset[AXES.index(letter)] = self._position[AXES.index(letter)] - value
        for word, (mode, value) in MODES.items():
            if word in modes:
                self._state[mode] = value

    @property
    def has_ended(self) -> bool:
        """Whether a word has ended the program; nothing after it is executed."""
        return bool(self._state[c.ENDED])

    def offset(self, letter: str) -> float:
        """Returns the position of an axis minus the controller's coordinate; nan while unknown."""
        return float(self._offset[AXES.index(letter)])

    def run(self, piece: bytes) -> Events:
        """Replays the next whole lines. Raises ProgramError."""
        from wallwright.jobs.interpreter.execution import run_lines  # numba: slow to import

        data = np.frombuffer(piece, dtype=np.uint8)
        ends = np.flatnonzero(data == ord("\n"))
        if not piece.endswith(b"\n"):
            ends = np.append(ends, len(data))
        begins = np.concatenate([[0], ends[:-1] + 1]).astype(np.int64)
        parts, at = [], 0
        while at < len(begins):
            rows = np.empty((4 * (len(begins) - at), c.EVENT_SIZE))
            count, done, wrong = run_lines(
                data,
                begins[at:],
                ends[at:],
                self.line,
                self._longest,
                self._state,
                self._position,
                self._offset,
                rows,
            )
            self.line += done
            at += done
            parts.append(rows[:count])
            if not wrong:
                break
            line = piece[begins[at] : ends[at]].rstrip(b"\r")
            self.line += 1
            if wrong not in FOREIGN or line not in self._foreign:
                raise ProgramError(self.line, wrong)
            at += 1
        return Events(np.concatenate(parts) if parts else np.empty((0, c.EVENT_SIZE)))
