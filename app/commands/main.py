"""The command line: one module a command, one table."""

from __future__ import annotations

import argparse
import importlib
import logging
import re
import sys

from app import __version__
from app.document.errors import Cancelled, Trouble
from app.document.log import keep_log

COMMANDS = ("window", "compose", "colours", "check", "export", "calibrate", "line_up", "pose", "read", "demo")
"""Modules of app.commands; each has add_parser(subparsers) and run(args) -> exit code."""

GOOD, NOT_GOOD, WRONG_USE = 0, 1, 2

_NEGATIVE = re.compile(r"-[\d.]")


def parser() -> argparse.ArgumentParser:
    top = argparse.ArgumentParser(
        prog="wallwright",
        description="Composes drawing jobs for a hanging drawing machine: two toothed belts, two motors, a pen.",
        epilog="Lengths are in mm, angles in degrees. The exit code is 0 only when the job is good. "
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
    top = parser()
    args = top.parse_args(joined(sys.argv[1:] if arguments is None else arguments))
    if args.command is None:
        top.print_help()
        return WRONG_USE
    log_file = keep_log()
    try:
        return args.run(args)
    except Trouble as trouble:
        print(f"wallwright {args.command}: {trouble}", file=sys.stderr)
        return NOT_GOOD
    except (KeyboardInterrupt, Cancelled):
        print(f"wallwright {args.command}: stopped; nothing was written.", file=sys.stderr)
        return NOT_GOOD
    except BrokenPipeError:  # the reader of our output closed it, as head does
        sys.stderr.close()
        return NOT_GOOD
    except Exception as error:
        logging.getLogger("wallwright").exception("command %s failed", args.command)
        print(
            f"wallwright {args.command}: a fault in the program ({type(error).__name__}: {error}). "
            f"The details are in {log_file}; nothing of yours was changed.",
            file=sys.stderr,
        )
        return NOT_GOOD
