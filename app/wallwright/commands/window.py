"""wallwright window: opens the desktop window."""

from __future__ import annotations

import argparse
import gc
from pathlib import Path

from wallwright.commands.command_parser import Parser, Subparsers, epilog, usage
from wallwright.commands.saving import PNG, claim_output
from wallwright.document.language import tr


def add_parser(subparsers: Subparsers, summary: str) -> Parser:
    parser = subparsers.add_parser(
        "window",
        usage=usage("window [FILE ...]"),
        help=summary,
        description=tr("Opens the desktop window with the files that are named."),
        epilog=epilog("  wallwright window job.wallwright"),
    )
    parser.add_argument(
        "project",
        nargs="*",
        metavar="FILE",
        help=tr("project files (.wallwright), SVG files or pictures to open"),
    )
    parser.add_argument("--demo", action="store_true", help=tr("open the demo job"))
    parser.add_argument(
        "--picture",
        metavar="PNG",
        default="",
        help=tr("paint the planned window into this PNG file and close it"),
    )
    return parser


def run(args: argparse.Namespace) -> int:
    if args.picture:
        claim_output(Path(args.picture), PNG, tr("a PNG picture"), tuple(map(Path, args.project)))
    gc.disable()  # saves a twelfth of the time to the first paint; start() enables it again
    from wallwright.window.application.main import start  # Qt: loaded only for the window

    return start(args.project, demo=args.demo, picture=args.picture)
