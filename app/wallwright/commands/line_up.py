"""wallwright line-up: corrects a hanging's anchors from readings at the register marks that its pen visits."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from wallwright.commands.command_parser import Parser, Subparsers, epilog, usage
from wallwright.commands.options import check_needs, counting, number, print_json, read_file
from wallwright.commands.proof import written_sentence
from wallwright.commands.readings_csv import number_in, rows_of
from wallwright.commands.saving import check_hanging, load_project, save_changed
from wallwright.document import edits
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.language import tr
from wallwright.document.project import SUFFIX
from wallwright.document.register import AWAY, RegisterMark, Sighting
from wallwright.document.wall import COORDINATE
from wallwright.statics.calibration.register_fit import line_up
from wallwright.statics.calibration.register_text import agreement, doubts, left_out, moves

COLUMNS = ("mark", "wall_x", "wall_y", "right", "down")
OLD_COLUMNS = ("mark", "x", "y", "right", "down")
"""Columns of lists from earlier versions."""
USUAL = 0.5
"""Default uncertainty of a reading with a ruler, mm."""


def add_parser(subparsers: Subparsers, summary: str) -> Parser:
    parser = subparsers.add_parser(
        "line-up",
        usage=usage("line-up PROJECT --hanging N --readings FILE"),
        help=summary,
        description=tr(
            "Export writes register.ngc, which visits the register marks with the pen up, and the list "
            "register.csv. "
            "Fill in how far the pen was right of and below each mark, in mm; left and above count as negative."
        ),
        epilog=epilog(
            "  wallwright line-up wall.wallwright --hanging 2 --readings wall/hanging-2/register.csv --write",
            tr("Then export the hanging again and run the new file. Leave the machine and its belts as they are."),
            tr("Before a project is changed, a dated copy of it is saved beside it."),
        ),
    )
    parser.add_argument("project", metavar="PROJECT", type=Path, help=tr("project file ({0})", SUFFIX))
    parser.add_argument(
        "--hanging", type=counting(), required=True, metavar="N", help=tr("which hanging (2 is the second)")
    )
    parser.add_argument(
        "--readings", type=Path, required=True, metavar="FILE", help=tr("CSV file with columns {0}", ", ".join(COLUMNS))
    )
    parser.add_argument(
        "--uncertainty",
        type=number("mm", 0.05, 50),
        default=USUAL,
        metavar="MM",
        help=tr("uncertainty of a reading ({0:g} mm)", USUAL),
    )
    parser.add_argument("--write", action="store_true", help=tr("save the corrected anchors in the project"))
    parser.add_argument(
        "--replace", action="store_true", help=tr("with --write: use readings again that were used before")
    )
    parser.add_argument("--anyway", action="store_true", help=tr("with --write: save a result that cannot be trusted"))
    parser.add_argument("--json", action="store_true", help=tr("print JSON"))
    return parser


def run(args: argparse.Namespace) -> int:
    """Corrects the anchors of a hanging by its register marks. Returns the exit code. Raises UserError."""
    check_needs(args, {"--replace": ("--write",), "--anyway": ("--write",)})
    document = load_project(args.project)
    check_hanging(document, args.hanging)
    if args.hanging == 1:
        raise BadValue(tr("--hanging 1: register marks line up the second and later hangings"))
    index, sightings = args.hanging - 1, _readings(args.readings)
    used = set(document.hangings[index].register.sightings)
    if args.write and used and used <= set(sightings) and not args.replace:
        raise BadValue(
            tr(
                "{0}: the anchors were corrected by these readings already. Visit the marks again and measure anew, or add "
                "--replace to use them again",
                args.readings,
            )
        )
    found = line_up(document, index, sightings, args.uncertainty)
    names = [s.mark.name for s in sightings]
    if args.write and not args.anyway and (reasons := doubts(found, names)):
        raise BadValue(tr("{0} To correct the anchors anyway, add --anyway", " ".join(reasons)))
    if args.write:
        changed = edits.with_field(document, f"hangings.{index}", found.hanging)
        save_changed(args.project, document, changed, True, sys.stderr)
    if args.json:
        print_json(
            {
                "anchors_moved_mm": found.moved.tolist(),
                "uncertainty_mm": found.uncertainty.tolist(),
                "left_over_mm": found.left_over,
                "expected_mm": found.expected,
                "residuals_mm": found.residuals.tolist(),
                "slips": [names[i] for i in found.slips],
                "suspects": [names[i] for i in found.suspects],
                "plausible": found.is_plausible,
                "spread": found.spread,
                "written": args.write,
            }
        )
        return 0
    for sentence in (*doubts(found, names), *left_out(found, names), *moves(found), *agreement(found)):
        print(sentence)
    print(written_sentence(args))
    return 0


def _readings(path: Path) -> tuple[Sighting, ...]:
    """Returns the marks that have a reading. Raises BadFile with the line."""
    heading = read_file(path).partition(b"\n")[0]
    columns = COLUMNS if b"wall_x" in heading else OLD_COLUMNS if b"x" in heading else COLUMNS
    found = []
    for where, row in rows_of(path, columns):
        if not (row["right"] or row["down"]):
            continue
        try:
            x, y, right, down = (number_in(row[c]) for c in columns[1:])
        except ValueError as error:
            raise BadFile(tr("{0}: {1} must be numbers of mm", where, ", ".join(columns[1:]))) from error
        if max(abs(x), abs(y)) > COORDINATE:
            raise BadFile(tr("{0}: the mark is too far away; copy {1} and {2} from the list", where, *columns[1:3]))
        if max(abs(right), abs(down)) > AWAY:
            raise BadFile(
                tr(
                    "{0}: the pen was more than {1:.0f} mm from its mark; it was probably at another mark",
                    where,
                    AWAY,
                )
            )
        found.append(Sighting(RegisterMark(row["mark"], x, y), right, down))
    return tuple(found)
