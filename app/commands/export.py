"""wallwright export: the job files and the hanging sheet."""

from __future__ import annotations

import argparse
import dataclasses
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.check import add_plan_options, is_good, print_answer, stage_printer, wanted_hanging
from app.commands.going_on import add_rest_options, asks_for_rest, rest_asked, stop_of
from app.document import edits
from app.document.edits_register import keep_meetings
from app.document.edits_stop import remember_stop
from app.document.errors import BadValue
from app.document.file_state import open_project, save_project
from app.document.project import read_project
from app.planning.plan import EVERY, Answer, Goal, Request

if TYPE_CHECKING:
    from app.planning.run import Runner


def add_parser(subparsers) -> argparse.ArgumentParser:
    parser = subparsers.add_parser(
        "export", help="write job files and hanging sheet into a folder",
        description="Plans a project and writes its job: belts.ngc and plane.ngc (RS-274), corrected.svg, motion.jsonl, "
        "hanging-sheet.pdf and report.json. A project with several hangings gets a folder for each, and wall-report.json "
        "with what they take together. Nothing is written while a check is bad.",
    )  # fmt: skip
    add_plan_options(parser)
    add_rest_options(parser)
    parser.add_argument("--folder", type=Path, required=True, help="where the files go")
    parser.add_argument(
        "--outside", choices=("refuse", "clip", "override"), help="strokes outside the draw zone"
    )
    return parser


def run(args: argparse.Namespace) -> int:
    document = read_project(args.project)
    if args.outside:
        document = edits.set_field(document, "settings.outside", args.outside)
    hanging = wanted_hanging(document, args.hanging)
    request = Request(1, document, Goal.EXPORT, hanging, str(args.folder), project=args.project.stem)
    if len(document.hangings) > 1 and not asks_for_rest(args):
        return _export_kept(request, args)
    return export_rest(request, args) if asks_for_rest(args) else export(request, args.json)


def _export_kept(request: Request, args: argparse.Namespace) -> int:
    """Fixes meeting lines and register marks in the project file once they are exported: what one hanging has drawn stays
    on the wall while the next is measured and exported again."""
    from app.planning.run import Runner  # heavy

    runner = Runner()
    document = request.document
    preview = runner.run(dataclasses.replace(request, goal=Goal.PREVIEW)).preview
    kept = keep_meetings(document, preview.meetings, preview.marks)
    code = export(dataclasses.replace(request, document=kept), args.json, runner)
    if code == 0 and kept != document:
        # What was saved meanwhile stays.
        now, disk = open_project(args.project)
        save_project(args.project, keep_meetings(now, preview.meetings, preview.marks), disk)
    return code


def export_rest(request: Request, args: argparse.Namespace) -> int:
    """Plans the whole job, then writes what is left of it. Returns the exit code."""
    from app.planning.run import Runner  # heavy

    if request.hanging == EVERY:
        raise BadValue("--hanging: say which hanging goes on; each has strokes of its own")
    runner = Runner()
    whole = runner.run(dataclasses.replace(request, goal=Goal.PLAN), stage_printer(args.json)).plan
    rest = rest_asked(args, request.document, whole)
    if args.remember:
        stopped = stop_of(whole, rest.place)
        now, disk = open_project(args.project)
        save_project(args.project, remember_stop(now, stopped), disk)
    return export(dataclasses.replace(request, rest=rest), args.json, runner)


def export(request: Request, as_json: bool, runner: Runner | None = None) -> int:
    """Plans, then writes when the checks are good. Returns the exit code."""
    from app.planning.run import Runner  # heavy

    runner = runner or Runner()
    planned = runner.run(dataclasses.replace(request, goal=Goal.PLAN), stage_printer(as_json))
    if not is_good(planned):
        print_answer(planned, request, as_json)
        print("Nothing was written: a check is bad.", file=sys.stderr)
        return 1
    answer: Answer = runner.run(request, stage_printer(as_json))
    print_answer(answer, request, as_json)
    if not as_json:
        for file in answer.files:
            print(f"wrote {file}")
    return 0
