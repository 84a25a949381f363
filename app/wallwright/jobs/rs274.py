"""RS-274/NGC programs of a path, in belt lengths or in the corrected plane.

After NISTIR 6556, "The NIST RS274NGC Interpreter, version 3" (Kramer, Proctor, Messina, 2000). The first two axes are the
left and right belt, or the plane's x and y. A pass ends with a pause for the pen change; a continued job also pauses over
the point where it continues; a comment before each stroke gives its number. Words are written by the controller's
settings (post_processor.py).

Feed: F is along the path in the axes. For a controller that plans its own acceleration, F makes each move take as long as
in the plan; for others it is the pen speed times the leg's length in the axes over its length on the wall, reduced where a
belt would exceed its limit. Arcs are G2 and G3 with I and J.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.code_settings import custom_lines
from wallwright.document.controller import Lift
from wallwright.document.document import Pen
from wallwright.document.machine import Machine
from wallwright.document.pen import needs_change
from wallwright.document.wall import Hanging
from wallwright.jobs.columns import Column, numbers, parts_of, rows, text
from wallwright.jobs.coordinates import ControllerPath
from wallwright.jobs.expected_settings import expected_settings
from wallwright.jobs.feeds import feeds
from wallwright.jobs.file_cautions import file_notes
from wallwright.jobs.job import Job
from wallwright.jobs.post_processor import PostProcessor, comment, describe_pen, number, turning
from wallwright.motion.estimate import refills_of
from wallwright.motion.friction import TAKE_UP_PAUSE
from wallwright.statics.controller_kinematics import belts_to_controller
from wallwright.strokes.remaining import DrawnBefore

LOOK = "Look: the pen should be over the place where the line continues. If it is, continue"
HANG = "Hang the body between the anchors now, then continue"
WIND_IN = "Wind both belts in to their stops, then continue"
WAIT_UNTIL_DRY = ", after {0} min more for the ink below to dry"
PUT_IN = "Put it in, then continue"
REFILL = "Refill or replace the pen now, then continue. {0}"
Progress = Callable[[float], None]


@dataclass(frozen=True)
class Program:
    """Content of the files of one path."""

    machine: Machine
    hanging: Hanging
    pens: tuple[Pen, ...]
    path: ControllerPath
    """The path, in mm."""
    feeds: Floats
    """(n,) feed of the move that ends at each point, mm/min; nan where none ends."""
    cautions: tuple[str, ...] = ()
    expected: tuple[str, ...] = ()
    """Expected controller settings, listed at the head."""
    first: int = 0
    """Index of the first stroke in the whole job."""
    of: int = 0
    """Number of strokes of the whole job."""
    pauses_at_start: bool = False
    """Whether it also pauses at the end of the first travel."""
    refills: tuple[int, ...] = ()
    """Indices of the travels before which it pauses to refill the pen."""
    whose: tuple[str, ...] = ()
    """Comments that identify the strokes, for continuing from a line; kept in short files too."""
    drying: tuple[float, ...] = ()
    """Wait for wet ink before each pen's part, s; () where the job does not wait."""

    @property
    def post(self) -> PostProcessor:
        return PostProcessor(self.machine)


@dataclass(frozen=True)
class Part:
    """Runs first .. last - 1 of a program, as one file."""

    number: int
    """Number of the part, from 1; 0 when there is only one."""
    first: int
    last: int


def program_of(job: Job, path: ControllerPath) -> Program:
    """Returns the program of a job along one of its paths."""
    feed = feeds(job, path)
    return Program(
        job.document.machine,
        job.hanging,
        job.document.pens,
        path,
        feed,
        tuple(file_notes(job.ignored)),
        tuple(expected_settings(job.document.machine, job.hanging, path, feed, job.estimate)),
        job.first,
        job.of,
        job.before is not None and len(path.down) > 1,
        refills_of(job.document, job.motion).runs,
        tuple(_from(job)),
        job.estimate.drying_s,
    )


def pen_height(lift: Lift, pen: Pen) -> float:
    """Returns the lift's value with a pen down: the machine's plus what the pen adds."""
    value = lift.down + pen.press
    return value if lift.kind in ("axis", "dwell") else max(value, 0.0)


