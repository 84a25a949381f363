"""The files of the rest of a job: read by readers that share no code with the writers, and drawn by MuJoCo."""

import json
import math
import re

import jsonschema
import numpy as np
import pytest
import shapely
from pypdf import PdfReader

from tests.support.experienced import ExperiencedRunner
from tests.support.hanging_body import HangingBody
from tests.support.jobs import document_of
from tests.support.ngc import read_line, read_program
from wallwright.document import edits
from wallwright.document.continuation import Continuation, StrokePlace
from wallwright.document.controller import Controller
from wallwright.document.document import Pen
from wallwright.document.errors import BadValue
from wallwright.document.machine import Belt
from wallwright.document.resources import resource
from wallwright.jobs.place_by_line import place_by_line
from wallwright.planning.plan import Goal, Request
from wallwright.statics.belt_slip import PenOffsetReading, WholeSlip, estimate_slip, start_after_slip
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import controller_to_belts
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.pose_recovery import pack_covariance, recover_from_anchor_distances
from wallwright.strokes.remaining import arc_lengths, drawn_until, normalize_place, point_at

LINES = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80">'
    b'<g fill="none" stroke="#202020" stroke-width="0.1"><path d="M0 0H100V80H0Z"/><path d="M10 10C40 0 60 40 90 10"/>'
    b'<circle cx="30" cy="50" r="15"/><path d="M60 30L80 70M65 30L85 70M70 30L90 70"/></g>'
    b'<g fill="none" stroke="#c02020" stroke-width="0.1"><path d="M5 60Q50 90 95 60"/><circle cx="70" cy="20" r="12"/></g></svg>'
)


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    """Document, runner, whole answer and its files by name."""
    document = document_of(LINES, (100.0, 80.0), width=700.0, belt=Belt(mass=0.0))
    document = edits.replace(document, pens=(*document.pens, Pen("red", "Red", "#c02020", 1.0)))
    runner = ExperiencedRunner()
    folder = tmp_path_factory.mktemp("whole")
    return document, runner, runner.run(Request(1, document, Goal.EXPORT, folder=str(folder))), folder


def rest_of_job(job, rest, folder):
    """The answer to an export of the rest, and its folder."""
    document, runner, _, _ = job
    return runner.run(Request(2, document, Goal.EXPORT, folder=str(folder), rest=rest))


def wall_points(document, kind, values) -> np.ndarray:
    hanging = document.hangings[0]
    belts = controller_to_belts(document.machine, hanging, kind, np.asarray(values, dtype=float))
    return forward_kinematics(CableRobotModel.of(document.machine, hanging), belts).pen


def drawn_lines(document, text: str, kind: str) -> list[np.ndarray]:
    """What a program draws on the wall, by the independent reader."""
    program = read_program(text)
    lines, at = [], program.start
    before = False
    for x, y, _, down in program.moves:
        if down and not before:
            lines.append([at])
        if down:
            lines[-1].append((x, y))
        at, before = (x, y), down
    return [wall_points(document, kind, line) for line in lines]


@pytest.mark.parametrize("share", [0.0, 0.37])
@pytest.mark.parametrize("number", [0, 2, 6])
def test_drawn_part_and_files_of_the_rest_are_the_whole(job, tmp_path, number, share):
    document, _, whole, _ = job
    strokes = whole.plan.strokes
    place = StrokePlace(number, share * float(arc_lengths(strokes[number])[-1]))
    if number == 0 and share == 0:
        place = StrokePlace(0, 1.0)
    answer = rest_of_job(job, Continuation(place, overlap=0.0), tmp_path)
    names = {name: tmp_path / f"{name}-from-stroke-{number + 1}.ngc" for name in ("belts", "plane")}
    drawn = list(drawn_until(strokes, place))
    wanted = shapely.MultiLineString(list(strokes))
    for kind, file in names.items():
        text = file.read_text()
        for line in text.splitlines():
            read_line(line)
        found = shapely.MultiLineString([*drawn, *drawn_lines(document, text, kind)])
        assert shapely.hausdorff_distance(found, wanted) < 0.02
        assert found.length == pytest.approx(wanted.length, rel=1e-4)
        numbers = [int(n) for n in re.findall(rf"\(stroke (\d+) of {len(strokes)}\)", text)]
        assert numbers == list(range(number + 1, len(strokes) + 1))
    assert answer.plan.before.of == len(strokes) and len(answer.plan.strokes) == len(strokes) - number


