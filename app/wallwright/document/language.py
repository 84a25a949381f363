"""Translation of all texts shown to a person.

Texts in the code are English and serve as keys (GNU gettext). resources/languages/CODE.mo holds the translations, compiled
from CODE.po by packaging/translations.py. A process uses one language at a time; the window sends it with each request to
the planning process. Numbers are written with the person's decimal sign. Thousands are never grouped by points: 1.000
could be read as one.
"""

from __future__ import annotations

import functools
import gettext
import numbers
import os
import re
import string
from collections.abc import Iterable

import msgspec

from wallwright.document.resources import resource

VARIABLE = "WALLWRIGHT_LANGUAGE"
"""Environment variable that sets the language, ahead of any setting."""

LANGUAGES = {"en": "English", "de": "Deutsch"}
"""Each language's own name, by code."""
DECIMAL_SIGNS = {"en": ".", "de": ","}
"""Usual decimal sign by language; some countries use another."""
_UNIT_AHEAD = re.compile(r"(?<=±) (?=\d)|(?<=\d) (?=(?:mm|m|s|min|h|N|V|A|W|Wh|kg|%|Ω|°)(?!\w))")
"""Matches a space between a number and its unit, or between a plus-minus sign and its number."""
NARROW_SPACE = "\u202f"
"""Separator of thousands in long whole numbers where the comma is the decimal sign (SI Brochure, 5.4.4)."""
MINUS = "\u2212"
"""Minus sign in texts. Numbers that a person types or copies elsewhere have a hyphen, since other programs do not read this
sign; document/typed_numbers.py reads both."""
_SMALL_IN_SENTENCES = {"en"}
"""Languages in which a title loses its capital within a sentence; German nouns keep theirs."""
_SEVERAL = 2
"""Count used for fractions such as 1.5: it takes the plural in every language here."""


class Language(msgspec.Struct, frozen=True):
    """Language and decimal sign of a process; can be sent to another process."""

    code: str = "en"
    decimal: str = "."


_present = Language()


def current_language() -> Language:
    return _present


def set_language(language: Language) -> None:
    """Sets the language of this process. Raises KeyError for an unknown language."""
    global _present
    LANGUAGES[language.code]
    _present = language


def best_match(wanted: Iterable[str]) -> str:
    """Returns the code of the first available language among locale names such as "de-CH", "de_AT.UTF-8"; else "en"."""
    for name in wanted:
        code = re.split(r"[-_.@]", name.strip().lower())[0]
        if code in LANGUAGES:
            return code
    return "en"


def from_environment() -> str:
    """Returns the code of the language set in the environment, or ""."""
    wanted = os.environ.get(VARIABLE, "")
    return best_match([wanted]) if wanted else ""


def tr(text: str, *values: object, **named: object) -> str:
    """Translates a text and fills in {0}, {1:.1f}, {name}, with numbers in the person's notation."""
    found = _catalogue(_present.code).gettext(text) if text else ""
    return _FORMATTER.vformat(found, values, named) if values or named else found


def plural(one: str, many: str, count: float, *values: object, **named: object) -> str:
    """Like tr for a text that depends on a count; the count is {0}, further values follow as {1}, {2} ..."""
    whole = int(count) if count == int(count) else _SEVERAL
    found = _catalogue(_present.code).ngettext(one, many, whole)
    return _FORMATTER.vformat(found, (count, *values), named)


def N_(text: str) -> str:
    """Marks a text for translation; tr is called where it is shown."""
    return text


def mid_sentence(title: str) -> str:
    """Returns a translated title in the form used within a sentence."""
    return title[:1].lower() + title[1:] if _present.code in _SMALL_IN_SENTENCES else title


def format_number(value: float, form: str = "g") -> str:
    """Returns a number in the person's notation; form: a format specification such as ".1f"."""
    return _FORMATTER.format_field(value, form)


def format_apart(value: float, limit: float, decimals: int) -> str:
    """Returns a number shown beside a limit, with enough decimals to differ from it unless both are equal. decimals: least
    number of decimals."""
    for more in range(decimals, decimals + 4):
        text = format_number(value, f".{more}f")
        if text != format_number(limit, f".{more}f"):
            return text
    return format_number(value, f".{decimals}f")


class _Formatter(string.Formatter):
    """Formats numbers with the current decimal sign and a true minus sign."""

    def format_field(self, value: object, form: str) -> str:
        text = format(value, form)
        if text[:1] in ("-", "+") and isinstance(value, numbers.Real):
            is_zero = abs(float(value)) < 1 and not any(digit in text for digit in "123456789")
            text = text[1:] if is_zero else text.replace("-", MINUS, 1) if text[0] == "-" else text
        if form.endswith("%"):
            text = f"{text[:-1]}\u00a0%"
        if form.endswith(","):
            return text if _present.decimal == "." else text.replace(",", NARROW_SPACE)
        if _present.decimal != "." and (form[-1:] in ("e", "f", "g", "%") or (not form and isinstance(value, float))):
            text = text.replace(".", _present.decimal)
        return text


_FORMATTER = _Formatter()


@functools.cache
def _catalogue(code: str) -> gettext.NullTranslations:
    """Returns a language's catalogue. English texts are in the code and stand in for missing translations."""
    file = resource("languages", f"{code}.mo")
    if code == "en" or not file.is_file():
        return gettext.NullTranslations()
    with file.open("rb") as stream:
        return gettext.GNUTranslations(stream)


def in_every_language(text: str) -> tuple[str, ...]:
    """Returns a text in each of the program's languages, English first."""
    return tuple(_catalogue(code).gettext(text) for code in LANGUAGES)


@functools.cache
def _sources(code: str) -> dict[str, str]:
    """Returns the English text by translated text."""
    texts: dict[object, str] = getattr(_catalogue(code), "_catalog", {})  # gettext has no inverse lookup
    return {text: source for source, text in texts.items() if isinstance(source, str) and source and text}


def in_present_language(text: str) -> str:
    """Translates a complete text that tr() returned in any language to the current one; returns other texts unchanged."""
    known = [_sources(code) for code in LANGUAGES]
    if any(text in sources.values() for sources in known):
        return tr(text)
    return tr(next((sources[text] for sources in known if text in sources), text))


def unbroken_units(text: str) -> str:
    """Returns the text with no-break spaces between numbers, their units, and plus-minus signs before them."""
    return _UNIT_AHEAD.sub("\u00a0", text)


def duration(seconds: float) -> str:
    """ "1 h 05 min", "12 min", "40 s"."""
    seconds = round(seconds)
    if seconds < 90:
        return tr("{0} s", seconds)
    minutes = round(seconds / 60)
    return tr("{0} h {1:02d} min", minutes // 60, minutes % 60) if minutes >= 60 else tr("{0} min", minutes)