def let_out(program: Program) -> Floats:
    """Returns (m, 2) mm, m 0 or 1: belt lengths of the move from the stops to the start, before the path's first move."""
    has_stop = program.machine.controller.code.start == "stop" and len(program.path.values)
    return program.path.values[:1] if has_stop else np.zeros((0, 2))


def stop_lengths(program: Program) -> Floats:
    """Returns (2,) the controller's count for the belts at their stops, mm. Calibrated belt offsets are errors of the stops,
    so this count does not include them."""
    belt, hanging = program.machine.belt, program.hanging
    stops = np.array([[belt.left_stop + hanging.left_offset, belt.right_stop + hanging.right_offset]])
    counted: Floats = belts_to_controller(program.machine, hanging, "belts", stops)[0]
    return counted


def first_runs(path: ControllerPath) -> list[int]:
    """Returns the first run of each pen."""
    return [0, *(np.flatnonzero(np.diff(path.pen)) + 1).tolist()] if len(path.down) else []


def pen_changes(program: Program) -> list[int]:
    """Returns the runs before which a person changes the pen or waits for ink to dry."""
    path, begins = program.path, first_runs(program.path)
    waits = program.drying or (0.0,) * len(begins)
    return [
        run
        for run, wait in zip(begins, waits, strict=True)
        if not run or wait or needs_change(program.pens, int(path.pen[run - 1]), int(path.pen[run]))
    ]


def foot(program: Program, part: Part) -> bytes:
    """Returns the lines after the last move."""
    post = program.post
    return post.encode([*custom_lines(post.code.footer, values_of(program, part)), *post.end()])


def pen_lines(program: Program, part: Part, run: int) -> bytes:
    """Returns the lines before the first run of a pen."""
    post, pen = program.post, int(program.path.pen[run])
    lines = post.note("Change the pen now, then continue", needed=True) if run else []
    lines += custom_lines(post.code.pen_change, values_of(program, part, pen))
    message = describe_pen(program.pens, pen)
    wait = program.drying[first_runs(program.path).index(run)] if program.drying else 0.0
    if wait:
        message += WAIT_UNTIL_DRY.format(math.ceil(wait / 60))
    return post.encode([*lines, *post.pause(f"{message}. {PUT_IN}")])


def refill_lines(program: Program, run: int) -> bytes:
    """Returns the lines before a run at which the pen is refilled."""
    return program.post.encode(
        program.post.pause(REFILL.format(describe_pen(program.pens, int(program.path.pen[run]))))
    )


def head(program: Program, part: Part) -> bytes:
    """Returns the lines before the first move: cautions, description, units, position of the machine, pen up."""
    post, path, hanging = program.post, program.path, program.hanging
    at = path.values[path.runs[part.first]] if len(path.values) else np.zeros(2)
    start = np.subtract(hanging.start_point, (hanging.left.x, hanging.left.y))
    lines = [line for text in program.cautions for line in post.note(text, needed=True)]
    lines += post.note(_axes(program), needed=True)
    lines += post.note(f"Hanging: {hanging.name}")
    lines += post.note(f"Machine: {program.machine.name}")
    if part.first == 0:
        where = f"{start[0]:.1f} mm right of and {start[1]:.1f} mm below the left anchor of {hanging.name}"
        lines += post.note(f"Starting point: pen {where}")
    else:
        before = f"Begins where file {part.number - 1} ended"
        lines += post.note(f"{before}: the machine has not been moved or switched off since", needed=True)
    for detail in (*program.expected, *program.whose):
        lines += post.note(detail, needed=True)
    lines += post.modes()  # first, so that custom lines run in the program's modes
    lines += custom_lines(program.machine.controller.code.header, values_of(program, part))
    start_kind = program.machine.controller.code.start
    if start_kind == "stop" and part.first == 0 and len(path.values):
        lines += post.pause(WIND_IN)
        lines.append(f"G92 {post.position(stop_lengths(program))}")
        feed = number(float(let_out_feed(program)), post.feed_decimals)
        lines.append(f"G1 {post.position(let_out(program)[0])} F{feed}")
        lines += post.pause(HANG)
    elif start_kind == "preset" or (start_kind == "stop" and part.first):
        lines.append(f"G92 {post.position(at)}")
    elif len(path.values):
        lines += post.note(f"Expects the controller to show {post.position(at)} here", needed=True)
    return post.encode([*lines, *post.lift(down=False)])


