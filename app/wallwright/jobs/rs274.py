"""RS-274/NGC: the path as lines of code, in belt lengths or in the corrected plane.

After NISTIR 6556, "The NIST RS274NGC Interpreter, version 3" (Kramer, Proctor, Messina, 2000). X and Y carry the left and
right belt in mm, or the plane's x and y. G21 mm, G90 absolute; G92 at the start says where the machine hangs. A pass
ends with M0, the program stop at which the person changes the pen; the rest of a job stops once more, over the place where
it continues; a comment before each stroke gives its number; the lift is Z, or M3 S... and M5, with a G4 dwell.

Feed: F is along the axes' own path. For a controller that plans acceleration itself it is such that each move takes as
long as in the plan; for others it is the wanted pen speed times the leg's length in the axes over its length on the wall,
lowered where a belt would be faster than it may. Arcs, where the path has them, are G2 and G3 with I and J.
"""

from __future__ import annotations

import itertools
import unicodedata
from collections.abc import Callable, Iterator, Sequence

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.controller import Lift
from wallwright.document.document import Pen
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging
from wallwright.jobs.columns import Column, numbers, parts_of, rows, text
from wallwright.jobs.coordinates import ControllerPath, move_seconds
from wallwright.jobs.file_cautions import file_notes
from wallwright.jobs.ignored_limits import IgnoredLimits
from wallwright.jobs.job import Job

FROM_REST = 1.2
"""On the feed of a run's first and last move: the controller has to reach it from rest and to come to rest from it, which
its own acceleration takes time for. With twice the pen acceleration set it makes the time that of the plan within 2 %."""
REST_TO_REST = 2.0
"""On the feed of a take-up: half of it is speeding up and half braking, so that the fastest is twice the mean."""
CONTROLLER_PUSH = 2.0
"""Acceleration that the controller's axes should be set to, over the plan's pen acceleration."""
LOOK = "Look: the pen should be over the place where the line continues. If it is, continue"
LONGEST_LINE = 250
"""NISTIR 6556, 3.3.1 allows 256 characters."""


