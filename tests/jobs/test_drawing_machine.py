"""Files for machines that take drawings, followed to the letter by a simulated machine whose body hangs in MuJoCo."""

import csv
import io
import json
import zipfile

import jsonschema
import numpy as np
import pytest
from pypdf import PdfReader
from svgelements import SVG, Path

from tests.support.drawing_machine import ASKED, at_one_speed, read_drawing
from tests.support.drawing_pages import PAGES, PENS, machine_of, taking, three_pens, typed_of, typing_in
from tests.support.experienced import ExperiencedRunner
from tests.support.jobs import SQUARE, document_of, exported, planned
from tests.support.walls import hung_banner
from wallwright.document import edits
from wallwright.document.calibration import MachineCalibration
from wallwright.document.continuation import Continuation, StrokePlace
from wallwright.document.machine import Belt
from wallwright.document.project import decode_project, encode_project
from wallwright.document.resources import resource
from wallwright.jobs.checks import Verdict
from wallwright.jobs.what_to_type import as_text
from wallwright.planning.plan import Goal, Request
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import controller_to_belts
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import inverse_kinematics

CENTRE, SIDE = np.array([1000.0, 900.0]), 1000.0


def off_square(points):
    """Distance of points from the outline of the square, mm."""
    d = np.abs(points - CENTRE) - SIDE / 2
    outside = np.hypot(*np.maximum(d, 0).T)
    return np.where((d > 0).any(axis=1), outside, np.abs(d.max(axis=1)))


@pytest.mark.parametrize("kind", PAGES)
def test_a_metre_is_a_metre_on_every_kind_of_page(kind, tmp_path, capsys):
    document = document_of(SQUARE, belt=Belt(mass=0.0), controller=taking(PAGES[kind]))
    files, report = exported(document, tmp_path)
    what, machine = typing_in(report), machine_of(document, kind)
    drawing = files[what.files[0].file].read_text()
    *ticks, line = machine.placed(drawing, typed_of(what))
    assert len(ticks) == (4 if kind == "ink" else 0)
    pens = machine.pens(at_one_speed(line, 61.0))
    with capsys.disabled():
        print(f"\n{kind}: {off_square(pens).max():.3f} mm off the square")
    assert off_square(pens).max() <= 0.15
    # A second reader sees the same points (svgelements, the path's own numbers).
    again = [p for p in SVG.parse(str(files[what.files[0].file]), ppi=25.4).elements() if isinstance(p, Path)]
    attributes, lines = read_drawing(drawing)
    share = float(attributes["width"].removesuffix("mm")) / float(attributes["viewBox"].split()[2])
    ends = np.array([[s.end.x, s.end.y] for s in again[-1].segments()])
    assert np.abs(ends - share * lines[-1]).max() < 1e-3


@pytest.mark.parametrize(
    ("right_at", "corners", "sides"),
    [
        (CENTRE, (18.8, 18.8, 30.4, 30.4), (29.0, 11.2, 11.8, 11.2)),
        ((1000.0, 800.0), (14.2, 14.2, 31.8, 31.8), (23.5, 12.8, 14.6, 12.8)),
        ((1000.0, 200.0), (13.9, 13.9, 42.3, 42.3), (10.4, 27.8, 30.9, 27.8)),
    ],
)
def test_the_plain_square_comes_out_centimetres_off(right_at, corners, sides):
    """The same square from a file that nobody corrected, on a machine whose formula is two straight belts to a point and
    whose belts are right at one place: the square's middle, the hanging's starting point, high up near its stop.

    Measured, mm, where MuJoCo's pen is off at the corners and the middles of the sides, clockwise from the top left: 14 to 42
    mm at the corners. With belts as its formula counts them, nowhere right, the corners are 103 and 47 mm off.
    """
    document = document_of(SQUARE, belt=Belt(mass=0.0), controller=taking(PAGES["typed"]))
    machine = machine_of(document, "typed")
    plain = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" height="1000mm" viewBox="0 0 1000 1000">'
        '<path d="M0,0L1000,0L1000,1000L0,1000L0,0"/><path d="M500,0L1000,500L500,1000L0,500"/></svg>'
    )
    left, top = CENTRE - SIDE / 2
    square, middles = machine.placed(plain, {"distance": 2000, "left": left, "top": top, "width": 1000})

    def off(wanted):
        return np.hypot(*(machine.pens(wanted) - wanted).T)

    assert off(square[:4]) == pytest.approx([102.9, 102.9, 46.8, 46.8], abs=0.2)
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    place = np.array([right_at], dtype=float)
    machine.zero = tuple(inverse_kinematics(rig, place).belts[0] - np.hypot(*place[0]))
    assert off(place) == pytest.approx(0.0, abs=0.05)
    assert off(square[:4]) == pytest.approx(corners, abs=0.2)
    assert off(middles) == pytest.approx(sides, abs=0.2)


