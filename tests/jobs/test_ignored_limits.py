"""No job that ignores limits leaves the program without its mark; every file that a machine runs has its cautions.

Files are read by readers that share no code with the writers: the standard library's XML and JSON, pypdf, and the grammar
of NISTIR 6556. What leaves the zone is judged pose by pose with the zone's own test, not by what the plan says of itself.
"""

import json
import struct
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import numpy as np
import pytest
from pypdf import PdfReader

from tests.support.experienced import ExperiencedRunner
from tests.support.jobs import SQUARE, document_of, exported, planned
from tests.support.ngc import read_line, read_program
from wallwright.document import edits
from wallwright.document.code_settings import CodeSettings
from wallwright.document.continuation import Continuation, StrokePlace
from wallwright.document.controller import Controller
from wallwright.document.document import Document, Pen
from wallwright.document.drawing_page import DrawingPage
from wallwright.document.edits_hangings import add_hanging
from wallwright.document.edits_keep_outs import add_keep_out, rectangle
from wallwright.document.errors import BadValue
from wallwright.document.language import Language, set_language
from wallwright.document.machine import Belt, Motor
from wallwright.document.resources import resource
from wallwright.document.table_settings import TableSettings
from wallwright.jobs.checks import Remedy, Verdict
from wallwright.jobs.file_cautions import FILE_CAUTIONS
from wallwright.jobs.ignored_limits import IgnoredLimits, ignored_limits_in
from wallwright.jobs.place_by_line import place_by_line
from wallwright.planning.calibration_figure import figure_document, proposal_for
from wallwright.planning.offset_figure import offset_figure
from wallwright.planning.plan import EVERY, Goal, Request
from wallwright.planning.proof_drawing import proof_document
from wallwright.planning.sample_strip import sample_strip
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import Limit, broken, limit_name
from wallwright.statics.pose import inverse_kinematics

SVG = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100" fill="none" '
    b'stroke-width="0.1"><path d="M40 40H60" stroke="#202020"/><path d="%s" stroke="#202020"/>'
    b'<path d="M40 60H60" stroke="#c02020"/><path d="M0 0H1" stroke="#202020"/><path d="M0 100H1" stroke="#c02020"/></svg>'
)
CORNER, TOP = SVG % b"M97 97L100 100", SVG % b"M40 5L60 6"
"""Two colours and a stroke near the lower right corner, or near the upper edge."""
PENS = (Pen("k", "Black", "#202020", 1.0), Pen("r", "Red", "#c02020", 1.0))
ANYWAY = "settings.outside"


def anyway(document: Document) -> Document:
    return edits.set_field(document, ANYWAY, "draw-anyway")


def slightly_outside(**machine) -> Document:
    """A square whose lower right corner leaves the zone a little."""
    return anyway(document_of(SQUARE, centre=(1100.0, 1050.0), width=1100.0, **machine))


def corner_outside(**machine) -> Document:
    """Five strokes in two colours, one of them a little outside."""
    document = document_of(CORNER, centre=(1100.0, 1050.0), width=1100.0, **machine)
    return anyway(edits.replace(document, pens=PENS))


def limits_of(document: Document, strokes, hanging: int = 0) -> tuple[set[int], int]:
    """Which strokes break a limit somewhere, sampled every 2 mm, and the bits of all those limits."""
    place = document.hangings[hanging]
    rig, found, bits = CableRobotModel.of(document.machine, place), set(), 0
    for number, line in enumerate(strokes):
        way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
        at = np.arange(0.0, way[-1] + 2.0, 2.0).clip(max=way[-1])
        points = np.column_stack([np.interp(at, way, line[:, k]) for k in (0, 1)])
        broke = broken(document.wall, document.machine, rig, inverse_kinematics(rig, points))
        if broke.any():
            found.add(number)
            bits |= int(np.bitwise_or.reduce(broke))
    return found, bits


def words_of(path: Path) -> str:
    """What a reader of the file's kind finds in it. Tables for own firmware have no room for words but in their names."""
    if path.suffix == ".pdf":
        return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())
    if path.name.startswith("motion") and path.suffix in (".csv", ".bin"):
        return path.name.replace("-", " ")
    text = path.read_text()
    if path.suffix == ".ngc":
        text = text.replace(")\n(", " ") if "(" in text else path.name.replace("-", " ")
    return text


def mark_of(path: Path, mark: str) -> str:
    """The mark, as a file of that kind must have it."""
    has_room = path.suffix not in (".pdf", ".bin") and not (path.suffix == ".csv" and path.name.startswith("motion"))
    has_room &= path.suffix != ".ngc" or "(" in path.read_text()
    return mark if has_room else "LIMITS IGNORED"


