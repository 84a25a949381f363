"""The options of the commands: parsing on argparse, numbers with units, choices, and which option needs which."""

from __future__ import annotations

import argparse
import contextlib
import difflib
import json
import math
import os
import re
import shutil
import sys
import textwrap
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Literal, NoReturn, TypeAlias, TypeVar, get_args, get_origin, get_type_hints

import msgspec

from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.picture import PictureSettings
from wallwright.document.quantity import Quantity, quantities
from wallwright.document.reading_limits import reading
from wallwright.document.typed_numbers import evaluate, value_of
from wallwright.document.validation_text import describe_invalid
from wallwright.document.whole_file import read_whole_file

Value = TypeVar("Value", bound=msgspec.Struct)
Parsed = TypeVar("Parsed")

WIDEST = 100
"""Columns of the help text at most: longer lines are hard to read."""
YES_NO = {"yes": True, "true": True, "on": True, "no": False, "false": False, "off": False}
_NEGATIVE = re.compile(r"-[\d.]")
_DESTINATIONS = {"from": "source", "pass": "pass_"}
"""Where options are stored whose names Python keeps for itself."""


class Parser(argparse.ArgumentParser):
    """argparse with errors of one sentence and a help text without the long list of every option in front."""

    def __init__(self, **settings: Any) -> None:
        settings.setdefault("formatter_class", _HelpFormatter)
        super().__init__(allow_abbrev=False, **settings)
        self.commands: dict[str, Parser] = {}
        """Of the whole command line: the parser of each command, by its name."""

    @property
    def options(self) -> tuple[str, ...]:
        """Every spelling of every option. argparse gives them by no public name."""
        return tuple(self._option_string_actions)

    def is_repeatable(self, option: str) -> bool:
        """Whether each value of an option counts, and not the last one only."""
        return isinstance(self._option_string_actions[option], argparse._AppendAction)

    def error(self, message: str) -> NoReturn:
        """Raises BadValue instead of leaving the program."""
        sentence = message.removeprefix("argument ")
        raise BadValue(f"{sentence}{'' if sentence.endswith('?') else '.'} See '{self.prog} --help'")


Subparsers: TypeAlias = "argparse._SubParsersAction[Parser]"
"""What each command's add_parser adds to; argparse has no public name for it."""


class _HelpFormatter(argparse.RawDescriptionHelpFormatter):
    def __init__(self, prog: str) -> None:
        width = min(shutil.get_terminal_size().columns, WIDEST)
        super().__init__(prog, max_help_position=26, width=width)

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        """Wraps sentences, and leaves lists and examples, which begin with spaces, as they are."""
        lines = (line if line.startswith(" ") else textwrap.fill(line, width) for line in text.splitlines())
        return textwrap.indent("\n".join(lines), indent)


