"""Post-processor: writes RS-274 words for a controller's settings (axes, units, feeds, pen lift, waits, pauses, comments).

The structure of a program is in rs274.py. After NISTIR 6556, section 3.
"""

from __future__ import annotations

import re
import textwrap
import unicodedata
from dataclasses import dataclass, replace

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.code_settings import PLACEHOLDERS, CodeSettings, custom_lines, custom_texts
from wallwright.document.document import Pen
from wallwright.document.machine import Machine
from wallwright.jobs.coordinates import ControllerPath
from wallwright.jobs.interpreter.constants import INCH
from wallwright.jobs.interpreter.interpreter import LONGEST_LINE

FEED_DECIMALS = 1
"""Decimals of a feed in mm/min."""
_SPELT = str.maketrans(
    {"ä": "ae", "ö": "oe", "ü": "ue", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue", "ß": "ss", "–": "-", "’": "", "²": "2"}
)
_IN_COMMENTS = str.maketrans({"(": "[", ")": "]", "{": "[", "}": "]", ";": ",", "%": " per cent", "'": "", "_": "-"})
"""Replacements in comments: a left bracket begins one and the first right one ends it (NISTIR 6556, 3.3.4); "%" bounds a
program (3.1)."""
_SIGNS = frozenset(" .,:+-*/=#[]")
"""Characters allowed in comments besides letters and digits: those of lines of code (NISTIR 6556, 3.3), the comma of its
messages and the colon (both in the character set of ISO 6983-1). Any reader of the code can read these."""


def comment(text: str, longest: int = LONGEST_LINE) -> str:
    """Returns a comment line with letters, digits and the characters of code lines only; line ends become blanks."""
    plain = unicodedata.normalize("NFKD", " ".join(text.splitlines()).translate(_SPELT)).translate(_IN_COMMENTS)
    letters = (c for c in plain if not unicodedata.combining(c))
    plain = "".join(c if c.isascii() and (c.isalnum() or c in _SIGNS) else "." for c in letters)
    return f"({plain[: longest - 2]})"


def _comments(text: str, longest: int) -> list[str]:
    """Returns a text as comments of at most `longest` characters, broken between words, so that no caution is truncated."""
    return [f"({part})" for part in textwrap.wrap(comment(text, len(text) * 12)[1:-1], longest - 2)] or ["()"]


def _messages(text: str, longest: int) -> list[str]:
    """Returns the same as comments that the controller displays (NISTIR 6556, 3.3.4)."""
    return [f"(MSG, {part[1:]}" for part in _comments(text, longest - len("MSG, "))]


def number(value: float, decimals: int = 4) -> str:
    """Formats a number with at most `decimals` decimals, without exponent or minus zero."""
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def describe_pen(pens: tuple[Pen, ...], index: int) -> str:
    """Returns a pen's number, name and colour, which distinguish it from pens of the same name."""
    pen = pens[index]
    return f"Pen {index + 1}: {pen.name} {pen.colour}"


@dataclass(frozen=True)
class PostProcessor:
    """Writes words for one machine's controller."""

    machine: Machine

    @property
    def code(self) -> CodeSettings:
        return self.machine.controller.code

    @property
    def scale(self) -> float:
        """Units of the axes per mm."""
        circumference = self.machine.motor.teeth * self.machine.belt.pitch
        return {
            "mm": 1.0,
            "inches": 1 / INCH,
            "steps": self.machine.controller_steps_per_mm,
            "revolutions": 1 / circumference,
        }[self.code.unit]

    @property
    def factors(self) -> Floats:
        """(2,) units of the left and right axis per mm, negative for a reversed one."""
        signs = [-1.0 if reverse else 1.0 for reverse in (self.code.left_reversed, self.code.right_reversed)]
        return self.scale * np.array(signs)

    @property
    def letters(self) -> tuple[str, str, str]:
        """Letters of the left, right and lift axis."""
        return self.code.left_axis, self.code.right_axis, self.code.lift_axis

    def in_axes(self, path: ControllerPath) -> ControllerPath:
        """Returns a path with values and centres in units of the axes instead of mm."""
        centre = None if path.centre is None else path.centre * self.factors
        return replace(path, values=path.values * self.factors, centre=centre)

    @property
    def feed_decimals(self) -> int:
        """Decimals of F: as fine as a tenth of a millimetre per minute."""
        if self.code.feed_unit == "inverse":
            return 4
        finer = max(0, round(float(np.ceil(-np.log10(self.scale)))))
        return FEED_DECIMALS + finer + (2 if self.code.feed_unit == "second" else 0)

    def feed_numbers(self, feeds: Floats, path: ControllerPath) -> Floats:
        """Returns (n,) F as written, never 0, for feeds in mm/min along a path in mm; arbitrary where no move ends."""
        if self.code.feed_unit == "inverse":
            with np.errstate(divide="ignore", invalid="ignore"):
                found = feeds / path.lengths
            found = np.where(np.isfinite(found), found, 60.0)
        else:
            found = np.nan_to_num(feeds, nan=60.0) * self.scale / (60.0 if self.code.feed_unit == "second" else 1.0)
        return np.maximum(np.round(found, self.feed_decimals), 10.0**-self.feed_decimals)

    def position(self, values: Floats) -> str:
        """Returns the words of a position (2,) in mm."""
        left, right = (number(v, self.code.decimals) for v in values * self.factors)
        return f"{self.code.left_axis}{left} {self.code.right_axis}{right}"

    def modes(self) -> list[str]:
        """Returns words that put the controller into a known state."""
        units = "G20" if self.code.unit == "inches" else "G21"
        feed = "G93" if self.code.feed_unit == "inverse" else "G94"
        if self.code.modes == "all":
            return [f"G17 {units} G40 G49 G80 G90", feed]
        return [units, "G90", feed] if self.code.modes == "short" else []

    @property
    def usual_modes(self) -> set[str]:
        """Words for the state in which programs run."""
        units = "G20" if self.code.unit == "inches" else "G21"
        return {"G17", units, "G40", "G49", "G90", "G93" if self.code.feed_unit == "inverse" else "G94"}

    def assumed_modes(self) -> set[str]:
        """Returns words for the state that the controller is assumed to start in: those not in `modes`."""
        usual = self.usual_modes
        stated = {"all": usual, "short": usual - {"G17", "G40", "G49"}, "none": set()}[self.code.modes]
        return usual - stated

    def wait_number(self, seconds: float) -> float:
        """Returns P of a wait in seconds."""
        return seconds * (1000.0 if self.code.dwell_unit == "ms" else 1.0)

    def wait(self, seconds: float) -> str:
        return f"G4 P{number(self.wait_number(seconds))}"

    def lift(self, down: bool, height: float | None = None) -> list[str]:
        """Returns lines that lower or raise the pen and wait for it. height: another value with the pen down."""
        lift = self.machine.lift
        value = lift.up if not down else lift.down if height is None else height
        if lift.kind == "axis":
            word = f"G0 {self.code.lift_axis}{number(value)}"
        elif lift.kind == "dwell":
            word = f"G4 P{number(value)}"
        elif lift.kind == "spindle" and not down:
            word = "M5"
        else:
            word = f"M3 S{number(max(value, 0.0))}"
        return [word, self.wait(lift.lower_time if down else lift.raise_time)]

    def note(self, text: str, needed: bool = False) -> list[str]:
        """Returns a comment, where the settings keep it. needed: kept in short files too."""
        if self.code.comments == "none" or (self.code.comments == "short" and not needed):
            return []
        return _comments(text, self.code.line_length)

    def pause(self, message: str) -> list[str]:
        """Returns lines that make the controller wait for a person, with a message."""
        lines = {
            "comment": self.note(message, needed=True),
            "message": _messages(message, self.code.line_length),
            "none": [],
        }[self.code.shown_at_pauses]
        return [*lines, *custom_lines(self.code.pause, {})]

    def end(self) -> list[str]:
        return custom_lines(self.code.end, {})

    def encode(self, lines: list[str]) -> bytes:
        """Encodes lines with their line endings."""
        ending = self.line_ending
        return "".join(line + ending for line in lines).encode("ascii")

    @property
    def line_ending(self) -> str:
        return "\r\n" if self.code.line_ending == "crlf" else "\n"


class CustomLines:
    """The set of lines that custom texts may produce, with any values for their placeholders."""

    def __init__(self, code: CodeSettings) -> None:
        anything = dict.fromkeys(PLACEHOLDERS, "\0")
        lines = [line for text in custom_texts(code) for line in custom_lines(text, anything)]
        # A line of placeholders alone would match any line, including damaged ones of the program.
        lines = [line for line in lines if line.replace("\0", "").strip()]
        pattern = "|".join(".*".join(map(re.escape, line.split("\0"))) for line in lines)
        self._pattern = re.compile(pattern.encode("ascii")) if lines else None

    def __contains__(self, line: object) -> bool:
        return isinstance(line, bytes) and self._pattern is not None and self._pattern.fullmatch(line) is not None


def turning(path: ControllerPath, at: Integers) -> Integers:
    """Returns (m,) the G word's number of the moves that end at points (m,): 1 a line, 2 an arc clockwise with X to the
    right and Y up, 3 anticlockwise."""
    if path.centre is None:
        return np.ones(len(at), dtype=np.int64)
    a, b = path.values[at - 1] - path.centre[at], path.values[at] - path.centre[at]
    cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return np.where(np.isnan(cross), 1, np.where(cross < 0, 2, 3))
