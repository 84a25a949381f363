"""Travels in a bow where that is quicker: against what no way can undercut, toppra, and exact statics."""

import numpy as np
import pytest
from hypothesis import given, settings

from tests.support.controller import expected_settings, replay_seconds
from tests.support.jobs import document_of, exported
from tests.support.machines import SEEDS, documents, placed
from tests.support.optimum import optimum, smooth, strains
from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.wall import Hanging, KeepOut
from wallwright.motion.curved_travels import LEAST_SECONDS, LEAST_SHARE
from wallwright.motion.detours import DetourFinder
from wallwright.motion.path import build_runs
from wallwright.motion.planner import plan_motion
from wallwright.motion.swing import SwingField
from wallwright.motion.travel_timing import TravelTimer
from wallwright.motion.travels import with_fastest_travels
from wallwright.statics.belt_field import BeltField
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.strokes import Strokes

LEVEL = ((520.0, 1000.0), (1480.0, 1000.0))
"""Across the middle of two anchors 2 m apart."""


def belt_limited(swing: float = 1000.0) -> Document:
    document = Document()
    limits = replace(document.machine.limits, belt_speed=50.0, swing=swing, landing_swing=1000.0)
    return replace(document, machine=replace(document.machine, limits=limits))


def travel_of(document: Document, ends) -> tuple[np.ndarray, float]:
    """(n, 2) mm and s of the travel from the datum at one end to a short stroke at the other."""
    first, last = np.array(ends)
    hanging: Hanging = replace(document.hangings[0], start_point=tuple(map(float, first)))
    document = replace(document, hangings=(hanging,))
    stroke = np.array([last, last + [0.0, 5.0]])
    motion = plan_motion(document, 0, CableRobotModel.of(document.machine, hanging), Strokes.pack([stroke], 0))
    points = motion.pen_xy[: motion.runs[1]]
    return points[motion.vertex[: motion.runs[1]]], float(motion.time[motion.runs[1] - 1])


def inside(document: Document, points: np.ndarray) -> bool:
    step = np.hypot(*np.diff(points, axis=0).T)
    at = np.concatenate([[0], np.cumsum(step)])
    fine = np.linspace(0, at[-1], 1500)
    dense = np.column_stack([np.interp(fine, at, points[:, i]) for i in (0, 1)])
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    return not broken(document.wall, document.machine, rig, inverse_kinematics(rig, dense)).any()


def test_a_level_travel_takes_hardly_longer_than_the_belts_have_to_run():
    """No way is faster than either belt's run at belt speed (exact statics); straight, neither runs at it all the way."""
    document = belt_limited()
    limits, rig = document.machine.limits, CableRobotModel.of(document.machine, document.hangings[0])
    run = np.abs(np.diff(inverse_kinematics(rig, np.array(LEVEL)).belts, axis=0)).max()
    points, took = travel_of(document, LEVEL)
    assert inside(document, points)
    # From rest and to it again, each costs half the speed over the acceleration that the pen and the belts have.
    ramp = limits.belt_speed / min(limits.acceleration, limits.belt_acceleration)
    assert run / limits.belt_speed <= took <= 1.01 * run / limits.belt_speed + 1.5 * ramp
    straight = optimum(rig, limits, [smooth(np.linspace(*LEVEL, 400))], limits.travel_speed)
    assert took < 0.92 * straight
    # It sags towards where both belts run alike.
    assert points[len(points) // 2, 1] > LEVEL[0][1] + 20


@pytest.mark.parametrize("ends", [LEVEL, ((1400.0, 700.0), (560.0, 1050.0))])
@pytest.mark.parametrize("fields", [{}, {"belt_speed": 90.0, "belt_acceleration": 250.0, "travel_speed": 300.0}])
def test_the_bow_is_passed_as_fast_as_toppra_does(ends, fields):
    """At most half a percent slower than toppra, and every limit kept on a grid ten times finer than the plan's."""
    document = belt_limited()
    document = replace(document, machine=replace(document.machine, limits=replace(document.machine.limits, **fields)))
    hanging = replace(document.hangings[0], start_point=ends[0])
    document = replace(document, hangings=(hanging,))
    rig, limits = CableRobotModel.of(document.machine, hanging), document.machine.limits
    stroke = np.array(ends[1]) + [[0.0, 0.0], [0.0, 5.0]]
    motion = plan_motion(document, 0, rig, Strokes.pack([stroke], 0))
    here = slice(0, motion.runs[1])
    at = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(motion.pen_xy[here], axis=0).T))])
    curve = (
        smooth(motion.pen_xy[here][motion.vertex[here]])
        if motion.vertex[here].sum() > 2
        else smooth(np.linspace(*ends, 400))
    )
    best = optimum(rig, limits, [curve], limits.travel_speed)
    assert 0.998 * best <= motion.time[motion.runs[1] - 1] <= 1.005 * best
    for limit, strain in strains(rig, limits, [curve], limits.travel_speed, at, motion.speed[here]).items():
        assert strain <= 1.005, limit


