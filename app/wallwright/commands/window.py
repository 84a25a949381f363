"""wallwright window: the desktop window."""

from __future__ import annotations

import argparse
import gc
from pathlib import Path

from wallwright.commands.options import Parser, Subparsers
from wallwright.commands.read import PNG
from wallwright.commands.saving import claim_output


def add_parser(subparsers: Subparsers) -> Parser:
    parser = subparsers.add_parser(
        "window",
        usage="wallwright window [FILE ...] [options]",
        help="open the desktop window",
        description="Opens the desktop window, with the files that are named.",
        epilog="example:\n  wallwright window job.wallwright",
    )
    parser.add_argument(
        "project",
        nargs="*",
        metavar="FILE",
        help="project files (.wallwright), SVG files or pictures to open",
    )
    parser.add_argument("--demo", action="store_true", help="open the demo job")
    parser.add_argument(
        "--picture",
        metavar="PNG",
        default="",
        help="paint the planned window into this PNG file and close it",
    )
    return parser


def run(args: argparse.Namespace) -> int:
    if args.picture:
        claim_output(Path(args.picture), PNG, "a PNG picture", tuple(map(Path, args.project)))
    gc.disable()  # a twelfth of the time to the first paint; start() collects again from then on
    from wallwright.window.application.main import start  # Qt: only when a window is wanted

    return start(args.project, demo=args.demo, picture=args.picture)
