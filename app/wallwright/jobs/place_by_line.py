"""From the line at which a controller stopped in an RS-274 file back to the place along the strokes."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator

import numpy as np
import shapely

from wallwright.document.arrays import Points
from wallwright.document.continuation import StrokePlace
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Point
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import ControllerKind, controller_to_belts
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.strokes.remaining import arc_lengths, fingerprint, strokes_digest
from wallwright.strokes.strokes import Strokes

_STROKE = re.compile(rb"\(stroke (\d{1,9}) of \d{1,9}\)\s*$")
_LIKE_A_STROKE = re.compile(rb"\(stroke\b")
_NUMBER = rb"(-?\d{1,9}(?:\.\d{0,9})?)"
_MOVE = re.compile(
    rb"G([123]) X" + _NUMBER + rb" Y" + _NUMBER + rb"(?: I" + _NUMBER + rb" J" + _NUMBER + rb")?(?: F[\d.]+)?\s*$"
)
_LIKE_A_MOVE = re.compile(rb"\s*[gG]\s*0*[123]\b")
_KIND = re.compile(rb"\(X (left belt|right)")
_FINGERPRINT = re.compile(rb"\(Fingerprint of the strokes: ([0-9a-f]+)\)")
_REST = re.compile(rb"\(The rest of a job: strokes (\d+) to \d+, the first from (\d{1,9}(?:\.\d{0,9})?) mm on\)")


NEAR = 50.0
"""mm that what a file draws may lie off its stroke: the hanging may have been measured anew since it was written."""
ARC_POINTS = 16
"""Samples of an arc for its length on the wall: exact to a thousandth for a quarter turn."""


def _arc(begin: Point, end: Point, to_centre: Point, grows: bool) -> list[Point]:
    """Points along an arc in the controller's plane, the last one its end. grows: whether its angle from X to Y does."""
    x, y = begin[0] + to_centre[0], begin[1] + to_centre[1]
    first = math.atan2(begin[1] - y, begin[0] - x)
    turn = math.atan2(end[1] - y, end[0] - x) - first
    turn = turn % (2 * math.pi) if grows else turn % (2 * math.pi) - 2 * math.pi
    radius = math.hypot(*to_centre)
    angles = [first + turn * k / ARC_POINTS for k in range(1, ARC_POINTS)]
    return [*((x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles), end]


def lines_of(pieces: Iterable[bytes]) -> Iterator[bytes]:
    """The lines of a file that comes in pieces of whole lines."""
    for piece in pieces:
        yield from piece.splitlines()


def place_by_line(
    lines: Iterable[bytes], line: int, machine: Machine, hanging: Hanging, strokes: Strokes
) -> StrokePlace:
    """Where a program of ours is with all lines before `line` done, from 1; strokes: of the whole job.

    The line itself may be half done; it is drawn again. Raises BadValue when the file is of another job, has no such line,
    is at its end there, or is damaged on the way there.
    """
    kind: ControllerKind = "belts"
    first, from_along = -1, 0.0
    stroke, is_down = -1, False
    at: tuple[float, float] | None = None
    drawn: list[tuple[float, float]] = []
    number = 0
    for number, text in enumerate(lines, start=1):
        reached = number >= line
        if found := _STROKE.match(text):
            stroke = int(found[1]) - 1
            if reached and not is_down:
                return StrokePlace(stroke, from_along if stroke == first else 0.0)
            is_down, drawn = True, [at] if at else []
        elif found := _MOVE.match(text):
            if reached and is_down:
                break
            to = (float(found[2]), float(found[3]))
            if found[4] is not None and at is None:
                raise _damaged(number)
            if is_down and at is not None and found[4] is not None:
                drawn.extend(_arc(at, to, (float(found[4]), float(found[5])), found[1] == b"3"))
            elif is_down:
                drawn.append(to)
            at = to
        elif _LIKE_A_MOVE.match(text) or _LIKE_A_STROKE.match(text):
            raise _damaged(number)
        elif found := _KIND.match(text):
            kind = "belts" if found[1] == b"left belt" else "plane"
        elif (found := _FINGERPRINT.match(text)) and found[1].decode() != (own := fingerprint(strokes_digest(strokes))):
            raise BadValue(
                tr(
                    "That file belongs to other strokes (fingerprint {0}, now {1}): the drawing has changed "
                    "since. Find the position on the wall",
                    found[1].decode(),
                    own,
                )
            )
        elif found := _REST.match(text):
            first, from_along = int(found[1]) - 1, float(found[2])
        elif is_down and len(drawn) > 1:
            is_down = False  # the pen is lifted: the stroke is done
    else:
        raise BadValue(
            tr("The file has {0} lines; line {1} does not exist", number, line)
            if number < line
            else tr("At line {0} everything has been drawn", line)
        )
    if not 0 <= stroke < len(strokes) or not drawn:  # no line gives the start of the stroke
        raise _damaged(number)
    points = forward_kinematics(
        CableRobotModel.of(machine, hanging), controller_to_belts(machine, hanging, kind, np.array(drawn))
    ).pen
    along = float(arc_lengths(points)[-1]) + (from_along if stroke == first else 0.0)
    if not _is_along(points, strokes[stroke], along):
        raise BadValue(
            tr(
                "The numbers before line {0} do not follow stroke {1}: the file is damaged or the machine has "
                "changed. Find the position on the wall",
                number,
                stroke + 1,
            )
        )
    return StrokePlace(stroke, along)


def _damaged(number: int) -> BadValue:
    return BadValue(
        tr(
            "Line {0} of the file is damaged. Use the file as it was exported, or find the position on the wall",
            number,
        )
    )


def _is_along(points: Points, stroke: Points, along: float) -> bool:
    """Whether pens (n, 2), mm, are all known, lie near a stroke (m, 2), and the last one so many mm along it."""
    if not np.isfinite(points).all() or len(stroke) < 2:
        return False
    line, pens = shapely.LineString(stroke), np.asarray(shapely.points(points), dtype=np.object_)
    there = shapely.line_interpolate_point(line, along)
    return bool(shapely.dwithin(line, pens, NEAR).all() and shapely.dwithin(there, pens[-1], NEAR))
