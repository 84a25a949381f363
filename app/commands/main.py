"""The command line: one module a command, one table."""

from __future__ import annotations

import argparse
import importlib
import logging
import re
import sys

from app import __version__
from app.commands.output import LOST, safe_output
from app.document.atomic import finished_files, forget_finished, why
from app.document.errors import Cancelled, Trouble
from app.document.log import keep_log

COMMANDS = ("window", "compose", "colours", "check", "export", "calibrate", "line_up", "pose", "read", "demo")
"""Modules of app.commands; each has add_parser(subparsers) and run(args) -> exit code."""

GOOD, NOT_GOOD, WRONG_USE = 0, 1, 2
"""Exit codes; the fourth is output.LOST."""

_NEGATIVE = re.compile(r"-[\d.]")


def parser() -> argparse.ArgumentParser:
    top = argparse.ArgumentParser(
        prog="wallwright",
        description="Composes drawing jobs for a hanging drawing machine: two toothed belts, two motors, a pen.",
        epilog="Lengths are in mm, angles in degrees. The exit code is 0 when the job is good, 1 when it is not, 2 for "
        "wrong use, 3 when it is good but what is printed could not all be written. "
        "'wallwright COMMAND --help' explains one command.",
    )
    top.add_argument("--version", action="version", version=f"Wallwright {__version__}")
    subparsers = top.add_subparsers(dest="command", metavar="COMMAND")
    for name in COMMANDS:
        module = importlib.import_module(f"app.commands.{name}")
        module.add_parser(subparsers).set_defaults(run=module.run)
    return top


def joined(arguments: list[str]) -> list[str]:
    """Writes --option -5,3 as --option=-5,3: argparse takes any other word with a minus for an option.

    A point after another value (--keep-out NAME -5,3 ...) gets a space before its minus, which does the same.
    """
    words: list[str] = []
    for word in arguments:
        if not _NEGATIVE.match(word) or not words:
            words.append(word)
        elif words[-1].startswith("--") and "=" not in words[-1]:
            words[-1] += f"={word}"
        else:
            words.append(f" {word}")
    return words


def main(arguments: list[str] | None = None) -> int:
    """Runs one command; returns its exit code. A person sees sentences, the log file gets tracebacks."""
    with safe_output() as (out, _):
        try:
            code = _run(sys.argv[1:] if arguments is None else arguments)
        except SystemExit as end:  # argparse: help, or wrong use
            code = end.code
        out.flush()
        if out.is_lost:
            print(
                f"wallwright: not all output could be written ({why(out.failure)}). {_changes()}",
                file=sys.stderr,
            )
    return LOST if code == GOOD and out.is_lost else code


def _run(arguments: list[str]) -> int:
    top = parser()
    args = top.parse_args(joined(arguments))
    if args.command is None:
        top.print_help()
        return WRONG_USE
    forget_finished()
    log_file = keep_log()
    try:
        return args.run(args)
    except Trouble as trouble:
        written = f" {_changes()}" if finished_files() else ""
        print(f"wallwright {args.command}: {trouble}{written}", file=sys.stderr)
    except (KeyboardInterrupt, Cancelled):
        print(f"wallwright {args.command}: stopped. {_changes()}", file=sys.stderr)
    except Exception as error:
        logging.getLogger("wallwright").exception("command %s failed", args.command)
        print(
            f"wallwright {args.command}: a fault in the program ({type(error).__name__}: {error}). "
            f"The details are in {log_file}. {_changes()}",
            file=sys.stderr,
        )
    return NOT_GOOD


def _changes() -> str:
    """What the command has changed so far."""
    files = finished_files()
    return f"Written before that: {', '.join(files)}." if files else "Nothing was changed."
