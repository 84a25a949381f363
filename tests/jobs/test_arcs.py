"""Arcs in corrected coordinates: as near to the drawing as lines, in far fewer of them, read alike by independent readers.

The way back to the wall: arcs sampled by the tests' own reader (NISTIR 6556, 3.5.3.2), the controller's formula written
here (two straight belts to a point), and the pose at which belts are so long (tested against MuJoCo elsewhere).
"""

import re

import numpy as np
import pytest
import shapely
from pygcode import Line

from tests.support.controller import expected_settings, replay_seconds
from tests.support.jobs import document_of, exported, planned
from tests.support.ngc import on_the_way, read_program
from wallwright.document import edits
from wallwright.document.controller import Controller
from wallwright.document.errors import BadFile
from wallwright.jobs import job_writer
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.forward_kinematics import forward_kinematics

ARCS = Controller(takes="plane", curves="arcs")
HEAD = b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
STYLE = b'<g fill="none" stroke="#202020" stroke-width="0.1">'
CIRCLES = ((30.0, 32.0, 24.0), (30.0, 32.0, 3.0), (72.0, 60.0, 27.0), (80.0, 20.0, 12.0), (20.0, 84.0, 11.0))
"""In the drawing's units, which are 8 mm on the wall."""
SCALE = 8.0


def drawing(body: bytes, **machine):
    svg = HEAD + STYLE + body + b"</g></svg>"
    return document_of(svg, width=100 * SCALE, centre=(1000.0, 900.0), controller=ARCS, **machine)


def circles(**machine):
    body = "".join(f'<circle cx="{x}" cy="{y}" r="{r}"/>' for x, y, r in CIRCLES)
    return drawing(body.encode(), **machine)


def pens_of(document, path) -> np.ndarray:
    """(n, 2) mm on the wall along everything that is drawn."""
    values = np.array([p[:2] for p in on_the_way(read_program(path.read_text()), 0.1) if p[2]])
    belts = np.column_stack([np.hypot(*values.T), np.hypot(values[:, 0] - 2000.0, values[:, 1])])
    return forward_kinematics(CableRobotModel.of(document.machine, document.hangings[0]), belts).pen


@pytest.fixture(scope="module")
def drawn(tmp_path_factory):
    document = circles()
    lines = edits.set_field(document, "machine.controller.curves", "lines")
    return (
        document,
        exported(document, tmp_path_factory.mktemp("arcs")),
        exported(lines, tmp_path_factory.mktemp("lines")),
    )


def test_circles_are_circles_on_the_wall(drawn):
    """Within the path tolerance and what simplifying moves the vertices of a circle by, a quarter of the curve tolerance."""
    document, (files, _), _ = drawn
    pens = pens_of(document, files["plane.ngc"])
    off = [np.abs(np.hypot(*(pens - [600 + SCALE * x, 500 + SCALE * y]).T) - SCALE * r) for x, y, r in CIRCLES]
    settings = document.settings
    assert np.min(off, axis=0).max() <= settings.path_tolerance + settings.flatness / 4
    for one in off:
        assert (one < 0.1).sum() > 100, "a circle is missing"


def test_the_file_is_far_smaller_and_takes_as_long(drawn):
    _, (arcs, report), (lines, plain) = drawn
    text, before = (files["plane.ngc"].read_text() for files in (arcs, lines))
    assert len(text) < 0.6 * len(before)
    assert text.count("\n") < 0.5 * before.count("\n")
    assert report["total_s"] == plain["total_s"]
    push, corner = expected_settings(text)
    assert replay_seconds(text, push, corner) == pytest.approx(report["total_s"], rel=0.03)
    assert not re.search(r"^G[23] ", before, re.MULTILINE)
    assert arcs["belts.ngc"].read_bytes() == lines["belts.ngc"].read_bytes()


