"""The file that visits the register marks with the pen up, and the list to write down what was seen there.

At each mark the program stops (M0). The person writes down how far the pen is right of and below the cross, and goes on;
the machine ends at the starting point, from which the job itself begins.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.document import Document
from wallwright.document.language import tr
from wallwright.document.origin import left_anchor
from wallwright.document.register import RegisterMark
from wallwright.document.wall import Hanging
from wallwright.jobs.coordinates import ControllerPath, controller_coordinates
from wallwright.jobs.ignored_limits import IgnoredLimits
from wallwright.jobs.read_back import Mismatch
from wallwright.jobs.rs274 import comment, head, lines_of, number
from wallwright.motion.detours import DetourFinder
from wallwright.motion.path import Runs
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import ControllerKind
from wallwright.statics.drag_field import DraggedBelts

VISIT, LIST = "register.ngc", "register.csv"
COLUMNS = ("mark", "right_of_anchor", "below_anchor", "above_floor", "right", "down", "wall_x", "wall_y", "remark")
"""Of the list, mm: where the mark is, from this hanging's left anchor and from the floor; what the person reads; the mark in
the wall frame, from the first hanging's left anchor. remark: that limits are ignored, if they are."""
SHARE = 0.5
"""Of the travel speed: nothing is gained by haste, and a body that swings is seen badly."""
LOOK = "Mark {0}: write down how far the pen is right of and below the mark, then continue"
_MOVE = re.compile(rb"^G1 X(-?[\d.]+) Y(-?[\d.]+) F[\d.]+$", re.MULTILINE)


@dataclass(frozen=True)
class Visit:
    """A way from the starting point to each mark and back."""

    hanging: Hanging
    marks: tuple[RegisterMark, ...]
    path: ControllerPath
    feed: Floats
    """(n,) mm/min of the leg that ends at each point."""


def visit_of(document: Document, number_: int, marks: tuple[RegisterMark, ...]) -> Visit:
    """The way past the marks of one hanging, in the coordinates that its controller takes. Raises BadValue."""
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
    took = np.maximum(wall / (SHARE * limits.travel_speed), belts / (SHARE * limits.belt_speed))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.maximum(np.round(np.nan_to_num(60 * axes / took, nan=60.0), 1), 0.1)


def visit_code(document: Document, visit: Visit, ignored: IgnoredLimits) -> bytes:
    """The RS-274 program. ignored: limits that the job ignores; they are named here too."""
    path = visit.path
    pieces = [
        head(
            visit.hanging,
            document.machine,
            path,
            ignored,
            comment("Register marks, pen up: nothing is drawn"),
        )
    ]
    for run in range(len(path.down)):
        for i in range(path.runs[run] + 1, path.runs[run + 1]):
            x, y = path.values[i]
            pieces.append(lines_of(f"G1 X{number(x)} Y{number(y)} F{number(visit.feed[i])}"))
        if run < len(visit.marks):
            pieces.append(lines_of(comment(LOOK.format(visit.marks[run].name)), "M0"))
    return b"".join(pieces) + b"M2\n"


def visit_list(document: Document, hanging: Hanging, marks: tuple[RegisterMark, ...], ignored: IgnoredLimits) -> bytes:
    """The list to fill in: right and down are left empty. ignored: limits that the job ignores."""
    anchor, floor = left_anchor(document, hanging), document.wall.floor
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(COLUMNS)
    for mark in marks:
        places = (*anchor.from_wall(mark.x, mark.y), floor - mark.y, mark.x, mark.y)
        right, below, above, x, y = (f"{v + 0.0:.1f}" for v in places)
        rows.writerow((mark.name, right, below, above, "", "", x, y, ignored.file_text))
    return out.getvalue().encode()


def verify_visit(data: bytes, visit: Visit) -> None:
    """Compares a written file with the way. Raises Mismatch."""
    found = np.array([[float(v) for v in move] for move in _MOVE.findall(data)])
    inner = np.ones(len(visit.path.values), dtype=bool)
    inner[visit.path.runs[:-1]] = False
    wanted = visit.path.values[inner]
    if found.shape != wanted.shape:
        raise Mismatch(tr("it has {0} points instead of {1}", len(found), len(wanted)))
    worst = float(np.abs(found - wanted).max(initial=0.0))
    if not worst <= 1e-4:
        raise Mismatch(tr("a point is off by {0:.4f} mm", worst))
    if data.count(b"\nM0\n") != len(visit.marks):
        raise Mismatch(tr("it has {0} stops instead of {1}", data.count(b"\nM0\n"), len(visit.marks)))
