"""The command line: one module a command, one table."""

from __future__ import annotations

import argparse
import importlib
import logging
import sys
from pathlib import Path

from wallwright import __version__
from wallwright.commands.options import Parser, joined, meant
from wallwright.commands.output import LOST, safe_output
from wallwright.document.atomic_write import finished_files, forget_finished, os_reason
from wallwright.document.errors import BadValue, Cancelled, UserError
from wallwright.document.log import keep_log
from wallwright.document.reading_limits import TooCostly

COMMANDS = ("window", "compose", "colours", "check", "export", "calibrate", "line_up", "pose", "read", "demo")
"""Modules of wallwright.commands; each has add_parser(subparsers) and run(args) -> exit code."""

DONE, CHECK_FAILED, NOT_DONE = 0, 1, 2
"""Exit codes: done; done, and a check found an error; nothing done, since an option, a file or a number was wrong.
The fourth is output.LOST."""

EXIT_CODES = """\
exit codes:
  0  done
  1  a check found an error: see what was printed
  2  not done: an option, a file or a number is wrong
  3  done, but what is printed could not all be written"""


def parser() -> Parser:
    """The parser of the whole command line."""
    top = Parser(
        prog="wallwright",
        usage="wallwright COMMAND [options]",
        description="Composes drawing jobs for a hanging drawing machine: two toothed belts, two motors, a pen.",
        epilog=f"Lengths are in mm and angles in degrees; 1.2m, 2in and '2.4 m / 3' work too.\n"
        f"'wallwright COMMAND --help' explains one command.\n\n{EXIT_CODES}",
    )
    top.add_argument("--version", action="version", version=f"Wallwright {__version__}")
    subparsers = top.add_subparsers(prog="wallwright", dest="command", metavar="COMMAND", parser_class=Parser)
    for name in COMMANDS:
        module = importlib.import_module(f"wallwright.commands.{name}")
        command = module.add_parser(subparsers)
        command.epilog = f"{command.epilog}\n\n{EXIT_CODES}" if command.epilog else EXIT_CODES
        command.set_defaults(run=module.run)
        top.commands[command.prog.split()[-1]] = command
    return top


def parsed(top: Parser, arguments: list[str]) -> argparse.Namespace:
    """The options of one command line. Raises BadValue with what was meant."""
    commands = top.commands
    first = arguments[0] if arguments else ""
    if first and not first.startswith("-") and first not in commands:
        if Path(first).suffix:
            raise BadValue(f"'{first}' is not a command; to open a file, use: wallwright window {first}")
        raise BadValue(
            f"there is no command '{first}'; there are {', '.join(commands)}{meant(first, commands)}"
        )
    words = joined(arguments)
    known, seen = commands.get(first, top), set()
    for word in words[1:] if first in commands else words:
        # Looked at before argparse does: it would take the value of an unknown option for the project.
        if word == "--":
            break
        name = word.partition("=")[0]
        if not word.startswith("-") or len(word) == 1:
            continue
        if name not in known.options:
            known.error(f"there is no option {name}{meant(name, known.options)}")
        if name in seen and not known.is_repeatable(name):
            known.error(f"{name} is given twice")
        seen.add(name)
    args, left = top.parse_known_args(words)
    if left:
        known.error(f"'{left[0].strip()}' is one argument too many")
    return args


def main(arguments: list[str] | None = None) -> int:
    """Runs one command; returns its exit code. A person sees sentences, the log file gets tracebacks."""
    with safe_output() as (out, _):
        try:
            code = _run(sys.argv[1:] if arguments is None else arguments)
        except SystemExit as end:  # argparse: help
            code = end.code if isinstance(end.code, int) else DONE
        out.flush()
        if out.is_lost and out.failure is not None:
            print(
                f"wallwright: not all output could be written ({os_reason(out.failure)}). {_changes()}",
                file=sys.stderr,
            )
    return LOST if code == DONE and out.is_lost else code


def _run(given: list[str]) -> int:
    top = parser()
    try:
        args = parsed(top, given)
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
        print(f"wallwright {given[0]}: stopped. {_changes()}", file=sys.stderr)
    except Exception as error:
        logging.getLogger("wallwright").exception("command %s failed", args.command)
        print(
            f"wallwright {given[0]}: a fault in the program ({type(error).__name__}: {error}). "
            f"The details are in {log_file}. {_changes()}",
            file=sys.stderr,
        )
    return NOT_DONE


def _how_to_agree(args: argparse.Namespace, costly: TooCostly) -> str:
    if not costly.can_be_agreed:
        return ""
    if hasattr(args, "read_anyway"):
        return " To read it all the same, add --read-anyway."
    project = getattr(args, "project", "PROJECT")
    return f" To allow it: wallwright compose {project} --from {project} --read-anyway."


def _sentence(trouble: UserError) -> str:
    text = str(trouble)
    return text if text.endswith((".", "!", "?", "help'")) else f"{text}."


def _changes() -> str:
    """What the command has changed so far."""
    files = finished_files()
    return f"Written before that: {', '.join(files)}." if files else "Nothing was changed."
