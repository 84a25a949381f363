"""A machine whose belts are wound in to stops before each job, simulated by MuJoCo; only the stops have errors."""

from __future__ import annotations

from dataclasses import dataclass

import msgspec
import numpy as np

from tests.support.hanging_body import HangingBody
from wallwright.document.calibration import LEFT, RIGHT, Survey
from wallwright.document.code_settings import CodeSettings
from wallwright.document.controller import Controller
from wallwright.document.document import Document
from wallwright.document.machine import Belt
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.figure_proposal import propose_figure
from wallwright.statics.calibration.fit import fit_calibration
from wallwright.statics.controller_kinematics import belts_to_controller
from wallwright.statics.pose import inverse_kinematics

replace = msgspec.structs.replace
STOPS = 1.0
"""Standard uncertainty of each stop's length, mm."""
TAPE = 0.5
"""Standard uncertainty of tape readings, mm."""
MACHINE = replace(
    Document().machine,
    # MuJoCo's belts are massless here.
    belt=Belt(mass=0.0, stop_uncertainty=STOPS),
    controller=Controller(code=CodeSettings(start="stop")),
)
HANGING = Document().hangings[0]
AREA = np.stack(np.meshgrid(np.linspace(500, 1500, 4), np.linspace(400, 1400, 4)), axis=2).reshape(-1, 2)


@dataclass(frozen=True)
class Outcome:
    """RMS errors of the pen over the wall, mm."""

    stops: np.ndarray
    """(2,) errors of the stops: true minus entered lengths, mm."""
    before: float
    after: float


def outcome(seed: int) -> Outcome:
    """Returns the outcome of a machine that starts from its stops, is calibrated, and starts from its stops again."""
    rng = np.random.default_rng(seed)
    off = rng.normal(0, STOPS, 2)
    body = MACHINE.body
    rig = CableRobotModel.of(MACHINE, HANGING)
    judge = HangingBody(rig.anchors, (body.left_exit, body.right_exit), body.centre, body.mass, MACHINE.belt.stiffness)

    def pens(hanging, points):
        """Returns the true pen positions for requested points, with the count started at the entered stop lengths."""
        counts = belts_to_controller(
            MACHINE, hanging, "belts", inverse_kinematics(CableRobotModel.of(MACHINE, hanging), points).belts
        )
        return np.array([judge.settle(c + off, p + [0.0, 120.0])[0] for c, p in zip(counts, points, strict=True)])

    before = pens(HANGING, AREA) - AREA
    figure = propose_figure(MACHINE, HANGING, Document().wall, (500.0, 400.0, 1500.0, 1400.0), "grid")
    places = {LEFT: np.zeros(2), RIGHT: np.array([HANGING.right.x, HANGING.right.y])}
    wanted = np.array([[m.x, m.y] for m in figure.marks])
    places |= {m.name: at for m, at in zip(figure.marks, pens(HANGING, wanted), strict=True)}
    read = []
    for measure in figure.measures:
        way = places[measure.b] - places[measure.a]
        true = {"distance": np.hypot(*way), "across": way[0], "down": way[1]}[measure.kind]
        read.append(replace(measure, value=float(true + rng.normal(0, TAPE)), uncertainty=TAPE))
    found = fit_calibration(MACHINE, HANGING, Survey("grid", figure.marks, tuple(read)))
    learnt = found.hanging

    def after_pens(points):
        own = CableRobotModel.of(found.machine, learnt)
        counts = belts_to_controller(found.machine, learnt, "belts", inverse_kinematics(own, points).belts)
        return np.array([judge.settle(c + off, p + [0.0, 120.0])[0] for c, p in zip(counts, points, strict=True)])

    after = after_pens(AREA) - AREA
    return Outcome(off, float(np.sqrt((before**2).sum(axis=1).mean())), float(np.sqrt((after**2).sum(axis=1).mean())))
