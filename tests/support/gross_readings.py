"""Surveys of machines with hidden parameters in which one reading is wrong."""

from __future__ import annotations

import functools
from dataclasses import dataclass

import msgspec
import numpy as np

from wallwright.document.calibration import Survey, TapeReading
from wallwright.document.document import Document
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.figure_proposal import FigureProposal, propose_figure
from wallwright.statics.calibration.fit import fit_calibration
from wallwright.statics.calibration.measurement_model import Readings, drawn
from wallwright.statics.calibration.parameters import parameters_of, read_all, write_all
from wallwright.statics.calibration.reliability import REPEATED
from wallwright.statics.controller_kinematics import belts_to_controller, controller_to_belts
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import inverse_kinematics

DOCUMENT = Document()
MACHINE, HANGING = DOCUMENT.machine, DOCUMENT.hangings[0]
BOX = (500.0, 400.0, 1500.0, 1400.0)
AREA = np.stack(np.meshgrid(np.linspace(500, 1500, 3), np.linspace(400, 1400, 3)), axis=2).reshape(-1, 2)
HIDDEN = 0.7
"""Scatter of the hidden parameters as a share of their prior standard uncertainties."""


@dataclass(frozen=True)
class GrossReadingCase:
    """Result of a fit to a survey."""

    readings: int
    is_left_out: bool
    is_found: bool
    """Whether the wrong reading was rejected, or listed to be repeated."""
    good_left_out: int
    good_named: int
    off: float
    """RMS error over a square metre after the calibration, mm."""


@functools.cache
def proposal_of(figure: str, scatter: float | None) -> FigureProposal:
    """Returns the proposal, with this scatter for all readings, mm, unless None."""
    found = propose_figure(MACHINE, HANGING, DOCUMENT.wall, BOX, figure)
    if scatter is None:
        return found
    measures = tuple(msgspec.structs.replace(m, uncertainty=scatter) for m in found.measures)
    return FigureProposal(found.figure, found.marks, measures, found.expected, found.detectable)


def scattered(measures: tuple[TapeReading, ...], random: np.random.Generator) -> np.ndarray:
    """Returns (m,) errors of readings, mm, from their stated uncertainties. Two takes of a reading share all but the
    error of reading the tape."""
    own = np.array([m.uncertainty for m in measures])
    read = np.minimum(own, REPEATED)
    keys = [(m.kind, m.a, m.b) for m in measures]
    first = [keys.index(key) for key in keys]
    shared = np.sqrt(own**2 - read**2) * random.normal(size=len(own))[first]
    return shared + read * random.normal(size=len(own))


def case_of(figure: str, error: float, scatter: float | None, seed: int) -> GrossReadingCase:
    """Returns a case. error: mm in one reading, up or down; 0: none. scatter: of all readings, mm; None: as stated."""
    random, proposal = np.random.default_rng(seed), proposal_of(figure, scatter)
    parameters = parameters_of(MACHINE)
    prior = np.array([p.prior(MACHINE) for p in parameters])
    true = read_all(parameters, MACHINE, HANGING) + HIDDEN * prior * random.normal(size=len(prior))
    counts = np.array([(m.left, m.right) for m in proposal.marks])
    meant = np.array([(m.x, m.y) for m in proposal.marks])
    points = drawn(MACHINE, HANGING, parameters, true, counts, meant).points
    values = Readings.of(proposal.marks, proposal.measures).predicted(points)
    values = values + scattered(proposal.measures, random)
    bad = int(random.integers(len(values)))
    values[bad] += error * random.choice([-1.0, 1.0])
    measures = tuple(msgspec.structs.replace(m, value=float(v)) for m, v in zip(proposal.measures, values, strict=True))
    outcome = fit_calibration(MACHINE, HANGING, Survey(figure, proposal.marks, measures))
    out = {slip.measure for slip in outcome.slips}
    named = {suspect.measure for suspect in outcome.suspects}
    wrong = {bad} if error else set()
    belts = inverse_kinematics(CableRobotModel.of(outcome.machine, outcome.hanging), AREA).belts
    asked = belts_to_controller(outcome.machine, outcome.hanging, "belts", belts)
    machine, hanging = write_all(parameters, true, MACHINE, HANGING)
    pens = forward_kinematics(
        CableRobotModel.of(machine, hanging), controller_to_belts(machine, hanging, "belts", asked), AREA
    ).pen
    return GrossReadingCase(
        len(values),
        bool(wrong & out),
        bool(wrong & (out | named)),
        len(out - wrong),
        len(named - wrong),
        float(np.sqrt(((pens - AREA) ** 2).sum(axis=1).mean())),
    )
