"""Register marks with one wrong sighting; machine, anchors and belts have hidden parameters."""

from __future__ import annotations

from dataclasses import dataclass

import msgspec
import numpy as np

from wallwright.document.document import Document
from wallwright.document.register import RegisterMark, Sighting
from wallwright.document.wall import Anchor, Hanging
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.parameters import parameters_of, read_all, write_all
from wallwright.statics.calibration.register_fit import READING_SIGMA, fit_register_marks
from wallwright.statics.controller_kinematics import belts_to_controller, controller_to_belts
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import inverse_kinematics

MACHINE = Document().machine
EARLIER = Hanging("Hanging 1", Anchor(0.0, 0.0), Anchor(2600.0, 0.0), (1300.0, 900.0))
LATER = Hanging("Hanging 2", Anchor(1600.0, 0.0), Anchor(4200.0, 0.0), (2900.0, 900.0))
MARKS = tuple(
    RegisterMark(f"2{letter}", x, y)
    for letter, x, y in (
        ("A", 2060.0, 600.0),
        ("B", 2200.0, 1250.0),
        ("C", 2280.0, 900.0),
        ("D", 2100.0, 925.0),
        ("E", 2240.0, 600.0),
        ("F", 2130.0, 1250.0),
    )
)
HUNG = 10.0
"""Largest displacement of anchors, mm."""
HIDDEN = 0.7
"""Scatter of the machine's parameters as a share of their prior standard uncertainties."""


@dataclass(frozen=True)
class GrossMarkCase:
    """Result of a fit to the sightings of one visit."""

    is_found: bool
    good_named: int
    off: float
    """RMS error of the second hanging at the marks after the fit, mm."""


def case_of(error: float, seed: int, count: int = 6) -> GrossMarkCase:
    """Returns a case. error: mm in one sighting, across or down, either way; 0: none. count: number of marks read."""
    random, marks = np.random.default_rng(seed), MARKS[:count]
    parameters = parameters_of(MACHINE)
    prior = np.array([p.prior(MACHINE) for p in parameters])
    own = np.array(["anchor" in p.name or "belt" in p.name for p in parameters])
    shift = np.where(own, 0.0, HIDDEN * prior * random.normal(size=len(prior)))
    meant = np.array([(m.x, m.y) for m in marks])
    drawn = _drawn(EARLIER, hung(EARLIER, random.uniform(-HUNG, HUNG, 4)), parameters, shift, meant)
    really = hung(LATER, random.uniform(-HUNG, HUNG, 4))
    seen = _drawn(LATER, really, parameters, shift, meant) - drawn + READING_SIGMA * random.normal(size=meant.shape)
    bad = int(random.integers(count))
    seen[bad, random.integers(2)] += error * random.choice([-1.0, 1.0])
    sightings = tuple(Sighting(mark, *off) for mark, off in zip(marks, seen.tolist(), strict=True))
    found = fit_register_marks(MACHINE, LATER, sightings, drawer=EARLIER)
    named, wrong = {*found.slips, *found.suspects}, {bad} if error else set()
    rig = CableRobotModel.of(MACHINE, found.hanging)
    counted = belts_to_controller(MACHINE, found.hanging, "belts", inverse_kinematics(rig, meant).belts)
    machine, there = write_all(parameters, read_all(parameters, MACHINE, really) + shift, MACHINE, really)
    true = forward_kinematics(
        CableRobotModel.of(machine, there), controller_to_belts(machine, there, "belts", counted), meant
    ).pen
    off = float(np.sqrt(((true - drawn) ** 2).sum(axis=1).mean()))
    return GrossMarkCase(bool(wrong & named), len(named - wrong), off)


def hung(hanging: Hanging, off) -> Hanging:
    """Returns the hanging with displaced anchors. off: x and y of the left one and of the right one, mm."""
    dx, dy, ex, ey = map(float, off)
    replace = msgspec.structs.replace
    return replace(
        hanging,
        left=replace(hanging.left, x=hanging.left.x + dx, y=hanging.left.y + dy),
        right=replace(hanging.right, x=hanging.right.x + ex, y=hanging.right.y + ey),
    )


def _drawn(thought: Hanging, really: Hanging, parameters, shift, meant) -> np.ndarray:
    """Returns (n, 2) the true pen positions for intended points, mm, with the true machine and hanging."""
    counted = belts_to_controller(
        MACHINE, thought, "belts", inverse_kinematics(CableRobotModel.of(MACHINE, thought), meant).belts
    )
    machine, there = write_all(parameters, read_all(parameters, MACHINE, really) + shift, MACHINE, really)
    return forward_kinematics(
        CableRobotModel.of(machine, there), controller_to_belts(machine, there, "belts", counted), meant
    ).pen