def test_every_file_of_a_job_says_that_limits_are_ignored(tmp_path):
    document = slightly_outside()
    files, report = exported(document, tmp_path)
    strokes, bits = limits_of(document, planned(document).plan.strokes)
    mark = IgnoredLimits(len(strokes), bits).file_text
    assert len(strokes) == 1 and mark.startswith("LIMITS IGNORED: 1 stroke leaves the draw zone: ")
    assert len(files) == 6
    for path in files.values():
        assert mark_of(path, mark) in words_of(path), path.name
    assert report["limits_ignored"] == {
        "strokes": len(strokes),
        "limits": report["limits_ignored"]["limits"],
        "text": mark,
    }
    assert set(report["limits_ignored"]["limits"]) == {limit_name(x) for x in Limit if x & bits}
    assert ignored_limits_in(report) == IgnoredLimits(len(strokes), bits)
    schemas = ("report.schema.json", report), ("motion-table.schema.json", None)
    for name, content in schemas:
        content = content or json.loads(files["motion.jsonl"].read_text().splitlines()[0])
        jsonschema.validate(content, json.loads(resource("schemas", name).read_text()))
    assert files["belts.ngc"].read_text().splitlines()[0] == f"({mark})"
    svg = ElementTree.parse(files["corrected.svg"]).getroot()
    assert svg[0].tag.endswith("}title") and svg[0].text.startswith(mark)
    for page in PdfReader(files["hanging-sheet.pdf"]).pages:
        assert "LIMITS IGNORED" in " ".join(page.extract_text().split())


def test_every_file_that_a_machine_runs_has_the_cautions(tmp_path):
    files, _ = exported(document_of(SQUARE), tmp_path)
    for name in ("belts.ngc", "plane.ngc", "corrected.svg", "motion.jsonl"):
        text = files[name].read_text()
        assert "IGNORED" not in text, name
        assert all(caution in text for caution in FILE_CAUTIONS), name
    for name in ("belts.ngc", "plane.ngc"):
        lines = files[name].read_text().splitlines()
        for line, caution in zip(lines, FILE_CAUTIONS, strict=False):
            read_line(line)
            assert line == f"({caution})"
    head = json.loads(files["motion.jsonl"].read_text().splitlines()[0])
    assert head["limits_ignored"] == {"strokes": 0, "limits": [], "text": ""}


def test_the_mark_in_files_is_english_and_on_the_sheet_the_persons(tmp_path):
    set_language(Language("de", ","))
    try:
        files, report = exported(slightly_outside(), tmp_path)
    finally:
        set_language(Language())
    assert report["limits_ignored"]["text"].startswith("LIMITS IGNORED: 1 stroke leaves the draw zone: ")
    assert files["belts.ngc"].read_text().startswith("(LIMITS IGNORED: 1 stroke leaves the draw zone: ")


@pytest.mark.parametrize("largest", [0, 4])
def test_drawings_say_it_in_a_comment_and_keep_their_size(tmp_path, largest):
    """A machine that takes drawings may read nothing but lines: XML 1.0, 2.5 lets every reader pass over comments."""
    page = DrawingPage(one_file=True, largest_file=largest)
    controller = Controller(takes="drawing", pacing="constant", page=page)
    document = corner_outside(belt=Belt(mass=0.0), controller=controller)
    assert limits_of(document, planned(document).plan.strokes)[0]
    files, report = exported(document, tmp_path)
    drawings = [path for name, path in files.items() if name.endswith(".svg")]
    assert len(drawings) >= 3
    for path in drawings:
        text = path.read_text()
        ElementTree.fromstring(text)
        comments = [
            e.text
            for _, e in ElementTree.iterparse(path, events=("comment",))  # the standard library's
        ]
        assert len(comments) == 1 and comments[0].strip().startswith(report["limits_ignored"]["text"])
        assert all(caution in comments[0] for caution in FILE_CAUTIONS)
        assert not largest or path.stat().st_size <= 1000 * largest


EVERY_KIND = {
    "belts": Controller(),
    "one speed a stroke": Controller(pacing="constant"),
    "timed": Controller(pacing="timed"),
    "tables for own firmware": Controller(pacing="timed", table=TableSettings(form="both", step=0.05)),
    "a program for each pen": Controller(code=CodeSettings(files="pens")),
    "programs in small files": Controller(takes="plane", code=CodeSettings(files="size", file_size=8.0)),
    "short lines": Controller(code=CodeSettings(line_length=80, comments="short")),
    "no comments": Controller(code=CodeSettings(comments="none")),
    "no comments, a program for each pen": Controller(takes="plane", code=CodeSettings(comments="none", files="pens")),
    "coordinates": Controller(takes="plane"),
    "arcs": Controller(takes="plane", curves="arcs"),
    "a file for each pen": Controller(takes="drawing", pacing="constant"),
    "drawings in small files, and all the others": Controller(
        takes="drawing", pacing="constant", page=DrawingPage(one_file=True, other_files=True, largest_file=4)
    ),
}
"""By what the controller takes and how it paces."""


