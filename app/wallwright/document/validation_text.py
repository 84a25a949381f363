"""Translates msgspec's validation messages for a person."""

from __future__ import annotations

import re
from collections.abc import Callable

from wallwright.document.language import MINUS, N_, current_language, tr

KINDS = {
    "float": N_("a number"),
    "int": N_("a whole number"),
    "str": N_("a text"),
    "bool": N_("true or false"),
    "array": N_("a list"),
}
PATTERNS: tuple[tuple[str, Callable[[re.Match[str]], str]], ...] = (
    (r"Expected (?:float|int) <= (\S+)", lambda m: tr("must be at most {0}", _number(m[1]))),
    (r"Expected (?:float|int) >= (\S+)", lambda m: tr("must be at least {0}", _number(m[1]))),
    (r"Expected str matching regex.*#\[0-9a-f\]", lambda m: tr("must be a colour such as #c02020")),
    (
        r"Expected (float|int|str|bool|array), got (?:str|null|object|array|bool|float|int)",
        lambda m: tr("must be {0}", tr(KINDS[m[1]])),
    ),
    (r"Invalid enum value (.+)", lambda m: tr("{0} is not one of the choices", m[1])),
)
"""Patterns of msgspec's messages (msgspec/_core.c) and their wording for a person; others are shown as they are."""


def _number(text: str) -> str:
    grouped = format(float(text), ",.10g").replace(",", "\u202f").replace("-", MINUS)
    return grouped.replace(".", current_language().decimal)


def describe_invalid(message: str) -> str:
    """ "Expected `float` >= 0.05 - at `$.machine.body.mass`" becomes "machine, body, mass: must be at least 0.05"."""
    what, _, where = message.partition(" - at ")
    what = what.replace("`", "")
    for pattern, words in PATTERNS:
        if match := re.match(pattern, what):
            what = words(match)
            break
    place = re.sub(r"\[(\d+)\]", lambda m: f" {int(m[1]) + 1}", where.strip("`").removeprefix("$."))
    place = place.replace(".", ", ").replace("_", " ")
    return f"{place}: {what}" if place else what