@pytest.mark.parametrize("kind", PAGES)
def test_three_pens_meet(kind, tmp_path):
    """Each file is placed by itself; the lines of all pens begin or end at the artwork's middle."""
    document = three_pens(PAGES[kind])
    files, report = exported(document, tmp_path)
    what, machine = typing_in(report), machine_of(document, kind)
    assert [f.file for f in what.files] == ["1-black.svg", "2-red-argerlich.svg", "3-blue.svg"]
    met = []
    for file in what.files:
        line = machine.placed(files[file.file].read_text(), typed_of(what))[-1]
        pens = machine.pens(line[[0, -1]])
        met.append(pens[int(np.argmin(np.hypot(*(pens - CENTRE).T)))])
    assert np.hypot(*(np.array(met) - CENTRE).T).max() <= 0.15


def test_a_formula_of_its_own_is_drawn_with(tmp_path):
    """Exits 90 mm apart and 12 mm above the pen, 8 mm added to the distance, 79 steps per mm, belts longer than counted."""
    page = edits.replace(PAGES["typed"], added_distance=8.0)
    controller = taking(page, assumed_spacing=90.0, assumed_rise=12.0, assumed_steps=79.0)
    document = document_of(SQUARE, belt=Belt(mass=0.0), controller=controller)
    hanging = edits.replace(document.hangings[0], left_offset=14.0, right_offset=-6.0)
    document = edits.replace(document, hangings=(hanging,))
    files, report = exported(document, tmp_path)
    machine = machine_of(document, "typed", added=8.0, spacing=90.0, rise=12.0, own_steps=79.0, zero=(14.0, -6.0))
    line = machine.placed(files["1-black.svg"].read_text(), typed_of(typing_in(report)))[-1]
    assert off_square(machine.pens(at_one_speed(line, 97.0))).max() <= 0.15
    # Where the pen must stand is where it stands when the machine is at its start.
    start = typing_in(report).start
    pen = machine.pens(np.array([[start.machine_right, start.machine_down]]))[0]
    assert np.abs(pen - [start.right, start.down]).max() < 0.2


def test_no_other_file_is_written_or_named(tmp_path):
    files, report = exported(three_pens(PAGES["typed"]), tmp_path)
    assert set(files) == {
        "1-black.svg",
        "2-red-argerlich.svg",
        "3-blue.svg",
        "hanging-sheet.pdf",
        "report.json",
    }
    sheet = " ".join(page.extract_text() for page in PdfReader(files["hanging-sheet.pdf"]).pages)
    sheet = " ".join(sheet.split())
    texts = sheet + files["report.json"].read_text()
    assert not any(name in texts for name in (".ngc", "motion.jsonl", "corrected.svg", "RS-274"))
    what = typing_in(report)
    for number in what.typed:
        assert f"{number.value:g} mm" in sheet
    assert all(file.file in sheet for file in what.files)
    assert f"{what.start.right:g} mm right of" in sheet
    jsonschema.validate(report, json.loads(resource("schemas", "report.schema.json").read_text()))


def test_other_files_and_one_for_all_pens_on_request(tmp_path):
    page = edits.replace(PAGES["typed"], one_file=True, other_files=True, attributes="stroke")
    files, report = exported(three_pens(page), tmp_path)
    assert {"all-pens.svg", "belts.ngc", "plane.ngc"} <= set(files)
    assert typing_in(report).all_pens == "all-pens.svg"
    text = files["all-pens.svg"].read_text()
    assert [text.index(f'stroke="{pen.colour}"') for pen in PENS] == sorted(
        text.index(f'stroke="{pen.colour}"') for pen in PENS
    )
    assert text.count('fill="none"') == 3


def test_large_drawings_are_split_between_strokes(tmp_path):
    lines = "".join(f"M{5 + 0.5 * i} 5L{90 - 0.5 * i} {10 + 0.5 * i}L{20} {95 - 0.2 * i}" for i in range(60))
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100"><path fill="none" '
        f'stroke="#202020" stroke-width="0.1" d="{lines}"/></svg>'
    ).encode()
    whole = document_of(svg, controller=taking(PAGES["ink"]))
    limited = document_of(svg, controller=taking(edits.replace(PAGES["ink"], largest_file=5.0)))
    one, _ = exported(whole, tmp_path / "one")
    files, report = exported(limited, tmp_path / "split")
    parts = [f.file for f in typing_in(report).files]
    assert len(parts) > 2 and parts[0] == "1-black-part-1.svg"
    assert all(files[name].stat().st_size <= 5_000 for name in parts)
    read = [read_drawing(files[name].read_text()) for name in parts]
    assert len({json.dumps(attributes) for attributes, _ in read}) == 1, "all parts have the same page"
    expected = read_drawing(one["1-black.svg"].read_text())[1]
    found = [*read[0][1][:4], *(line for _, lines in read for line in lines[4:])]
    assert all(np.array_equal(a, b) for a, b in zip(expected, found, strict=True))


