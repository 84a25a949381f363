"""wallwright pose: shows how the machine hangs with the pen at given points."""

from __future__ import annotations

import argparse
import csv
import io
import sys
from pathlib import Path

import numpy as np

from wallwright.commands.assignments import setting
from wallwright.commands.command_parser import Parser, Subparsers, epilog, usage
from wallwright.commands.options import check_needs, counting, numbers, print_json, read_file
from wallwright.commands.saving import check_hanging, load_project
from wallwright.document import edits
from wallwright.document.arrays import Floats
from wallwright.document.consistency import validate
from wallwright.document.document import Document
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.wall import Anchor
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.limits import Limit, broken, limit_name
from wallwright.statics.pose import inverse_kinematics

COLUMNS = ("x", "y", "left_belt", "right_belt", "tilt_deg", "left_tension", "right_tension", "limits")
SHOWN = 40
"""Largest number of characters of a bad line that a message quotes."""


def add_parser(subparsers: Subparsers, summary: str) -> Parser:
    parser = subparsers.add_parser(
        "pose",
        usage=usage("pose POINTS"),
        help=summary,
        description=tr(
            "Reads points (CSV with columns x,y in mm from the first hanging's left anchor, y down). Prints CSV with "
            "belt lengths (mm, unstretched), tilt (degrees, clockwise), tensions at the body (N) and exceeded limits."
        ),
        epilog=epilog(
            "  wallwright pose points.csv --right-anchor 2000,0 --set machine.body.mass=0.9",
            tr("A point outside the draw zone counts as an error."),
        ),
    )
    parser.add_argument("points", metavar="POINTS", type=Path, help=tr("CSV file, or - for standard input"))
    parser.add_argument(
        "--project", type=Path, metavar="FILE", help=tr("use wall, anchors and machine of this project")
    )
    parser.add_argument("--hanging", type=counting(), metavar="N", help=tr("which hanging of the project, from 1"))
    parser.add_argument(
        "--right-anchor", type=numbers(2, "X,Y"), metavar="X,Y", help=tr("right anchor; the left one is 0,0")
    )
    parser.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="NAME=VALUE",
        help=tr("change a number: machine.body.mass=0.9 or machine.body.centre=0,25"),
    )
    parser.add_argument("--from-belts", action="store_true", help=tr("the file has left_belt,right_belt; find x,y"))
    parser.add_argument("--json", action="store_true", help=tr("print JSON"))
    return parser


def run(args: argparse.Namespace) -> int:
    check_needs(args, {"--hanging": ("--project",)})
    document = load_project(args.project) if args.project else Document()
    hanging_number = args.hanging or 1
    check_hanging(document, hanging_number)
    for assignment in args.set:
        document = setting(document, assignment, ("machine", "wall", "settings"))
    hanging = document.hangings[hanging_number - 1]
    if args.right_anchor:
        hanging = edits.replace(
            hanging, right=edits.replace(Anchor(*args.right_anchor), stand_off=hanging.right.stand_off)
        )
        document = edits.replace(document, hangings=(hanging,))
    validate(document)
    rig = CableRobotModel.of(document.machine, hanging)
    names = ("left_belt", "right_belt") if args.from_belts else ("x", "y")
    values = _points(args.points, names)
    pose = forward_kinematics(rig, values) if args.from_belts else inverse_kinematics(rig, values)
    bits = broken(document.wall, document.machine, rig, pose)
    rows = [
        (
            *(round(float(v), 6) for v in numbers),
            " ".join(limit_name(limit).lower() for limit in Limit if limit & int(b)),
        )
        for numbers, b in zip(
            np.column_stack([pose.pen, pose.belts, np.degrees(pose.tilt), pose.exit_tension]),
            bits,
            strict=True,
        )
    ]
    if args.json:
        print_json([dict(zip(COLUMNS, row, strict=True)) for row in rows])
    else:
        writer = csv.writer(sys.stdout, lineterminator="\n")
        writer.writerow(COLUMNS)
        writer.writerows(rows)
    return 0 if not np.any(bits) else 1


def _points(path: Path, names: tuple[str, str]) -> Floats:
    """Returns (n, 2) numbers of the two named columns, or of the first two without a heading."""
    raw = sys.stdin.read() if str(path) == "-" else read_file(path).decode("utf-8-sig", errors="replace")
    raw = raw.replace("\r\n", "\n").replace("\r", "\n")  # some spreadsheets end lines with a carriage return alone
    try:
        rows = [row for row in csv.reader(io.StringIO(raw)) if any(cell.strip() for cell in row)]
    except csv.Error as error:
        raise BadFile(tr("{0} cannot be read as a table: {1}.", path, error)) from error
    if not rows:
        raise BadFile(tr("{0} holds no points; write a line “x,y”, then one point a line.", path))
    heading = [cell.strip().lower() for cell in rows[0]]
    columns, first = (0, 1), 0
    if not _is_number(heading[0]):
        if not set(names) <= set(heading):
            raise BadFile(tr("{0}: the first line must name the columns {1} and {2}.", path, *names))
        columns, first = (heading.index(names[0]), heading.index(names[1])), 1
    points = []
    for number, row in enumerate(rows[first:], start=first + 1):
        try:
            points.append([float(row[c]) for c in columns])
        except (ValueError, IndexError) as error:
            raise BadFile(
                tr("{0}, line {1}: “{2}” is not two numbers.", path, number, ",".join(row)[:SHOWN])
            ) from error
    result = np.array(points, dtype=float).reshape(-1, 2)
    if not np.all(np.isfinite(result)):
        raise BadFile(tr("{0} holds a number that is not finite (nan or inf); remove it.", path))
    return result


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
