"""The person's language: the one place that every text they read goes through.

Texts are English in the code and are their own keys (GNU gettext); resources/languages/CODE.mo holds the others, made
from CODE.po by packaging/translations.py. A process speaks one language at a time: the window chooses it and sends it
along with each request to the planning process. Numbers are written with the person's decimal sign; thousands are not
grouped by points: 1.000 must not be read as one by whoever writes commas.
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
"""Environment variable that names the language, before any setting."""

LANGUAGES = {"en": "English", "de": "Deutsch"}
"""Each by its own name."""
DECIMAL_SIGNS = {"en": ".", "de": ","}
"""What is usual; some countries write another."""
_UNIT_AHEAD = re.compile(r"(?<=\d) (?=(?:mm|m|s|min|h|N|V|A|W|Wh|kg|%|Ω|°)(?!\w))")
"""A space between a number and its unit."""
NARROW_SPACE = "\u202f"
"""Between the thousands of long whole numbers where the comma is the decimal sign (SI Brochure, 5.4.4)."""
MINUS = "\u2212"
"""Of a negative number in a text. What a person types or copies elsewhere has a hyphen: document/typed_numbers.py reads
both, other programs do not."""
_SMALL_IN_SENTENCES = {"en"}
"""Where a title loses its capital within a sentence; German nouns keep theirs."""
_SEVERAL = 2
"""A count that takes the plural in every language here, for broken numbers such as 1.5."""


class Language(msgspec.Struct, frozen=True):
    """How a process speaks. A value that can be sent to another process."""

    code: str = "en"
    decimal: str = "."


_present = Language()


def current_language() -> Language:
    return _present


def set_language(language: Language) -> None:
    """Speaks a language from now on. Raises KeyError when there is no such language."""
    global _present
    LANGUAGES[language.code]
    _present = language


def best_match(wanted: Iterable[str]) -> str:
    """Code of the first language in a list of locale names, such as "de-CH", "de_AT.UTF-8", that there is; else "en"."""
    for name in wanted:
        code = re.split(r"[-_.@]", name.strip().lower())[0]
        if code in LANGUAGES:
            return code
    return "en"


def from_environment() -> str:
    """Code of the language that the environment asks for, or "" when it does not."""
    wanted = os.environ.get(VARIABLE, "")
    return best_match([wanted]) if wanted else ""


def tr(text: str, *values: object, **named: object) -> str:
    """A text in the present language; {0}, {1:.1f}, {name} are filled in, numbers as the person writes them."""
    found = _catalogue(_present.code).gettext(text) if text else ""
    return _FORMATTER.vformat(found, values, named) if values or named else found


def plural(one: str, many: str, count: float, *values: object, **named: object) -> str:
    """Like tr for a text that depends on a count; the count is {0}, further values follow as {1}, {2} ..."""
    whole = int(count) if count == int(count) else _SEVERAL
    found = _catalogue(_present.code).ngettext(one, many, whole)
    return _FORMATTER.vformat(found, (count, *values), named)


def N_(text: str) -> str:
    """Marks a text of a table for translation; whoever shows it calls tr."""
    return text


def mid_sentence(title: str) -> str:
    """A translated title as it stands within a sentence."""
    return title[:1].lower() + title[1:] if _present.code in _SMALL_IN_SENTENCES else title


def format_number(value: float, form: str = "g") -> str:
    """A number as the person reads it; form: a format specification such as ".1f"."""
    return _FORMATTER.format_field(value, form)


def format_apart(value: float, limit: float, decimals: int) -> str:
    """A number beside a limit that it misses or keeps: with as many decimals as it takes to read differently, unless it is
    the limit. decimals: the least."""
    for more in range(decimals, decimals + 4):
        text = format_number(value, f".{more}f")
        if text != format_number(limit, f".{more}f"):
            return text
    return format_number(value, f".{decimals}f")


class _Formatter(string.Formatter):
    """Writes numbers with the present decimal sign, and a minus sign that is one."""

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
    """A language's texts; English ones are in the code, and stand for what a catalogue does not have."""
    file = resource("languages", f"{code}.mo")
    if code == "en" or not file.is_file():
        return gettext.NullTranslations()
    with file.open("rb") as stream:
        return gettext.GNUTranslations(stream)


def in_every_language(text: str) -> tuple[str, ...]:
    """A text of the program in each of its languages, English first."""
    return tuple(_catalogue(code).gettext(text) for code in LANGUAGES)


@functools.cache
def _sources(code: str) -> dict[str, str]:
    """The English text of each text of a language."""
    texts: dict[object, str] = getattr(_catalogue(code), "_catalog", {})  # gettext has no way back but this
    return {text: source for source, text in texts.items() if isinstance(source, str) and source and text}


def in_present_language(text: str) -> str:
    """A whole text of the program, as tr() gave it in whichever language, in the present one; any other text as it is."""
    known = [_sources(code) for code in LANGUAGES]
    if any(text in sources.values() for sources in known):
        return tr(text)
    return tr(next((sources[text] for sources in known if text in sources), text))


def unbroken_units(text: str) -> str:
    """The same text, in which no line ends between a number and its unit."""
    return _UNIT_AHEAD.sub("\u00a0", text)


def duration(seconds: float) -> str:
    """ "1 h 05 min", "12 min", "40 s"."""
    seconds = round(seconds)
    if seconds < 90:
        return tr("{0} s", seconds)
    minutes = round(seconds / 60)
    return tr("{0} h {1:02d} min", minutes // 60, minutes % 60) if minutes >= 60 else tr("{0} min", minutes)
