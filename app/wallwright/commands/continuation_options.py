"""The options of a job that goes on: from where, and where the machine hangs."""

from __future__ import annotations

import argparse
import math
import sys
from pathlib import Path

from wallwright.commands.options import check_needs, counting, number, numbers, read_file
from wallwright.document.continuation import RULER, TAPE, Continuation, Interruption, StrokePlace
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.wall import Hanging
from wallwright.planning.plan import Plan

NEAR = 20.0
"""mm within which a stroke is looked for at a place on the wall."""
FROM = ("--from-stroke", "--from-line", "--from-time", "--from-place", "--from-stop")
"""Options that say where a job continues."""
NEEDS = {
    "--along": ("--from-stroke",),
    "--ran": ("--from-line",),
    "--pass": ("--from-time",),
    "--as-measured": ("--off",),
    "--sure": ("--pen-to-anchors", "--pen-at", "--off"),
    **dict.fromkeys(("--back", "--overlap", "--remember", "--pen-to-anchors", "--pen-at", "--off"), FROM),
}
"""Option to the options of which it needs one."""


def add_rest_options(parser: argparse.ArgumentParser) -> None:
    where = parser.add_argument_group(
        "continue a job that stopped", "Exports only what is left. The hanging sheet and the comments of the RS-274 files "
        "give the number of each stroke."
    )  # fmt: skip
    place = where.add_mutually_exclusive_group()
    place.add_argument("--from-stroke", type=counting(), metavar="N", help="from stroke N, counted from 1")
    place.add_argument("--from-line", type=counting(), metavar="L", help="from line L of the RS-274 file")
    place.add_argument(
        "--from-time", type=_seconds, metavar="H:MM[:SS]", help="that long after the pen began"
    )
    place.add_argument(
        "--from-place", type=numbers(2, "X,Y"), metavar="X,Y", help="from the stroke at a place on the wall"
    )
    place.add_argument(
        "--from-stop", action="store_true", help="from the place that --remember has kept in the project"
    )
    length = number("mm", 0)
    where.add_argument(
        "--along", type=length, metavar="MM", help="with --from-stroke: distance along that stroke"
    )
    where.add_argument(
        "--ran",
        type=Path,
        metavar="FILE",
        help="with --from-line: the file that ran, when it is an older one",
    )
    where.add_argument("--pass", type=counting(), dest="pass_", metavar="K",
                       help="with --from-time: which pen in order (1 is the first)")  # fmt: skip
    where.add_argument(
        "--back", type=number("min", 0), metavar="MIN", help="draw the last minutes before it again"
    )
    where.add_argument("--overlap", type=number("mm", 0, 1000), metavar="MM",
                       help=f"length of a cut stroke that is drawn again ({Continuation().overlap:g} mm)")  # fmt: skip
    where.add_argument(
        "--remember", action="store_true", help="keep in the project that the job stopped there"
    )
    pen = parser.add_argument_group(
        "where the machine hangs then", "Without these: at the starting point, with belts set by tape.",
    )  # fmt: skip
    known = pen.add_mutually_exclusive_group()
    known.add_argument(
        "--pen-to-anchors", type=numbers(2, "L,R"), metavar="L,R", help="from the pen tip to both anchors"
    )
    known.add_argument(
        "--pen-at", type=numbers(2, "X,Y"), metavar="X,Y", help="pen right of and below the left anchor"
    )
    known.add_argument("--off", type=numbers(4, "X,Y,RIGHT,DOWN"), action="append", metavar="X,Y,RIGHT,DOWN",
                       help="a belt slipped: what belongs at X,Y was drawn that far right and down; repeatable")  # fmt: skip
    pen.add_argument("--as-measured", action="store_true",
                     help="with --off: off by any amount, not by whole teeth or steps of a belt")  # fmt: skip
    pen.add_argument(
        "--sure", type=number("mm", 0.01, 100), metavar="MM", help="uncertainty of these readings"
    )


def _seconds(text: str) -> float:
    parts = text.split(":")
    try:
        numbers = [float(part) for part in parts]
    except ValueError:
        numbers = []
    if len(numbers) not in (2, 3) or not all(map(math.isfinite, numbers)) or min(numbers) < 0:
        raise argparse.ArgumentTypeError(f"'{text}' is not a time such as 1:20 (h:min) or 0:05:30")
    hours, minutes, seconds = (*numbers, 0.0)[:3]
    return 3600 * hours + 60 * minutes + seconds


def asks_for_rest(args: argparse.Namespace) -> bool:
    """Whether only the rest is wanted. Raises BadValue for options that would be ignored."""
    check_needs(args, NEEDS)
    given = [args.from_stroke, args.from_line, args.from_time, args.from_place]
    return args.from_stop or any(value is not None for value in given)