@pytest.mark.parametrize("kind", EVERY_KIND)
def test_no_kind_of_controller_gets_an_unmarked_file(tmp_path, kind):
    """Every file that an export writes: programs, table, drawings for each pen, corrected SVG, sheet and report."""
    document = corner_outside(belt=Belt(mass=0.0), controller=EVERY_KIND[kind])
    files, report = exported(document, tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == set(files)
    assert len({path.suffix for path in files.values()}) >= 3 and report["drawn_outside_anyway"]
    for path in files.values():
        assert mark_of(path, report["limits_ignored"]["text"]) in words_of(path), path.name


def test_files_without_room_for_words_are_marked_by_name_and_leave_none_behind(tmp_path):
    """The head of the binary table too, read by struct after resources/schemas/motion-binary.json. The job that follows into
    the same folder, with every limit kept, leaves no marked file there."""
    own = Controller(code=CodeSettings(comments="none"), table=TableSettings(form="both"))
    document = slightly_outside(controller=own)
    files, report = exported(document, tmp_path)
    marked = {
        f"{stem}-LIMITS-IGNORED.{kind}" for stem, kind in (("belts", "ngc"), ("motion", "csv"), ("motion", "bin"))
    }
    assert marked < set(files) and not {"belts.ngc", "motion.csv", "motion.bin"} & set(files)
    assert "belts-LIMITS-IGNORED.ngc" in words_of(files["hanging-sheet.pdf"])
    schema = json.loads(resource("schemas", "motion-binary.json").read_text())
    at = {field["name"]: field["offset"] for field in schema["head"]["fields"]}
    data = files["motion-LIMITS-IGNORED.bin"].read_bytes()
    bits = sum(Limit[name] for name in report["limits_ignored"]["limits"])
    assert struct.unpack_from("<I", data, at["strokes_outside"]) == (report["limits_ignored"]["strokes"],)
    assert struct.unpack_from("<I", data, at["limits_ignored"]) == (bits,) and bits
    files, _ = exported(document_of(SQUARE, controller=own), tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == set(files) and not marked & set(files)
    assert struct.unpack_from("<II", files["motion.bin"].read_bytes(), at["strokes_outside"]) == (0, 0)


@pytest.mark.parametrize("kind", ["offsets", "strip", "test drawing", "proof"])
def test_drawings_that_measure_keep_every_limit(kind):
    """Whatever the person decided for the project: the small drawings that pens and machines are measured by are refused
    outside the zone. Here the starting point, about which they are drawn, is too near the belt between the anchors."""
    takes = "drawing" if kind == "proof" else "belts"
    document = corner_outside(
        controller=Controller(takes=takes, pacing="constant" if kind == "proof" else "accelerating")
    )
    make = {
        "offsets": lambda d: offset_figure(d, 0),
        "strip": lambda d: sample_strip(d, 0),
        "test drawing": lambda d: figure_document(d, 0, proposal_for(d, 0, "square")),
        "proof": lambda d: proof_document(d, 0),
    }[kind]
    found = make(document)
    assert document.settings.outside == "draw-anyway" and found.settings.outside == "refuse"
    art = found.placements[0]
    outside = edits.set_placement(found, art.id, y=200.0)
    assert "zone" in errors_of(outside)


@pytest.mark.parametrize("seed", [0, 2, 9, 10])
def test_no_unsafe_job_gets_out_without_its_mark(tmp_path, seed):
    """Pictures anywhere on the wall, of any size, with any decision of the person: what is exported and leaves the zone
    anywhere is marked in every file, and what is not marked leaves it nowhere."""
    random = np.random.default_rng(seed)
    x, y, width = random.uniform((500, 500, 200), (1500, 1600, 1400))
    outside = "clip" if seed == 2 else "draw-anyway"
    document = edits.set_field(document_of(TOP, centre=(float(x), float(y)), width=float(width)), ANYWAY, outside)
    document = edits.replace(document, pens=PENS)
    if seed % 2:
        document = add_keep_out(document, "Door", rectangle((x - 30, y - 30), (x + 20, y + 20)))
    try:
        files, report = exported(document, tmp_path)
    except BadValue:
        assert not list(tmp_path.iterdir())
        return
    strokes, bits = limits_of(document, planned(document).plan.strokes)
    if outside == "clip":
        strokes, bits = set(), 0  # cut at the edge itself
    mark = IgnoredLimits(len(strokes), bits)
    assert ignored_limits_in(report) == mark
    for path in files.values():
        text = words_of(path)
        if mark:
            assert mark_of(path, mark.file_text) in text, path.name
        else:
            assert "LIMITS IGNORED" not in text, path.name


def test_each_hanging_of_a_wall_is_marked_for_its_own_strokes(tmp_path):
    """The file that visits register marks too; the wall's report says which hangings."""
    document = Document()
    document = add_hanging(document, (1100.0, 0.0), (3100.0, 0.0), (2100.0, 900.0))
    document = edits.set_field(document, "wall.width", 4500.0)
    flat = SQUARE.replace(b'height="100mm" viewBox="0 0 100 100"', b'height="40mm" viewBox="0 0 100 40"')
    flat = flat.replace(b"H100V100H0Z", b"H100V40H0Z")
    document = edits.add_artwork(document, "a.svg", "image/svg+xml", flat, (100, 40), (1550.0, 1100.0), 1900.0)[0]
    document = anyway(add_keep_out(document, "Picture", rectangle((2200.0, 1470.0), (2240.0, 1490.0))))
    answer = ExperiencedRunner().run(Request(1, document, Goal.EXPORT, EVERY, str(tmp_path)))
    files = [Path(f) for f in answer.files]
    whole = json.loads((tmp_path / "wall-report.json").read_text())
    jsonschema.validate(whole, json.loads(resource("schemas", "wall-report.schema.json").read_text()))
    assert {"register.ngc", "register.csv"} <= {path.name for path in files}
    for number, (plan, part) in enumerate(zip(answer.plans, whole["hangings"], strict=True)):
        strokes, _ = limits_of(document, plan.strokes, number)
        assert bool(strokes) == (number == 1) and part["limits_ignored"]["strokes"] == len(strokes)
        for path in files:
            if path.parent.name == part["folder"]:
                if strokes:
                    assert mark_of(path, part["limits_ignored"]["text"]) in words_of(path), path
                else:
                    assert "LIMITS IGNORED" not in words_of(path), path


def test_what_is_left_is_marked_for_what_it_draws_itself(tmp_path):
    document = corner_outside()
    runner = ExperiencedRunner()
    whole = runner.run(Request(1, document, Goal.PLAN)).plan
    out = limits_of(document, whole.strokes)[0]
    assert len(out) == 1 and len(whole.strokes) == 5
    for first in (0, max(out) + 1):
        folder = tmp_path / str(first)
        rest = Continuation(StrokePlace(first), overlap=0.0)
        answer = runner.run(Request(2, document, Goal.EXPORT, folder=str(folder), rest=rest))
        left = {number for number in out if number >= first}
        for path in map(Path, answer.files):
            assert ("LIMITS IGNORED" in words_of(path)) == bool(left), path.name


def test_the_head_leaves_lines_and_programs_as_they_were(tmp_path):
    """A line of the file still leads to its stroke, and a reader of the grammar sees the same moves."""
    document = slightly_outside()
    files, _ = exported(document, tmp_path)
    plan = planned(document).plan
    text = files["belts.ngc"].read_bytes()
    lines = text.splitlines()
    stroke = next(k for k, line in enumerate(lines, start=1) if line.startswith(b"(stroke 1 "))
    found = place_by_line(lines, stroke + 6, document.machine, document.hangings[0], plan.strokes)
    assert found.stroke == 0 and found.along > 0
    assert read_program(text.decode()).moves


# The remedy that may not help.


def remedies_of(document: Document) -> tuple[Remedy, ...]:
    check = next(c for c in planned(document).plan.checks if c.id == "zone")
    assert check.verdict is Verdict.ERROR
    return check.remedies


def errors_of(document: Document) -> set[str]:
    return {c.id for c in planned(document).plan.checks if c.verdict is Verdict.ERROR}


HIGH = {"centre": (1000.0, 520.0), "width": 500.0}


@pytest.mark.parametrize(
    ("document", "helps"),
    [
        (document_of(SQUARE, centre=(1100.0, 1050.0), width=1100.0), True),
        (document_of(SQUARE, belt=Belt(length=1250.0)), False),
        (document_of(SQUARE, centre=(1000.0, 200.0), width=900.0), False),
        (document_of(SQUARE, motor=Motor(set_current=0.28), **HIGH), False),
        (add_keep_out(document_of(SQUARE), "Picture", rectangle((480.0, 480.0), (520.0, 520.0))), True),
    ],
    ids=["tilted", "belt too short", "too high", "weak motors", "keep-out"],
)
def test_drawing_outside_is_offered_only_where_it_helps(document, helps):
    """Offered: then the job can be exported. Not offered: then the checks refuse it whatever the person decides."""
    assert (Remedy.DRAW_OUTSIDE in remedies_of(document)) == helps
    assert not errors_of(anyway(document)) if helps else errors_of(anyway(document))