def test_thinned_points_stay_near_the_path(tmp_path):
    """Against shapely: every point of the corrected path lies on the drawn line within tolerance, digits and thinning."""
    import shapely

    circle = (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100"><circle cx="50" '
        b'cy="50" r="40" fill="none" stroke="#202020" stroke-width="0.1"/></svg>'
    )
    page = edits.replace(PAGES["typed"], other_files=True, tolerance=0.3)
    files, report = exported(document_of(circle, controller=taking(page)), tmp_path)
    what = typing_in(report)
    (line,) = read_drawing(files["1-black.svg"].read_text())[1]
    drawn = shapely.LineString(line + [typed_of(what)["left"], typed_of(what)["top"]])
    full = next(p for p in SVG.parse(str(files["corrected.svg"]), ppi=25.4).elements() if isinstance(p, Path))
    box = SVG.parse(str(files["corrected.svg"])).viewbox
    points = np.array([[s.end.x + box.x, s.end.y + box.y] for s in full.segments()])
    assert shapely.distance(shapely.points(points), drawn).max() < 0.3 + 0.01 + 0.001
    assert len(line) < 0.7 * len(points)


def test_an_earlier_export_goes_and_files_of_others_stay(tmp_path):
    exported(three_pens(PAGES["typed"]), tmp_path)
    one = document_of(SQUARE, controller=taking(PAGES["typed"]))
    exported(one, tmp_path)
    assert sorted(p.name for p in tmp_path.glob("*.svg")) == ["1-black.svg"]
    (tmp_path / "2-blue.svg").write_text("mine")
    two = edits.replace(three_pens(PAGES["typed"]), pens=(PENS[0], PENS[2]))
    from wallwright.document.errors import BadValue

    with pytest.raises(BadValue, match=r"2-blue\.svg exists already"):
        exported(two, tmp_path)
    assert (tmp_path / "2-blue.svg").read_text() == "mine"
    assert (tmp_path / "1-black.svg").exists()


def checks_of(document):
    return {c.id: c for c in planned(document).plan.checks}


def test_a_drawing_that_its_page_has_no_place_for_is_not_exported():
    page = edits.replace(PAGES["area"], own_left=600.0)
    found = checks_of(document_of(SQUARE, controller=taking(page)))
    assert found["page"].verdict is Verdict.ERROR and "leaves the machine's page" in found["page"].text
    unknown = edits.replace(PAGES["area"], own_width=0.0)
    assert "Enter the size of the area" in checks_of(document_of(SQUARE, controller=taking(unknown)))["page"].text


def test_what_is_known_of_the_page_is_reported():
    page = edits.replace(PAGES["typed"], is_known=False, always=("close",), start_right=900.0, start_down=700.0)
    found = checks_of(document_of(SQUARE, controller=taking(page)))
    assert found["page-proof"].remedies == ("proof",)
    assert "closing of open paths" in found["page-paths"].text
    assert found["page-start"].verdict is Verdict.WARNING


def test_pixels_that_a_proof_drawing_cannot_decide_are_a_note_until_the_machine_is_calibrated():
    """96 and 90 pixels to the inch are 7 % apart, 72 and 90 are 25 %: CSS Values and Units Level 3, 5.2; SVG 1.1, 7.10."""
    page = edits.replace(PAGES["typed"], asks=("left", "top"), unit="px")
    document = document_of(SQUARE, controller=taking(page))
    found = checks_of(document)["page-size"]
    assert found.verdict is Verdict.NOTE and "1/96 inch, or of 1/90 inch" in found.text
    points = edits.replace(page, scale=96 / 72)
    assert "page-size" not in checks_of(document_of(SQUARE, controller=taking(points)))
    calibrated = edits.set_field(document, "machine.calibration", MachineCalibration("2026-01-01", 20, ()))
    assert "page-size" not in checks_of(calibrated)


