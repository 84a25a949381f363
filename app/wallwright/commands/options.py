"""Option types of the commands: numbers with units, choices, and dependencies between options."""

from __future__ import annotations

import argparse
import contextlib
import difflib
import json
import math
import os
import re
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.migrations import EARLIER_VALUES
from wallwright.document.reading_limits import reading
from wallwright.document.typed_numbers import evaluate
from wallwright.document.whole_file import read_whole_file

Parsed = TypeVar("Parsed")

OUTSIDE = ("refuse", "clip", "draw-anyway")
"""Choices for strokes outside the draw zone."""
_NEGATIVE = re.compile(r"-[\d.]")
_DESTINATIONS = {"from": "source", "pass": "pass_"}
"""Attribute names of options whose names are Python keywords."""


def join_negative_values(arguments: Iterable[str]) -> list[str]:
    """Writes --option -5,3 as --option=-5,3, since argparse would read the value as an option.

    A point after another value (--keep-out NAME -5,3 ...) gets a space before its minus, to the same effect.
    """
    words: list[str] = []
    for word in arguments:
        if not _NEGATIVE.match(word) or not words:
            words.append(word)
        elif words[-1].startswith("--") and "=" not in words[-1]:
            words[-1] += f"={word}"
        else:
            words.append(f" {word}")
    return words


def suggestion(word: str, known: Iterable[str]) -> str:
    """Returns "; did you mean --width?", or "" when no known word is similar."""
    near = difflib.get_close_matches(word.partition("=")[0], list(known), n=1)
    return tr("; did you mean {0}?", near[0]) if near else ""


def number(unit: str, low: float = -math.inf, high: float = math.inf, whole: bool = False) -> Callable[[str], float]:
    """Returns an argparse type: a number from low to high, with units and arithmetic as in the window."""

    def read(text: str) -> float:
        value = _evaluated(text, unit)
        if not low <= value <= high:
            if high == math.inf:
                raise argparse.ArgumentTypeError(tr("“{0}” must be at least {1:g} {2}", text, low, unit).rstrip())
            raise argparse.ArgumentTypeError(
                tr("“{0}” must be between {1:g} and {2:g} {3}", text, low, high, unit).rstrip()
            )
        if whole and value != round(value):
            raise argparse.ArgumentTypeError(tr("“{0}” must be a whole number", text))
        return round(value) if whole else value

    return read


def counting(first: int = 1) -> Callable[[str], int]:
    """Returns an argparse type: a whole number from `first` on."""
    read = number("", first, whole=True)
    return lambda text: round(read(text))


def numbers(count: int, names: str) -> Callable[[str], tuple[float, ...]]:
    """Returns an argparse type: several lengths, mm, separated by commas or semicolons. names: "X,Y", for the message."""

    def read(text: str) -> tuple[float, ...]:
        parts = text.split(";" if ";" in text else ",")
        if len(parts) != count:
            raise argparse.ArgumentTypeError(
                tr(
                    "“{0}” is not {1}. Write {2} numbers with commas between them; decimal commas need semicolons",
                    text,
                    names,
                    count,
                )
            )
        return tuple(_evaluated(part, "mm") for part in parts)

    return read


def pair(names: str) -> Callable[[str], tuple[float, float]]:
    """Returns an argparse type: two lengths, mm."""
    read = numbers(2, names)

    def read_pair(text: str) -> tuple[float, float]:
        first, second = read(text)
        return first, second

    return read_pair


def size(text: str) -> tuple[float, float]:
    """An argparse type: "3000x2500", or "3 m x 2.5 m"; mm. Raises ArgumentTypeError."""
    parts = re.split(r"[x×X]", text)
    if len(parts) != 2:
        raise argparse.ArgumentTypeError(tr("“{0}” is not WxH, for example 3000x2500 or 3mx2.5m", text))
    width, height = (_evaluated(part, "mm") for part in parts)
    return width, height


def one_of(choices: Sequence[str]) -> Callable[[str], str]:
    """Returns an argparse type: one of some words, which the message lists."""

    def read(text: str) -> str:
        if text not in choices:
            raise argparse.ArgumentTypeError(
                tr("“{0}” is none of {1}{2}", text, ", ".join(choices), suggestion(text, choices))
            )
        return text

    return read


def outside_choice(text: str) -> str:
    """An argparse type: the stored choice for strokes outside the draw zone."""
    return one_of(OUTSIDE)(EARLIER_VALUES["outside"].get(text, text))


