"""What several commands need to read their options."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from app.document import edits
from app.document.document import Document
from app.document.errors import BadValue
from app.document.invalid import in_words
from app.document.picture import Picture
from app.document.quantity import quantities
from app.document.whole_file import read_whole_file

Value = TypeVar("Value", bound=msgspec.Struct)


def pair(separator: str) -> Callable[[str], tuple[float, float]]:
    """An argparse type: two numbers with a separator between them."""

    def read(text: str) -> tuple[float, float]:
        try:
            first, second = text.split(separator)
            return float(first), float(second)
        except ValueError as error:
            raise argparse.ArgumentTypeError(
                f"'{text}' is not two numbers with '{separator}' between them"
            ) from error

    return read


def read_file(path: Path) -> bytes:
    """A file's bytes, or BadFile with a sentence."""
    return read_whole_file(path)


def read_artwork_file(path: Path, fonts: Sequence[Path] = ()) -> bytes:
    """An artwork file's bytes, what an SVG links to and the fonts it names put inside. Raises BadFile."""
    from app.artwork import media
    from app.artwork.svg.bring import with_fonts, with_pictures

    data = read_file(path)
    if media.media_of(data, path.name) == media.SVG:
        data = with_pictures(data, path.name, path.parent)
        for folder in fonts:
            data = with_fonts(data, path.name, folder)
    return data


def setting(document: Document, assignment: str, roots: tuple[str, ...]) -> Document:
    """Applies "machine.body.mass=0.9" to a document. Raises BadValue with the name and what it may be."""
    name, equals, _ = assignment.partition("=")
    if not equals or name.partition(".")[0] not in roots:
        raise BadValue(
            f"--set {assignment}: write NAME=VALUE with a NAME that begins with {', '.join(roots)}"
        )
    return assigned(document, assignment, "--set")


def assigned(whole: Value, assignment: str, option: str) -> Value:
    """Applies NAME=VALUE, the NAME of a nested field. Raises BadValue with the option, the name and what it may be."""
    name, equals, text = assignment.partition("=")
    if not equals:
        raise BadValue(f"{option} {assignment}: write NAME=VALUE")
    value: Any = whole
    for part in name.split("."):
        known = getattr(value, "__struct_fields__", ())
        if part not in known:
            choices = ", ".join(known) or "nothing below it"
            raise BadValue(f"{option} {assignment}: there is no '{part}' here; there is {choices}")
        value = getattr(value, part)
    try:
        new = json.loads(text)
    except json.JSONDecodeError:
        new = text
    try:
        changed = edits.with_field(whole, name, new)
        return msgspec.convert(msgspec.to_builtins(changed, builtin_types=(bytes,)), type(whole))
    except (msgspec.ValidationError, TypeError) as error:
        raise BadValue(f"{option} {assignment}: {in_words(str(error))}") from error


def picture_setting(picture: Picture, assignment: str) -> Picture:
    """Applies "lightness=0.2", or a number of its style, to a picture. Raises BadValue with what there is."""
    name, _, text = assignment.partition("=")
    own, of_style = quantities(Picture), quantities(type(picture.style))
    quantity = own.get(name) or of_style.get(name)
    if quantity is None:
        raise BadValue(
            f"--picture-set {assignment}: there is no '{name}' here; there is {', '.join([*own, *of_style])}"
        )
    try:
        value = float(text)
    except ValueError as error:
        raise BadValue(f"--picture-set {assignment}: '{text}' is not a number") from error
    low, high = quantity.to_shown(quantity.low), quantity.to_shown(quantity.high)
    if not low <= value <= high:
        raise BadValue(f"--picture-set {assignment}: {quantity.title} is between {low:g} and {high:g}")
    whole = isinstance(quantity.default, int)
    value = round(value) if whole else quantity.from_shown(value)
    return edits.with_field(picture, name if name in own else f"style.{name}", value)


def _plain(value: Any) -> Any:
    """numpy's numbers as Python's."""
    return value.item()


def print_json(value: Any) -> None:
    """One JSON document on standard output, for programs."""
    sys.stdout.write(
        msgspec.json.format(msgspec.json.encode(value, enc_hook=_plain), indent=1).decode() + "\n"
    )
