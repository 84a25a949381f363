"""The proof drawing by command: a small drawing for a page that nobody knows, and what its four tape readings say."""

from __future__ import annotations

import argparse
import sys

from wallwright.commands.options import numbers, print_json
from wallwright.commands.saving import check_hanging, check_project_path, load_project, save_changed, save_new
from wallwright.document import edits
from wallwright.document.errors import BadValue


def add_proof_options(parser: argparse.ArgumentParser) -> None:
    """Options of calibrate for a machine that takes drawings."""
    proof = parser.add_argument_group(
        "proof drawing (for a machine that takes drawings, when nobody knows its page)"
    )
    proof.add_argument(
        "--proof", action="store_true",
        help="make the proof drawing: two crosses and a line; --test says which project file to write it into",
    )  # fmt: skip
    proof.add_argument(
        "--proof-tape", type=numbers(4, "AL,AR,BL,BR"), metavar="AL,AR,BL,BR",
        help="what the tape says: from the cross with the line (A) to the left and the right anchor, then from the other "
        "cross (B)",
    )  # fmt: skip


def run_proof(args: argparse.Namespace) -> int:
    """Makes the proof drawing, or learns from its readings. Raises BadValue."""
    from wallwright.planning.proof_drawing import proof_document, proof_result  # heavy
    from wallwright.statics.calibration.proof import proof_sentences

    if args.figure or args.readings or (args.proof and args.proof_tape):
        raise BadValue("give one of --figure, --readings, --proof and --proof-tape at a time")
    document = load_project(args.project)
    check_hanging(document, args.hanging)
    index = args.hanging - 1
    if args.proof:
        if args.test is None:
            raise BadValue("--proof: give --test FILE for the proof drawing")
        check_project_path(args.test)
        save_new(args.test, proof_document(document, index), args.replace)
        print(
            f"{args.test}: the proof drawing. Export it and draw it, measure from the middle of both crosses to both "
            f"anchors, then: wallwright calibrate {args.project} --proof-tape AL,AR,BL,BR --write"
        )
        return 0
    found = proof_result(document, index, args.proof_tape)
    page = document.machine.controller.page
    if args.write:
        changed = edits.replace(document, machine=found.machine)
        save_changed(args.project, document, changed, True, sys.stderr)
    if args.json:
        print_json({
            "scale": found.scale, "axes": found.axes, "unit": found.unit, "shift_mm": list(found.shift),
            "left_over_mm": found.left_over, "written": args.write,
        })  # fmt: skip
        return 0
    print("\n".join(proof_sentences(page, found)))
    print(f"Written into {args.project}." if args.write else "Nothing was written; add --write to keep it.")
    return 0
