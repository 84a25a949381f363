"""wallwright window: the desktop window."""

from __future__ import annotations

import argparse
import gc


def add_parser(subparsers) -> argparse.ArgumentParser:
    parser = subparsers.add_parser(
        "window",
        help="open the desktop window",
        description="Opens the desktop window, with a project if one is named.",
    )
    parser.add_argument(
        "project", nargs="*", help="project files (.wallwright), SVG files or pictures to open"
    )
    parser.add_argument("--demo", action="store_true", help="open the demo job")
    parser.add_argument(
        "--picture", default="", help="paint the planned window into this PNG file and close it"
    )
    return parser


def run(args: argparse.Namespace) -> int:
    gc.disable()  # a twelfth of the time to the first paint; start() collects again from then on
    from app.window.main import start  # Qt: only when a window is wanted

    return start(args.project, demo=args.demo, picture=args.picture)
