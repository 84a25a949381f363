"""wallwright check: plans a job and shows its checks and estimate."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec

from wallwright.commands.command_parser import Parser, Subparsers, epilog, usage
from wallwright.commands.machine_options import add_machine_file, with_machine_file
from wallwright.commands.options import as_text, counting, print_json
from wallwright.commands.saving import check_hanging, claim_output, load_project
from wallwright.commands.typing_output import typing_of
from wallwright.document.atomic_write import write_atomic
from wallwright.document.consistency import validate
from wallwright.document.document import Document
from wallwright.document.language import N_, plural, tr
from wallwright.document.project import SUFFIX
from wallwright.jobs.checks import Check, Verdict
from wallwright.jobs.hanging_position import folder_of
from wallwright.jobs.job_folder import folder_problems
from wallwright.jobs.stroke_table import HEAD, stroke_table
from wallwright.jobs.what_to_type import as_text as typing_text
from wallwright.planning.clock import StageProgress
from wallwright.planning.plan import EVERY, Goal, Plan, Request, Response
from wallwright.planning.runner import Runner
from wallwright.planning.stages import describe_stage
from wallwright.strokes.order import OrderSaving
from wallwright.strokes.remaining import fingerprint, strokes_digest

MARKS = {
    Verdict.OK: N_("OK"),
    Verdict.NOTE: N_("note"),
    Verdict.WARNING: N_("WARNING"),
    Verdict.ERROR: N_("ERROR"),
}


def add_parser(subparsers: Subparsers, summary: str) -> Parser:
    parser = subparsers.add_parser(
        "check",
        usage=usage("check PROJECT"),
        help=summary,
        description=tr("Plans a project and prints the checks and the estimate."),
        epilog=epilog("  wallwright check job.wallwright --strokes strokes.csv"),
    )
    add_plan_options(parser)
    parser.add_argument(
        "--strokes",
        type=Path,
        metavar="FILE",
        help=tr("write a table (CSV) with time, ink and load of each stroke; one file for each hanging"),
    )
    parser.add_argument(
        "--folder",
        type=Path,
        help=tr(
            "also check that the files in this folder are one whole job of the project as it is now; an interrupted "
            "export is completed"
        ),
    )
    return parser


def add_plan_options(parser: argparse.ArgumentParser) -> None:
    """Adds the options that check and export have in common."""
    parser.add_argument("project", metavar="PROJECT", type=Path, help=tr("project file ({0})", SUFFIX))
    parser.add_argument(
        "--hanging", type=counting(), metavar="N", help=tr("which hanging, from 1; without it all hangings")
    )
    add_machine_file(parser, tr("a saved machine (.json) in place of the project's; the project stays as it is"))
    parser.add_argument("--json", action="store_true", help=tr("print JSON"))


def planned_document(args: argparse.Namespace) -> Document:
    """Returns the project to plan, with the machine that the options name. Raises UserError."""
    document = with_machine_file(load_project(args.project), args)
    if args.machine_file is not None:
        validate(document)
    return document


def run(args: argparse.Namespace) -> int:
    document = planned_document(args)
    request = Request(1, document, Goal.PLAN, wanted_hanging(document, args.hanging))
    if args.strokes is not None:  # checked before the time is spent on planning
        for number in range(len(document.hangings)):
            claim_output(
                _stroke_file(args.strokes, number, request.hanging == EVERY),
                HEAD.encode(),
                tr("a stroke table"),
            )
    answer = Runner().run(request, stage_printer(args.json))
    print_answer(answer, request, args.json)
    if args.strokes is not None:
        _write_strokes(args.strokes, answer, document)
    is_whole = args.folder is None or _check_folder(args.folder, answer)
    return 0 if is_good(answer) and is_whole else 1


def _check_folder(folder: Path, answer: Response) -> bool:
    """Whether a folder holds the planned job, or the jobs of all hangings of a wall. Prints the problems."""
    fingerprints = {
        folder_of(plan.hanging) if answer.plans else "": fingerprint(strokes_digest(plan.strokes))
        for plan in plans_of(answer)
        if len(plan.strokes)
    }
    was_unfinished, problems = folder_problems(folder, fingerprints)
    if was_unfinished:
        print(tr("{0}: an interrupted export was completed.", folder), file=sys.stderr)
    for problem in problems:
        print(problem, file=sys.stderr)
    return not problems


def _write_strokes(path: Path, answer: Response, document: Document) -> None:
    """Writes the stroke table of each plan. Raises BadFile."""
    for plan in plans_of(answer):
        file = _stroke_file(path, plan.hanging, bool(answer.plans))
        first = plan.before.first if plan.before is not None else 0
        write_atomic(file, stroke_table(document, plan.strokes, plan.motion, first))


def _stroke_file(path: Path, hanging: int, is_numbered: bool) -> Path:
    return path.with_stem(f"{path.stem}-{hanging + 1}") if is_numbered else path


def wanted_hanging(document: Document, number: int | None) -> int:
    """Returns the hanging that --hanging selects, or all without it. Raises BadValue for one that does not exist."""
    count = len(document.hangings)
    if number is None:
        return EVERY if count > 1 else 0
    check_hanging(document, number)
    return number - 1


def is_good(answer: Response) -> bool:
    return all(c.verdict is not Verdict.ERROR for plan in plans_of(answer) for c in plan.checks)


def plans_of(answer: Response) -> tuple[Plan, ...]:
    return answer.plans or (answer.require_plan(),)


def stage_printer(quiet: bool) -> StageProgress:
    """Returns a function that shows the stage on a terminal, and nothing elsewhere."""
    if quiet or not sys.stderr.isatty():
        return lambda stage, done, saving=None: None
    previous = ""

    def show(stage: str, done: float, saving: OrderSaving | None = None) -> None:
        nonlocal previous
        text = f"{done:4.0%} {describe_stage(stage, saving)}"
        if text != previous:
            sys.stderr.write(f"\r{text:<{len(previous)}}")
            sys.stderr.flush()
            previous = text

    return show


def reading_printer(quiet: bool) -> Callable[[float], None]:
    """Returns the same for reading a file."""
    show = stage_printer(quiet)
    return lambda done: show("read", done)


def print_answer(answer: Response, request: Request, as_json: bool) -> None:
    """Prints checks and estimate, for a person or a program."""
    document = request.document
    if as_json:
        rest = {"files": [as_text(f) for f in answer.files], "stage_s": answer.timings}
        if not answer.plans:
            plan = answer.require_plan()
            print_json({"ok": is_good(answer), **_plan_report(answer, plan, document), **rest})
            return
        each = [
            {"hanging": document.hangings[p.hanging].name, **_plan_report(answer, p, document)} for p in answer.plans
        ]
        print_json(
            {
                "ok": is_good(answer),
                "total_s": sum(p.estimate.total_s for p in answer.plans),
                "hangings": each,
                **rest,
            }
        )
        return
    for plan in plans_of(answer):
        if answer.plans:
            print(f"{document.hangings[plan.hanging].name}:")
        _print_plan(plan, document)
        what = typing_of(answer, plan, document)
        if what is not None:
            print(typing_text(what))
    if answer.plans:
        estimates = [p.estimate for p in answer.plans]
        ink = sum(part.ink_m for e in estimates for part in e.per_pen)
        run = [sum(e.belt_run_m[side] for e in estimates) for side in (0, 1)]
        minutes = sum(e.total_s for e in estimates) / 60
        print(
            tr(
                "All {0} hangings: {1:.1f} min, {2:.1f} m of ink, left belt runs {3:.0f} m, right belt {4:.0f} m.",
                len(estimates),
                minutes,
                ink,
                *run,
            )
        )


def _plan_report(answer: Response, plan: Plan, document: Document) -> dict[str, Any]:
    """Returns a plan of an answer as plain values."""
    what = typing_of(answer, plan, document)
    return {
        **({"what_to_type": msgspec.to_builtins(what)} if what is not None else {}),
        "strokes": len(plan.strokes),
        "total_s": plan.estimate.total_s,
        "changing_s": plan.estimate.changing_s,
        "passes": [
            {
                "pen": document.pens[p.pen].name,
                "strokes": p.strokes,
                "drawing_s": p.drawing_s,
                "travel_s": p.travel_s,
                "lifting_s": p.lifting_s,
                "ink_m": p.ink_m,
                "travel_m": p.travel_m,
            }
            for p in plan.estimate.per_pen
        ],
        "checks": [_plain(c) for c in plan.checks],
    }


def _print_plan(plan: Plan, document: Document) -> None:
    marks = {verdict: tr(mark) for verdict, mark in MARKS.items()}
    width = max(map(len, marks.values()))
    for check in plan.checks:
        print(f"[{marks[check.verdict]:^{width}}] {check.title}: {check.text}")
    for part in plan.estimate.per_pen:
        seconds = part.drawing_s + part.travel_s + part.lifting_s
        print(
            plural(
                "{1}: {0} stroke, {2:.1f} m of ink, {3:.1f} m pen up, {4:.1f} min",
                "{1}: {0} strokes, {2:.1f} m of ink, {3:.1f} m pen up, {4:.1f} min",
                part.strokes,
                document.pens[part.pen].name,
                part.ink_m,
                part.travel_m,
                seconds / 60,
            )
        )
    total, changing = plan.estimate.total_s / 60, plan.estimate.changing_s / 60
    if changing:
        print(tr("Total: {0:.1f} min, plus {1:.1f} min for changing pens.", total, changing))
    else:
        print(tr("Total: {0:.1f} min.", total))


def _plain(check: Check) -> dict[str, object]:
    return {
        "id": check.id,
        "verdict": check.verdict.value,
        "title": check.title,
        "text": check.text,
        "place": check.place,
    }
