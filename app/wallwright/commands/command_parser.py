"""argparse in the person's language: errors of one sentence, a short help text, option names of earlier versions."""

from __future__ import annotations

import argparse
import shutil
import textwrap
from collections.abc import Iterable, Mapping
from typing import Any, NoReturn, TypeAlias

from wallwright.document.errors import BadValue
from wallwright.document.language import N_, plural, tr

WIDEST = 100
"""Columns of the help text at most: longer lines are hard to read."""
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
"""argparse's own texts and how the program says them; what is not here stays as argparse has it."""
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
"""By command: option names of earlier versions, which no help shows, and what they are called now."""


def _text(english: str) -> str:
    return tr(_REWORDED.get(english, english))


def _count_text(one: str, many: str, count: int) -> str:
    """argparse has one text with a number: too few values."""
    if one == "expected %s argument":
        return plural("needs %s value", "needs %s values", count)
    return one if count == 1 else many


def translate_argparse() -> None:
    """From now on argparse speaks the person's language. It looks its texts up in gettext, bound to these two names."""
    for name, function in (("_", _text), ("ngettext", _count_text)):
        setattr(argparse, name, function)


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
        sentence = f"{message}{'' if message.endswith('?') else '.'}"
        raise BadValue(tr("{0} See “{1} --help”", sentence, self.prog))


Subparsers: TypeAlias = "argparse._SubParsersAction[Parser]"
"""What each command's add_parser adds to; argparse has no public name for it."""


class _HelpFormatter(argparse.RawDescriptionHelpFormatter):
    def __init__(self, prog: str) -> None:
        width = min(shutil.get_terminal_size().columns, WIDEST)
        super().__init__(prog, max_help_position=26, width=width)

    def _split_lines(self, text: str, width: int) -> list[str]:
        """Option names and choices stay whole."""
        return textwrap.wrap(text, width, break_on_hyphens=False)

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        """Wraps sentences, and leaves lists and examples, which begin with spaces, as they are."""
        lines = (
            line if line.startswith(" ") else textwrap.fill(line, width, break_on_hyphens=False)
            for line in text.splitlines()
        )
        return textwrap.indent("\n".join(lines), indent)


def usage(form: str) -> str:
    """ "wallwright check PROJECT [options]"."""
    return f"wallwright {form} [{tr('options')}]"


def epilog(examples: str, *notes: str) -> str:
    """The end of a help text: commands that a person can copy, then paragraphs. examples: lines that begin with spaces."""
    return "\n\n".join([f"{tr('Examples:')}\n{examples}", *filter(None, ["\n".join(notes)])])


def with_present_names(command: str, words: Iterable[str]) -> list[str]:
    """A command line with the present names of its options."""
    present = EARLIER_NAMES.get(command, {})
    result: list[str] = []
    for word in words:
        name, equals, value = word.partition("=")
        is_option = "--" not in result
        result.append(f"{present.get(name, name)}{equals}{value}" if is_option else word)
    return result
