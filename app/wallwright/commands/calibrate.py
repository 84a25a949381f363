"""wallwright calibrate: makes a test drawing, and calibrates machine and anchors from its readings."""

from __future__ import annotations

import argparse
import csv
import io
import sys
from datetime import date
from pathlib import Path

from wallwright.commands.command_parser import Parser, Subparsers, epilog, usage
from wallwright.commands.options import check_needs, counting, numbers, one_of, print_json
from wallwright.commands.proof import add_proof_options, run_proof, written_sentence
from wallwright.commands.readings_csv import is_filled_in, number_in, quoted, rows_of
from wallwright.commands.saving import (
    check_hanging,
    check_project_path,
    claim_project,
    has_folder,
    load_project,
    losses,
    save_changed,
    save_new,
)
from wallwright.document import edits
from wallwright.document.atomic_write import write_atomic
from wallwright.document.backups import keep_backup
from wallwright.document.calibration import READING_KINDS, TapeReading, reading_titles
from wallwright.document.document import Document
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.language import tr
from wallwright.document.origin import left_anchor
from wallwright.document.project import SUFFIX
from wallwright.document.wall import COORDINATE, Box
from wallwright.planning.calibration_figure import (
    figure_document,
    learnt_document,
    proof_first,
    proposal_for,
    with_survey,
)
from wallwright.statics.calibration.drawing_fit import fit_survey
from wallwright.statics.calibration.report_text import changes, remarks, twice_sentence

COLUMNS = ("kind", "from", "to", "mm", "uncertainty")
FIGURE_NAMES = ("square", "grid", "few")
NEEDS = {
    **dict.fromkeys(("--within", "--list"), ("--figure",)),
    "--test": ("--figure", "--proof"),
    "--write": ("--readings", "--proof-tape"),
}
"""By option: the options of which it needs at least one."""
EXAMPLES = """\
  wallwright calibrate job.wallwright --figure few --test test.wallwright --list readings.csv
  wallwright calibrate job.wallwright --readings readings.csv --write
  wallwright calibrate job.wallwright --proof --test proof.wallwright
  wallwright calibrate job.wallwright --proof-tape 612,1190,853,1004 --write"""


def add_parser(subparsers: Subparsers, summary: str) -> Parser:
    parser = subparsers.add_parser(
        "calibrate",
        usage=usage("calibrate PROJECT"),
        help=summary,
        description=tr(
            "First make a project with the test drawing; export and draw it like any other. Then measure between "
            "its crosses. The readings correct machine and anchors."
        ),
        epilog=epilog(EXAMPLES, tr("Before a project is changed, a dated copy of it is saved beside it.")),
    )
    parser.add_argument("project", metavar="PROJECT", type=Path, help=tr("project file ({0})", SUFFIX))
    parser.add_argument("--hanging", type=counting(), default=1, metavar="N", help=tr("which hanging, from 1"))
    parser.add_argument(
        "--replace",
        action="store_true",
        help=tr("replace earlier readings, test drawing and list; copies are kept"),
    )
    parser.add_argument("--json", action="store_true", help=tr("print JSON"))
    make = parser.add_argument_group(tr("test drawing"))
    make.add_argument(
        "--figure",
        type=one_of(FIGURE_NAMES),
        metavar="KIND",
        help=tr("square: five crosses; grid: nine crosses; few: fewest readings"),
    )
    make.add_argument(
        "--within",
        metavar="L,T,R,B",
        type=_box,
        help=tr("its left, top, right and bottom edge, from this hanging's left anchor"),
    )
    make.add_argument("--test", type=Path, metavar="FILE", help=tr("project file to write, with the test drawing"))
    make.add_argument("--list", type=Path, metavar="FILE", help=tr("CSV file to write, with what to measure"))
    add_proof_options(parser)
    learn = parser.add_argument_group(tr("readings"))
    learn.add_argument(
        "--readings", type=Path, metavar="FILE", help=tr("CSV file with columns {0}", ", ".join(COLUMNS))
    )
    learn.add_argument("--write", action="store_true", help=tr("save the result in the project"))
    return parser


def _box(text: str) -> tuple[float, ...]:
    box = numbers(4, "L,T,R,B")(text)
    if box[2] <= box[0] or box[3] <= box[1]:
        raise argparse.ArgumentTypeError(
            tr(
                "“{0}”: the right edge must be right of the left edge, the bottom edge below the top edge",
                text,
            )
        )
    return box


def _on_wall(document: Document, hanging: int, box: Box) -> Box:
    """Converts a box measured from a hanging's left anchor to the wall frame; mm."""
    origin = left_anchor(document, document.hangings[hanging])
    return (*origin.to_wall(*box[:2]), *origin.to_wall(*box[2:]))


def run(args: argparse.Namespace) -> int:
    """Makes a test drawing or evaluates its readings. Returns the exit code. Raises UserError."""
    check_needs(args, NEEDS)
    if args.proof or args.proof_tape:
        return run_proof(args)
    if args.figure and args.readings:
        raise BadValue(tr("--figure makes a test drawing, --readings evaluates one; give one of them at a time"))
    if not (args.figure or args.readings):
        raise BadValue(tr("Give --figure to make a test drawing, or --readings to evaluate one"))
    if args.figure and args.test is None:
        raise BadValue(tr("--figure: give --test FILE{0} for the test drawing", SUFFIX))
    document = load_project(args.project)
    check_hanging(document, args.hanging)
    return _make(args, document) if args.figure else _learn(args, document)


