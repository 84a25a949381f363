"""The draw zone, its reasons and its edge; interpolated belts."""

import dataclasses
import math

import numpy as np
import pytest
import shapely

from tests.support.hanging_body import HangingBody
from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.wall import KeepOut
from wallwright.statics.belt_field import BeltField
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.draw_zone import LAYERS, compute_zone
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.limits import Limit, broken
from wallwright.statics.motor import available_pull, reference_voltage, supply_power
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.zone_boundary import zone_polygons

DOCUMENT = Document()
HANGING = DOCUMENT.hangings[0]


def bits_at(document: Document, *points) -> list[int]:
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    return broken(document.wall, document.machine, rig, inverse_kinematics(rig, np.array(points, dtype=float))).tolist()


def test_each_limit_is_named_where_it_is_broken():
    (middle,) = bits_at(DOCUMENT, (1000, 800))
    assert middle == 0
    assert bits_at(DOCUMENT, (1000, -100)) == [Limit.UNREACHABLE]
    (top,) = bits_at(DOCUMENT, (1000, 60))
    assert top & Limit.LOST_STEPS
    (side,) = bits_at(DOCUMENT, (160, 1500))
    assert side & Limit.TILT and side & Limit.SLACK
    (floor,) = bits_at(DOCUMENT, (1000, 2150))
    assert floor & Limit.EDGE
    (corner,) = bits_at(DOCUMENT, (70, 60))
    assert corner & Limit.ANCHOR
    short = replace(DOCUMENT, machine=replace(DOCUMENT.machine, belt=replace(DOCUMENT.machine.belt, length=1200.0)))
    (belt,) = bits_at(short, (1000, 900))
    assert belt == Limit.BELT_LENGTH


def test_a_belt_cut_short_never_passes_as_reachable():
    """Belts shorter than the line between the anchors hold the body only by stretching; MuJoCo says with what pull."""
    machine = DOCUMENT.machine
    rig = dataclasses.replace(CableRobotModel.of(machine, HANGING), belt_weight=0.0)
    rng = np.random.default_rng(2)
    between = 2000.0 - 120.0
    left = rng.uniform(0.2, 0.8, 200) * between
    belts = np.column_stack([left, between - left - rng.uniform(0, 150, 200)])
    pose = forward_kinematics(rig, belts)
    bits = broken(DOCUMENT.wall, machine, rig, pose)
    assert (bits & (Limit.LOST_STEPS | Limit.UNREACHABLE)).all()
    judge = HangingBody(rig.anchors, rig.exits, rig.centre, machine.body.mass, rig.stiffness)
    for pair in belts[:20]:
        _, _, tension = judge.settle(pair, (pair[0] + 60.0, 15.0))
        assert tension.max() > available_pull(machine)


def test_a_keep_out_is_kept_off_by_the_tilted_body():
    """The box is beside the pen, farther than the untilted outline reaches, but the body leans into it."""
    box = KeepOut("switch", ((420.0, 1180.0), (460.0, 1180.0), (460.0, 1240.0), (420.0, 1240.0)))
    document = replace(DOCUMENT, wall=replace(DOCUMENT.wall, keep_outs=(box,)))
    rig = CableRobotModel.of(document.machine, HANGING)
    pose = inverse_kinematics(rig, np.array([[560.0, 1200.0]]))
    assert math.degrees(pose.tilt[0]) > 15
    assert bits_at(document, (560, 1200))[0] & Limit.KEEP_OUT
    assert bits_at(document, (900, 1200)) == [0]


def test_polygon_and_raster_are_the_same_zone():
    zone = compute_zone(DOCUMENT.wall, DOCUMENT.machine, HANGING)
    edge = zone_polygons(DOCUMENT.wall, DOCUMENT.machine, zone)
    x, y = np.meshgrid(zone.x, zone.y)
    agree = shapely.contains_xy(edge, x, y) == (zone.bits == 0)
    assert agree.mean() > 0.999
    boundary = shapely.get_coordinates(edge)[::7]
    rig = zone.rig
    inward = boundary + 2.0 * (np.array(edge.centroid.coords[0]) - boundary) / 500
    inside = broken(DOCUMENT.wall, DOCUMENT.machine, rig, inverse_kinematics(rig, inward)) == 0
    assert inside.mean() > 0.97


@pytest.mark.parametrize("name", LAYERS)
def test_layers_have_values_inside(name):
    zone = compute_zone(DOCUMENT.wall, DOCUMENT.machine, HANGING, points=800)
    values = zone.layer(name)[zone.bits == 0]
    assert np.isfinite(values).all() and (values >= 0).all()


def test_the_simple_formula_is_as_wrong_as_measured():
    """Tens of mm in the lower corners of a 1 m square. No published source; `test_against_mujoco.py` measures the same in MuJoCo."""
    zone = compute_zone(DOCUMENT.wall, DOCUMENT.machine, HANGING)
    off = zone.layer("uncorrected")
    rows = (zone.y > 1250) & (zone.y < 1350)
    columns = (zone.x > 450) & (zone.x < 550)
    assert 10 < np.nanmean(off[np.ix_(rows, columns)]) < 60


def test_interpolated_belts_keep_their_stated_error():
    rig = CableRobotModel.of(DOCUMENT.machine, HANGING)
    points = np.random.default_rng(3).uniform([250, 250], [1750, 1700], (4000, 2))
    field = BeltField(rig, points)
    assert not field.is_exact
    worst = np.abs(field.belts(points) - inverse_kinematics(rig, points).belts).max()
    assert worst <= field.error <= 1e-3


def test_interpolation_gives_way_to_exact_poses_where_nothing_hangs_nearby():
    rig = CableRobotModel.of(DOCUMENT.machine, HANGING)
    points = np.random.default_rng(3).uniform([150, 5], [1850, 1400], (2000, 2))
    field = BeltField(rig, points)
    exact = inverse_kinematics(rig, points)
    good = exact.converged
    assert np.abs(field.belts(points)[good] - exact.belts[good]).max() < 2e-3


def test_driver_reference_is_that_of_common_practice():
    """Common practice, no source: about 0.85 V for 0.6 A and 1.1 V for 0.8 A at 0.11 Ω; 20 W and 30 W of supply."""
    assert reference_voltage(0.6, 0.11) == pytest.approx(0.85, abs=0.01)
    assert reference_voltage(0.8, 0.11) == pytest.approx(1.1, abs=0.04)
    machine = DOCUMENT.machine
    assert supply_power(machine) == pytest.approx(20)
    strong = replace(machine, motor=replace(machine.motor, set_current=0.8))
    assert supply_power(strong) == pytest.approx(30)


def test_pull_falls_with_current_and_speed():
    """T = torque / pitch radius: 0.4 N·m * 0.6 / 1.5 * 0.5 over 20 teeth * 2 mm / 2π = 6.366 mm gives 12.57 N by hand."""
    machine = DOCUMENT.machine
    assert available_pull(machine) == pytest.approx(12.566, abs=0.01)
    assert available_pull(machine, 400.0) == pytest.approx(12.566 / 2, abs=0.01)