def rest_asked(args: argparse.Namespace, document: Document, plan: Plan) -> Continuation:
    """The rest that the options ask for. Raises Trouble."""
    from wallwright.motion.trajectory import place_before
    from wallwright.strokes.remaining import fingerprint, normalize_place, strokes_digest

    hanging = document.hangings[plan.hanging]
    own = fingerprint(strokes_digest(plan.strokes))
    print(f"Fingerprint of the strokes: {own}; the sheet of the job must say the same.", file=sys.stderr)
    place = normalize_place(plan.strokes, _place(args, document, hanging, plan))
    if args.back:
        place = place_before(plan.motion, place, 60 * args.back)
    overlap = Continuation().overlap if args.overlap is None else args.overlap
    return _hung(args, document, hanging, Continuation(place, overlap))


def _place(args: argparse.Namespace, document: Document, hanging: Hanging, plan: Plan) -> StrokePlace:
    from wallwright.jobs.place_by_line import lines_of, place_by_line
    from wallwright.jobs.rs274 import code
    from wallwright.motion.trajectory import block_times, place_at
    from wallwright.planning.export import job_of
    from wallwright.strokes.remaining import place_near, strokes_digest

    if args.from_stroke is not None:
        return StrokePlace(args.from_stroke - 1, args.along or 0.0)
    if args.from_line is not None:
        if document.machine.controller.takes == "drawing":
            raise BadValue(
                "--from-line: this machine takes drawings, which have no lines; use --from-time or --from-place"
            )
        if args.ran is not None:
            lines = iter(read_file(args.ran).splitlines())
        else:
            job = job_of(document, plan.hanging, plan, lambda stage, done: None)
            path = job.code_in_plane if document.machine.controller.takes == "plane" else job.belts
            lines = lines_of(code(job, path, lambda done: None))
        return place_by_line(lines, args.from_line, document.machine, hanging, plan.strokes)
    if args.from_time is not None:
        blocks = block_times(plan.motion)
        number_ = args.pass_ or 1
        if number_ > len(blocks):
            raise BadValue(f"--pass {number_}: this job has passes 1 to {len(blocks)}")
        begin, end = blocks[number_ - 1]
        if begin + args.from_time >= end:
            raise BadValue(f"--from-time: that pen is done after {(end - begin) / 60:.1f} min")
        found = place_at(plan.motion, begin + args.from_time)
        if found is None:
            raise BadValue("--from-time: everything is drawn by then")
        return found
    if args.from_place is not None:
        found = place_near(plan.strokes, args.from_place, NEAR)
        if found is None:
            raise BadValue(f"--from-place: no stroke is within {NEAR:g} mm of that place")
        return found
    stopped = document.stopped
    if stopped is None or stopped.hanging != plan.hanging:
        raise BadValue("--from-stop: the project does not remember a stop of this hanging")
    if stopped.digest != strokes_digest(plan.strokes):
        raise BadValue(
            "--from-stop: the strokes have been changed since; say where with --from-stroke or --from-place"
        )
    return stopped.place


def _hung(args: argparse.Namespace, document: Document, hanging: Hanging, rest: Continuation) -> Continuation:
    from wallwright.document.edits import replace
    from wallwright.statics.belt_slip import ArtworkLoader, estimate_slip, start_after_slip
    from wallwright.statics.pose_recovery import (
        pack_covariance,
        recover_from_anchor_distances,
        recover_from_offsets,
    )

    machine = document.machine
    if args.off:
        readings = tuple(ArtworkLoader((x, y), (right, down)) for x, y, right, down in args.off)
        slip = estimate_slip(machine, hanging, readings, args.sure or RULER, not args.as_measured)
        print(slip.words(machine), file=sys.stderr)
        start = start_after_slip(machine, hanging, slip)
        return replace(rest, start=start, known_by="slip", spread=pack_covariance(slip.spread))
    sure = args.sure or TAPE
    if args.pen_to_anchors:
        left, right = args.pen_to_anchors
        found = recover_from_anchor_distances(machine, hanging, left, right, sure)
    elif args.pen_at:
        right, down = args.pen_at
        found = recover_from_offsets(machine, hanging, right, down, sure)
    else:
        return rest
    x, y = found.pen
    print(f"The pen is at {x:.1f}, {y:.1f} mm, within about ± {found.within:.1f} mm.", file=sys.stderr)
    return replace(rest, start=found.pen, known_by="tape", spread=pack_covariance(found.belts_spread))


def stop_of(plan: Plan, place: StrokePlace) -> Interruption:
    """What the project keeps of it."""
    from wallwright.strokes.remaining import strokes_digest

    return Interruption(place, len(plan.strokes), strokes_digest(plan.strokes), plan.hanging)