def test_only_pens_that_are_left_and_one_more_stop_to_look(job, tmp_path):
    document, _, whole, folder = job
    second = int(np.flatnonzero(whole.plan.strokes.pen == 1)[0])
    rest_of_job(job, Continuation(StrokePlace(second)), tmp_path)
    text = (tmp_path / f"belts-from-stroke-{second + 1}.ngc").read_text()
    assert "Pen 2" in text and "Pen 1" not in text
    assert read_program(text).stops == 2 and "(MSG, Look:" in text
    assert read_program((folder / "belts.ngc").read_text()).stops == 2
    # It stops before anything is drawn, over the place.
    before = text[: text.index("(MSG, Look:")]
    moves = read_program(before + "M2\n").moves
    assert not any(m[3] for m in moves)
    np.testing.assert_allclose(
        wall_points(document, "belts", [moves[-1][:2]])[0], whole.plan.strokes.starts[second], atol=0.01
    )


def test_the_rest_leaves_the_whole_job_in_its_folder(job, tmp_path):
    document, runner, _, _ = job
    runner.run(Request(1, document, Goal.EXPORT, folder=str(tmp_path)))
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    rest_of_job(job, Continuation(StrokePlace(3)), tmp_path)
    after = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    assert all(after[name] == data for name, data in before.items())
    assert all("-from-stroke-4." in name for name in after.keys() - before.keys())
    assert len(after) == 2 * len(before)


def test_places_to_come_back_to_are_where_the_files_say(job, tmp_path):
    document, _, whole, folder = job
    rest_of_job(job, Continuation(StrokePlace(3, 20.0)), tmp_path)
    for where, ending in ((folder, ""), (tmp_path, "-from-stroke-4")):
        report = json.loads((where / f"report{ending}.json").read_text())
        jsonschema.validate(report, json.loads(resource("schemas", "report.schema.json").read_text()))
        assert report["stroke_places"][0]["stroke"] == (4 if ending else 1)
        for place in report["stroke_places"]:
            for name, line in place["lines"].items():
                text = (where / name).read_text().splitlines()
                if name.endswith(".ngc"):
                    assert text[line - 1] == f"(stroke {place['stroke']} of {len(whole.plan.strokes)})"
                else:
                    row = json.loads(text[line - 1])
                    assert row[3] >= 0 > json.loads(text[line - 2])[3]
                    found = forward_kinematics(
                        CableRobotModel.of(document.machine, document.hangings[0]), np.array([row[1:3]])
                    ).pen[0]
                    np.testing.assert_allclose(found, place["point_mm"], atol=0.06)
        table = (where / f"motion{ending}.jsonl").read_text().splitlines()
        head = json.loads(table[0])
        schema = json.loads(resource("schemas", "motion-table.schema.json").read_text())
        jsonschema.Draft202012Validator(schema).validate(head)
        assert {p["stroke"]: p["line"] for p in head["places"]} == {
            p["stroke"]: p["lines"][f"motion{ending}.jsonl"] for p in report["stroke_places"]
        }


def test_numbers_in_the_files_add_little(job):
    """Of the RS-274 file less than 3 %: a comment a stroke; of the motion table less than 2 %: only its head."""
    folder = job[3]
    text = (folder / "belts.ngc").read_text()
    comments = sum(len(m) + 1 for m in re.findall(r"\(stroke \d+ of \d+\)", text))
    assert comments < 0.03 * len(text)
    table = (folder / "motion.jsonl").read_text()
    assert len(table.splitlines()[0]) < 0.02 * len(table)


