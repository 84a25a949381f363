"""wallwright colours: lists the colours of the artwork, the amount of each, and the pen that draws it."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from wallwright.artwork.inks.recipes import recipes_of
from wallwright.commands.command_parser import Parser, Subparsers, epilog, usage
from wallwright.commands.options import print_json
from wallwright.commands.saving import load_project, save_changed
from wallwright.document.language import mid_sentence, tr
from wallwright.document.project import SUFFIX
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.strokes.palette import pens_worth_buying, with_rule


def add_parser(subparsers: Subparsers, summary: str) -> Parser:
    parser = subparsers.add_parser(
        "colours",
        usage=usage("colours PROJECT"),
        help=summary,
        description=tr(
            "Lists the colours of each artwork: area and length on the wall, the pen that draws it, and "
            "the mixture "
            "of pens that comes nearest. Nearness is CIEDE2000, seen from afar on a white wall."
        ),
        epilog=epilog(
            "  wallwright colours job.wallwright --suggest",
            tr("--suggest replaces pens and coverages that you chose; a dated copy of the project is saved beside it."),
        ),
    )
    parser.add_argument("project", metavar="PROJECT", type=Path, help=tr("project file ({0})", SUFFIX))
    parser.add_argument("--suggest", action="store_true", help=tr("mix every colour from the pens, and save"))
    parser.add_argument("--advise", action="store_true", help=tr("name up to three pens worth buying"))
    parser.add_argument("--json", action="store_true", help=tr("print JSON"))
    return parser


def run(args: argparse.Namespace) -> int:
    document = load_project(args.project)
    reports = Runner().run(Request(1, document, Goal.PREVIEW)).require_preview().reports
    rows: list[dict[str, Any]] = []
    changed = document
    for report in reports:
        placement = document.placement(report.placement)
        if not document.draws_lines(placement):
            changed = with_rule(changed, placement.id, "mixed")
        recipes = recipes_of([use.colour for use in report.colours], document.pens)
        for use in report.colours:
            found = recipes[use.colour]
            mixture = [{"pen": document.pens[t.pen].name, "coverage": t.coverage} for t in found.tints]
            rows.append(
                {
                    "artwork": document.artwork(placement.artwork).name,
                    "colour": use.colour,
                    "area_mm2": use.area,
                    "length_mm": use.length,
                    "pen": document.pens[use.pen].name if use.pen >= 0 else None,
                    "chosen": use.chosen,
                    "mixture": mixture,
                    "difference": found.difference,
                }
            )
    if args.suggest:
        save_changed(args.project, document, changed, True, sys.stderr if args.json else sys.stdout)
    if args.json:
        print_json(rows)
        return 0
    for row in rows:
        better = " + ".join(f"{t['pen']} {100 * t['coverage']:.0f} %" for t in row["mixture"]) or tr("none")
        print(
            tr(
                "{0}: {1}, {2:.3f} m², {3:.1f} m: {4}; mixed: {5} (difference {6:.1f})",
                row["artwork"],
                row["colour"],
                row["area_mm2"] / 1e6,
                row["length_mm"] / 1000,
                row["pen"] or tr("hidden"),
                better,
                row["difference"],
            )
        )
    uses = [use for report in reports for use in report.colours]
    for advice in pens_worth_buying(document, uses) if args.advise else ():
        print(
            tr(
                "Worth buying: {0} ({1}), difference {2:.1f} becomes {3:.1f}",
                mid_sentence(advice.name),
                advice.colour,
                advice.before,
                advice.after,
            )
        )
    return 0
