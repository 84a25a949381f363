"""A short sample program, shown while a controller's settings are entered."""

from __future__ import annotations

import numpy as np

from wallwright.document.document import Document
from wallwright.jobs.coordinates import ControllerPath
from wallwright.jobs.expected_settings import expected_settings
from wallwright.jobs.file_cautions import FILE_CAUTIONS
from wallwright.jobs.rs274 import Part, Program, part_code
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import ControllerKind, belts_to_controller
from wallwright.statics.pose import inverse_kinematics

SIDE = 100.0
"""Side length of the drawn corner, mm."""


def sample_lines(document: Document, hanging: int = 0) -> list[str]:
    """Returns the lines of a sample program."""
    program = sample_program(document, hanging)
    part = Part(0, 0, len(program.path.down))
    return b"".join(part_code(program, part, lambda done: None)).decode("ascii").splitlines()


def sample_program(document: Document, hanging: int = 0) -> Program:
    """Returns a program that draws a corner near the starting point with the first pen and with the last."""
    place, machine = document.hangings[hanging], document.machine
    x, y = place.start_point
    corner = np.array([[x, y], [x - SIDE, y + SIDE], [x + SIDE, y + SIDE], [x + SIDE, y + 2 * SIDE], [x, y]])
    runs = [corner[:2], corner[1:4], corner[3:]]
    pens = [0, len(document.pens) - 1] if len(document.pens) > 1 else [0]
    points = np.concatenate(runs * len(pens))
    first = np.concatenate([[0], np.cumsum([len(run) for run in runs] * len(pens))]).astype(np.int64)
    down = np.tile([False, True, False], len(pens))
    stroke = np.full(len(down), -1)
    stroke[down] = np.arange(len(pens))
    kind: ControllerKind = "plane" if machine.controller.takes_plane else "belts"
    pose = inverse_kinematics(CableRobotModel.of(machine, place), points)
    values = belts_to_controller(machine, place, kind, pose.belts)
    if not np.isfinite(values).all():  # no equilibrium there: any numbers will do for a sample
        values = points - (place.left.x, place.left.y)
    path = ControllerPath(
        kind, points, values, pose.belts, first, down, stroke, np.repeat(pens, len(runs)).astype(np.int64), None, 0.0
    )
    speed = np.where(np.repeat(down, np.diff(first)), machine.limits.draw_speed, machine.limits.travel_speed)
    feeds = np.where(np.isin(np.arange(len(points)), first[:-1]), np.nan, 60.0 * speed)
    expected = tuple(expected_settings(machine, place, path, feeds))
    return Program(machine, place, document.pens, path, feeds, FILE_CAUTIONS, expected, of=len(pens))