def joined(arguments: Iterable[str]) -> list[str]:
    """Writes --option -5,3 as --option=-5,3: argparse takes any other word with a minus for an option.

    A point after another value (--keep-out NAME -5,3 ...) gets a space before its minus, which does the same.
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


def meant(word: str, known: Iterable[str]) -> str:
    """ "; did you mean --width?", or "" when nothing known is like the word."""
    near = difflib.get_close_matches(word.partition("=")[0], list(known), n=1)
    return f"; did you mean {near[0]}?" if near else ""


def number(
    unit: str, low: float = -math.inf, high: float = math.inf, whole: bool = False
) -> Callable[[str], float]:
    """An argparse type: a number with units and arithmetic as in the window, within low and high."""

    def read(text: str) -> float:
        value = _evaluated(text, unit)
        if not low <= value <= high:
            limits = f"at least {low:g}" if high == math.inf else f"between {low:g} and {high:g}"
            raise argparse.ArgumentTypeError(f"'{text}' must be {limits} {unit}".rstrip())
        if whole and value != round(value):
            raise argparse.ArgumentTypeError(f"'{text}' must be a whole number")
        return round(value) if whole else value

    return read


def counting(first: int = 1) -> Callable[[str], int]:
    """An argparse type: a whole number from `first` on."""
    read = number("", first, whole=True)
    return lambda text: round(read(text))


def numbers(count: int, names: str) -> Callable[[str], tuple[float, ...]]:
    """An argparse type: several lengths, mm, with commas or semicolons between them. names: "X,Y", for the message."""

    def read(text: str) -> tuple[float, ...]:
        parts = text.split(";" if ";" in text else ",")
        if len(parts) != count:
            raise argparse.ArgumentTypeError(
                f"'{text}' is not {names}: {count} numbers with commas between them (decimal commas need semicolons)"
            )
        return tuple(_evaluated(part, "mm") for part in parts)

    return read


def pair(names: str) -> Callable[[str], tuple[float, float]]:
    """The same for two lengths."""
    read = numbers(2, names)

    def read_pair(text: str) -> tuple[float, float]:
        first, second = read(text)
        return first, second

    return read_pair


def size(text: str) -> tuple[float, float]:
    """An argparse type: "3000x2500", or "3 m x 2.5 m"; mm."""
    parts = re.split(r"[x×X]", text)
    if len(parts) != 2:
        raise argparse.ArgumentTypeError(f"'{text}' is not WxH, for example 3000x2500 or 3mx2.5m")
    width, height = (_evaluated(part, "mm") for part in parts)
    return width, height


def one_of(choices: Sequence[str]) -> Callable[[str], str]:
    """An argparse type: one of some words; the message lists them."""

    def read(text: str) -> str:
        if text not in choices:
            raise argparse.ArgumentTypeError(
                f"'{text}' is none of {', '.join(choices)}{meant(text, choices)}"
            )
        return text

    return read


def named(value: Callable[[str], Parsed]) -> Callable[[str], tuple[str, Parsed]]:
    """An argparse type: VALUE, or NAME=VALUE for one of several artworks; ("", value) without a name."""

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
    """Whether the person gave an option, whose default is None, False or an empty list."""
    name = option.removeprefix("--").replace("-", "_")
    value = getattr(args, _DESTINATIONS.get(name, name))
    return value is not None and value is not False and value != []


def values_of_each(names: list[tuple[str, str]], given: list[tuple[str, Any]], option: str) -> dict[int, Any]:
    """The values of an option by the number of the artwork, from 0. names: name and path, or text, of each artwork.

    Values name their artwork; without names there is one for each, in the order of the artworks. Raises BadValue where it
    is not clear which artwork a value belongs to.
    """
    if given and len(given) == len(names) and not any(name for name, _ in given):
        return dict(enumerate(value for _, value in given))
    found: dict[int, Any] = {}
    known = [name for name, _ in names]
    for name, value in given:
        if not name:
            raise BadValue(
                f"{option}: {len(given)} given for {len(names)} artworks; say which with {option} NAME=VALUE, for example "
                f"{option} '{known[0]}'=..."
            )
        if name.isdigit() and name not in known and 1 <= int(name) <= len(names):
            fitting = [int(name) - 1]
        else:
            fitting = [i for i, each in enumerate(names) if name in each]
        if not fitting:
            raise BadValue(
                f"{option} {name}=...: there is no artwork '{name}'; there is {', '.join(known)}{meant(name, known)}"
            )
        if len(fitting) > 1:
            raise BadValue(
                f"{option} {name}=...: {len(fitting)} artworks have that name; use their numbers, from 1"
            )
        if fitting[0] in found:
            raise BadValue(f"{option} is given twice for '{known[fitting[0]]}'")
        found[fitting[0]] = value
    return found


def check_needs(args: argparse.Namespace, needs: Mapping[str, Sequence[str]]) -> None:
    """Raises BadValue for an option that would be ignored, since none of those it belongs to is given.

    needs: option to the options of which it needs one.
    """
    for option, owners in needs.items():
        if is_given(args, option) and not any(is_given(args, owner) for owner in owners):
            absent = "which is not given" if len(owners) == 1 else "none of which is given"
            raise BadValue(f"{option} belongs to {either(owners)}, {absent}")


def either(words: Sequence[str]) -> str:
    """ "a, b or c"."""
    return f"{', '.join(words[:-1])} or {words[-1]}" if len(words) > 1 else words[0]


def add_read_anyway(parser: argparse._ActionsContainer) -> None:
    """Adds the option that agrees to what reading a file costs; reading_files needs it."""
    parser.add_argument("--read-anyway", action="store_true",
                        help="read files that take more than 1 GB of memory, or minutes")  # fmt: skip


def reading_files(args: argparse.Namespace) -> contextlib.AbstractContextManager[None]:
    """Files that are read within may cost what the person agreed to. Their memory is limited where the system can."""
    return reading(args.read_anyway)


def read_file(path: Path) -> bytes:
    """A file's bytes, or BadFile with a sentence."""
    return read_whole_file(path)


def read_artwork_file(path: Path, fonts: Sequence[Path] = ()) -> bytes:
    """An artwork file's bytes, what an SVG links to and the fonts it names put inside. Raises BadFile."""
    from wallwright.artwork import media
    from wallwright.artwork.svg.embed_links import embed_fonts, embed_pictures

    data = read_file(path)
    if media.media_of(data, path.name) == media.SVG:
        data = embed_pictures(data, path.name, path.parent)
        for folder in fonts:
            data = embed_fonts(data, path.name, folder)
    return data


def setting(document: Document, assignment: str, roots: tuple[str, ...]) -> Document:
    """Applies "machine.body.mass=0.9" to a document. Raises BadValue with the name and what it may be."""
    name, equals, _ = assignment.partition("=")
    root = name.partition(".")[0]
    if not equals or root not in roots:
        raise BadValue(
            f"--set {assignment}: write NAME=VALUE with a NAME that begins with {either(roots)}{meant(root, roots)}"
        )
    return assigned(document, assignment, "--set")


