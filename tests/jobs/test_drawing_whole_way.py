"""Machines that take a drawing, from artwork to what is drawn: zone, fills, inks, estimate, another reader, an unknown page."""

import io

import numpy as np
import pytest
import resvg_py
import shapely
from PIL import Image
from scipy.spatial import cKDTree

from tests.support.drawing_machine import at_one_speed, read_drawing
from tests.support.drawing_owner import draw_known, draw_unknown
from tests.support.drawing_pages import PAGES, machine_of, taking, three_pens, typed_of, typing_in
from tests.support.jobs import SQUARE, document_of, exported, planned
from wallwright.document import edits
from wallwright.document.document import Pen
from wallwright.document.machine import Belt
from wallwright.jobs.checks import Verdict

pytestmark = pytest.mark.usefixtures("commands_have_planned_before")

FILLED = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<path d="M10 10H90V90H10Z" fill="#c02020"/><circle cx="50" cy="50" r="20" fill="#202020"/></svg>'
)
PENS = (Pen("k", "Black", "#202020", 8.0), Pen("r", "Red", "#c02020", 8.0))


def test_fills_in_two_inks_stay_in_their_shapes_and_take_the_time_that_is_said(tmp_path):
    """Lines of both fills against the shapes (shapely); the time by hand from what is drawn, its speed and its lift."""
    page = edits.replace(PAGES["typed"], always=())
    document = document_of(FILLED, fill="hatch", belt=Belt(mass=0.0), controller=taking(page))
    settings = edits.replace(document.settings, fill=edits.replace(document.settings.fill, spacing=80.0))
    document = edits.replace(document, pens=PENS, settings=settings)
    files, report = exported(document, tmp_path)
    what, machine = typing_in(report), machine_of(document, "typed")
    disc, square = shapely.Point(1000.0, 900.0).buffer(200.0, 64), shapely.box(600.0, 500.0, 1400.0, 1300.0)
    shapes = {"#202020": disc, "#c02020": square - disc}
    moved = {"up": 0.0, "down": 0.0}
    lines = 0
    for file in what.files:
        end = None
        for line in machine.placed(files[file.file].read_text(), typed_of(what)):
            pens = machine.pens(at_one_speed(line, 90.0))
            outside = shapely.distance(shapely.points(pens), shapes[file.colour])
            assert outside.max() <= 0.15
            moved["down"] += np.hypot(*np.diff(pens, axis=0).T).sum()
            moved["up"] += 0.0 if end is None else np.hypot(*(pens[0] - end))
            end, lines = pens[-1], lines + 1
    assert lines > 10 and {f.colour for f in what.files} == set(shapes)
    limits, lift = document.machine.limits, document.machine.lift
    by_hand = moved["down"] / limits.draw_speed + moved["up"] / limits.travel_speed
    by_hand += lines * (lift.raise_time + lift.lower_time)
    # Not in it: the ways from and to the starting point, and how a travel begins and ends.
    assert by_hand <= report["total_s"] <= 1.15 * by_hand + 60
    assert sum(f.total_s for f in what.files) == pytest.approx(report["total_s"], rel=0.01)


def test_what_leaves_the_zone_is_refused_as_for_other_machines():
    far = document_of(SQUARE, centre=(1000.0, 500.0), width=1600.0, controller=taking(PAGES["typed"]))
    checks = {c.id: c for c in planned(far).plan.checks}
    assert any(c.verdict is Verdict.ERROR for c in checks.values())
    assert checks["zone"].verdict is Verdict.ERROR and checks["zone"].place


@pytest.mark.parametrize("kind", ["typed", "centred", "ink"])
def test_a_renderer_of_svg_sees_the_same_drawing(kind, tmp_path):
    """resvg, in pixels of 1/96 inch (CSS Values and Units 3, 5.2), against the points that the files are made of."""
    page = edits.replace(PAGES[kind], attributes="stroke", one_file=True)
    files, _ = exported(three_pens(page), tmp_path)
    text = files["all-pens.svg"].read_text()
    shown = Image.open(io.BytesIO(bytes(resvg_py.svg_to_bytes(svg_string=text, background="white", dpi=96))))
    ink = np.argwhere(np.asarray(shown.convert("L")) < 250)[:, ::-1] + 0.5
    attributes, lines = read_drawing(text)
    share = shown.width / float(attributes["viewBox"].split()[2])
    stated = float(attributes["width"].removesuffix("mm"))
    in_mm = stated if attributes["width"].endswith("mm") else stated * 25.4 / 96
    assert shown.width == pytest.approx(in_mm * 96 / 25.4, abs=1.0)
    half = share / 2  # strokes are 1 wide where nothing is said (SVG 2, 13.5.3)
    legs = shapely.linestrings(np.concatenate([np.stack([line[:-1], line[1:]], axis=1) * share for line in lines]))
    pixels = shapely.points(ink)
    assert shapely.distance(pixels, legs[shapely.STRtree(legs).nearest(pixels)]).max() < half + 1.0
    places = np.concatenate([at_one_speed(line * share, 5.0) for line in lines])
    assert cKDTree(ink).query(places)[0].max() < 1.5


def test_the_whole_way_by_command_draws_the_artwork(tmp_path):
    drawn = draw_known(tmp_path)
    assert drawn.error.max() <= 0.15
    assert drawn.missed <= 0.7, "places are 40 mm apart on a circle of 810 mm"


def test_the_whole_way_with_an_unknown_page_by_command(tmp_path):
    before, after = draw_unknown(tmp_path)
    assert np.median(before.error) > 5.0
    assert np.median(after.error) < 1.0 and after.error.max() < 2.0 and after.missed < 2.0