def _make(args: argparse.Namespace, document: Document) -> int:
    index = args.hanging - 1
    within = args.within and _on_wall(document, index, args.within)
    proposal = proposal_for(document, index, args.figure, within)
    check_project_path(args.test)
    if args.test.exists() and args.test.samefile(args.project):
        raise BadValue(tr("--test: choose another project file than the one to calibrate"))
    if args.list is not None:
        _claim_list(args.list, args.replace)
    out = sys.stderr if args.json else sys.stdout
    if warning := proof_first(document):
        print(warning, file=sys.stderr)
    changed = with_survey(document, index, proposal)
    if (lost := losses(document, changed)) and not args.replace:
        raise BadValue(
            tr(
                "Nothing was written: a new test drawing would discard {0}. Add --replace to discard it; a dated copy "
                "of the "
                "project is kept",
                "; ".join(lost),
            )
        )
    claim_project(args.test, args.replace)  # checked before the project is changed
    save_changed(args.project, document, changed, args.replace, out)
    save_new(args.test, figure_document(document, index, proposal), args.replace, out)
    if args.list:
        text = io.StringIO()
        rows = csv.writer(text, lineterminator="\n")
        rows.writerow(COLUMNS)
        rows.writerows((m.kind, m.a, m.b, "", m.uncertainty) for m in proposal.measures)
        write_atomic(args.list, text.getvalue().encode())
    if args.json:
        print_json(
            {
                "marks": [{"name": m.name, "x": m.x, "y": m.y} for m in proposal.marks],
                "readings": [{"kind": m.kind, "from": m.a, "to": m.b, "about_mm": m.value} for m in proposal.measures],
                "expected_mm": proposal.expected,
            }
        )
        return 0
    print(
        tr(
            "{0}: {1} crosses. Export it, draw it, and leave the machine hanging.",
            args.test,
            len(proposal.marks),
        )
    )
    print(
        tr(
            "Then measure from the middle of one cross to the middle of the other: “right of” from a plumb line that hangs "
            "from the other point, “below” with a spirit level. The most useful readings come first:"
        )
    )
    titles = reading_titles(proposal.measures)
    for title, measure, left in zip(titles, proposal.measures, proposal.expected[1:], strict=True):
        about = tr("about {0:7.0f} mm; afterwards ± {1:.1f} mm", measure.value, left)
        print(f"  {title:<44} {about}")
    if twice := twice_sentence(proposal.measures):
        print(twice)
    return 0


def _claim_list(path: Path, may_replace: bool) -> None:
    """Raises BadValue for a list with readings, which must not be overwritten."""
    if path.suffix.lower() == SUFFIX:
        raise BadValue(tr("--list {0}: {1} is for projects; choose a name such as readings.csv", path, SUFFIX))
    has_folder(path)
    if not path.exists() or not is_filled_in(path, COLUMNS, ("mm",)):
        return
    if not may_replace:
        raise BadValue(
            tr(
                "{0} exists already and has readings in it, or is no list of readings. Choose another name, or add "
                "--replace; "
                "a dated copy is kept",
                path,
            )
        )
    print(tr("Copy of the list before the change: {0}", keep_backup(path)), file=sys.stderr)


def _learn(args: argparse.Namespace, document: Document) -> int:
    index = args.hanging - 1
    hanging = document.hangings[index]
    if not hanging.survey.marks:
        raise BadValue(tr("{0} has no test drawing yet; make one with --figure", args.project))
    survey = edits.replace(hanging.survey, measures=_readings(args.readings))
    outcome = fit_survey(document.machine, hanging, survey)
    if args.write:
        calibration = learnt_document(document, index, survey, outcome, date.today().isoformat())
        save_changed(args.project, document, calibration, True, sys.stderr)
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
    print(written_sentence(args))
    return 0


def _readings(path: Path) -> tuple[TapeReading, ...]:
    """Returns the rows that have a reading. Raises BadFile with the line."""
    found = []
    for where, row in rows_of(path, COLUMNS[:4]):
        if not row["mm"]:
            continue
        kind = next((known for known in READING_KINDS if known == row["kind"]), None)
        if kind is None:
            raise BadFile(tr("{0}: “{1}” is not distance, across or down", where, quoted(row["kind"])))
        try:
            value = number_in(row["mm"])
            uncertainty = number_in(row.get("uncertainty") or "0.7")
        except ValueError as error:
            raise BadFile(
                tr("{0}: “{1}” or the uncertainty is not a number of mm", where, quoted(row["mm"]))
            ) from error
        if not 0.05 <= uncertainty <= 100:
            raise BadFile(tr("{0}: the uncertainty must be {1:g} to {2:g} mm", where, 0.05, 100.0))
        most = COORDINATE
        if abs(value) > most:
            raise BadFile(tr("{0}: a reading of {1:g} mm is too large; at most {2:.0f} mm", where, value, most))
        found.append(TapeReading(kind, row["from"], row["to"], value, uncertainty))
    return tuple(found)