def assigned(whole: Value, assignment: str, option: str) -> Value:
    """Applies NAME=VALUE, the NAME of a nested field; angles are in degrees. Raises BadValue with the option, the name and
    what it may be."""
    name, equals, text = assignment.partition("=")
    if not equals:
        raise BadValue(f"{option} {assignment}: write NAME=VALUE")
    value: Any = whole
    for part in name.split("."):
        owner, known = value, getattr(value, "__struct_fields__", ())
        if part not in known:
            choices = ", ".join(known) or "nothing below it"
            raise BadValue(
                f"{option} {assignment}: there is no '{part}' here; there is {choices}{meant(part, known)}"
            )
        value = getattr(value, part)
    if isinstance(value, msgspec.Struct):
        raise BadValue(f"{option} {assignment}: set one of its parts: "
                       f"{', '.join(f'{name}.{field}' for field in value.__struct_fields__)}")  # fmt: skip
    new = _typed(type(owner), part, text, f"{option} {assignment}")
    try:
        changed = (
            edits.set_field(whole, name, new)
            if isinstance(whole, Document)
            else edits.with_field(whole, name, new)
        )
        return msgspec.convert(msgspec.to_builtins(changed, builtin_types=(bytes,)), type(whole))
    except (msgspec.ValidationError, TypeError) as error:
        raise BadValue(f"{option} {assignment}: {describe_invalid(str(error))}") from error


def picture_setting(picture: PictureSettings, assignment: str) -> PictureSettings:
    """Applies "lightness=0.2", or a number of its style, to a picture. Raises BadValue with what there is."""
    name, _, text = assignment.partition("=")
    own, of_style = quantities(PictureSettings), quantities(type(picture.style))
    if name not in own and name not in of_style:
        known = [*own, *of_style]
        raise BadValue(
            f"--picture-set {assignment}: there is no '{name}' here; there is {', '.join(known)}{meant(name, known)}"
        )
    owner, path = (PictureSettings, name) if name in own else (type(picture.style), f"style.{name}")
    return edits.with_field(picture, path, _typed(owner, name, text, f"--picture-set {assignment}"))


def _typed(owner: type[msgspec.Struct], field: str, text: str, where: str) -> Any:
    """The value of a text for a field, as the document stores it. Raises BadValue that begins with where."""
    quantity = quantities(owner).get(field)
    hint = get_type_hints(owner)[field]
    if quantity is not None:
        return _number_for(quantity, text, where)
    if get_origin(hint) is Literal:
        if text not in get_args(hint):
            raise BadValue(
                f"{where}: '{text}' is none of {', '.join(get_args(hint))}{meant(text, get_args(hint))}"
            )
        return text
    if get_origin(hint) is tuple and get_origin(get_args(hint)[0]) is Literal and not text.startswith("["):
        return _words(text, get_args(get_args(hint)[0]), where)
    if hint is bool:
        if text.lower() not in YES_NO:
            raise BadValue(f"{where}: write yes or no")
        return YES_NO[text.lower()]
    if hint is str:
        return text
    if hint == tuple[float, float] and not text.lstrip().startswith("["):
        try:
            return numbers(2, "X,Y")(text)
        except argparse.ArgumentTypeError as error:
            raise BadValue(f"{where}: {error}") from error
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        raise BadValue(f"{where}: '{text}' is not JSON, for example [[0,0],[100,0],[100,50]]") from error


def _words(text: str, known: tuple[str, ...], where: str) -> list[str]:
    """Several words with commas between them; "none" for none of them. Raises BadValue that begins with where."""
    words = [] if text.strip().lower() == "none" else [word.strip() for word in text.split(",")]
    for word in words:
        if word not in known:
            raise BadValue(
                f"{where}: '{word}' is none of {', '.join(known)}{meant(word, known)}; write none for nothing"
            )
    return words


def _number_for(quantity: Quantity, text: str, where: str) -> float:
    if quantity.zero and text.strip().lower() == quantity.zero.lower():
        return 0
    try:
        value = value_of(quantity, text)
    except BadValue as error:
        raise BadValue(f"{where}: {error}") from error
    if not isinstance(quantity.default, int):
        return value
    if value != round(value):
        raise BadValue(f"{where}: {quantity.title} is a whole number")
    return round(value)


def _plain(value: Any) -> Any:
    """numpy's numbers as Python's."""
    return value.item()


def print_json(value: Any) -> None:
    """One JSON document on standard output, for programs: in ASCII, so that it is the same JSON on any terminal."""
    text = msgspec.json.format(msgspec.json.encode(value, enc_hook=_plain), indent=1).decode()
    sys.stdout.write(re.sub(r"[^\x00-\x7f]", lambda m: json.dumps(m[0])[1:-1], text) + "\n")


def as_text(path: str | Path) -> str:
    """A path as text that JSON can hold: bytes of a name that are no text are written as escapes."""
    return os.fsencode(path).decode("utf-8", "backslashreplace")