def test_one_speed_is_judged_and_lifting_at_corners_helps():
    page = PAGES["typed"]
    svg = SQUARE.replace(b"M0 0H100V100H0Z", b"M0 40H100L0 50L100 60")
    plain = planned(document_of(svg, controller=taking(page))).plan
    lifting = planned(document_of(svg, controller=taking(edits.replace(page, lift_angle=0.5)))).plan
    assert (plain.motion.speed[np.repeat(plain.motion.down, np.diff(plain.motion.runs))] == 40.0).all()
    assert len(plain.strokes) == 1 and len(lifting.strokes) == 3
    assert lifting.estimate.swing_mm < plain.estimate.swing_mm
    found = {c.id: c for c in plain.checks}
    text = found["one-speed"].text
    assert "swing" not in found, "one check, one advice"
    assert "Set " in text and "mm/s on its page" in text


def test_what_to_type_reads_like_the_page(tmp_path):
    page = edits.replace(
        PAGES["ink"], asks=("distance", "left", "top", "scale"), switch_off=("fill", "sort"), origin="middle"
    )
    _, report = exported(three_pens(page), tmp_path)
    text = as_text(typing_in(report))
    order = [
        "Distance between the anchors: 2000 mm",
        "left edge, right of the point halfway between the anchors",
        "top edge, below",
        "Scale: 1 (that is 100 %)",
        "1. 1-black.svg",
        "3. 3-blue.svg",
        "must stand",
        "switch off: filling of closed shapes, sorting of paths",
        "strip of paper",
    ]
    assert [text.index(piece) for piece in order] == sorted(text.index(piece) for piece in order)
    assert set(ASKED["ink"]) < set(typed_of(typing_in(report)))


def test_the_rest_of_a_job_is_a_file_of_what_is_left(tmp_path):
    document = three_pens(PAGES["typed"])
    whole, _ = exported(document, tmp_path / "whole")
    answer = ExperiencedRunner().run(
        Request(1, document, Goal.EXPORT, folder=str(tmp_path / "rest"), rest=Continuation(StrokePlace(1, 0.0)))
    )
    names = {name.rpartition("/")[2] for name in answer.files}
    rest = json.loads((tmp_path / "rest" / "report-from-stroke-2.json").read_text())
    files = [f.file for f in typing_in(rest).files]
    assert set(files) < names and all("from-stroke-2" in name for name in files)
    drawn = [line for name in files for line in read_drawing((tmp_path / "rest" / name).read_text())[1]]
    assert len(drawn) == 2 and len(whole) == 5


def test_register_marks_are_drawn_beside_those_of_the_hanging_before(tmp_path):
    """A hanging beside an earlier one gets a file that draws a diagonal cross where its pen comes at each mark."""
    wall = hung_banner(spacing=90.0)
    machine = edits.replace(wall.machine, controller=taking(PAGES["typed"], assumed_spacing=120.0))
    document = edits.replace(wall, machine=machine)
    answer = ExperiencedRunner().run(Request(1, document, Goal.EXPORT, 1, str(tmp_path)))
    report = json.loads((tmp_path / "report.json").read_text())
    what = typing_in(report)
    assert what.register == "register.svg" and str(tmp_path / "register.csv") in answer.files
    assert not list(tmp_path.rglob("*.ngc"))
    crosses = read_drawing((tmp_path / "register.svg").read_text())[1]
    marks = list(csv.DictReader((tmp_path / "register.csv").read_text().splitlines()))
    assert len(crosses) == 2 * len(marks)
    hanging = document.hangings[1]
    plane = np.array([cross.mean(axis=0) for cross in crosses[::2]]) + [
        typed_of(what)["left"],
        typed_of(what)["top"],
    ]
    belts = controller_to_belts(document.machine, hanging, "plane", plane)
    pens = forward_kinematics(CableRobotModel.of(document.machine, hanging), belts).pen
    wanted = np.array([[float(mark["wall_x"]), float(mark["wall_y"])] for mark in marks])
    assert np.abs(pens - wanted).max() < 0.1


def test_a_project_without_the_new_fields_keeps_its_meaning():
    """As an older program wrote it: the fields are not there."""
    document = document_of(SQUARE)
    with zipfile.ZipFile(io.BytesIO(encode_project(document))) as archive:
        head = json.loads(archive.read("document.json"))
        artwork = {name: archive.read(name) for name in archive.namelist() if name != "document.json"}
    del head["document"]["machine"]["controller"]["page"]
    for hanging in head["document"]["hangings"]:
        del hanging["remainder"], hanging["survey"]["typed_distance"], hanging["survey"]["scale_centre"]
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("document.json", json.dumps(head))
        for name, data in artwork.items():
            archive.writestr(name, data)
    assert decode_project(buffer.getvalue(), "old") == document