@given(documents(), SEEDS)
@settings(deadline=None, max_examples=25, derandomize=True)
def test_no_bent_travel_is_slower_than_straight_or_leaves_the_zone(document, seed):
    hanging, rig = document.hangings[0], CableRobotModel.of(document.machine, document.hangings[0])
    ends = placed(document, [np.random.default_rng(seed).uniform(0, 1, (12, 2))])[0]
    # Level across the middle too, where bows gain most.
    middle = hanging.right.x / 2
    ends = np.concatenate([ends, [[middle - 400, 900.0], [middle + 400, 900.0]]])
    strokes = Strokes.pack([np.stack([p, p + [0.0, 3.0]]) for p in ends], 0)
    runs = build_runs(strokes, np.array(hanging.start_point))
    field, swing = BeltField(rig, runs.points), SwingField(rig, document.machine, runs.points)
    ways = DetourFinder(document.wall, document.machine, hanging)
    found = with_fastest_travels(document, rig, field, swing, runs, ways)
    trial = TravelTimer(document, field, swing)
    assert len(found.down) == len(runs.down)
    for run in range(len(runs.down)):
        old = runs.points[runs.runs[run] : runs.runs[run + 1]]
        new = found.points[found.runs[run] : found.runs[run + 1]]
        assert np.array_equal(old[[0, -1]], new[[0, -1]])
        if len(new) == len(old):
            assert np.array_equal(old, new)
            continue
        assert not runs.down[run]
        assert inside(document, new)
        if not ways.blocked(old[None])[0]:
            straight, bow = trial.along_lines([old, new])
            assert straight - bow > max(LEAST_SHARE * straight, LEAST_SECONDS)


def test_a_bow_keeps_off_what_is_in_its_way():
    """The same travel with a keep-out where the bow would sag: a flatter one, or straight."""
    document = belt_limited()
    free, quick = travel_of(document, LEVEL)
    deepest = free[np.argmax(free[:, 1])]
    # Below the body (its outline reaches 80 mm under the pen, and a gap of 10 mm is kept).
    top = deepest[1] + 90.0 - 15.0
    corners = [(deepest[0] + x, top + y) for x, y in ((-60, 0), (60, 0), (60, 60), (-60, 60))]
    hindered = replace(document, wall=replace(document.wall, keep_outs=(KeepOut("Socket", tuple(corners)),)))
    assert inside(document, free) and not inside(hindered, free)
    points, took = travel_of(hindered, LEVEL)
    assert inside(hindered, points)
    straight = optimum(
        CableRobotModel.of(document.machine, document.hangings[0]),
        document.machine.limits,
        [smooth(np.linspace(*LEVEL, 400))],
        document.machine.limits.travel_speed,
    )
    assert quick < took < straight


def test_what_belts_do_not_limit_stays_straight():
    """The default machine: pen speed and swing limit it."""
    points, _ = travel_of(Document(), LEVEL)
    assert len(points) == 2


def test_swing_is_kept_and_files_hold_with_bows(tmp_path):
    """Two marks far apart, drawn by a machine with slow belts; the files are read back, and an own model of a controller
    takes as long as estimated, within 3 %."""
    svg = (
        b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100"><g fill="none" stroke="#202020">'
        b'<path d="M2 50H4"/><path d="M96 50H98"/><path d="M3 60H5"/><path d="M95 60H97"/></g></svg>'
    )
    document = document_of(svg, limits=belt_limited(0.8).machine.limits, centre=(1000.0, 950.0))
    files, report = exported(document, tmp_path)
    assert report["swing_mm"] <= 0.8
    for name in ("belts.ngc", "plane.ngc"):
        text = files[name].read_text()
        push, corner = expected_settings(text)
        assert replay_seconds(text, push, corner) == pytest.approx(report["total_s"], rel=0.03)
    assert len(report["verified"]) >= 3
