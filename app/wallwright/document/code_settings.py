"""Settings of the post-processor: how the RS-274 files of a controller are written.

Programs that move a machine in the same way can differ in axis letters, units, the words that lower the pen or pause,
and line endings.
"""

from __future__ import annotations

import re
from typing import Annotated, Literal

import msgspec

from wallwright.document.errors import BadValue
from wallwright.document.language import N_, tr
from wallwright.document.quantity import quantity

AxisLetter = Literal["X", "Y", "Z", "A", "B", "C"]
PLACEHOLDERS = {
    "hanging": N_("name of the hanging"),
    "machine": N_("name of the machine"),
    "pen": N_("name of the pen"),
    "pen_number": N_("number of the pen in the list"),
    "colour": N_("colour of the pen"),
    "left": N_("left axis at the starting point"),
    "right": N_("right axis at the starting point"),
    "strokes": N_("number of strokes"),
}
"""Placeholders allowed in braces in a custom text, with their meaning."""
_PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
LEAST_ARC_DECIMALS = 3
"""Fewest decimals with arcs: the ends of an arc may differ by 0.002 mm in their distance from its centre (NISTIR 6556,
3.5.3.2)."""
MOST_TEXT = 4000
"""Largest length of a custom text, in characters."""
Lines = Annotated[str, msgspec.Meta(max_length=MOST_TEXT)]
Word = Annotated[str, msgspec.Meta(max_length=80)]


