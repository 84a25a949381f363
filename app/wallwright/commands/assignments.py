"""NAME=VALUE options: numbers and choices of the document, checked and in the person's units."""

from __future__ import annotations

import argparse
import json
from collections.abc import Mapping
from typing import Any, Literal, TypeVar, get_args, get_origin, get_type_hints

import msgspec

from wallwright.commands.options import either, numbers, outside_choice, suggestion
from wallwright.document import edits
from wallwright.document.document import Document, Settings
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.migrations import EARLIER_FIELDS, EARLIER_VALUES
from wallwright.document.picture import PictureSettings
from wallwright.document.quantity import Quantity, quantities
from wallwright.document.typed_numbers import value_of
from wallwright.document.validation_text import describe_invalid

Value = TypeVar("Value", bound=msgspec.Struct)

YES_NO = {"yes": True, "true": True, "on": True, "no": False, "false": False, "off": False}


def setting(document: Document, assignment: str, roots: tuple[str, ...]) -> Document:
    """Applies an assignment such as "machine.body.mass=0.9" to a document. Raises BadValue with name and allowed values."""
    name, equals, _ = assignment.partition("=")
    root = name.partition(".")[0]
    if not equals or root not in roots:
        raise BadValue(
            tr(
                "--set {0}: write NAME=VALUE with a NAME that begins with {1}{2}",
                assignment,
                either(roots),
                suggestion(root, roots),
            )
        )
    return assigned(document, assignment, "--set")


def assigned(whole: Value, assignment: str, option: str, names: Mapping[str, str] | None = None) -> Value:
    """Applies NAME=VALUE to a nested field; angles are in degrees.

    names: field names by their names for a person, where these differ. Raises BadValue with the option, the name and the
    allowed values.
    """
    fields = dict(names or {})
    called = {field: name for name, field in fields.items()}
    name, equals, text = assignment.partition("=")
    if not equals:
        raise BadValue(tr("{0} {1}: write NAME=VALUE", option, assignment))
    value: Any = whole
    parts: list[str] = []
    for written in fields.get(name, name).split("."):
        owner, known = value, getattr(value, "__struct_fields__", ())
        part = EARLIER_FIELDS.get(type(value), {}).get(written, written)
        parts.append(part)
        if part not in known:
            raise BadValue(_unknown(f"{option} {assignment}", part, tuple(called.get(k, k) for k in known)))
        value = getattr(value, part)
    name = ".".join(parts)
    if isinstance(value, msgspec.Struct):
        inner = ", ".join(f"{name}.{field}" for field in value.__struct_fields__)
        raise BadValue(tr("{0} {1}: set one of its parts: {2}", option, assignment, inner))
    new = _typed(type(owner), part, text, f"{option} {assignment}")
    try:
        changed = (
            edits.set_field(whole, name, new) if isinstance(whole, Document) else edits.with_field(whole, name, new)
        )
        return msgspec.convert(msgspec.to_builtins(changed, builtin_types=(bytes,)), type(whole))
    except (msgspec.ValidationError, TypeError) as error:
        raise BadValue(f"{option} {assignment}: {describe_invalid(str(error))}") from error


def _unknown(where: str, part: str, known: tuple[str, ...]) -> str:
    """Returns a message that a name is unknown, with the known ones."""
    if not known:
        return tr("{0}: there is no “{1}” here, and nothing else to set", where, part)
    return tr("{0}: there is no “{1}” here; there is {2}{3}", where, part, ", ".join(known), suggestion(part, known))


def picture_setting(picture: PictureSettings, assignment: str) -> PictureSettings:
    """Applies an assignment such as "lightness=0.2" to a picture or its style. Raises BadValue with the known names."""
    name, _, text = assignment.partition("=")
    name = EARLIER_FIELDS[PictureSettings].get(name, name)
    own, of_style = quantities(PictureSettings), quantities(type(picture.style))
    if name not in own and name not in of_style:
        raise BadValue(_unknown(f"--picture-set {assignment}", name, (*own, *of_style)))
    owner, path = (PictureSettings, name) if name in own else (type(picture.style), f"style.{name}")
    return edits.with_field(picture, path, _typed(owner, name, text, f"--picture-set {assignment}"))


def _typed(owner: type[msgspec.Struct], field: str, text: str, where: str) -> Any:
    """Returns a field's stored value from a text. Raises BadValue whose message begins with where."""
    quantity = quantities(owner).get(field)
    hint = get_type_hints(owner)[field]
    if quantity is not None:
        return _number_for(quantity, text, where)
    if owner is Settings and field == "outside":
        try:
            return outside_choice(text)
        except argparse.ArgumentTypeError as error:
            raise BadValue(f"{where}: {error}") from error
    text = EARLIER_VALUES.get(field, {}).get(text, text)
    if get_origin(hint) is Literal:
        if text not in get_args(hint):
            raise BadValue(
                tr(
                    "{0}: “{1}” is none of {2}{3}",
                    where,
                    text,
                    ", ".join(get_args(hint)),
                    suggestion(text, get_args(hint)),
                )
            )
        return text
    if get_origin(hint) is tuple and get_origin(get_args(hint)[0]) is Literal and not text.startswith("["):
        return _words(text, get_args(get_args(hint)[0]), where)
    if hint is bool:
        if text.lower() not in YES_NO:
            raise BadValue(tr("{0}: write yes or no", where))
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
        raise BadValue(tr("{0}: “{1}” is not JSON, for example [[0,0],[100,0],[100,50]]", where, text)) from error


def _words(text: str, known: tuple[str, ...], where: str) -> list[str]:
    """Returns the words of a comma-separated list, none for "none". Raises BadValue whose message begins with where."""
    words = [] if text.strip().lower() == "none" else [word.strip() for word in text.split(",")]
    for word in words:
        if word not in known:
            raise BadValue(
                tr(
                    "{0}: “{1}” is none of {2}{3}; write none for nothing",
                    where,
                    word,
                    ", ".join(known),
                    suggestion(word, known),
                )
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
        raise BadValue(tr("{0}: {1} is a whole number", where, quantity.shown_title))
    return round(value)
