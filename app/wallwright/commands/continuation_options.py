"""Options for continuing a job: from where, and where the machine hangs."""

from __future__ import annotations

import argparse
import math
import sys
from pathlib import Path

from wallwright.commands.options import check_needs, counting, number, numbers, read_file
from wallwright.document.continuation import RULER, TAPE, Continuation, Interruption, StrokePlace
from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.errors import BadValue
from wallwright.document.language import plural, tr
from wallwright.document.origin import height_text, left_anchor
from wallwright.document.wall import Hanging
from wallwright.jobs.place_by_line import lines_of, place_by_line
from wallwright.jobs.rs274 import code
from wallwright.motion.trajectory import block_times, place_at, place_before
from wallwright.planning.export import job_of
from wallwright.planning.plan import Plan
from wallwright.statics.belt_slip import PenOffsetReading, estimate_slip, start_after_slip
from wallwright.statics.pose_recovery import (
    pack_covariance,
    recover_from_anchor_distances,
    recover_from_offsets,
)
from wallwright.strokes.remaining import fingerprint, normalize_place, place_near, strokes_digest

NEAR = 20.0
"""Search radius for a stroke around a point on the wall, mm."""
FROM = ("--from-stroke", "--from-line", "--from-time", "--from-place", "--from-stop")
"""Options that say where a job continues."""
NEEDS = {
    "--along": ("--from-stroke",),
    "--ran": ("--from-line",),
    "--pass": ("--from-time",),
    "--as-measured": ("--off",),
    "--uncertainty": ("--pen-to-anchors", "--pen-at", "--off"),
    **dict.fromkeys(("--back", "--overlap", "--remember", "--pen-to-anchors", "--pen-at", "--off"), FROM),
}
"""By option: the options of which it needs at least one."""


def add_continuation_options(parser: argparse.ArgumentParser) -> None:
    where = parser.add_argument_group(
        tr("continue a job that stopped"),
        tr(
            "Exports only what is left. The hanging sheet and the comments of the RS-274 files give the number of each "
            "stroke."
        ),
    )
    place = where.add_mutually_exclusive_group()
    place.add_argument("--from-stroke", type=counting(), metavar="N", help=tr("from stroke N, counted from 1"))
    place.add_argument("--from-line", type=counting(), metavar="L", help=tr("from line L of the RS-274 file"))
    place.add_argument("--from-time", type=_seconds, metavar="H:MM[:SS]", help=tr("from this time after the pen began"))
    place.add_argument(
        "--from-place",
        type=numbers(2, "X,Y"),
        metavar="X,Y",
        help=tr("from the stroke at this point, measured from this hanging's left anchor"),
    )
    place.add_argument(
        "--from-stop", action="store_true", help=tr("from the place that --remember stored in the project")
    )
    length = number("mm", 0)
    where.add_argument("--along", type=length, metavar="MM", help=tr("with --from-stroke: distance along that stroke"))
    where.add_argument(
        "--ran",
        type=Path,
        metavar="FILE",
        help=tr("with --from-line: the file that ran, if it is an older one"),
    )
    where.add_argument(
        "--pass",
        type=counting(),
        dest="pass_",
        metavar="K",
        help=tr("with --from-time: which pen in order (1 is the first)"),
    )
    where.add_argument(
        "--back", type=number("min", 0), metavar="MIN", help=tr("also redraw the last minutes before it")
    )
    where.add_argument(
        "--overlap",
        type=number("mm", 0, 1000),
        metavar="MM",
        help=tr("length of a cut stroke that is redrawn ({0:g} mm)", Continuation().overlap),
    )
    where.add_argument("--remember", action="store_true", help=tr("store in the project where the job stopped"))
    pen = parser.add_argument_group(
        tr("where the pen is when the job continues"),
        tr("Without these options: at the starting point, with belts set by tape."),
    )
    known = pen.add_mutually_exclusive_group()
    known.add_argument(
        "--pen-to-anchors",
        type=numbers(2, "L,R"),
        metavar="L,R",
        help=tr("distances from the pen tip to both anchors"),
    )
    known.add_argument(
        "--pen-at", type=numbers(2, "X,Y"), metavar="X,Y", help=tr("pen right of and below this hanging's left anchor")
    )
    known.add_argument(
        "--off",
        type=numbers(4, "X,Y,RIGHT,DOWN"),
        action="append",
        metavar="X,Y,RIGHT,DOWN",
        help=tr(
            "a belt slipped: what belongs at X,Y from this hanging's left anchor was drawn that far right and down; "
            "repeatable"
        ),
    )
    pen.add_argument(
        "--as-measured", action="store_true", help=tr("with --off: the shift is any length, not whole teeth or steps")
    )
    pen.add_argument(
        "--uncertainty", type=number("mm", 0.01, 100), metavar="MM", help=tr("uncertainty of these readings")
    )


