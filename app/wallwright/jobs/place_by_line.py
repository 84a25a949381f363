"""Finds the position along the strokes from the line at which a controller stopped in an RS-274 file."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from wallwright.document.arrays import Floats, Points
from wallwright.document.continuation import StrokePlace
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.pen import Pen
from wallwright.document.wall import Hanging, Point
from wallwright.jobs.interpreter import constants
from wallwright.jobs.interpreter.constants import INCH
from wallwright.jobs.interpreter.interpreter import AXES, Events, Interpreter, ProgramError
from wallwright.jobs.lift_events import lift_events
from wallwright.jobs.post_processor import CustomLines, PostProcessor
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import ControllerKind, controller_to_belts
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.strokes.remaining import arc_lengths, fingerprint, strokes_digest
from wallwright.strokes.strokes import Strokes

_STROKE = re.compile(rb"\(stroke (\d{1,9}) of \d{1,9}\)\s*$")
_LIKE_A_STROKE = re.compile(rb"\(stroke\b")
_KIND = re.compile(rb"\([A-Z] (left belt|right)")
_FINGERPRINT = re.compile(rb"\(Fingerprint of the strokes: ([0-9a-f]+)\)")
_REST = re.compile(rb"\(The rest of a job: strokes (\d{1,9}) to \d+, the first from (\d{1,9}(?:\.\d{0,9})?) mm on\)")


NEAR = 50.0
"""Largest distance between a drawn point and its stroke, mm: the hanging may have been measured again since the export."""
MOVES = (constants.LINE, constants.CLOCKWISE, constants.ANTICLOCKWISE)
ARC_POINTS = 16
"""Number of samples of an arc for its length on the wall: exact to a thousandth for a quarter turn."""


def _arc(begin: Point, end: Point, to_centre: Point, grows: bool) -> list[Point]:
    """Returns points along an arc in the controller's plane, up to its end. grows: whether its angle from X to Y does."""
    x, y = begin[0] + to_centre[0], begin[1] + to_centre[1]
    first = math.atan2(begin[1] - y, begin[0] - x)
    turn = math.atan2(end[1] - y, end[0] - x) - first
    turn = turn % (2 * math.pi) if grows else turn % (2 * math.pi) - 2 * math.pi
    radius = math.hypot(*to_centre)
    angles = [first + turn * k / ARC_POINTS for k in range(1, ARC_POINTS)]
    return [*((x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles), end]


def lines_of(pieces: Iterable[bytes]) -> Iterator[bytes]:
    """Yields the lines of a file given in pieces of whole lines."""
    for piece in pieces:
        yield from piece.splitlines()


@dataclass
class _Comments:
    """Stroke numbers from comments before and after a line."""

    kind: ControllerKind
    first: int = 0
    """Index of the stroke that the file begins with, and how far along it."""
    from_along: float = 0.0
    begun: int = -1
    """Index of the last stroke numbered before the line."""
    begun_at: int = 0
    """Line of that comment, from 1."""
    coming: int = -1
    """Index of the first stroke numbered at the line or after it."""


def place_by_line(
    lines: Iterable[bytes],
    line: int,
    machine: Machine,
    hanging: Hanging,
    strokes: Strokes,
    pens: tuple[Pen, ...] = (),
) -> StrokePlace:
    """Returns the position of an exported program after all lines before `line` (from 1).

    strokes: of the whole job; pens: of the document. The line itself may be partly executed; it is drawn again. Raises
    BadValue when the file is of another job, has no such line, ends before it, is damaged before it, or does not identify
    the stroke.
    """
    text = list(lines)
    if not 1 <= line <= len(text):
        raise BadValue(tr("The file has {0} lines; line {1} does not exist", len(text), line))
    comments = _comments(text, line, machine, strokes)
    is_numbered = comments.begun >= 0 or comments.coming >= 0
    if not is_numbered and machine.controller.code.files != "one":
        raise _unknown_stroke(line)
    post = PostProcessor(machine)
    knows = AXES if machine.controller.code.start == "none" else post.letters[2]
    program = Interpreter(
        known=dict.fromkeys(knows, 0.0), modes=post.assumed_modes(), foreign=CustomLines(machine.controller.code)
    )
    events = _run(program, text[: line - 1])
    presses = [pen.press for pen in pens]
    lifted = _lifted(events, post, presses)
    if not lifted.is_down:
        coming = comments.coming
        if comments.begun >= 0 and comments.begun_at > lifted.last_line:
            coming = comments.begun  # numbered, but not begun
            if math.isnan(program.offset(post.letters[0])):  # no line gives the start of the stroke
                raise _damaged(line)
        elif not is_numbered:  # the next stroke, if the file draws once more
            after = _run(program, text[line - 1 :], strictly=False)
            coming = lifted.drawn if _lifted(after, post, presses).drawn else -1
        if coming < 0:
            raise BadValue(tr("At line {0} everything has been drawn", line))
        return StrokePlace(coming, comments.from_along if coming == comments.first else 0.0)
    stroke = comments.begun if is_numbered else lifted.drawn
    from_along = comments.from_along if stroke == comments.first else 0.0
    drawn = _drawn(events, lifted.lowered, program, post)
    if not 0 <= stroke < len(strokes) or not len(drawn):  # no line gives the start of the stroke
        raise _damaged(line)
    points = forward_kinematics(
        CableRobotModel.of(machine, hanging), controller_to_belts(machine, hanging, comments.kind, drawn)
    ).pen
    along = float(arc_lengths(points)[-1]) + from_along
    if not _is_along(points, strokes[stroke], along):
        raise BadValue(
            tr(
                "The numbers before line {0} do not follow stroke {1}: the file is damaged or the machine has "
                "changed. Find the position on the wall",
                line,
                stroke + 1,
            )
        )
    return StrokePlace(stroke, along)


def _comments(text: list[bytes], line: int, machine: Machine, strokes: Strokes) -> _Comments:
    """Reads the comments. Raises BadValue for a file of other strokes, or a damaged number before the line."""
    comments = _Comments("plane" if machine.controller.takes_plane else "belts")
    for number, content in enumerate(text, start=1):
        if not content.startswith(b"("):
            continue
        if found := _STROKE.match(content):
            if number >= line:
                comments.coming = int(found[1]) - 1
                return comments
            comments.begun, comments.begun_at = int(found[1]) - 1, number
        elif number >= line:
            continue
        elif _LIKE_A_STROKE.match(content):
            raise _damaged(number)
        elif found := _KIND.match(content):
            comments.kind = "belts" if found[1] == b"left belt" else "plane"
        elif (found := _FINGERPRINT.match(content)) and found[1].decode() != (
            own := fingerprint(strokes_digest(strokes))
        ):
            raise BadValue(
                tr(
                    "That file belongs to other strokes (fingerprint {0}, now {1}): the drawing has changed "
                    "since. Find the position on the wall",
                    found[1].decode(),
                    own,
                )
            )
        elif found := _REST.match(content):
            comments.first, comments.from_along = int(found[1]) - 1, float(found[2])
    return comments


def _run(program: Interpreter, text: list[bytes], strictly: bool = True) -> Events:
    """Replays lines. Raises BadValue for a damaged one; if not strictly, returns no events instead."""
    try:
        return program.run(b"\n".join(text) + b"\n")
    except ProgramError as error:
        if strictly:
            raise _damaged(error.line) from error
        return program.run(b"")


@dataclass(frozen=True)
class _Lifted:
    """Pen lifts in some lines."""

    is_down: bool
    lowered: int
    """Index of the last event that lowered the pen; -1 if none."""
    last_line: int
    """Last line that raised or lowered the pen, from 1; 0 if none."""
    drawn: int
    """How often the pen was lowered, moved and raised again. Custom lines may lower it without a stroke."""


def _lifted(events: Events, post: PostProcessor, presses: list[float]) -> _Lifted:
    """Returns the pen lifts, beginning with the pen up."""
    letters = post.letters
    inch = INCH if post.code.unit == "inches" and letters[2] in "XYZ" else 1.0
    places = np.column_stack([events.axis(letter) for letter in letters[:2]])
    on_wall = (np.diff(places, axis=0, prepend=np.zeros((1, 2))) != 0).any(axis=1)
    found = lift_events(post.machine.lift, events, events.axis(letters[2]) / inch, on_wall, presses)
    at = np.flatnonzero(found.lifting)
    down = ~found.raises[at]
    before = np.concatenate([[False], down[:-1]])[: len(at)]
    begins, ends = at[down & ~before], at[~down & before]
    moves = np.flatnonzero(np.isin(events.kind, MOVES))
    drawn = np.searchsorted(moves, ends) > np.searchsorted(moves, begins[: len(ends)])
    is_down = bool(len(at)) and bool(down[-1])
    return _Lifted(
        is_down,
        int(begins[-1]) if len(begins) else -1,
        int(events.line[at[-1]]) if len(at) else 0,
        int(drawn.sum()),
    )


def _drawn(events: Events, lowered: int, program: Interpreter, post: PostProcessor) -> Floats:
    """Returns (k, 2) points, in the controller's mm, of the moves after the pen was lowered, with their start; none when
    nothing has moved before."""
    moves = np.flatnonzero(np.isin(events.kind, MOVES))
    before, after = moves[moves < lowered], moves[moves > lowered]
    if not len(before):
        return np.zeros((0, 2))
    letters = post.letters[:2]
    zero = np.array([program.offset(letter) for letter in letters])
    inch = INCH if post.code.unit == "inches" else 1.0
    ends = (np.column_stack([events.axis(letter) for letter in letters]) - zero) / inch
    points = [ends[before[-1]][None]]
    for at in after.tolist():
        begin, kind = points[-1][-1], events.kind[at]
        if kind == constants.LINE:
            points.append(ends[at][None])
        else:
            offset = events.centre[at] / inch
            points.append(np.array(_arc(tuple(begin), tuple(ends[at]), tuple(offset), kind == constants.ANTICLOCKWISE)))
    found: Floats = np.concatenate(points) / post.factors
    return found


def _unknown_stroke(line: int) -> BadValue:
    return BadValue(
        tr(
            "Line {0} cannot be assigned to a stroke: the file is one of several, and its strokes are not numbered. "
            "Find the position on the wall",
            line,
        )
    )


def _damaged(number: int) -> BadValue:
    return BadValue(
        tr(
            "Line {0} of the file is damaged. Use the file as it was exported, or find the position on the wall",
            number,
        )
    )


def _is_along(points: Points, stroke: Points, along: float) -> bool:
    """Whether points (n, 2), mm, are all finite and near a stroke (m, 2), the last one `along` mm along it."""
    if not np.isfinite(points).all() or len(stroke) < 2:
        return False
    line, pens = shapely.LineString(stroke), np.asarray(shapely.points(points), dtype=np.object_)
    there = shapely.line_interpolate_point(line, along)
    return bool(shapely.dwithin(line, pens, NEAR).all() and shapely.dwithin(there, pens[-1], NEAR))
