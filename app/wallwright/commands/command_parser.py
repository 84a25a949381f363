"""argparse with translation, one-sentence errors, short help texts and option names of earlier versions."""

from __future__ import annotations

import argparse
import shutil
import textwrap
from collections.abc import Iterable, Mapping
from typing import Any, NoReturn, TypeAlias

from wallwright.document.errors import BadValue
from wallwright.document.language import N_, plural, tr

WIDEST = 100
"""Largest number of columns of the help text: longer lines are hard to read."""
_REWORDED = {
    "usage: ": N_("Usage: "),
    "options": N_("options"),
    "positional arguments": N_("arguments"),
    "show this help message and exit": N_("show this help"),
    "argument %(argument_name)s: %(message)s": "%(argument_name)s: %(message)s",
    "not allowed with argument %s": N_("cannot be given together with %s"),
    "ignored explicit argument %r": N_("takes no value, but “%s” was given"),
    "the following arguments are required: %s": N_("give %s"),
    "one of the arguments %s is required": N_("give one of %s"),
    "expected one argument": N_("needs one value"),
    "expected at most one argument": N_("takes one value at most"),
    "expected at least one argument": N_("needs at least one value"),
}
"""Replacements of argparse's texts; others are unchanged."""
EARLIER_NAMES: Mapping[str, Mapping[str, str]] = {
    "compose": {
        "--words": "--text",
        "--words-set": "--text-set",
        "--datum": "--start",
        "--hang-as-often": "--cover",
        "--hang-anew": "--cover-anew",
        "--hang-beside": "--add-hanging",
        "--art": "--artwork",
        "--across": "--width",
    },
    "export": {"--sure": "--uncertainty"},
    "pens": {"--keep": "--save-pen", "--add-kept": "--add-saved-pen"},
}
"""By command: option names of earlier versions, hidden in the help, mapped to the present ones."""


def _text(english: str) -> str:
    return tr(_REWORDED.get(english, english))


def _count_text(one: str, many: str, count: int) -> str:
    """Translates argparse's only text with a count: too few values."""
    if one == "expected %s argument":
        return plural("needs %s value", "needs %s values", count)
    return one if count == 1 else many


def translate_argparse() -> None:
    """Makes argparse use the program's translations in place of the two gettext functions that it imported."""
    for name, function in (("_", _text), ("ngettext", _count_text)):
        setattr(argparse, name, function)


class Parser(argparse.ArgumentParser):
    """ArgumentParser with one-sentence errors and help texts without the long usage line of all options."""

    def __init__(self, **settings: Any) -> None:
        settings.setdefault("formatter_class", _HelpFormatter)
        super().__init__(allow_abbrev=False, **settings)
        self.commands: dict[str, Parser] = {}
        """Parsers of the commands by name; only in the top-level parser."""

    @property
    def options(self) -> tuple[str, ...]:
        """Every spelling of every option. argparse has no public name for them."""
        return tuple(self._option_string_actions)

    def is_repeatable(self, option: str) -> bool:
        """Whether an option can be repeated, instead of the last value replacing earlier ones."""
        return isinstance(self._option_string_actions[option], argparse._AppendAction)

    def error(self, message: str) -> NoReturn:
        """Raises BadValue instead of exiting."""
        sentence = f"{message}{'' if message.endswith('?') else '.'}"
        raise BadValue(tr("{0} See “{1} --help”", sentence, self.prog))


Subparsers: TypeAlias = "argparse._SubParsersAction[Parser]"
"""Type of the argument of each command's add_parser; argparse has no public name for it."""


class _HelpFormatter(argparse.RawDescriptionHelpFormatter):
    def __init__(self, prog: str) -> None:
        width = min(shutil.get_terminal_size().columns, WIDEST)
        super().__init__(prog, max_help_position=26, width=width)

    def _split_lines(self, text: str, width: int) -> list[str]:
        """Wraps without breaking option names and choices."""
        return textwrap.wrap(text, width, break_on_hyphens=False)

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        """Wraps paragraphs, but not lists and examples, which begin with spaces."""
        lines = (
            line if line.startswith(" ") else textwrap.fill(line, width, break_on_hyphens=False)
            for line in text.splitlines()
        )
        return textwrap.indent("\n".join(lines), indent)


def usage(form: str) -> str:
    """Returns a usage line such as "wallwright check PROJECT [options]"."""
    return f"wallwright {form} [{tr('options')}]"


def epilog(examples: str, *notes: str) -> str:
    """Returns the end of a help text: example commands, then notes. examples: lines that begin with spaces."""
    return "\n\n".join([f"{tr('Examples:')}\n{examples}", *filter(None, ["\n".join(notes)])])


def with_present_names(command: str, words: Iterable[str]) -> list[str]:
    """Replaces the earlier option names in a command line by the present ones."""
    present = EARLIER_NAMES.get(command, {})
    result: list[str] = []
    for word in words:
        name, equals, value = word.partition("=")
        is_option = "--" not in result
        result.append(f"{present.get(name, name)}{equals}{value}" if is_option else word)
    return result