@pytest.mark.parametrize("kind", ["belts", "plane"])
def test_the_line_at_which_a_controller_stopped_tells_the_place(job, tmp_path, kind):
    document, _, whole, folder = job
    strokes = whole.plan.strokes
    rest_of_job(job, Continuation(StrokePlace(2, 200.0), overlap=0.0), tmp_path)
    for file in (folder / f"{kind}.ngc", tmp_path / f"{kind}-from-stroke-3.ngc"):
        lines = file.read_bytes().splitlines()
        rng, along = np.random.default_rng(3), 0
        for line in rng.integers(20, len(lines) - 30, 10).tolist():
            place = place_by_line(lines, line, document.machine, document.hangings[0], strokes)
            # What the independent reader says of the lines before it.
            done = drawn_lines(document, b"\n".join([*lines[: line - 1], b"M2\n"]).decode(), kind)
            if not done:
                first = 2 if "from-stroke" in file.name else 0
                assert place.stroke == first
                continue
            lifted = not re.match(rb"G1 X|\(stroke|G4 P0.35|G0 Z0", lines[line - 1])
            if place.along and not lifted:
                np.testing.assert_allclose(point_at(strokes, place), done[-1][-1], atol=0.05)
                along += 1
        assert along > 2
        with pytest.raises(BadValue, match="does not exist"):
            place_by_line(lines, len(lines) + 5, document.machine, document.hangings[0], strokes)
        with pytest.raises(BadValue, match="everything has been drawn"):
            place_by_line(lines, len(lines), document.machine, document.hangings[0], strokes)
        with pytest.raises(BadValue, match="belongs to other strokes"):
            place_by_line(lines, 100, document.machine, document.hangings[0], strokes.take(np.arange(7)))


@pytest.mark.parametrize("kind", ["left belt", "right"])
def test_a_stroke_that_no_line_leads_to_is_damaged(job, kind):
    document, _, whole, _ = job
    lines = [f"(X {kind})".encode(), b"(stroke 1 of 9)", b"G1 X100 Y100 F600", b"G1 X200 Y100"]
    with pytest.raises(BadValue, match="Line 3 of the file is damaged"):
        place_by_line(lines, 3, document.machine, document.hangings[0], whole.plan.strokes)


@pytest.mark.parametrize("kind", ["belts", "plane"])
def test_damaged_numbers_before_the_line_are_noticed(job, kind):
    """A stroke's middle, with one move damaged: the file is refused with a sentence, wherever its place would be."""
    document, _, whole, folder = job
    lines = (folder / f"{kind}.ngc").read_bytes().splitlines()
    begin = next(n for n, text in enumerate(lines) if text.startswith(b"(stroke 3 of"))
    moves = [n for n, text in enumerate(lines) if n > begin and text.startswith(b"G1 X")]
    at, line = moves[2], moves[5] + 1
    x = float(re.match(rb"G1 X(-?[\d.]+)", lines[at])[1])

    def found(text: bytes, number: int = at) -> StrokePlace:
        damaged = [*lines[:number], text, *lines[number + 1 :]]
        return place_by_line(damaged, line, document.machine, document.hangings[0], whole.plan.strokes)

    good = found(lines[at])
    assert good.stroke == 2 and good.along > 0
    y = lines[at].split(b" Y")[1]
    for wrong in (
        b"G1 X1.2.3 Y" + y,
        b"G1 X- Y" + y,
        b"G1 X Y" + y,
        b"G1 X12,5 Y" + y,
        b"G1 Xnan Y" + y,
        b"G1 X1e9 Y" + y,
        b"G1 X" + b"9" * 6000 + b" Y" + y,
        b"G2 X1.0 Y",
    ):
        with pytest.raises(BadValue, match=rf"Line {at + 1} of the file is damaged"):
            found(wrong)
    moved = [b"G1 X%.4f Y" % wrong + y for wrong in (x + 90_000, x - 900, x + 200, 0.0)]
    for wrong in (*moved, b"g1 x5 y5", b"G1 X12"):  # moves by the standard (NISTIR 6556, 3.3.2), to elsewhere
        with pytest.raises(BadValue, match="do not follow stroke 3"):
            found(wrong)
    for wrong in (b"(stroke 3x of 9)", b"(stroke of 9)", b"(stroke " + b"3" * 6000 + b" of 9)"):
        with pytest.raises(BadValue, match=rf"Line {begin + 1} of the file is damaged"):
            found(wrong, begin)
    with pytest.raises(BadValue, match="damaged"):
        found(b"(stroke 999999 of 9)", begin)


@pytest.mark.parametrize("along", [math.nan, math.inf, 90_000.0])
def test_a_place_beyond_its_stroke_is_refused(job, along):
    with pytest.raises(BadValue, match="it has no point"):
        normalize_place(job[2].plan.strokes, StrokePlace(2, along))