def _seconds(text: str) -> float:
    parts = text.split(":")
    try:
        numbers = [float(part) for part in parts]
    except ValueError:
        numbers = []
    if len(numbers) not in (2, 3) or not all(map(math.isfinite, numbers)) or min(numbers) < 0:
        raise argparse.ArgumentTypeError(tr("“{0}” is not a time such as 1:20 (h:min) or 0:05:30", text))
    hours, minutes, seconds = (*numbers, 0.0)[:3]
    return 3600 * hours + 60 * minutes + seconds


def is_continuation(args: argparse.Namespace) -> bool:
    """Whether a continuation is requested. Raises BadValue for options that would be ignored."""
    check_needs(args, NEEDS)
    given = [args.from_stroke, args.from_line, args.from_time, args.from_place]
    return args.from_stop or any(value is not None for value in given)


def requested_continuation(args: argparse.Namespace, document: Document, plan: Plan) -> Continuation:
    """Returns the continuation that the options request. Raises UserError."""
    hanging = document.hangings[plan.hanging]
    own = fingerprint(strokes_digest(plan.strokes))
    print(tr("Fingerprint of the strokes: {0}; the job's sheet must show the same.", own), file=sys.stderr)
    place = normalize_place(plan.strokes, _place(args, document, hanging, plan))
    if args.back:
        place = place_before(plan.motion, place, 60 * args.back)
    overlap = Continuation().overlap if args.overlap is None else args.overlap
    return _with_start(args, document, hanging, Continuation(place, overlap))


def _place(args: argparse.Namespace, document: Document, hanging: Hanging, plan: Plan) -> StrokePlace:
    if args.from_stroke is not None:
        return StrokePlace(args.from_stroke - 1, args.along or 0.0)
    if args.from_line is not None:
        if document.machine.controller.takes == "drawing":
            raise BadValue(
                tr("--from-line: this machine takes drawings, which have no lines; use --from-time or --from-place")
            )
        if args.ran is not None:
            lines = iter(read_file(args.ran).splitlines())
        else:
            job = job_of(document, plan.hanging, plan, lambda stage, done: None)
            path = job.code_in_plane if document.machine.controller.takes == "plane" else job.belts
            lines = lines_of(code(job, path, lambda done: None))
        return place_by_line(lines, args.from_line, document.machine, hanging, plan.strokes, document.pens)
    if args.from_time is not None:
        blocks = block_times(plan.motion)
        number_ = args.pass_ or 1
        if number_ > len(blocks):
            raise BadValue(
                plural(
                    "--pass {1}: this job has one pass",
                    "--pass {1}: this job has passes 1 to {0}",
                    len(blocks),
                    number_,
                )
            )
        begin, end = blocks[number_ - 1]
        if begin + args.from_time >= end:
            raise BadValue(tr("--from-time: that pen is done after {0:.1f} min", (end - begin) / 60))
        found = place_at(plan.motion, begin + args.from_time)
        if found is None:
            raise BadValue(tr("--from-time: everything is drawn by then"))
        return found
    if args.from_place is not None:
        found = place_near(plan.strokes, left_anchor(document, hanging).to_wall(*args.from_place), NEAR)
        if found is None:
            raise BadValue(tr("--from-place: no stroke is within {0:g} mm of that point", NEAR))
        return found
    stopped = document.stopped
    if stopped is None or stopped.hanging != plan.hanging:
        raise BadValue(tr("--from-stop: the project has no interruption of this hanging"))
    if stopped.digest != strokes_digest(plan.strokes):
        raise BadValue(tr("--from-stop: the strokes have changed since; say where with --from-stroke or --from-place"))
    return stopped.place


def _with_start(
    args: argparse.Namespace, document: Document, hanging: Hanging, continuation: Continuation
) -> Continuation:
    machine = document.machine
    if args.off:
        origin = left_anchor(document, hanging)
        readings = tuple(PenOffsetReading(origin.to_wall(x, y), (right, down)) for x, y, right, down in args.off)
        slip = estimate_slip(machine, hanging, readings, args.uncertainty or RULER, not args.as_measured)
        print(slip.describe(machine), file=sys.stderr)
        start = start_after_slip(machine, hanging, slip)
        return replace(continuation, start=start, known_by="slip", spread=pack_covariance(slip.spread))
    uncertainty = args.uncertainty or TAPE
    if args.pen_to_anchors:
        left, right = args.pen_to_anchors
        found = recover_from_anchor_distances(machine, hanging, left, right, uncertainty)
    elif args.pen_at:
        right, down = args.pen_at
        found = recover_from_offsets(machine, hanging, right, down, uncertainty)
    else:
        return continuation
    print(
        tr(
            "The pen is {0}, {1} (± {2:.1f} mm).",
            left_anchor(document, hanging).text(*found.pen, ".1f"),
            height_text(document, found.pen[1]),
            found.within,
        ),
        file=sys.stderr,
    )
    return replace(continuation, start=found.pen, known_by="tape", spread=pack_covariance(found.belts_spread))


def interruption_at(plan: Plan, place: StrokePlace) -> Interruption:
    """Returns the interruption record for the project."""
    return Interruption(place, len(plan.strokes), strokes_digest(plan.strokes), plan.hanging)
