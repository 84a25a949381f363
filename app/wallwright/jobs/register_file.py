"""The program that visits the register marks with the pen up, and the list for the readings.

At each mark the program stops (M0). The person notes how far the pen is right of and below the cross, and continues. The
machine ends at the starting point, where the job begins.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.document import Document
from wallwright.document.origin import left_anchor
from wallwright.document.register import RegisterMark
from wallwright.document.wall import Hanging
from wallwright.jobs.code_verification import replay
from wallwright.jobs.coordinates import ControllerPath, controller_coordinates
from wallwright.jobs.file_cautions import file_notes
from wallwright.jobs.ignored_limits import IgnoredLimits
from wallwright.jobs.rs274 import Moves, Part, Program, head
from wallwright.motion.detours import DetourFinder
from wallwright.motion.path import Runs
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import ControllerKind
from wallwright.statics.drag_field import DraggedBelts

COLUMNS = ("mark", "right_of_anchor", "below_anchor", "above_floor", "right", "down", "wall_x", "wall_y", "remark")
"""Columns of the list, mm: the mark from this hanging's left anchor and from the floor; the person's readings; the mark in
the wall frame, from the first hanging's left anchor. remark: whether limits are ignored."""
SPEED_SHARE = 0.5
"""Share of the travel speed: a swinging body is hard to read."""
LOOK = "Mark {0}: write down how far the pen is right of and below the mark, then continue"


@dataclass(frozen=True)
class Visit:
    """A path from the starting point to each mark and back."""

    hanging: Hanging
    marks: tuple[RegisterMark, ...]
    path: ControllerPath
    feed: Floats
    """(n,) feed of the leg that ends at each point, mm/min."""


def visit_of(document: Document, number_: int, marks: tuple[RegisterMark, ...]) -> Visit:
    """Returns the path past the marks of a hanging, in its controller's coordinates. Raises BadValue."""
    hanging, machine = document.hangings[number_], document.machine
    stops = np.array([hanging.start_point, *((m.x, m.y) for m in marks), hanging.start_point], dtype=float)
    travels = np.stack([stops[:-1], stops[1:]], axis=1)
    ways = DetourFinder(document.wall, machine, hanging)
    blocked = ways.blocked(travels)
    lines = [
        (ways.around(travel) or [travel])[0] if bad else travel
        for travel, bad in zip(travels, blocked.tolist(), strict=True)
    ]
    points, k = np.concatenate(lines), len(lines)
    first = np.concatenate([[0], np.cumsum([len(line) for line in lines])]).astype(np.int64)
    none = np.full(k, -1)
    runs = Runs(points, first, np.zeros(k, dtype=bool), none, np.zeros(k, dtype=np.int64), ())
    field = DraggedBelts(CableRobotModel.of(machine, hanging), points)
    kind: ControllerKind = "plane" if machine.controller.takes_plane else "belts"
    path = controller_coordinates(document, hanging, runs, field, kind)
    return Visit(hanging, marks, path, _feed(document, path))


def _feed(document: Document, path: ControllerPath) -> Floats:
    limits = document.machine.limits
    axes, wall, belts = (np.zeros(len(path.values)) for _ in range(3))
    axes[1:] = np.hypot(*np.diff(path.values, axis=0).T)
    wall[1:] = np.hypot(*np.diff(path.points, axis=0).T)
    belts[1:] = np.abs(np.diff(path.belts, axis=0)).max(axis=1)
    took = np.maximum(wall / (SPEED_SHARE * limits.travel_speed), belts / (SPEED_SHARE * limits.belt_speed))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(60 * axes / took)


def visit_code(document: Document, visit: Visit, ignored: IgnoredLimits) -> bytes:
    """Returns the RS-274 program. ignored: limits that the job ignores, noted in the program."""
    path, program = visit.path, visit_program(document, visit, ignored)
    post, moves = program.post, Moves(program)
    pieces = [head(program, Part(0, 0, len(path.down)))]
    for run in range(len(path.down)):
        pieces.append(moves.lines(run, run + 1))
        if run < len(visit.marks):
            pieces.append(post.encode(post.pause(LOOK.format(visit.marks[run].name))))
    return b"".join(pieces) + post.encode(post.end())


def visit_program(document: Document, visit: Visit, ignored: IgnoredLimits) -> Program:
    """Returns the path past the marks as a program."""
    details = ("Register marks, pen up: nothing is drawn",)
    notes = tuple(file_notes(ignored))
    return Program(document.machine, visit.hanging, document.pens, visit.path, visit.feed, notes, details)


def visit_list(document: Document, hanging: Hanging, marks: tuple[RegisterMark, ...], ignored: IgnoredLimits) -> bytes:
    """Returns the list to fill in, with right and down empty. ignored: limits that the job ignores."""
    anchor, floor = left_anchor(document, hanging), document.wall.floor
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(COLUMNS)
    for mark in marks:
        places = (*anchor.from_wall(mark.x, mark.y), floor - mark.y, mark.x, mark.y)
        right, below, above, x, y = (f"{v + 0.0:.1f}" for v in places)
        rows.writerow((mark.name, right, below, above, "", "", x, y, ignored.file_text))
    return out.getvalue().encode()


def verify_visit(data: bytes, document: Document, visit: Visit, ignored: IgnoredLimits) -> None:
    """Replays a written file and compares it with the path. Raises Mismatch."""
    stops = [run + 1 for run in range(len(visit.marks))]
    program = visit_program(document, visit, ignored)
    replay([data], program, Part(0, 0, len(visit.path.down)), stops)
