"""wallwright demo: writes the demo job without a window."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from wallwright.commands.command_parser import Parser, Subparsers, usage
from wallwright.commands.export import claim_folder, export
from wallwright.commands.options import read_file
from wallwright.commands.saving import save_new
from wallwright.document.atomic_write import os_reason
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.project import encode_project
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request


def add_parser(subparsers: Subparsers, summary: str) -> Parser:
    parser = subparsers.add_parser(
        "demo",
        usage=usage("demo"),
        help=summary,
        description=tr("Plans the demo job and writes it, with its project file, into a folder."),
    )
    parser.add_argument(
        "--folder",
        type=Path,
        default=Path("demo-job"),
        metavar="DIR",
        help=tr("folder for the files ({0})", "demo-job"),
    )
    parser.add_argument(
        "--replace", action="store_true", help=tr("replace an edited demo project, or files of another kind")
    )
    parser.add_argument("--json", action="store_true", help=tr("print JSON"))
    return parser


def run(args: argparse.Namespace) -> int:
    """Writes the demo's project and job. Returns the exit code. Raises UserError."""
    document = demo_document()
    try:
        args.folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadFile(
            tr("The folder {0} cannot be used ({1}). Choose another one.", args.folder, os_reason(error))
        ) from error
    project = args.folder / "harbour.wallwright"
    claim_folder(args.folder, args.replace)
    if not (project.exists() and read_file(project) == encode_project(document)):
        save_new(project, document, args.replace, sys.stderr)
    return export(Request(1, document, Goal.EXPORT, 0, str(args.folder), project="harbour"), args.json)
