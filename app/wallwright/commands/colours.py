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
        help="list the colours of a project with their pens, and suggest pens and tints",
        description="Lists the colours of each artwork: area and length on the wall, the pen that draws it, and the pen and "
        "coverage that come nearest (CIEDE2000, seen from afar on a white wall).",
        epilog="example:\n  wallwright colours job.wallwright --suggest\n\n"
        "--suggest replaces pens and coverages that you chose; a dated copy of the project is kept beside it.",
    )
    parser.add_argument("project", metavar="PROJECT", type=Path, help="project file (.wallwright)")
    parser.add_argument(
        "--suggest", action="store_true", help="give every colour the suggested pen and coverage, and save"
    )
    parser.add_argument("--json", action="store_true", help="print JSON")
    return parser


def run(args: argparse.Namespace) -> int:
    from wallwright.planning.runner import Runner  # heavy
    from wallwright.strokes.palette import suggest, with_suggestions

    document = load_project(args.project)
    reports = Runner().run(Request(1, document, Goal.PREVIEW)).require_preview().reports
    rows: list[dict[str, Any]] = []
    changed = document
    for report in reports:
        placement = document.placement(report.placement)
        if not document.draws_lines(placement):
            changed = with_suggestions(changed, placement.id, report.colours)
        for use in report.colours:
            found = suggest(use.colour, document.pens, use.area > 0)
            rows.append({
                "artwork": document.artwork(placement.artwork).name,
                "colour": use.colour,
                "area_mm2": use.area,
                "length_mm": use.length,
                "pen": document.pens[use.pen].name if use.pen >= 0 else None,
                "chosen": use.chosen,
                "suggested_pen": document.pens[found.pen].name if found.pen >= 0 else None,
                "suggested_coverage": found.share,
                "difference": found.difference,
            })  # fmt: skip
    if args.suggest:
        save_changed(args.project, document, changed, True, sys.stderr if args.json else sys.stdout)
    if args.json:
        print_json(rows)
        return 0
    for row in rows:
        size = f"{row['area_mm2'] / 1e6:.3f} m², {row['length_mm'] / 1000:.1f} m"
        better = f"{row['suggested_pen'] or 'none'}, {100 * row['suggested_coverage']:.0f} %"
        print(
            f"{row['artwork']}: {row['colour']}, {size}: {row['pen'] or 'not drawn'}; "
            f"suggested: {better} (difference {row['difference']:.1f})"
        )
    return 0
