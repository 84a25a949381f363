"""wallwright export: writes the job files and the hanging sheet."""

from __future__ import annotations

import argparse
import dataclasses
import json
import sys
from collections.abc import Iterator
from pathlib import Path

from wallwright.commands.check import (
    add_plan_options,
    is_good,
    planned_document,
    print_answer,
    stage_printer,
    wanted_hanging,
)
from wallwright.commands.command_parser import Parser, Subparsers, epilog, usage
from wallwright.commands.continuation_options import (
    add_continuation_options,
    interruption_at,
    is_continuation,
    requested_continuation,
)
from wallwright.commands.options import OUTSIDE, outside_choice
from wallwright.commands.saving import load_project, save_changed
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.edits_hangings import MOST_HANGINGS
from wallwright.document.edits_interruption import remember_interruption
from wallwright.document.edits_register import keep_handover_lines
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.language import tr
from wallwright.document.whole_file import read_whole_file
from wallwright.jobs.file_names import DRAWING_NAME, JOB_NAMES, REPORT
from wallwright.jobs.hanging_position import folder_of
from wallwright.jobs.wall_report import WALL_REPORT
from wallwright.planning.plan import EVERY, Goal, Request, Response
from wallwright.planning.runner import Runner

EXAMPLES = """\
  wallwright export job.wallwright --folder job
  wallwright export job.wallwright --folder remaining --from-stroke 413 --pen-to-anchors 1204,1189"""


def add_parser(subparsers: Subparsers, summary: str) -> Parser:
    parser = subparsers.add_parser(
        "export",
        usage=usage("export PROJECT --folder DIR"),
        help=summary,
        description=tr(
            "Writes belts.ngc and plane.ngc (RS-274), corrected.svg, motion.jsonl, hanging-sheet.pdf and "
            "report.json. A machine that takes drawings gets one SVG for each pen instead, and the numbers "
            "to type "
            "are printed. Several hangings get a folder each. Nothing is written while a check finds an error."
        ),
        epilog=epilog(
            EXAMPLES,
            tr("An earlier job in the folder is replaced; files of another kind stay, or need --replace."),
            tr("With several hangings the project fixes handover lines and register marks once they are exported."),
        ),
    )
    add_plan_options(parser)
    parser.add_argument("--folder", type=Path, required=True, metavar="DIR", help=tr("folder for the files (required)"))
    parser.add_argument(
        "--replace", action="store_true", help=tr("also replace files that belong to no Wallwright job")
    )
    parser.add_argument(
        "--outside",
        type=outside_choice,
        metavar="CHOICE",
        help=tr("strokes outside the draw zone: {0}", ", ".join(OUTSIDE)),
    )
    add_continuation_options(parser)
    return parser


def run(args: argparse.Namespace) -> int:
    continues = is_continuation(args)
    document = planned_document(args)
    claim_folder(args.folder, args.replace)
    if args.outside:
        document = edits.set_field(document, "settings.outside", args.outside)
    hanging = wanted_hanging(document, args.hanging)
    request = Request(1, document, Goal.EXPORT, hanging, str(args.folder), project=args.project.stem)
    if len(document.hangings) > 1 and not continues:
        return _export_and_fix_lines(request, args)
    return export_continuation(request, args) if continues else export(request, args.json)


def _export_and_fix_lines(request: Request, args: argparse.Namespace) -> int:
    """Exports, then stores handover lines and register marks in the project file: what one hanging has drawn stays on the
    wall while the next is measured and exported again."""
    runner = Runner()
    document = request.document
    preview = runner.run(dataclasses.replace(request, goal=Goal.PREVIEW)).require_preview()
    kept = keep_handover_lines(document, preview.meetings, preview.marks)
    code = export(dataclasses.replace(request, document=kept), args.json, runner)
    if code == 0 and kept != document:
        _save(args, keep_handover_lines(load_project(args.project), preview.meetings, preview.marks))
    return code


def _save(args: argparse.Namespace, document: Document) -> None:
    save_changed(args.project, load_project(args.project), document, True, sys.stderr)


def claim_folder(folder: Path, may_replace: bool) -> None:
    """Raises BadValue if an export would replace anything but an earlier export."""
    if folder.exists() and not folder.is_dir():
        raise BadValue(tr("--folder {0} is a file; choose a folder", folder))
    for place in _places(folder):
        there = [name for name in JOB_NAMES if (place / name).exists()]
        there += sorted(path.name for path in place.glob("*.svg") if DRAWING_NAME.fullmatch(path.name))
        if there and _fingerprint(place) is None and not may_replace:
            raise BadValue(
                tr(
                    "{0} exists already, and {1} has no report of a Wallwright job. Choose another folder, or add --replace",
                    place / there[0],
                    place,
                )
            )


def _places(folder: Path) -> Iterator[Path]:
    """Yields the folder of a job and those of its hangings."""
    yield folder
    for number in range(MOST_HANGINGS):
        if (place := folder / folder_of(number)).is_dir():
            yield place


def _fingerprint(place: Path) -> str | None:
    """Returns the fingerprint of the strokes of the job in a folder; "" for a whole wall; None without a job's report."""
    for name, form in ((REPORT, "wallwright report"), (WALL_REPORT, "wallwright wall report")):
        try:
            report = json.loads(read_whole_file(place / name))
        except (BadFile, ValueError):
            continue
        if isinstance(report, dict) and report.get("form") == form:
            return str(report.get("fingerprint", ""))
    return None


def export_continuation(request: Request, args: argparse.Namespace) -> int:
    """Plans the whole job, then writes what is left of it. Returns the exit code. Raises UserError."""
    if request.hanging == EVERY:
        raise BadValue(tr("--hanging: say which hanging to continue; each has its strokes"))
    runner = Runner()
    whole = runner.run(dataclasses.replace(request, goal=Goal.PLAN), stage_printer(args.json)).require_plan()
    rest = requested_continuation(args, request.document, whole)
    if args.remember:
        stopped = interruption_at(whole, rest.place)
        _save(args, remember_interruption(load_project(args.project), stopped))
    return export(dataclasses.replace(request, rest=rest), args.json, runner)


def export(request: Request, as_json: bool, runner: Runner | None = None) -> int:
    """Plans, then writes if no check is an error. Returns the exit code."""
    runner = runner or Runner()
    planned = runner.run(dataclasses.replace(request, goal=Goal.PLAN), stage_printer(as_json))
    if not is_good(planned):
        print_answer(planned, request, as_json)
        print(tr("Nothing was written: a check found an error."), file=sys.stderr)
        return 1
    folder = Path(request.folder)
    before = {place: _fingerprint(place) for place in _places(folder)}
    answer: Response = runner.run(request, stage_printer(as_json))
    print_answer(answer, request, as_json)
    for place, old in before.items():
        if old and old != _fingerprint(place):
            print(tr("The earlier job in {0} (fingerprint {1}) was replaced.", place, old), file=sys.stderr)
    if not as_json:
        for file in answer.files:
            print(tr("Written: {0}", file))
    return 0