def let_out_feed(program: Program) -> float:
    """Returns F, as written, of the move from the stops to the start lengths: the faster belt at half its speed."""
    way = np.abs(program.path.values[0] - stop_lengths(program))
    post = program.post
    along = float(np.hypot(*way))
    seconds = max(float(way.max()) / (0.5 * program.machine.limits.belt_speed), 0.1)
    if post.code.feed_unit == "inverse":
        return float(np.round(60 / seconds, post.feed_decimals))
    feed = along / seconds * post.scale * (1 if post.code.feed_unit == "second" else 60)
    return max(float(np.round(feed, post.feed_decimals)), 10.0**-post.feed_decimals)


def values_of(program: Program, part: Part, pen: int | None = None) -> dict[str, str]:
    """Returns the values of the placeholders in custom texts."""
    path, post = program.path, program.post
    if pen is None:
        pen = int(path.pen[part.first]) if len(path.pen) else 0
    start = path.values[0] * post.factors if len(path.values) else np.zeros(2)
    plain = {
        "hanging": program.hanging.name,
        "machine": program.machine.name,
        "pen": program.pens[pen].name,
        "pen_number": str(pen + 1),
        "colour": program.pens[pen].colour,
        "left": number(start[0], post.code.decimals),
        "right": number(start[1], post.code.decimals),
        "strokes": str(program.of),
    }
    # A name may contain any character; in a line of code it must keep to a comment's character set.
    return {name: comment(value)[1:-1] for name, value in plain.items()}


def _axes(program: Program) -> str:
    left, right, _ = program.post.letters
    code = program.machine.controller.code
    unit = f"in {code.unit}"
    turned = [letter for letter, on in ((left, code.left_reversed), (right, code.right_reversed)) if on]
    if turned:
        unit += f", {' and '.join(turned)} negative"
    if program.path.kind == "belts":
        return f"{left} left belt, {right} right belt: unstretched belt from anchor to exit, {unit}"
    place = f"{left} right, {right} down from the left anchor of {program.hanging.name}, {unit}"
    return f"{place}, corrected for the formula of this controller"


def code(job: Job, path: ControllerPath, progress: Progress) -> Iterator[bytes]:
    """Yields the whole program as one file, in pieces."""
    return part_code(program_of(job, path), Part(0, 0, len(path.down)), progress)


def part_code(program: Program, part: Part, progress: Progress) -> Iterator[bytes]:
    """Yields a file of a program in pieces."""
    path, post = program.path, program.post
    writer = Moves(program)
    yield head(program, part)
    changes = pen_changes(program)
    starts = [run for run in changes if part.first < run < part.last]
    for first, last in itertools.pairwise([part.first, *starts, part.last]):
        if first in changes:  # else the same pen continues
            yield pen_lines(program, part, first)
        if program.pauses_at_start and first == 0 and last > 1:
            # Travel to the first stroke and stop, so that the person can check the pen's position.
            yield writer.lines(0, 1)
            yield post.encode(post.pause(LOOK))
            first = 1
        stops = [run for run in program.refills if first < run < last]
        for begin, end in itertools.pairwise([first, *stops, last]):
            if begin in stops:
                yield refill_lines(program, begin)
            for a, b in parts_of(path.runs, begin, end):
                progress(a / len(path.down))
                yield writer.lines(a, b)
    yield foot(program, part)


def _from(job: Job) -> list[str]:
    """Returns comments that identify the strokes and the part of the job."""
    whose = f"Fingerprint of the strokes: {job.fingerprint}"
    return [whose] if job.before is None else [whose, _rest(job, job.before)]


def _rest(job: Job, before: DrawnBefore) -> str:
    along = before.rest.place.along
    return f"The rest of a job: strokes {job.first + 1} to {job.of}, the first from {along:.2f} mm on"