def named(value: Callable[[str], Parsed]) -> Callable[[str], tuple[str, Parsed]]:
    """Returns an argparse type: VALUE, or NAME=VALUE for one of several artworks; ("", value) without a name."""

    def read(text: str) -> tuple[str, Parsed]:
        name, _, rest = text.rpartition("=")
        return name, value(rest)

    return read


def _evaluated(text: str, unit: str) -> float:
    try:
        return evaluate(text, unit)
    except BadValue as error:
        raise argparse.ArgumentTypeError(str(error)) from error


def is_given(args: argparse.Namespace, option: str) -> bool:
    """Whether an option was given; its default must be None, False or an empty list."""
    name = option.removeprefix("--").replace("-", "_")
    value = getattr(args, _DESTINATIONS.get(name, name))
    return value is not None and value is not False and value != []


def values_of_each(names: list[tuple[str, str]], given: list[tuple[str, Any]], option: str) -> dict[int, Any]:
    """Returns the values of an option by the index of the artwork. names: name and path, or text, of each artwork.

    Values name their artwork; without names there is one for each, in order. Raises BadValue where the artwork of a value
    is ambiguous.
    """
    if given and len(given) == len(names) and not any(name for name, _ in given):
        return dict(enumerate(value for _, value in given))
    found: dict[int, Any] = {}
    known = [name for name, _ in names]
    for name, value in given:
        if not name:
            raise BadValue(
                tr(
                    "{0}: {1} given for {2} artworks. Say which with {0} NAME=VALUE, for example {0} “{3}”=...",
                    option,
                    len(given),
                    len(names),
                    known[0],
                )
            )
        if name.isdigit() and name not in known and 1 <= int(name) <= len(names):
            fitting = [int(name) - 1]
        else:
            fitting = [i for i, each in enumerate(names) if name in each]
        if not fitting:
            raise BadValue(
                tr(
                    "{0} {1}=...: there is no artwork “{1}”; there is {2}{3}",
                    option,
                    name,
                    ", ".join(known),
                    suggestion(name, known),
                )
            )
        if len(fitting) > 1:
            raise BadValue(
                tr(
                    "{0} {1}=...: {2} artworks have that name; use their numbers, from 1",
                    option,
                    name,
                    len(fitting),
                )
            )
        if fitting[0] in found:
            raise BadValue(tr("{0} is given twice for “{1}”", option, known[fitting[0]]))
        found[fitting[0]] = value
    return found


def check_needs(args: argparse.Namespace, needs: Mapping[str, Sequence[str]]) -> None:
    """Raises BadValue for an option that would be ignored because none of those it needs is given.

    needs: by option, the options of which it needs at least one.
    """
    for option, owners in needs.items():
        if is_given(args, option) and not any(is_given(args, owner) for owner in owners):
            if len(owners) == 1:
                raise BadValue(tr("{0} belongs to {1}, which is not given", option, owners[0]))
            raise BadValue(tr("{0} belongs to {1}, none of which is given", option, either(owners)))


def either(words: Sequence[str]) -> str:
    """Returns a text such as "a, b or c"."""
    return tr("{0} or {1}", ", ".join(words[:-1]), words[-1]) if len(words) > 1 else words[0]


def add_read_anyway(parser: argparse._ActionsContainer) -> None:
    """Adds the option that agrees to the cost of reading files, for reading_files."""
    parser.add_argument(
        "--read-anyway", action="store_true", help=tr("read files that take more than 1 GB of memory, or minutes")
    )


def reading_files(args: argparse.Namespace) -> contextlib.AbstractContextManager[None]:
    """Sets the agreed reading limits in a context. Memory is limited where the system supports it."""
    return reading(args.read_anyway)


def read_file(path: Path) -> bytes:
    """Returns a file's bytes. Raises BadFile with a sentence."""
    return read_whole_file(path)


def _plain(value: Any) -> Any:
    """Converts numpy's numbers to Python's."""
    return value.item()


def print_json(value: Any) -> None:
    """Prints a JSON document on standard output, in ASCII so that it is the same on any terminal."""
    text = msgspec.json.format(msgspec.json.encode(value, enc_hook=_plain), indent=1).decode()
    sys.stdout.write(re.sub(r"[^\x00-\x7f]", lambda m: json.dumps(m[0])[1:-1], text) + "\n")


def as_text(path: str | Path) -> str:
    """Returns a path as text for JSON, with undecodable bytes as escapes."""
    return os.fsencode(path).decode("utf-8", "backslashreplace")
