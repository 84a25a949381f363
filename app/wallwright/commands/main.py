"""The command line: one module per command, in one table."""

from __future__ import annotations

import argparse
import importlib
import logging
import sys
from pathlib import Path

from wallwright import __version__
from wallwright.commands.command_parser import Parser, translate_argparse, usage, with_present_names
from wallwright.commands.options import join_negative_values, suggestion
from wallwright.commands.output import LOST, safe_output
from wallwright.document.atomic_write import finished_files, forget_finished, os_reason
from wallwright.document.errors import BadValue, Cancelled, UserError
from wallwright.document.language import N_, set_language, tr
from wallwright.document.language_setting import wanted_language
from wallwright.document.log import keep_log
from wallwright.document.reading_limits import TooCostly

COMMANDS = {
    "window": N_("open the desktop window"),
    "compose": N_("put wall, machine and artwork together into a project file"),
    "colours": N_("list the colours of a project with their pens, and mix them from the pens"),
    "check": N_("plan a project and check whether it can be drawn"),
    "export": N_("write job files and hanging sheet into a folder"),
    "calibrate": N_("make a test drawing, and correct the machine by tape readings of it"),
    "line_up": N_("correct a hanging's anchors by readings at its register marks"),
    "pens": N_("list pens, measure their tips, speeds and widths, order them"),
    "pose": N_("belt lengths, tilt and tensions for points of the wall"),
    "read": N_("list what is in an artwork file, and what cannot be drawn"),
    "demo": N_("plan and export the demo job without a window"),
}
"""Modules of wallwright.commands with their summaries. Each has add_parser(subparsers, summary) and run(args) -> exit code.
Only the module of the given command is loaded, so that each can import what it needs at the top."""

NO_COMMAND = "-"
"""Marks a command line that begins with an option or an unknown command."""
DONE, CHECK_FAILED, NOT_DONE = 0, 1, 2
"""Exit codes: done; done, but a check found an error; nothing done, because of a wrong option, file or number. The fourth is
output.LOST."""


def _exit_codes() -> str:
    return "\n".join(
        [
            tr("Exit codes:"),
            "  0  " + tr("done"),
            "  1  " + tr("a check found an error: see what was printed"),
            "  2  " + tr("not done: an option, a file or a number is wrong"),
            "  3  " + tr("done, but not all output could be written"),
        ]
    )


def parser(only: str = "") -> Parser:
    """Returns the parser of the command line. only: the command whose options are needed; of the others it then knows only
    names and summaries. "": all options of all commands."""
    top = Parser(
        prog="wallwright",
        usage=usage("COMMAND"),
        description=tr("Composes drawing jobs for a hanging drawing machine: two toothed belts, two motors, a pen."),
        epilog="\n".join(
            [
                tr("Lengths are in mm and angles in degrees; 1.2m, 2in and “2.4 m / 3” work too."),
                tr("Without a command, the window opens. “wallwright COMMAND --help” explains one command."),
                "",
                _exit_codes(),
            ]
        ),
    )
    top.add_argument("--version", action="version", version=f"Wallwright {__version__}", help=tr("show the version"))
    subparsers = top.add_subparsers(prog="wallwright", dest="command", metavar="COMMAND", parser_class=Parser)
    for name, summary in COMMANDS.items():
        called = name.replace("_", "-")
        if only in ("", called):
            module = importlib.import_module(f"wallwright.commands.{name}")
            command: Parser = module.add_parser(subparsers, tr(summary))
            command.epilog = "\n\n".join(filter(None, (command.epilog, _exit_codes())))
            command.set_defaults(run=module.run)
        else:
            command = subparsers.add_parser(called, help=tr(summary))
        top.commands[called] = command
    return top


