"""The proof drawing: a small drawing that tests an unknown page, evaluated from four tape readings."""

from __future__ import annotations

import argparse
import sys

from wallwright.commands.options import numbers, print_json
from wallwright.commands.saving import check_hanging, check_project_path, load_project, save_changed, save_new
from wallwright.document import edits
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.planning.proof_drawing import proof_document, proof_result
from wallwright.statics.calibration.proof import STAY, proof_sentences


def add_proof_options(parser: argparse.ArgumentParser) -> None:
    """Adds the options of calibrate for a machine that takes drawings."""
    proof = parser.add_argument_group(
        tr("proof drawing (for a machine that takes drawings, while its page is unknown)")
    )
    proof.add_argument(
        "--proof",
        action="store_true",
        help=tr("make the proof drawing: two crosses and a line; --test names its project file"),
    )
    proof.add_argument(
        "--proof-tape",
        type=numbers(4, "AL,AR,BL,BR"),
        metavar="AL,AR,BL,BR",
        help=tr(
            "tape readings: from the cross with the line (A) to the left and the right anchor, then from the "
            "other cross "
            "(B)"
        ),
    )


def run_proof(args: argparse.Namespace) -> int:
    """Makes the proof drawing, or evaluates its readings. Raises BadValue."""
    if args.figure or args.readings or (args.proof and args.proof_tape):
        raise BadValue(tr("Give one of --figure, --readings, --proof and --proof-tape at a time"))
    document = load_project(args.project)
    check_hanging(document, args.hanging)
    index = args.hanging - 1
    if args.proof:
        if args.test is None:
            raise BadValue(tr("--proof: give --test FILE for the proof drawing"))
        check_project_path(args.test)
        save_new(args.test, proof_document(document, index), args.replace)
        print(
            tr(
                "{0}: the proof drawing. Export and draw it. Measure from the middle of both crosses to both anchors. "
                "Then: {1}",
                args.test,
                f"wallwright calibrate {args.project} --proof-tape AL,AR,BL,BR --write",
            )
        )
        print(tr(STAY))
        return 0
    found = proof_result(document, index, args.proof_tape)
    page = document.machine.controller.page
    if args.write:
        changed = edits.replace(document, machine=found.machine)
        save_changed(args.project, document, changed, True, sys.stderr)
    if args.json:
        print_json(
            {
                "scale": found.scale,
                "axes": found.axes,
                "unit": found.machine.controller.page.unit,
                "page_scale": found.machine.controller.page.scale,
                "shift_mm": list(found.shift),
                "left_over_mm": found.left_over,
                "written": args.write,
            }
        )
        return 0
    print("\n".join(proof_sentences(page, found)))
    print(written_sentence(args))
    return 0


def written_sentence(args: argparse.Namespace) -> str:
    """Returns a sentence on whether the result was saved to the project."""
    if args.write:
        return tr("Saved in {0}.", args.project)
    return tr("Nothing was written; add --write to save the result.")
