"""A metre is a metre: exported files, read by a reader that shares no code with the writer, drive MuJoCo."""

import numpy as np
import pytest

from tests.support.hanging_body import HangingBody
from tests.support.jobs import SQUARE, document_of, exported
from tests.support.ngc import on_the_way, read_program
from wallwright.document.controller import Controller
from wallwright.document.machine import Belt
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.straight_belts import straight_belts

CENTRE, SIDE = np.array([1000.0, 900.0]), 1000.0
WEIGHTLESS = Belt(mass=0.0)


def off_square(points: np.ndarray) -> np.ndarray:
    """Distance of points from the outline of the square, mm."""
    d = np.abs(points - CENTRE) - SIDE / 2
    outside = np.hypot(*np.maximum(d, 0).T)
    return np.where((d > 0).any(axis=1), outside, np.abs(d.max(axis=1)))


def judge_of(document) -> HangingBody:
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    return HangingBody(rig.anchors, rig.exits, rig.centre, document.machine.body.mass, rig.stiffness)


def played(judge: HangingBody, belts: np.ndarray, guesses: np.ndarray) -> np.ndarray:
    """(n, 2) where MuJoCo's pen comes to rest for belts (n, 2)."""
    found, tilt = [], 0.0
    for pair, guess in zip(belts, guesses, strict=True):
        pen, tilt, _ = judge.settle(pair, guess + [0.0, 4.0], tilt)
        found.append(pen)
    return np.array(found)


def down_points(program) -> np.ndarray:
    """Points drawn, with two between each pair: a controller joins points by straight lines in its coordinates."""
    moves = np.array([m[:2] for m in program.moves])
    down = np.array([m[3] for m in program.moves])
    pairs = np.flatnonzero(down)
    starts, ends = moves[pairs - 1], moves[pairs]
    points = np.concatenate([starts + share * (ends - starts) for share in (1 / 3, 2 / 3, 1.0)])
    return points[:: max(1, len(points) // 160)]


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    document = document_of(SQUARE, belt=WEIGHTLESS)
    return document, exported(document, tmp_path_factory.mktemp("square"))[0]


def inside_guess(document, belts):
    from wallwright.statics.forward_kinematics import forward_kinematics

    return forward_kinematics(CableRobotModel.of(document.machine, document.hangings[0]), belts).pen


def test_belt_lengths_draw_the_square(files, capsys):
    document, paths = files
    belts = down_points(read_program(paths["belts.ngc"].read_text()))
    pens = played(judge_of(document), belts, inside_guess(document, belts))
    off = off_square(pens)
    corners = CENTRE + SIDE / 2 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    middle = straight_belts(rig.anchors, CENTRE[None], 120.0)
    from wallwright.statics.pose import inverse_kinematics

    shift = inverse_kinematics(rig, CENTRE[None]).belts - middle
    naive_belts = straight_belts(rig.anchors, corners, 120.0) + shift
    naive = np.concatenate(
        [played(judge_of(document), b[None], c[None]) for b, c in zip(naive_belts, corners, strict=True)]
    )
    with capsys.disabled():
        print(
            f"\ndrawn metre: corrected at most {off.max():.3f} mm off; straight-line formula, zeroed in the middle, puts "
            f"the corners {', '.join(f'{d:.1f}' for d in np.hypot(*(naive - corners).T))} mm off"
        )
    assert off.max() < 0.1
    assert np.hypot(*(naive - corners).T).max() > 10


def test_corrected_coordinates_draw_the_square(files):
    """The controller's own formula, written here: belts to a point body, no tilt, no stretch."""
    document, paths = files
    values = down_points(read_program(paths["plane.ngc"].read_text()))
    belts = np.column_stack([np.hypot(*values.T), np.hypot(values[:, 0] - 2000.0, values[:, 1])])
    pens = played(judge_of(document), belts, inside_guess(document, belts))
    assert off_square(pens).max() < 0.1


def test_corrected_svg_draws_the_square(files):
    """Read by svgelements; the machine draws straight lines in its own plane."""
    from svgelements import SVG, Path

    document, paths = files
    svg = SVG.parse(str(paths["corrected.svg"]), ppi=25.4)
    box = svg.viewbox
    found = []
    for path in svg.elements(lambda e: isinstance(e, Path)):
        found += [[s.end.x + box.x, s.end.y + box.y] for s in path.segments()]
    values = np.array(found)[:: max(1, len(found) // 80)]
    belts = np.column_stack([np.hypot(*values.T), np.hypot(values[:, 0] - 2000.0, values[:, 1])])
    pens = played(judge_of(document), belts, inside_guess(document, belts))
    assert off_square(pens).max() < 0.1


def test_arcs_draw_a_circle(tmp_path):
    """A circle of 800 mm in arcs, sampled by the tests' own reader."""
    circle = (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100"><circle cx="50" '
        b'cy="50" r="40" fill="none" stroke="#202020" stroke-width="0.1"/></svg>'
    )
    document = document_of(circle, belt=WEIGHTLESS, controller=Controller(takes="plane", curves="arcs"))
    files, _ = exported(document, tmp_path)
    program = read_program(files["plane.ngc"].read_text())
    assert len(program.arcs) > 10
    values = np.array([p[:2] for p in on_the_way(program, 3.0) if p[2]])[::12]
    belts = np.column_stack([np.hypot(*values.T), np.hypot(values[:, 0] - 2000.0, values[:, 1])])
    pens = played(judge_of(document), belts, inside_guess(document, belts))
    assert np.abs(np.hypot(*(pens - CENTRE).T) - 400).max() < 0.1


def test_a_controller_with_its_own_geometry_is_corrected_for_it(tmp_path):
    """Exits 90 mm apart and 12 mm above the pen in its formula, anchors taken 1990 mm apart, 79 steps per mm."""
    controller = Controller(
        takes="plane", assumed_distance=1990.0, assumed_spacing=90.0, assumed_rise=12.0, assumed_steps=79.0
    )
    document = document_of(SQUARE, belt=WEIGHTLESS, controller=controller)
    files, _ = exported(document, tmp_path)
    values = down_points(read_program(files["plane.ngc"].read_text()))
    y = values[:, 1] - 12.0
    own = np.column_stack([np.hypot(values[:, 0] - 45.0, y), np.hypot(values[:, 0] + 45.0 - 1990.0, y)])
    belts = own * 79.0 / 80.0  # it sends 79 steps for a mm; the motor needs 80
    pens = played(judge_of(document), belts, inside_guess(document, belts))
    assert off_square(pens).max() < 0.1
