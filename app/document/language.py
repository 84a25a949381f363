"""The person's language: the one function that every word they read goes through.

`tr` gives a text in the present language and fills in numbers as they are written there. The catalogues are gettext PO
files, resources/languages/CODE.po; English texts are their own keys. A process speaks one language: the window
chooses it at its start and sends it along with each request to the planning process.
"""

from __future__ import annotations

import ast
import functools
import os
import re
import string
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

CATALOGUES = Path(__file__).resolve().parents[2] / "resources" / "languages"
VARIABLE = "WALLWRIGHT_LANGUAGE"
"""Environment variable that names the language, before any setting."""


def _one_or_more(count: float) -> int:
    """Plural rule of English and German: which of (one, many) fits a count."""
    return 0 if count == 1 else 1


@dataclass(frozen=True)
class Spoken:
    """A language that there is a catalogue for."""

    name: str
    """In the language itself."""
    decimal: str
    """Its usual decimal sign."""
    plural: Callable[[float], int]
    lowers: bool
    """Whether a title is written with a small letter within a sentence."""


LANGUAGES = {
    "en": Spoken("English", ".", _one_or_more, True),
    "de": Spoken("Deutsch", ",", _one_or_more, False),
}


@dataclass(frozen=True)
class Language:
    """How this process speaks. A value that can be sent to another process."""

    code: str = "en"
    decimal: str = "."


_present = Language()


def present() -> Language:
    return _present


def use(language: Language) -> None:
    """Speaks a language from now on. Raises KeyError when there is no such language."""
    global _present
    LANGUAGES[language.code]
    _present = language


def fitting(wanted: Iterable[str]) -> str:
    """Code of the first language in a list of locale names, such as "de-CH", "de_AT.UTF-8", that there is; else "en"."""
    for name in wanted:
        code = re.split(r"[-_.@]", name.strip().lower())[0]
        if code in LANGUAGES:
            return code
    return "en"


def from_environment() -> str:
    """Code of the language that the environment asks for, or "" when it does not."""
    wanted = os.environ.get(VARIABLE, "")
    return fitting([wanted]) if wanted else ""


def tr(text: str, *values: object, **named: object) -> str:
    """A text in the present language; {0}, {1:.1f}, {name} are filled in, numbers as the language writes them."""
    found = _messages(_present.code).get(text, (text,))[0]
    return _FORMATTER.vformat(found, values, named) if values or named else found


def counted(one: str, many: str, count: float, *values: object, **named: object) -> str:
    """Like tr for a text that depends on a count; the count is {0}, further values follow as {1}, {2} ..."""
    forms = _messages(_present.code).get(one, (one, many))
    found = forms[min(LANGUAGES[_present.code].plural(count), len(forms) - 1)]
    return _FORMATTER.vformat(found, (count, *values), named)


def marked(text: str) -> str:
    """Marks a text of a table for translation; whoever shows it calls tr."""
    return text


def inside(title: str) -> str:
    """A translated title as it stands within a sentence: English begins it small, German nouns keep their capital."""
    return title[:1].lower() + title[1:] if LANGUAGES[_present.code].lowers else title


def written(value: float, form: str = "g") -> str:
    """A number as the present language writes it; form: a format specification such as ".1f"."""
    return _FORMATTER.format_field(value, form)


class _Formatter(string.Formatter):
    """Writes numbers with the language's decimal sign. Thousands are not grouped: 1.000 must not be read as one."""

    def format_field(self, value: object, form: str) -> str:
        text = format(value, form)
        if _present.decimal != "." and (
            form[-1:] in ("e", "f", "g", "%") or (not form and isinstance(value, float))
        ):
            text = text.replace(".", _present.decimal)
        return text


_FORMATTER = _Formatter()


@functools.cache
def _messages(code: str) -> dict[str, tuple[str, ...]]:
    """Translations by English text: one form, or one for each case of the plural rule."""
    file = CATALOGUES / f"{code}.po"
    return read_catalogue(file.read_text(encoding="utf-8")) if file.exists() else {}


_PART = re.compile(r'^(msgid_plural|msgid|msgstr(?:\[\d\])?)\s+(".*")$')


def read_catalogue(text: str) -> dict[str, tuple[str, ...]]:
    """Messages of a PO file as the gettext manual describes it, without those marked fuzzy or left empty."""
    found: dict[str, tuple[str, ...]] = {}
    for entry in re.split(r"\n\s*\n", text):
        parts: dict[str, str] = {}
        name, fuzzy = "", False
        for line in map(str.strip, entry.splitlines()):
            if line.startswith("#"):
                fuzzy |= line.startswith("#,") and "fuzzy" in line
            elif match := _PART.match(line):
                name = match[1]
                parts[name] = ast.literal_eval(match[2])
            elif line.startswith('"'):
                parts[name] += ast.literal_eval(line)
        forms = tuple(value for key, value in parts.items() if key.startswith("msgstr"))
        if parts.get("msgid") and all(forms) and not fuzzy:
            found[parts["msgid"]] = forms
    return found
