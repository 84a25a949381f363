"""wallwright line-up: where a hanging's anchors really are, told by the register marks that its pen was sent to."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from wallwright.commands.options import Parser, Subparsers, check_needs, counting, number, print_json
from wallwright.commands.readings_csv import number_in, rows_of
from wallwright.commands.saving import check_hanging, load_project, save_changed
from wallwright.document import edits
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.project import SUFFIX
from wallwright.document.register import AWAY, RegisterMark, Sighting
from wallwright.document.wall import COORDINATE

COLUMNS = ("mark", "x", "y", "right", "down")


def add_parser(subparsers: Subparsers) -> Parser:
    parser = subparsers.add_parser(
        "line-up",
        usage="wallwright line-up PROJECT --hanging N --readings FILE [options]",
        help="correct a hanging's anchors by what was seen at its register marks",
        description="Export writes register.ngc, which visits the register marks with the pen up, and the list "
        "register.csv. Fill in how far the pen was right of and below each mark, in mm (left and above with a minus).",
        epilog="example:\n  wallwright line-up wall.wallwright --hanging 2 --readings wall/hanging-2/register.csv --write\n"
        "\n"
        "Then export the hanging again and run the new file from where the machine hangs: the belts stay as they are.\n"
        "--write keeps the project as it was beside it, as a dated copy.",
    )
    parser.add_argument("project", metavar="PROJECT", type=Path, help=f"project file ({SUFFIX})")
    parser.add_argument(
        "--hanging", type=counting(), required=True, metavar="N", help="which hanging (2 is the second)"
    )
    parser.add_argument("--readings", type=Path, required=True, metavar="FILE",
                        help=f"CSV file with columns {', '.join(COLUMNS)}")  # fmt: skip
    parser.add_argument(
        "--uncertainty", type=number("mm", 0.05, 50), default=0.5, metavar="MM", help="of a reading (0.5 mm)"
    )
    parser.add_argument("--write", action="store_true", help="keep the corrected anchors in the project")
    parser.add_argument(
        "--replace", action="store_true", help="with --write: use readings once more that were used already"
    )
    parser.add_argument("--json", action="store_true", help="print JSON")
    return parser


def run(args: argparse.Namespace) -> int:
    from wallwright.statics.calibration.register_fit import fit_register_marks  # heavy

    check_needs(args, {"--replace": ("--write",)})
    document = load_project(args.project)
    check_hanging(document, args.hanging)
    if args.hanging == 1:
        raise BadValue("--hanging 1: register marks line up the second and later hangings")
    index, sightings = args.hanging - 1, _readings(args.readings)
    if (
        args.write
        and sightings
        and sightings == document.hangings[index].register.sightings
        and not args.replace
    ):
        raise BadValue(
            f"{args.readings}: the anchors were corrected by these readings already. Visit the marks again and write down "
            "what you see then; or add --replace to correct by them once more"
        )
    found = fit_register_marks(document.machine, document.hangings[index], sightings, args.uncertainty)
    if args.write:
        changed = edits.with_field(document, f"hangings.{index}", found.hanging)
        save_changed(args.project, document, changed, True, sys.stderr)
    names = [s.mark.name for s in sightings]
    if args.json:
        print_json({
            "anchors_moved_mm": found.moved.tolist(), "uncertainty_mm": found.uncertainty.tolist(),
            "left_over_mm": found.left_over, "expected_mm": found.expected, "residuals_mm": found.residuals.tolist(),
            "slips": [names[i] for i in found.slips], "written": args.write,
        })  # fmt: skip
        return 0
    for side, moved, sure in zip(("Left", "Right"), found.moved, found.uncertainty, strict=True):
        across, down = (
            f"{m:+.1f} mm {way} (± {2 * s:.1f})"
            for m, s, way in zip(moved, sure, ("across", "down"), strict=True)
        )
        print(f"{side} anchor: {across}, {down}")
    print(f"Left unexplained: {found.left_over:.2f} mm. Parts meet within about {2 * found.expected:.1f} mm.")
    for i in found.slips:
        print(
            f"Mark {names[i]} disagrees with the others by {abs(found.residuals[i]).max():.1f} mm; look at it again."
        )
    print(f"Written into {args.project}." if args.write else "Nothing was written; add --write to keep it.")
    return 0


def _readings(path: Path) -> tuple[Sighting, ...]:
    """Marks without a reading are left out. Raises BadFile with the line."""
    found = []
    for where, row in rows_of(path, COLUMNS):
        if not (row["right"] or row["down"]):
            continue
        try:
            x, y, right, down = (number_in(row[c]) for c in COLUMNS[1:])
        except ValueError as error:
            raise BadFile(f"{where}: x, y, right and down are all numbers of mm") from error
        if max(abs(x), abs(y)) > COORDINATE:
            raise BadFile(f"{where}: a mark at {x:g}, {y:g} mm is on no wall; copy its place from the list")
        if max(abs(right), abs(down)) > AWAY:
            raise BadFile(f"{where}: a pen farther than {AWAY:.0f} mm from its mark was at another one")
        found.append(Sighting(RegisterMark(row["mark"], x, y), right, down))
    return tuple(found)
