"""Generates manual pages from the commands' help.

    python packaging/man_pages.py FOLDER     wallwright.1 and wallwright-COMMAND.1 for each command

Section 1 pages in the man macros (man-pages(7), groff_man(7)); English, whatever the system's language.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from wallwright import __version__
from wallwright.commands.command_parser import translate_argparse
from wallwright.commands.main import parser
from wallwright.document.language import Language, set_language

DATE = "2026"


def escaped(text: str) -> str:
    """Escapes text for troff."""
    text = text.replace("\\", "\\e").replace("-", "\\-")
    return "\n".join(f"\\&{line}" if line.startswith((".", "'")) else line for line in text.splitlines())


def page(name: str, command: argparse.ArgumentParser, what: str, also: list[str]) -> str:
    """Returns a page. what: the line of NAME. also: pages for SEE ALSO."""
    synopsis = command.format_usage().split(":", 1)[1].strip()
    lines = [
        f'.TH {name.upper()} 1 "{DATE}" "Wallwright {__version__}" "User Commands"',
        ".SH NAME",
        f"{escaped(name)} \\- {escaped(what)}",
        ".SH SYNOPSIS",
        ".nf",
        escaped(synopsis),
        ".fi",
        ".SH DESCRIPTION",
        escaped(command.description or what),
    ]
    for group in command._action_groups:
        actions = [a for a in group._group_actions if a.help != argparse.SUPPRESS]
        if not actions:
            continue
        lines += [f".SH {escaped((group.title or 'options').upper())}"]
        if group.description:
            lines += [escaped(group.description)]
        for action in actions:
            lines += [".TP", _head(action)]
            lines += [escaped((action.help or "").replace("%%", "%") or "\\&")]
    if command.epilog:
        lines += [".SH NOTES", ".nf", escaped(command.epilog), ".fi"]
    if also:
        lines += [".SH SEE ALSO", ", ".join(f"\\fB{escaped(one)}\\fR(1)" for one in also)]
    return "\n".join(lines) + "\n"


def _head(action: argparse.Action) -> str:
    value = action.metavar
    shown = " ".join(value) if isinstance(value, tuple) else value
    takes = action.nargs != 0
    if not action.option_strings:
        return f"\\fI{escaped(shown or action.dest)}\\fR"
    value_text = f" \\fI{escaped(shown or action.dest.upper())}\\fR" if takes else ""
    return ", ".join(f"\\fB{escaped(option)}\\fR{value_text}" for option in action.option_strings)


def pages() -> dict[str, str]:
    """Returns every page by its file name."""
    set_language(Language())
    translate_argparse()
    top = parser()
    names = [f"wallwright-{name}" for name in top.commands]
    made = {"wallwright.1": page("wallwright", top, "compose jobs for a hanging drawing machine", names)}
    choices = {
        choice.dest: choice.help or ""
        for action in top._actions
        if isinstance(action, argparse._SubParsersAction)
        for choice in action._choices_actions
    }
    for name, command in top.commands.items():
        made[f"wallwright-{name}.1"] = page(f"wallwright-{name}", command, choices[name], ["wallwright"])
    return made


def main(arguments: list[str]) -> int:
    if len(arguments) != 1:
        print((__doc__ or "").strip())
        return 2
    folder = Path(arguments[0])
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in pages().items():
        (folder / name).write_text(text, encoding="utf-8")
    print(f"{len(pages())} pages in {folder}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