class CodeSettings(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Settings of a controller that runs RS-274."""

    left_axis: AxisLetter = "X"
    """Axis of the left belt, or of x where the controller takes positions."""
    right_axis: AxisLetter = "Y"
    lift_axis: AxisLetter = "Z"
    left_reversed: bool = False
    """Whether the left axis counts up when the belt is wound in."""
    right_reversed: bool = False
    unit: Literal["mm", "inches", "steps", "revolutions"] = "mm"
    """Unit of the axes: mm or inches of belt, microsteps, or turns of the pulley."""
    feed_unit: Literal["minute", "second", "inverse"] = "minute"
    """Unit of F: units per minute, units per second, or G93 (inverse time: one over the minutes of each move)."""
    start: Literal["preset", "stop", "none"] = "preset"
    """preset: G92 sets the position at the starting point, with belts set by tape; stop: belts are wound in to stops of
    known length, then let out; none: the controller knows its position."""
    modes: Literal["all", "short", "none"] = "all"
    """Words at the head that set the controller's modes: all; short: units, distance mode and feed mode; or none."""
    decimals: Annotated[
        int,
        quantity(
            "", 0, 6, "Decimals", "Decimals of positions.", "A ten-thousandth of a millimetre is finer than a step."
        ),
    ] = 4
    comments: Literal["kept", "short", "none"] = "kept"
    """kept: everything; short: cautions, expected settings, fingerprint, pens and stroke numbers; none."""
    pause_message: Literal["comment", "message", "none"] = "message"
    """What precedes a pause: a comment, a comment that the controller displays ((MSG, ...), NISTIR 6556, 3.3.4), or
    nothing. The default is displayed by a controller or sender that knows the standard; others treat it as a comment."""
    pause: Word = "M0"
    """Word that makes the controller wait for a person."""
    end: Word = "M2"
    """Word that ends the program."""
    header: Lines = ""
    """Custom lines before the first move."""
    pen_change: Lines = ""
    """Custom lines before the pause for each pen."""
    footer: Lines = ""
    """Custom lines before the end."""
    dwell_unit: Literal["s", "ms"] = "s"
    """Unit of P in G4."""
    line_ending: Literal["lf", "crlf"] = "lf"
    line_length: Annotated[
        int,
        quantity(
            "",
            80,
            256,
            "Line length",
            "Most characters of a line; longer comments take several lines.",
            "What the standard allows (NISTIR 6556, 3.3.1).",
        ),
    ] = 256
    transfer: Literal["sender", "card", "network"] = "sender"
    """How files get onto the machine: sent line by line, on a memory card, or over the network."""
    files: Literal["one", "pens", "size"] = "one"
    """One file in all, one for each pen, or files split at a size, always at the end of a stroke."""
    file_size: Annotated[
        float,
        quantity("kB", 4, 1_000_000, "File size", "Largest file when files are split by size.", "Fits small memories."),
    ] = 1000.0

    @property
    def shown_at_pauses(self) -> Literal["comment", "message", "none"]:
        """Kind of comment before a pause; none in a file without comments, since a message is a comment too."""
        return "none" if self.comments == "none" else self.pause_message

    @property
    def resolution(self) -> float:
        """Largest rounding error of a written number: half of the last decimal, in the unit of the axes."""
        return 0.5 * 10.0**-self.decimals


def custom_lines(text: str, values: dict[str, str]) -> list[str]:
    """Returns the non-empty lines of a custom text, with placeholders replaced."""
    filled = _PLACEHOLDER.sub(lambda found: values.get(found[1], found[0]), text)
    return [line.rstrip() for line in filled.splitlines() if line.strip()]


def custom_texts(code: CodeSettings) -> tuple[str, ...]:
    """Returns all custom texts."""
    return code.header, code.pen_change, code.footer, code.pause, code.end


def check_code(code: CodeSettings, takes_plane: bool, has_arcs: bool) -> None:
    """Raises BadValue for settings that exclude each other or make it impossible to write a file."""
    axes = (code.left_axis, code.right_axis, code.lift_axis)
    if len(set(axes)) < len(axes):
        raise BadValue(tr("The left, right and lift axes need different letters, not {0}", " ".join(axes)))
    if (code.left_axis in "ABC") != (code.right_axis in "ABC"):
        raise BadValue(tr("The axes {0} and {1} cannot share a feed; use two of X, Y, Z or two of A, B, C", *axes[:2]))
    if takes_plane and code.unit in ("steps", "revolutions"):
        raise BadValue(tr("A controller that takes positions needs mm or inches, not {0}", code.unit))
    if takes_plane and code.start == "stop":
        raise BadValue(tr("Winding in to stops needs a controller that takes belt lengths"))
    if takes_plane and has_arcs and axes[:2] != ("X", "Y"):
        raise BadValue(tr("Arcs need the axes X and Y, not {0} and {1}", *axes[:2]))
    if takes_plane and has_arcs and code.decimals < LEAST_ARC_DECIMALS:
        raise BadValue(tr("Arcs need at least {0} decimals, so that they end on their circle", LEAST_ARC_DECIMALS))
    if code.unit == "inches" and code.left_axis in "ABC":
        raise BadValue(tr("The axes A, B and C turn: the standard does not convert them to inches"))
    for title, text in (
        (tr("header"), code.header),
        (tr("pen change"), code.pen_change),
        (tr("footer"), code.footer),
        (tr("pause"), code.pause),
        (tr("end"), code.end),
    ):
        _check_text(title, text, code.line_length)
    for title, word in ((tr("pause"), code.pause), (tr("end"), code.end)):
        if not word.strip() or "\n" in word:
            raise BadValue(tr("The {0} needs one line of code", title))


def _check_text(title: str, text: str, longest: int) -> None:
    if not all(" " <= c <= "~" or c in "\n\t" for c in text):
        bad = next(c for c in text if not (" " <= c <= "~" or c in "\n\t"))
        raise BadValue(tr("The text for {0} contains “{1}”; controllers read ASCII only", title, bad))
    for found in _PLACEHOLDER.finditer(text):
        if found[1] not in PLACEHOLDERS:
            raise BadValue(
                tr(
                    "The text for {0} contains {1}; there is {2}",
                    title,
                    found[0],
                    ", ".join("{" + name + "}" for name in PLACEHOLDERS),
                )
            )
    for line in text.splitlines():
        if len(line) > longest:
            raise BadValue(tr("A line of the text for {0} has more than {1} characters", title, longest))
