"""wallwright demo: the demo job without a window."""

from __future__ import annotations

import argparse
from pathlib import Path

from app.commands.export import export
from app.document.atomic import why
from app.document.errors import BadFile
from app.document.project import write_project
from app.planning.plan import Goal, Request


def add_parser(subparsers) -> argparse.ArgumentParser:
    parser = subparsers.add_parser(
        "demo", help="plan and export the demo job without a window",
        description="Plans the demo job and writes it, with its project file, into a folder.",
    )  # fmt: skip
    parser.add_argument("--folder", type=Path, default=Path("demo-job"), help="where the files go (demo-job)")
    parser.add_argument("--json", action="store_true", help="print JSON")
    return parser


def run(args: argparse.Namespace) -> int:
    from app.planning.demo import demo_document

    document = demo_document()
    try:
        args.folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadFile(
            f"The folder {args.folder} cannot be used ({why(error)}). Choose another one."
        ) from error
    write_project(args.folder / "harbour.wallwright", document)
    return export(Request(1, document, Goal.EXPORT, 0, str(args.folder), project="harbour"), args.json)