_SPELT = str.maketrans(
    {"ä": "ae", "ö": "oe", "ü": "ue", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue", "ß": "ss", "–": "-", "’": "'"}
)
_IN_COMMENTS = str.maketrans(
    {"(": "[", ")": "]", "\n": " ", "\r": " ", ";": ",", "%": " per cent"} | dict.fromkeys("!?~$", ".")
)
"""The brackets would end a comment (NISTIR 6556, 3.3.4). A semicolon begins one for many readers, pygcode among them; "%"
bounds a program (3.1); and controllers that read one byte after the other take "!", "?" and "~" for orders to hold, report
and continue wherever they stand (common practice, no source)."""


def comment(text: str) -> str:
    """A comment line: printable ASCII without what some reader would take for more than a comment."""
    plain = unicodedata.normalize("NFKD", text.translate(_SPELT)).translate(_IN_COMMENTS)
    plain = "".join(c if " " <= c <= "~" else "." for c in plain if not unicodedata.combining(c))
    return f"({plain[: LONGEST_LINE - 2]})"


def number(value: float) -> str:
    """A number with four decimals at most, never an exponent, never minus zero."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def feeds(job: Job, path: ControllerPath) -> Floats:
    """(n,) F in mm/min for the move that ends at each point; nan where none ends."""
    limits = job.document.machine.limits
    with np.errstate(divide="ignore", invalid="ignore"):
        feed = 60 * path.way / move_seconds(job.document, job.motion, path)
    feed[path.runs[:-1]] = np.nan
    if path.time is None:
        return feed
    first, last = path.runs[:-1] + 1, path.runs[1:] - 1
    up = np.flatnonzero(path.takes_up)
    if len(up):  # the pen rests before and after
        begins, ends = np.union1d(first, up + 1), np.union1d(last, up - 1)
        first, last = (at[~path.takes_up[at] & ~np.isnan(feed[at])] for at in (begins[begins < len(feed)], ends))
        feed[up] *= REST_TO_REST
        feed[first] *= FROM_REST
        feed[np.setdiff1d(last, first)] *= FROM_REST
    else:
        feed[first] *= FROM_REST
        feed[last[last > first]] *= FROM_REST
    # Moves shorter than the clock tells: any feed does.
    return np.minimum(feed, 120 * max(limits.draw_speed, limits.travel_speed))


def lift_lines(lift: Lift, down: bool) -> list[str]:
    """Lines that lower or raise the pen and wait until it is there."""
    wait = lift.lower_time if down else lift.raise_time
    if lift.kind == "axis":
        lines = [f"G0 Z{number(lift.down if down else lift.up)}"]
    else:
        lines = [f"M3 S{number(max(lift.down, 0))}"] if down else ["M5"]
    return [*lines, f"G4 P{number(wait)}"]


def head(hanging: Hanging, machine: Machine, path: ControllerPath, ignored: IgnoredLimits, *more: str) -> bytes:
    """The lines before the first move: cautions, what it is, units, where the machine hangs, pen up.

    ignored: limits that the job ignores; they come first. more: further comments.
    """
    counted = path.values[0] if len(path.values) else np.zeros(2)
    start = np.subtract(hanging.start_point, (hanging.left.x, hanging.left.y))
    axes = (
        "X left belt, Y right belt: mm of unstretched belt from anchor to exit"
        if path.kind == "belts"
        else "X right, Y down from this hanging's left anchor, mm, corrected for the formula of this controller"
    )
    return lines_of(
        *map(comment, file_notes(ignored)),
        comment(f"Hanging: {hanging.name}"),
        comment(axes),
        comment(f"Machine: {machine.name}"),
        comment(
            f"Starting point: pen {start[0]:.1f} mm right of and {start[1]:.1f} mm below this hanging's left anchor"
        ),
        *more,
        "G17 G21 G40 G49 G80 G90",
        "G94",
        f"G92 X{number(counted[0])} Y{number(counted[1])}",
        *lift_lines(machine.lift, down=False),
    )


def code(job: Job, path: ControllerPath, progress: Callable[[float], None]) -> Iterator[bytes]:
    """The whole program, piece by piece."""
    document = job.document
    yield head(job.hanging, document.machine, path, job.ignored, *_from(job), *_settings(job, path))
    feed = np.maximum(np.round(np.nan_to_num(feeds(job, path), nan=60.0), 1), 0.1)
    changes = np.flatnonzero(np.diff(path.pen)) + 1
    blocks = [0, *changes.tolist(), len(path.down)] if len(path.down) else [0]
    for first, last in itertools.pairwise(blocks):
        if first:
            yield lines_of(comment("Change the pen now, then continue"))
        yield lines_of(comment(describe_pen(document.pens, int(path.pen[first]))), "M0")
        if job.before is not None and first == 0 and last > 1:
            # Up to the first stroke, and a stop there: the person sees whether the pen is where it should be.
            yield _moves(job, path, feed, 0, 1)
            yield lines_of(comment(LOOK), "M0")
            first = 1
        for a, b in parts_of(path.runs, first, last):
            progress(a / len(path.down))
            yield _moves(job, path, feed, a, b)
    yield b"M2\n"


def describe_pen(pens: Sequence[Pen], index: int) -> str:
    """Which pen to put in, distinguished from others of the same name by its place in the list and its colour."""
    pen = pens[index]
    return f"Pen {index + 1}: {pen.name} {pen.colour}"


def _from(job: Job) -> list[str]:
    """Which strokes they are, and which part of a job."""
    whose = comment(f"Fingerprint of the strokes: {job.fingerprint}")
    if job.before is None:
        return [whose]
    along = job.before.rest.place.along
    part = f"The rest of a job: strokes {job.first + 1} to {job.of}, the first from {along:.2f} mm on"
    return [whose, comment(part)]


def _settings(job: Job, path: ControllerPath) -> list[str]:
    """What the controller should be set to, and what to expect of one that does not slow down."""
    limits = job.document.machine.limits
    if path.time is None:
        if job.document.machine.controller.pacing != "constant":
            return []
        return [
            comment(
                f"Each stroke at one speed: expect {number(round(job.estimate.corner_mm, 2))} mm at corners and "
                f"{number(round(job.estimate.swing_mm, 2))} mm of swing at most"
            )
        ]
    push = number(CONTROLLER_PUSH * limits.acceleration)
    return [
        comment(f"Set the controller to {push} mm/s2 for each axis and {number(limits.corner_tolerance)} mm at corners")
    ]


def _moves(job: Job, path: ControllerPath, feed: Floats, first: int, last: int) -> bytes:
    """The lines of runs first .. last - 1. A row is a move, with the lines before it and after it."""
    runs = path.runs[first : last + 1]
    ends = np.zeros(runs[-1] - runs[0], dtype=np.int8)
    ends[runs[:-1] - runs[0]] = 1  # where a run begins, no move ends
    run = np.repeat(np.arange(first, last), np.diff(runs))
    at = np.flatnonzero(ends == 0)
    begins = ends[at - 1] == 1
    closes = np.append(begins[1:], True)
    down = path.down[run[at]]
    f = feed[runs[0] + at]
    changed = begins.copy()
    changed[1:] |= f[1:] != f[:-1]
    lift = job.document.machine.lift
    lower, rise = (lines_of(*lift_lines(lift, down)).decode() for down in (True, False))
    stroke = path.stroke[run[at]] + job.first + 1
    x, y = path.values[runs[0] + at].T
    return rows(
        len(at),
        text("(stroke ").where(begins & down),
        numbers(stroke, 0).where(begins & down),
        text(f" of {job.of})\n{lower}").where(begins & down),
        *_words(path, runs[0] + at),
        text(" X"),
        numbers(x, 4),
        text(" Y"),
        numbers(y, 4),
        *_centres(path, runs[0] + at),
        text(" F").where(changed),
        numbers(f, 1).where(changed),
        text("\n"),
        text(rise).where(closes & down),
    )


def turning(path: ControllerPath, at: Integers) -> Integers:
    """(m,) the G word's number of the moves that end at points (m,): 1 a line, 2 an arc clockwise as seen with X to the
    right and Y up, 3 the other way round."""
    if path.centre is None:
        return np.ones(len(at), dtype=np.int64)
    a, b = path.values[at - 1] - path.centre[at], path.values[at] - path.centre[at]
    cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return np.where(np.isnan(cross), 1, np.where(cross < 0, 2, 3))


def _words(path: ControllerPath, at: Integers) -> list[Column]:
    return [text("G"), numbers(turning(path, at), 0)]


def _centres(path: ControllerPath, at: Integers) -> list[Column]:
    """I and J, from where the arc begins (NISTIR 6556, 3.5.3.2: centre format)."""
    if path.centre is None:
        return []
    offset = path.centre[at] - path.values[at - 1]
    arc = ~np.isnan(offset[:, 0])
    i, j = np.nan_to_num(offset).T
    words = text(" I"), numbers(i, 4), text(" J"), numbers(j, 4)
    return [word.where(arc) for word in words]


def lines_of(*lines: str) -> bytes:
    return ("\n".join(lines) + "\n").encode("ascii")