class Moves:
    """Writes runs of a program as lines."""

    def __init__(self, program: Program) -> None:
        self._program, self._post = program, program.post
        self._path = self._post.in_axes(program.path)
        self._feed = self._post.feed_numbers(program.feeds, program.path)

    def lines(self, first: int, last: int) -> bytes:
        """Returns the lines of runs first .. last - 1. A row is a move with the lines before and after it."""
        path, post, code = self._path, self._post, self._post.code
        runs = path.runs[first : last + 1]
        ends = np.zeros(runs[-1] - runs[0], dtype=np.int8)
        ends[runs[:-1] - runs[0]] = 1  # no move ends at the first point of a run
        run = np.repeat(np.arange(first, last), np.diff(runs))
        at = np.flatnonzero(ends == 0)
        begins = ends[at - 1] == 1
        closes = np.append(begins[1:], True)
        down = path.down[run[at]]
        f = self._feed[runs[0] + at]
        changed = begins.copy()
        changed[1:] |= f[1:] != f[:-1]
        changed |= code.feed_unit == "inverse"  # G93 needs F in every line (NISTIR 6556, 3.5.19)
        ending = post.line_ending
        stroke = path.stroke[run[at]] + self._program.first + 1
        x, y = path.values[runs[0] + at].T
        numbered = begins & down & (code.comments != "none")
        left, right, _ = post.letters
        stop = text(f"G4 P{number(post.wait_number(TAKE_UP_PAUSE))}{ending}")
        before, after = (np.isin(runs[0] + at, points) for points in path.take_ups)
        settling = (
            post.wait_number(1.0) * (np.zeros(len(path.down)) if path.settling is None else path.settling)[run[at]]
        )
        waits = begins & np.isin(run[at], path.waits)
        return rows(
            len(at),
            text("(stroke ").where(numbered),
            numbers(stroke, 0).where(numbered),
            text(f" of {self._program.of}){ending}").where(numbered),
            text("G4 P").where(waits),
            numbers(settling, 4).where(waits),
            text(ending).where(waits),
            *self._lower(path.pen[run[at]], begins & down),
            stop.where(before),
            text("G"),
            numbers(turning(path, runs[0] + at), 0),
            text(f" {left}"),
            numbers(x, code.decimals),
            text(f" {right}"),
            numbers(y, code.decimals),
            *self._centres(runs[0] + at),
            text(" F").where(changed),
            numbers(f, post.feed_decimals).where(changed),
            text(ending),
            stop.where(after),
            text(post.encode(post.lift(down=False)).decode()).where(closes & down),
        )

    def sizes(self, first: int, last: int) -> Integers:
        """Returns (last - first,) the number of bytes of each run's lines."""
        path, post = self._path, self._post
        runs, down = path.runs[first : last + 1], path.down[first:last]
        written = np.diff(runs) - 1
        lifts = len(post.lift(down=True)) + len(post.lift(down=False)) + (post.code.comments != "none")
        written = written + np.where(down, lifts, 0) + np.isin(np.arange(first, last), path.waits)
        for points in path.take_ups:
            written += np.diff(np.searchsorted(np.sort(points), runs))
        ends = np.flatnonzero(np.frombuffer(self.lines(first, last), dtype=np.uint8) == ord("\n")) + 1
        sizes: Integers = np.diff(np.concatenate([[0], ends[np.cumsum(written) - 1]]))
        return sizes

    def _lower(self, pen: Integers, where: np.ndarray) -> list[Column]:
        """Returns the lines that lower each pen, (m,) index, in the rows marked in (m,) bool."""
        lift = self._program.machine.lift
        return [
            text(self._post.encode(self._post.lift(True, pen_height(lift, self._program.pens[k]))).decode()).where(
                where & (pen == k)
            )
            for k in np.unique(pen).tolist()
        ]

    def _centres(self, at: Integers) -> list[Column]:
        """Returns I and J, relative to the start of the arc (NISTIR 6556, 3.5.3.2: centre format)."""
        path, decimals = self._path, self._post.code.decimals
        if path.centre is None:
            return []
        offset = path.centre[at] - path.values[at - 1]
        arc = ~np.isnan(offset[:, 0])
        i, j = np.nan_to_num(offset).T
        words = text(" I"), numbers(i, decimals), text(" J"), numbers(j, decimals)
        return [word.where(arc) for word in words]
