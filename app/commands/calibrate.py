"""wallwright calibrate: a test drawing, its readings, and what they say about machine and anchors."""

from __future__ import annotations

import argparse
import csv
import io
from pathlib import Path

from app.commands.options import print_json
from app.commands.reading_list import number_in, quoted, rows_of
from app.document import edits
from app.document.atomic import write_atomic
from app.document.calibration import Measure
from app.document.document import Document
from app.document.errors import BadFile, BadValue
from app.document.project import SUFFIX, read_project, write_project

COLUMNS = ("kind", "from", "to", "mm", "uncertainty")
FIGURE_NAMES = ("square", "grid", "few")


def add_parser(subparsers) -> argparse.ArgumentParser:
    parser = subparsers.add_parser(
        "calibrate",
        help="make a test drawing, and learn from tape readings of it",
        description="First: --figure KIND --test TEST.wallwright makes a project with the test drawing (export and draw it "
        "like any other), --list READINGS.csv a list of what to measure. Then: --readings READINGS.csv fits machine and "
        "anchors to what the tape said; --write keeps what was found in the project.",
    )
    parser.add_argument("project", type=Path, help=f"project file ({SUFFIX})")
    parser.add_argument("--hanging", type=int, default=1, help="which hanging (1 is the first)")
    make = parser.add_argument_group("test drawing")
    make.add_argument(
        "--figure", choices=FIGURE_NAMES, help="square: five crosses; grid: nine; few: the fewest readings"
    )
    make.add_argument(
        "--within", metavar="L,T,R,B", type=_box, help="left, top, right and bottom of its place on the wall"
    )
    make.add_argument("--test", type=Path, help="project file to write, with the test drawing")
    make.add_argument("--list", type=Path, help="CSV file to write, with what to measure")
    learn = parser.add_argument_group("readings")
    learn.add_argument("--readings", type=Path, help=f"CSV file with columns {', '.join(COLUMNS)}")
    learn.add_argument("--write", action="store_true", help="keep what was found in the project")
    parser.add_argument("--json", action="store_true", help="print JSON")
    return parser


def _box(text: str) -> tuple[float, ...]:
    try:
        box = tuple(float(part) for part in text.split(","))
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"'{text}' is not four numbers with commas") from error
    if len(box) != 4 or box[2] <= box[0] or box[3] <= box[1]:
        raise argparse.ArgumentTypeError(f"'{text}' is not left, top, right, bottom")
    return box


def run(args: argparse.Namespace) -> int:
    document = read_project(args.project)
    if not 1 <= args.hanging <= len(document.hangings):
        raise BadValue(f"--hanging {args.hanging}: the project has hangings 1 to {len(document.hangings)}")
    if args.figure and args.readings:
        raise BadValue(
            "--figure makes a test drawing, --readings learns from one; give one of them at a time"
        )
    if args.figure:
        return _make(args, document)
    if args.readings:
        return _learn(args, document)
    raise BadValue("give --figure to make a test drawing, or --readings to learn from one")


def _make(args: argparse.Namespace, document: Document) -> int:
    from app.planning.calibration import figure_document, proposal_for, with_survey  # heavy

    if args.test is None:
        raise BadValue(f"--figure: give --test FILE{SUFFIX} for the test drawing")
    index = args.hanging - 1
    proposal = proposal_for(document, index, args.figure, args.within)
    write_project(args.test, figure_document(document, index, proposal))
    write_project(args.project, with_survey(document, index, proposal))
    if args.list:
        out = io.StringIO()
        rows = csv.writer(out, lineterminator="\n")
        rows.writerow(COLUMNS)
        rows.writerows((m.kind, m.a, m.b, "", m.uncertainty) for m in proposal.measures)
        write_atomic(args.list, out.getvalue().encode())
    if args.json:
        print_json(
            {
                "marks": [{"name": m.name, "x": m.x, "y": m.y} for m in proposal.marks],
                "readings": [
                    {"kind": m.kind, "from": m.a, "to": m.b, "about_mm": m.value} for m in proposal.measures
                ],
                "expected_mm": proposal.expected,
            }
        )
        return 0
    print(f"{args.test}: {len(proposal.marks)} crosses. Export it, draw it, and leave the machine hanging.")
    print("Then measure, the most telling first, from the middle of one cross to the middle of the other:")
    for measure, left in zip(proposal.measures, proposal.expected[1:], strict=True):
        print(f"  {measure.words:<44} about {measure.value:7.0f} mm   leaves ± {left:.1f} mm")
    return 0


def _learn(args: argparse.Namespace, document: Document) -> int:
    from app.planning.calibration import learnt_document  # heavy
    from app.statics.calibration.fit import fit
    from app.statics.calibration.words import changes, remarks

    index = args.hanging - 1
    hanging = document.hangings[index]
    if not hanging.survey.marks:
        raise BadValue(f"{args.project} has no test drawing yet; make one with --figure")
    survey = edits.replace(hanging.survey, measures=_readings(args.readings))
    outcome = fit(document.machine, hanging, survey)
    if args.write:
        write_project(args.project, learnt_document(document, index, survey, outcome))
    if args.json:
        print_json(
            {
                "parameters": [
                    {
                        "name": f.parameter.name,
                        "before": f.before,
                        "value": f.value,
                        "uncertainty": f.uncertainty,
                        "kept": f.held,
                    }
                    for f in outcome.parameters
                ],
                "residuals_mm": outcome.residuals.tolist(),
                "left_out": [s.measure + 1 for s in outcome.slips],
                "remarks": remarks(outcome, survey),
                "written": args.write,
            }
        )
        return 0
    rows = changes(outcome)
    widths = [max(len(row[k]) for row in rows) for k in range(4)]
    for row in rows:
        print("  ".join(text.ljust(width) for text, width in zip(row, widths, strict=True)).rstrip())
    for text in remarks(outcome, survey):
        print(text)
    print(f"Written into {args.project}." if args.write else "Nothing was written; add --write to keep it.")
    return 0


def _readings(path: Path) -> tuple[Measure, ...]:
    """Rows without a reading are left out. Raises BadFile with the line."""
    found = []
    for where, row in rows_of(path, COLUMNS[:4]):
        if not row["mm"]:
            continue
        if row["kind"] not in ("distance", "across", "down"):
            raise BadFile(f"{where}: {quoted(row['kind'])} is not distance, across or down")
        try:
            value = number_in(row["mm"])
            uncertainty = number_in(row.get("uncertainty") or "0.7")
        except ValueError as error:
            raise BadFile(f"{where}: {quoted(row['mm'])} or the uncertainty is not a number of mm") from error
        if not 0.05 <= uncertainty <= 100:
            raise BadFile(f"{where}: the uncertainty of a reading is 0.05 to 100 mm")
        found.append(Measure(row["kind"], row["from"], row["to"], value, uncertainty))
    return tuple(found)