def test_the_sheet_of_the_rest_says_so(job, tmp_path):
    """Read by pypdf."""
    _, _, whole, folder = job
    rest_of_job(job, Continuation(StrokePlace(4)), tmp_path)
    text = _pages(tmp_path / "hanging-sheet-from-stroke-5.pdf")
    assert f"Continuing a job from stroke 5 of {len(whole.plan.strokes)}" in text
    assert "Pale: already drawn" in text and "where to continue" in text
    assert "Never connect or disconnect a motor while the driver is powered" in text and "Ladder" in text
    whole_text = _pages(folder / "hanging-sheet.pdf")
    # The same fingerprint stands on both sheets, in both reports and in every file of code.
    mark = json.loads((folder / "report.json").read_text())["fingerprint"]
    assert mark in text and mark in whole_text
    assert json.loads((tmp_path / "report-from-stroke-5.json").read_text())["fingerprint"] == mark
    for file in (folder / "plane.ngc", tmp_path / "belts-from-stroke-5.ngc"):
        assert f"(Fingerprint of the strokes: {mark})" in file.read_text()
    assert "where to continue" in whole_text and "Continuing a job" not in whole_text


def _pages(file) -> str:
    text = "\n".join(page.extract_text() for page in PdfReader(file).pages)
    return re.sub(r"\s+", " ", text)


# At the wall, with MuJoCo for the machine.


def machine_of(document) -> HangingBody:
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    return HangingBody(rig.anchors, rig.exits, rig.centre, document.machine.body.mass, rig.stiffness)