def test_a_general_g_code_library_reads_the_same_arcs(drawn):
    """pygcode, a general-purpose reader."""
    whole = drawn[1][0]["plane.ngc"].read_text()
    program = read_program(whole)
    theirs, place = [], program.start
    for text in whole.splitlines():
        for code in Line(text).block.gcodes:
            if code.word_key is not None and str(code.word_key) in ("G01", "G02", "G03"):
                end = code.params["X"].value, code.params["Y"].value
                if str(code.word_key) != "G01":
                    centre = place[0] + code.params["I"].value, place[1] + code.params["J"].value
                    theirs.append((*end, *centre, str(code.word_key) == "G02"))
                place = end
    ours = [(*program.moves[n][:2], *arc) for n, arc in program.arcs.items()]
    assert len(ours) > 50
    np.testing.assert_allclose(ours, theirs)


@pytest.mark.parametrize(("curves", "polygons"), [(4, 2), pytest.param(8, 3, marks=pytest.mark.slow)])
@pytest.mark.parametrize("pacing", ["accelerating", "constant"])
def test_curves_of_all_kinds_stay_near_their_lines(pacing, curves, polygons, tmp_path):
    """Random cubic curves and polygons: nowhere farther from the planned strokes than both tolerances allow."""
    random = np.random.default_rng(5)
    body = "".join(
        "<path d='M{:.1f} {:.1f}C{:.1f} {:.1f} {:.1f} {:.1f} {:.1f} {:.1f}'/>".format(*random.uniform(3, 97, 8))
        for _ in range(curves)
    ) + "".join(
        f"<polygon points='{' '.join(f'{x:.2f},{y:.2f}' for x, y in random.uniform(3, 97, (5, 2)))}'/>"
        for _ in range(polygons)
    )
    document = edits.set_field(drawing(body.encode()), "machine.controller.pacing", pacing)
    files, report = exported(document, tmp_path)
    assert len(read_program(files["plane.ngc"].read_text()).arcs) > 3.75 * curves
    strokes = shapely.MultiLineString(list(planned(document).plan.strokes))
    pens = pens_of(document, files["plane.ngc"])
    off = shapely.distance(shapely.points(pens), strokes)
    settings = document.settings
    assert off.max() <= settings.path_tolerance + 1.25 * settings.flatness
    missed = shapely.distance(
        shapely.points(shapely.get_coordinates(shapely.segmentize(strokes, 5.0))), shapely.LineString(pens)
    )
    assert missed.max() <= settings.path_tolerance + 1.25 * settings.flatness
    if pacing == "constant":
        assert replay_seconds(files["plane.ngc"].read_text(), 1e12, 1e6) == pytest.approx(report["total_s"], rel=0.01)


def test_a_polygon_with_many_corners_keeps_them(tmp_path):
    """Thirty corners of 12 degrees on a radius of 240 mm: its sides are 1.3 mm off the circle and are no flattened one."""
    angle = np.linspace(0, 2 * np.pi, 30, endpoint=False)
    corners = np.column_stack([50 + 30 * np.cos(angle), 50 + 30 * np.sin(angle)])
    points = " ".join(f"{x:.4f},{y:.4f}" for x, y in corners)
    document = drawing(f'<polygon points="{points}"/>'.encode())
    files, _ = exported(document, tmp_path)
    ring = shapely.LinearRing([600, 500] + SCALE * corners)
    off = shapely.distance(shapely.points(pens_of(document, files["plane.ngc"])), ring)
    assert off.max() <= document.settings.path_tolerance + 0.001


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [(rb"\nG2 X", b"\nG3 X", "instead of an arc|wrong direction"), (rb" I(-?\d)", rb" I1\1", "off|not")],
)
def test_a_wrong_arc_is_found_when_the_file_is_read_back(old, new, says, tmp_path, monkeypatch):
    real = job_writer._write

    def spoilt(path, pieces):
        wrong = path.name == "plane.ngc"
        real(path, (re.sub(old, new, p, count=1) if wrong else p for p in pieces))

    monkeypatch.setattr(job_writer, "_write", spoilt)
    with pytest.raises(BadFile, match=f"differs from the plan when read back.*({says})"):
        exported(circles(), tmp_path)
    assert list(tmp_path.iterdir()) == []
