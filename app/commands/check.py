"""wallwright check: can this job be hung?"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from app.commands.options import print_json
from app.document.project import read_project
from app.jobs.checks import Check, Verdict
from app.planning.plan import Answer, Goal, Request

MARKS = {Verdict.GOOD: "  ok  ", Verdict.NOTE: " note ", Verdict.WARNING: " WARN ", Verdict.BAD: " BAD  "}


def add_parser(subparsers) -> argparse.ArgumentParser:
    parser = subparsers.add_parser(
        "check", help="plan a project and look at everything that could go wrong",
        description="Plans a project and prints the checks and the estimate. The exit code is 0 when no check is bad.",
    )  # fmt: skip
    add_plan_options(parser)
    return parser


def add_plan_options(parser: argparse.ArgumentParser) -> None:
    """What check and export have in common."""
    parser.add_argument("project", type=Path, help="project file (.wallwright)")
    parser.add_argument("--hanging", type=int, default=1, help="which hanging (1 is the first)")
    parser.add_argument("--json", action="store_true", help="print JSON")


def run(args: argparse.Namespace) -> int:
    from app.planning.run import Runner  # heavy

    request = Request(1, read_project(args.project), Goal.PLAN, args.hanging - 1)
    answer = Runner().run(request, stage_printer(args.json))
    print_answer(answer, request, args.json)
    return 0 if is_good(answer) else 1


def is_good(answer: Answer) -> bool:
    return all(c.verdict is not Verdict.BAD for c in answer.plan.checks)


def stage_printer(quiet: bool):
    """Shows the stage on a terminal, nothing elsewhere."""
    if quiet or not sys.stderr.isatty():
        return lambda stage, done: None

    def show(stage: str, done: float) -> None:
        sys.stderr.write(f"\r{stage:<8} {done:4.0%} ")
        sys.stderr.flush()

    return show


def print_answer(answer: Answer, request: Request, as_json: bool) -> None:
    """Checks and estimate, for a person or a program."""
    plan, pens = answer.plan, request.document.pens
    estimate = plan.estimate
    if as_json:
        print_json(
            {
                "good": is_good(answer),
                "strokes": len(plan.strokes),
                "total_s": estimate.total_s,
                "passes": [
                    {"pen": pens[p.pen].name, "strokes": p.strokes, "drawing_s": p.drawing_s, "travel_s": p.travel_s,
                     "lifting_s": p.lifting_s, "ink_m": p.ink_m, "travel_m": p.travel_m}
                    for p in estimate.per_pen
                ],
                "checks": [_plain(c) for c in plan.checks],
                "files": list(answer.files),
                "stage_s": answer.timings,
            }
        )  # fmt: skip
        return
    for check in plan.checks:
        print(f"[{MARKS[check.verdict]}] {check.title}: {check.text}")
    for part in estimate.per_pen:
        seconds = part.drawing_s + part.travel_s + part.lifting_s
        print(f"{pens[part.pen].name}: {part.strokes} strokes, {part.ink_m:.1f} m of ink, {part.travel_m:.1f} m pen up, "
              f"{seconds / 60:.1f} min")  # fmt: skip
    print(f"In all {estimate.total_s / 60:.1f} min without pen changes.")


def _plain(check: Check) -> dict:
    return {"id": check.id, "verdict": check.verdict.value, "title": check.title, "text": check.text,
            "place": check.place}  # fmt: skip
