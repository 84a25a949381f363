"""wallwright colours: the colours of the artwork, how much there is of each, and which pen draws it."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from wallwright.commands.options import Parser, Subparsers, print_json
from wallwright.commands.saving import load_project, save_changed
from wallwright.planning.plan import Goal, Request


def add_parser(subparsers: Subparsers) -> Parser:
    parser = subparsers.add_parser(
        "colours",
        usage="wallwright colours PROJECT [options]",
        help="list the colours of a project with their pens, and mix them from the pens",
        description="Lists the colours of each artwork: area and length on the wall, the pen that draws it, and pens and "
        "coverages that come nearest (CIEDE2000, seen from afar on a white wall).",
        epilog="example:\n  wallwright colours job.wallwright --suggest\n\n"
        "--suggest replaces pens and coverages that you chose; a dated copy of the project is kept beside it.",
    )
    parser.add_argument("project", metavar="PROJECT", type=Path, help="project file (.wallwright)")
    parser.add_argument("--suggest", action="store_true", help="mix every colour from the pens, and save")
    parser.add_argument("--advise", action="store_true", help="name up to three pens worth buying")
    parser.add_argument("--json", action="store_true", help="print JSON")
    return parser


def run(args: argparse.Namespace) -> int:
    from wallwright.artwork.inks.recipes import recipes_of
    from wallwright.planning.runner import Runner  # heavy
    from wallwright.strokes.palette import pens_worth_buying, with_rule

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
            rows.append({
                "artwork": document.artwork(placement.artwork).name,
                "colour": use.colour,
                "area_mm2": use.area,
                "length_mm": use.length,
                "pen": document.pens[use.pen].name if use.pen >= 0 else None,
                "chosen": use.chosen,
                "mixture": mixture,
                "difference": found.difference,
            })  # fmt: skip
    if args.suggest:
        save_changed(args.project, document, changed, True, sys.stderr if args.json else sys.stdout)
    if args.json:
        print_json(rows)
        return 0
    for row in rows:
        size = f"{row['area_mm2'] / 1e6:.3f} m², {row['length_mm'] / 1000:.1f} m"
        better = " + ".join(f"{t['pen']} {100 * t['coverage']:.0f} %" for t in row["mixture"]) or "none"
        print(
            f"{row['artwork']}: {row['colour']}, {size}: {row['pen'] or 'not drawn'}; "
            f"mixed: {better} (difference {row['difference']:.1f})"
        )
    uses = [use for report in reports for use in report.colours]
    for advice in pens_worth_buying(document, uses) if args.advise else ():
        print(
            f"worth buying: {advice.name.lower()} ({advice.colour}), difference {advice.before:.1f} becomes "
            f"{advice.after:.1f}"
        )
    return 0
