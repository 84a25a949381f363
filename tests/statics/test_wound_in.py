"""Belts wound in to stops of known length, simulated by MuJoCo: what the stops' error costs before and after calibration."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from tests.support.wound_in import STOPS, outcome
from wallwright.document.code_settings import CodeSettings
from wallwright.document.controller import Controller
from wallwright.document.document import Document
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.expected_error import expected_error
from wallwright.statics.error_budget import ERROR_SOURCES, lasting_sources
from wallwright.statics.pose import inverse_kinematics

replace = msgspec.structs.replace


def test_stops_known_to_a_millimetre_enter_the_budget():
    document = Document()
    machine = replace(document.machine, controller=Controller(code=CodeSettings(start="stop")))
    rough = replace(machine, belt=replace(machine.belt, stop_uncertainty=5.0))
    hanging = document.hangings[0]
    pose = inverse_kinematics(CableRobotModel.of(machine, hanging), np.array([[800.0, 900.0], [1200.0, 1100.0]]))
    assert lasting_sources(document.machine) == ERROR_SOURCES
    one, five = (expected_error(m, hanging, pose) for m in (machine, rough))
    by_title = {cause.key: cause.rms for cause in five.causes}
    alone = {cause.key: cause.rms for cause in one.causes}
    assert alone["belt lengths at the stops"] > 0
    assert by_title["belt lengths at the stops"] == pytest.approx(5 * alone["belt lengths at the stops"])
    assert five.typical > one.typical


def test_calibration_takes_the_stops_error_away():
    """Stops off by up to some mm; crosses read with a tape to half a millimetre."""
    results = [outcome(seed) for seed in range(3)]
    before = np.median([r.before for r in results])
    after = np.median([r.after for r in results])
    assert STOPS / 3 < before < 5 * STOPS
    assert after < 0.6 * before