def parse_command_line(top: Parser, arguments: list[str]) -> argparse.Namespace:
    """Parses a command line. Raises BadValue with suggestions."""
    commands = top.commands
    first = arguments[0] if arguments else ""
    if first and not first.startswith("-") and first not in commands:
        if Path(first).suffix:
            raise BadValue(tr("“{0}” is not a command. To open a file, use: wallwright window {0}", first))
        raise BadValue(
            tr(
                "There is no command “{0}”; there are {1}{2}",
                first,
                ", ".join(commands),
                suggestion(first, commands),
            )
        )
    words = with_present_names(first, join_negative_values(arguments))
    known, seen = commands.get(first, top), set()
    for word in words[1:] if first in commands else words:
        # Checked before argparse runs: it would mistake the value of an unknown option for the project.
        if word == "--":
            break
        name = word.partition("=")[0]
        if not word.startswith("-") or len(word) == 1:
            continue
        if name not in known.options:
            known.error(tr("there is no option {0}{1}", name, suggestion(name, known.options)))
        if name in seen and not known.is_repeatable(name):
            known.error(tr("{0} is given twice", name))
        seen.add(name)
    args, left = top.parse_known_args(words)
    if left:
        known.error(tr("“{0}” is one argument too many", left[0].strip()))
    return args


def main(arguments: list[str] | None = None) -> int:
    """Runs a command; returns its exit code. A person sees sentences; tracebacks go to the log file."""
    set_language(wanted_language())  # before any text is shown
    translate_argparse()
    with safe_output() as (out, _):
        try:
            code = _run((sys.argv[1:] if arguments is None else arguments) or ["window"])
        except SystemExit as end:  # argparse: help
            code = end.code if isinstance(end.code, int) else DONE
        out.flush()
        if out.is_lost and out.failure is not None:
            print(
                "wallwright: " + tr("Not all output could be written ({0}). {1}", os_reason(out.failure), _changes()),
                file=sys.stderr,
            )
    return LOST if code == DONE and out.is_lost else code


def _run(given: list[str]) -> int:
    top = parser(given[0] if given[0].replace("-", "_") in COMMANDS else NO_COMMAND)
    try:
        args = parse_command_line(top, given)
    except UserError as trouble:
        name = f"wallwright {given[0]}" if given[0] in top.commands else "wallwright"
        print(f"{name}: {_sentence(trouble)}", file=sys.stderr)
        return NOT_DONE
    if args.command is None:
        top.print_help()
        return NOT_DONE
    forget_finished()
    log_file = keep_log()
    try:
        code: int = args.run(args)
        return code
    except TooCostly as costly:
        print(f"wallwright {given[0]}: {costly.question}{_how_to_agree(args, costly)}", file=sys.stderr)
    except UserError as trouble:
        written = f" {_changes()}" if finished_files() else ""
        print(f"wallwright {given[0]}: {_sentence(trouble)}{written}", file=sys.stderr)
    except (KeyboardInterrupt, Cancelled):
        print(f"wallwright {given[0]}: " + tr("Stopped. {0}", _changes()), file=sys.stderr)
    except Exception as error:
        logging.getLogger("wallwright").exception("command %s failed", args.command)
        print(
            f"wallwright {given[0]}: "
            + tr(
                "A program error stopped the command ({0}). Details are in {1}. {2}",
                f"{type(error).__name__}: {error}",
                log_file,
                _changes(),
            ),
            file=sys.stderr,
        )
    return NOT_DONE


def _how_to_agree(args: argparse.Namespace, costly: TooCostly) -> str:
    if not costly.can_be_agreed:
        return ""
    if hasattr(args, "read_anyway"):
        return " " + tr("To read it anyway, add --read-anyway.")
    project = getattr(args, "project", "PROJECT")
    return " " + tr("To allow it: wallwright compose {0} --from {0} --read-anyway.", project)


def _sentence(trouble: UserError) -> str:
    text = str(trouble)
    return text if text.endswith((".", "!", "?", "help”", "help“")) else f"{text}."


def _changes() -> str:
    """Returns a text on the files that the command has changed so far."""
    files = finished_files()
    return tr("Written before that: {0}.", ", ".join(files)) if files else tr("Nothing was changed.")