def drawn_by(document, judge, text: str, slip=(0.0, 0.0), most: int = 60) -> np.ndarray:
    """(n, 2) points that MuJoCo's pen draws; slip: mm that the true belts are longer than the file's numbers."""
    program = read_program(text)
    belts = np.array([m[:2] for m in program.moves if m[3]])
    belts = belts[:: max(1, len(belts) // most)] + slip
    pose = forward_kinematics(CableRobotModel.of(document.machine, document.hangings[0]), belts)
    return np.array(
        [judge.settle(b, p + [0.0, 4.0], float(t))[0] for b, p, t in zip(belts, pose.pen, pose.tilt, strict=True)]
    )


def off_the_drawing(strokes, points: np.ndarray) -> np.ndarray:
    return shapely.distance(shapely.MultiLineString(list(strokes)), shapely.points(points))


def test_after_a_belt_skipped_sixteen_steps_the_rest_lines_up(job, tmp_path):
    """The left motor loses 16 full steps (3.2 mm) at stroke 3. The person reads the offset of one place to a tenth of a mm,
    brings the machine to the start by its own count, and runs the rest from there."""
    document, _, whole, folder = job
    machine, hanging, strokes = document.machine, document.hangings[0], whole.plan.strokes
    judge, slip = machine_of(document), np.array([WholeSlip(0, steps=16).length(machine), 0.0])
    assert slip[0] == pytest.approx(3.2)
    wrong = drawn_by(document, judge, (folder / "belts.ngc").read_text(), slip)
    assert off_the_drawing(strokes, wrong).max() > 2
    # What was drawn after it, measured where stroke 4 begins.
    rig = CableRobotModel.of(machine, hanging)
    place = strokes.starts[3]
    belts = inverse_kinematics(rig, place[None]).belts[0] + slip
    pose = forward_kinematics(rig, belts[None])
    drawn = judge.settle(belts, pose.pen[0] + [0.0, 4.0], float(pose.tilt[0]))[0]
    reading = PenOffsetReading(tuple(place), tuple(np.round(drawn - place, 1)))
    found = estimate_slip(machine, hanging, (reading,), 0.1)
    assert found.jump == WholeSlip(0, steps=16)
    rest = Continuation(
        StrokePlace(2, 50.0),
        start=start_after_slip(machine, hanging, found),
        known_by="slip",
        spread=pack_covariance(found.spread),
    )
    answer = rest_of_job(job, rest, tmp_path)
    text = (tmp_path / "belts-from-stroke-3.ngc").read_text()
    # The controller takes the first line's count for where it hangs. It hangs where the old count was that of the start.
    true_start = inverse_kinematics(rig, np.array([hanging.start_point])).belts[0] + slip
    missing = true_start - np.array(read_program(text).start)
    right = drawn_by(document, judge, text, missing)
    assert off_the_drawing(strokes, right).max() < 0.1
    check = next(c for c in answer.plan.checks if c.id == "continued")
    assert "± 0.0 mm" in check.text
    sheet = _pages(tmp_path / "hanging-sheet-from-stroke-3.pdf")
    left, right_belt = inverse_kinematics(rig, np.array([hanging.start_point])).belts[0]
    assert f"its own count is {left:.2f} and {right_belt:.2f} mm" in sheet


def test_after_a_power_cut_the_rest_lines_up_from_where_the_machine_hangs(job, tmp_path):
    """The count is lost, belts have any length. The tape is read to a mm; the rest is off by no more than is stated."""
    document, _, whole, _ = job
    machine, hanging, strokes = document.machine, document.hangings[0], whole.plan.strokes
    judge, rig = machine_of(document), CableRobotModel.of(machine, hanging)
    belts = np.array([1180.0, 1260.0])
    pose = forward_kinematics(rig, belts[None])
    pen = judge.settle(belts, pose.pen[0] + [0.0, 4.0], float(pose.tilt[0]))[0]
    exact = [float(np.hypot(*(pen - anchor))) for anchor in np.array(rig.anchors)]
    for tape, allowed in ((exact, 0.1), (np.round(exact).tolist(), None)):
        found = recover_from_anchor_distances(machine, hanging, *tape, sigma=0.5)
        rest = Continuation(
            StrokePlace(5), start=found.pen, known_by="tape", spread=pack_covariance(found.belts_spread)
        )
        answer = rest_of_job(job, rest, tmp_path)
        text = (tmp_path / "belts-from-stroke-6.ngc").read_text()
        drawn = drawn_by(document, judge, text, belts - np.array(read_program(text).start))
        worst = answer.plan.before.lines_up[1]
        assert off_the_drawing(strokes, drawn).max() < (allowed or worst)
        assert 0.5 < worst < 4


def test_a_line_among_arcs_tells_the_place_too(tmp_path):
    """Controllers that take arcs. What is drawn before the line: by the independent reader's way along them."""
    document = document_of(LINES, (100.0, 80.0), width=700.0, controller=Controller(takes="plane", curves="arcs"))
    answer = ExperiencedRunner().run(Request(1, document, Goal.EXPORT, folder=str(tmp_path)))
    strokes, lines = answer.plan.strokes, (tmp_path / "plane.ngc").read_bytes().splitlines()
    arcs = [i for i, text in enumerate(lines, start=1) if text.startswith((b"G2 ", b"G3 "))]
    assert len(arcs) > 20
    for line in arcs[3::9]:
        place = place_by_line(lines, line, document.machine, document.hangings[0], strokes)
        done = read_program(b"\n".join([*lines[: line - 1], b"M2\n"]).decode())
        pen = wall_points(document, "plane", [done.moves[-1][:2]])[0]
        # The path tolerance is what an arc may leave the curve by.
        np.testing.assert_allclose(point_at(strokes, place), pen, atol=0.2)


def test_a_machine_hung_again_by_hand_is_put_right_by_the_look(job, tmp_path):
    """After a power cut the belts are set at the starting point, one 1.4 mm too long, the other 0.9 mm too short. The rest
    stops for the look; the person reads to half a mm how far off the pen is there, and exports again."""
    document, _, whole, _ = job
    machine, hanging, strokes = document.machine, document.hangings[0], whole.plan.strokes
    judge, rig, error = machine_of(document), CableRobotModel.of(machine, hanging), np.array([1.4, -0.9])
    rest_of_job(job, Continuation(StrokePlace(5)), tmp_path)
    text = (tmp_path / "belts-from-stroke-6.ngc").read_text()
    assert off_the_drawing(strokes, drawn_by(document, judge, text, error)).max() > 1
    moves = read_program(text[: text.index("(MSG, Look:")] + "M2\n").moves
    at = np.array(moves[-1][:2]) + error
    pose = forward_kinematics(rig, at[None])
    seen = judge.settle(at, pose.pen[0] + [0.0, 4.0], float(pose.tilt[0]))[0]
    place = strokes.starts[5]
    reading = PenOffsetReading(tuple(place), tuple(np.round(2 * (seen - place)) / 2))
    slip = estimate_slip(machine, hanging, (reading,), 0.3, whole=False)
    rest = Continuation(
        StrokePlace(5),
        start=start_after_slip(machine, hanging, slip),
        known_by="slip",
        spread=pack_covariance(slip.spread),
    )
    answer = rest_of_job(job, rest, tmp_path)
    text = (tmp_path / "belts-from-stroke-6.ngc").read_text()
    missing = (
        inverse_kinematics(rig, np.array([hanging.start_point])).belts[0] + error - np.array(read_program(text).start)
    )
    off = off_the_drawing(strokes, drawn_by(document, judge, text, missing)).max()
    assert off < answer.plan.before.lines_up[1] < 1.2
