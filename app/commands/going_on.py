"""The options of a job that goes on: from where, and where the machine hangs."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

from app.commands.options import number, read_file
from app.document.document import Document
from app.document.errors import BadValue
from app.document.going_on import RULER, TAPE, Place, Rest, Stopped
from app.document.wall import Hanging
from app.planning.plan import Plan

NEAR = 20.0
"""mm within which a stroke is looked for at a place on the wall."""


def add_rest_options(parser: argparse.ArgumentParser) -> None:
    where = parser.add_argument_group(
        "going on", "Export only what is left of a job that stopped. Strokes are counted from 1; the hanging sheet and the "
        "comments of the RS-274 files tell their numbers."
    )  # fmt: skip
    place = where.add_mutually_exclusive_group()
    place.add_argument("--from-stroke", type=int, metavar="N", help="from stroke N on")
    place.add_argument(
        "--from-line", type=int, metavar="L", help="from line L of the RS-274 file on, which stopped there"
    )
    place.add_argument(
        "--from-time", type=_seconds, metavar="H:MM[:SS]", help="from so long after the pen began"
    )
    place.add_argument(
        "--from-place", type=_numbers(2), metavar="X,Y", help="from the stroke at a place on the wall, mm"
    )
    place.add_argument(
        "--from-stop", action="store_true", help="from where the project remembers that the job stopped"
    )
    where.add_argument("--along", type=number, metavar="MM", help="with --from-stroke: so many mm along it")
    where.add_argument("--ran", type=Path, metavar="FILE", help="with --from-line: the file that ran; else the one that "
                       "this export would write")  # fmt: skip
    where.add_argument("--pass", type=int, default=1, dest="pass_", metavar="K",
                       help="with --from-time: which pen in order (1 is the first)")  # fmt: skip
    where.add_argument(
        "--back", type=number, default=0.0, metavar="MIN", help="and from so many minutes of drawing before"
    )
    where.add_argument("--overlap", type=number, default=Rest().overlap, metavar="MM",
                       help="how much of a stroke that was cut short is drawn again (default %(default)g mm)")  # fmt: skip
    where.add_argument(
        "--remember", action="store_true", help="write into the project that the job stopped there"
    )
    pen = parser.add_argument_group(
        "where the machine hangs when it goes on",
        "Without one of these: at the starting place, belts set by tape.",
    )
    known = pen.add_mutually_exclusive_group()
    known.add_argument(
        "--pen-to-anchors", type=_numbers(2), metavar="L,R", help="mm from the pen tip to both anchors"
    )
    known.add_argument("--pen-at", type=_numbers(2), metavar="X,Y", help="mm that the pen is right of the left anchor and "
                       "below it")  # fmt: skip
    slipped = "a belt slipped: what should be at X,Y was drawn so many mm right and down of it; can be given several times"
    known.add_argument("--off", type=_numbers(4), action="append", metavar="X,Y,RIGHT,DOWN", help=slipped)
    pen.add_argument(
        "--as-measured", action="store_true",
        help="with --off: no belt slipped by whole teeth or steps; the pen is off by any amount, as after hanging the "
        "machine again by hand",
    )  # fmt: skip
    pen.add_argument(
        "--sure",
        type=number,
        metavar="MM",
        help="how sure these readings are: two out of three are this close",
    )


def _numbers(count: int):
    def read(text: str) -> tuple[float, ...]:
        try:
            values = tuple(float(part) for part in text.split(","))
        except ValueError as error:
            raise argparse.ArgumentTypeError(f"'{text}' is not numbers with commas between them") from error
        if len(values) != count or not np.isfinite(values).all():
            raise argparse.ArgumentTypeError(f"'{text}' is not {count} numbers with commas between them")
        return values

    return read


def _seconds(text: str) -> float:
    parts = text.split(":")
    try:
        numbers = [float(part) for part in parts]
    except ValueError:
        numbers = []
    if len(numbers) not in (2, 3) or not np.isfinite(numbers).all() or min(numbers) < 0:
        raise argparse.ArgumentTypeError(f"'{text}' is not a time such as 1:20 (h:min) or 0:05:30")
    hours, minutes, seconds = (*numbers, 0.0)[:3]
    return 3600 * hours + 60 * minutes + seconds


def asks_for_rest(args: argparse.Namespace) -> bool:
    """Whether only the rest is wanted. Raises BadValue when options say half of it."""
    given = [args.from_stroke, args.from_line, args.from_time, args.from_place]
    wanted = args.from_stop or any(value is not None for value in given)
    others = {
        "--back": args.back, "--remember": args.remember, "--ran": args.ran, "--along": args.along,
        "--pen-to-anchors": args.pen_to_anchors, "--pen-at": args.pen_at, "--off": args.off,
        "--as-measured": args.as_measured,
    }  # fmt: skip
    for name, value in others.items():
        if value and not wanted:
            raise BadValue(f"{name}: say where the job goes on, for example with --from-stroke")
    if args.as_measured and not args.off:
        raise BadValue("--as-measured: goes with --off")
    if args.along is not None and args.from_stroke is None:
        raise BadValue("--along: goes with --from-stroke")
    if args.ran is not None and args.from_line is None:
        raise BadValue("--ran: goes with --from-line")
    if not 0 <= args.overlap <= 1000:
        raise BadValue(f"--overlap {args.overlap:g}: between 0 and 1000 mm")
    if args.back < 0 or (args.along or 0) < 0:
        raise BadValue("--back and --along are not negative")
    return wanted


def rest_asked(args: argparse.Namespace, document: Document, plan: Plan) -> Rest:
    """The rest that the options ask for. Raises Trouble."""
    from app.motion.moment import earlier
    from app.strokes.rest import digest_of, fingerprint, settled

    hanging = document.hangings[plan.hanging]
    own = fingerprint(digest_of(plan.strokes))
    print(f"Fingerprint of the strokes: {own}; the sheet of the job must say the same.", file=sys.stderr)
    place = settled(plan.strokes, _place(args, document, hanging, plan))
    if args.back:
        place = earlier(plan.motion, place, 60 * args.back)
    return _hung(args, document, hanging, Rest(place, args.overlap))


def _place(args: argparse.Namespace, document: Document, hanging: Hanging, plan: Plan) -> Place:
    from app.jobs.line_place import lines_of, place_at_line
    from app.jobs.rs274 import code
    from app.motion.moment import block_times, place_at
    from app.planning.write import job_of
    from app.strokes.rest import digest_of, place_near

    if args.from_stroke is not None:
        return _counted(args.from_stroke, args.along or 0.0)
    if args.from_line is not None:
        if args.ran is not None:
            lines = read_file(args.ran).splitlines()
        else:
            job = job_of(document, plan.hanging, plan, lambda stage, done: None)
            path = job.plane if document.machine.controller.takes == "plane" else job.belts
            lines = lines_of(code(job, path, lambda done: None))
        return place_at_line(lines, args.from_line, document.machine, hanging, plan.strokes)
    if args.from_time is not None:
        blocks = block_times(plan.motion)
        if not 1 <= args.pass_ <= len(blocks):
            raise BadValue(f"--pass {args.pass_}: this job has passes 1 to {len(blocks)}")
        begin, end = blocks[args.pass_ - 1]
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
    if stopped.digest != digest_of(plan.strokes):
        raise BadValue(
            "--from-stop: the strokes have been changed since; say where with --from-stroke or --from-place"
        )
    return stopped.place


def _counted(number: int, along: float) -> Place:
    if number < 1:
        raise BadValue(f"--from-stroke {number}: strokes are counted from 1")
    return Place(number - 1, along)


def _hung(args: argparse.Namespace, document: Document, hanging: Hanging, rest: Rest) -> Rest:
    from app.document.edits import replace
    from app.statics.slip import Reading, slip_of, slipped_start
    from app.statics.whereabouts import by_anchors, by_place, packed

    machine = document.machine
    if args.sure is not None and not 0.01 <= args.sure <= 100:
        raise BadValue(f"--sure {args.sure:g}: between 0.01 and 100 mm")
    if args.off:
        readings = tuple(Reading((x, y), (right, down)) for x, y, right, down in args.off)
        slip = slip_of(machine, hanging, readings, args.sure or RULER, not args.as_measured)
        print(slip.words(machine), file=sys.stderr)
        start = slipped_start(machine, hanging, slip)
        return replace(rest, start=start, known_by="slip", spread=packed(slip.spread))
    sure = args.sure or TAPE
    if args.pen_to_anchors:
        found = by_anchors(machine, hanging, *args.pen_to_anchors, sure)
    elif args.pen_at:
        found = by_place(machine, hanging, *args.pen_at, sure)
    else:
        return rest
    x, y = found.pen
    print(f"The pen is at {x:.1f}, {y:.1f} mm, within about ± {found.within:.1f} mm.", file=sys.stderr)
    return replace(rest, start=found.pen, known_by="tape", spread=packed(found.belts_spread))


def stop_of(plan: Plan, place: Place) -> Stopped:
    """What the project keeps of it."""
    from app.strokes.rest import digest_of

    return Stopped(place, len(plan.strokes), digest_of(plan.strokes), plan.hanging)
