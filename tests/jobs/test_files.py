"""The written files: grammar, independent readers, atomic writing, same bytes."""

import errno
import hashlib
import io
import json
import re
import subprocess
import sys
import time
import unicodedata
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from pygcode import Line
from pypdf import PdfReader
from PySide6.QtCore import QHashSeed

from tests.support.experienced import ExperiencedRunner
from tests.support.jobs import SQUARE, document_of, exported, planned, planned_job
from tests.support.ngc import read_line, read_program
from wallwright.document import edits
from wallwright.document.controller import Controller, Lift
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.resources import resource
from wallwright.jobs import job_writer
from wallwright.jobs.checks import Verdict
from wallwright.jobs.post_processor import comment
from wallwright.jobs.sheet.pdf import hanging_sheet
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    return exported(demo_document(), tmp_path_factory.mktemp("demo"))


def test_every_line_follows_the_grammar(demo):
    """NISTIR 6556 (Kramer, Proctor, Messina, 2000), appendix E and table 4."""
    for name in ("belts.ngc", "plane.ngc"):
        text = demo[0][name].read_text()
        for line in text.splitlines():
            read_line(line)
        program = read_program(text)
        assert program.stops == 4
        assert len(program.moves) > 2000


def test_the_grammar_reader_refuses_what_is_wrong():
    for bad in ("G1 G0 X1", "X1 X2", "(open", "G1 Xnan", "M99", "G1 X" + "1" * 260, "hello"):
        with pytest.raises(AssertionError):
            read_line(bad)


def test_a_general_g_code_library_reads_the_same(demo):
    """pygcode, a general-purpose reader."""
    every = demo[0]["belts.ngc"].read_text().splitlines()
    for text in every:
        if text.startswith("(") or not text.startswith("G1"):
            Line(text)  # comments and changes of pen too, all over the file
    lines = every[:600]
    ours = [m[:2] for m in read_program("\n".join([*lines, "M2"])).moves]
    theirs = []
    for text in lines:
        for code in Line(text).block.gcodes:
            if code.word_key is not None and str(code.word_key) == "G01":
                theirs.append((code.params["X"].value, code.params["Y"].value))
    assert np.allclose(ours, theirs)


@pytest.mark.parametrize(
    "name",
    [
        "Hall; north (2)",
        "100 % pink!",
        "Wer? ~ $G",
        "Grüne Küche – Süd",
        "`a\\b|c@d&e^f<g>{h}_\"'",
        "one\r\ntwo",
        "名前",
        "x" * 400,
    ],
)
def test_no_name_makes_a_comment_more_than_a_comment(name):
    """NISTIR 6556, 3.1 and 3.3.4; pygcode. The signs are those of lines of code (3.3) and of ISO 6983-1."""
    line = comment(f"Hanging: {name}")
    assert line.isascii() and line.isprintable() and len(line) <= 256
    assert line[0] == "(" and line[-1] == ")" and not set(line[1:-1]) & set("();%!?~$")
    assert re.fullmatch(r"[A-Za-z0-9 .,:+*/=#\[\]-]*", line[1:-1])
    read_line(line)
    assert not Line(line).block.gcodes


def test_umlauts_stay_legible_in_comments():
    assert comment("Grüne Wand, Café") == "(Gruene Wand, Cafe)"


def test_the_spindle_lift_is_written_and_read_back(tmp_path):
    files, report = exported(document_of(SQUARE, lift=Lift(kind="spindle", up=0, down=700)), tmp_path)
    program = read_program(files["belts.ngc"].read_text())
    assert any(m[3] for m in program.moves) and not all(m[3] for m in program.moves)
    assert report["verified"]["belts.ngc"]["strokes"] == 1


def test_tables_follow_their_schemas(demo):
    files, report = demo
    schema = json.loads(resource("schemas", "motion-table.schema.json").read_text())
    check = jsonschema.Draft202012Validator(schema)
    lines = files["motion.jsonl"].read_text().splitlines()
    for line in [*lines[:50], *lines[50::97]]:
        check.validate(json.loads(line))
    assert json.loads(lines[0])["lines"] == len(lines) - 1
    jsonschema.validate(report, json.loads(resource("schemas", "report.schema.json").read_text()))


def test_the_sheet_says_what_the_person_needs(demo):
    """Read by pypdf."""
    files, report = demo
    text = "\n".join(page.extract_text() for page in PdfReader(files["hanging-sheet.pdf"]).pages).replace("\t", " ")
    for word in (
        "Boat-house wall",
        "2100 mm",
        "15 mm higher",
        "1050 mm",
        "700 mm",
        "Black marker",
        "Ladder",
        "can fall",
        "Cables and pipes",
        "rated for: ________ N",
        "hidden spot",
        "The left belt runs",
    ):
        assert word in text
    assert "Take care" in text.split("How to hang it")[0], "before the first number that a person drills by"
    left, right = report["start_belts_mm"]
    assert f"{left:.2f} and {right:.2f} mm" in text


def test_the_sheet_names_the_project_and_is_the_same_on_every_day(tmp_path, monkeypatch):
    """Read by pypdf."""
    document = document_of(SQUARE, centre=(1000.0, 800.0))
    made = []
    for day in (
        "86400",
        "172800",
    ):  # what reproducible builds set (reproducible-builds.org); Qt would follow it too
        monkeypatch.setenv("SOURCE_DATE_EPOCH", day)
        ExperiencedRunner().run(Request(1, document, Goal.EXPORT, 0, str(tmp_path), project="Boat <house>"))
        made.append((tmp_path / "hanging-sheet.pdf").read_bytes())
    pages = [page.extract_text().replace("\t", " ") for page in PdfReader(tmp_path / "hanging-sheet.pdf").pages]
    assert len(pages) > 1 and all("Boat <house>" in page for page in pages)
    assert "Date" in pages[0] and made[0] == made[1]


def test_the_sheet_is_the_same_in_every_process():
    """Qt orders hashes by a seed, which is another one in each process (QHashSeed): fonts once came in two orders."""
    job, made = planned_job(document_of(SQUARE)), set()
    for _ in range(6):
        QHashSeed.resetRandomGlobalSeed()
        made.add(hanging_sheet(job))
    assert len(made) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="no tzset")
def test_the_sheet_is_the_same_in_every_time_zone(tmp_path, monkeypatch):
    """Read by pypdf, strictly: it complains where the table of places is wrong."""
    job, made = planned_job(document_of(SQUARE)), {}
    for zone in ("UTC", "Asia/Kolkata", "America/New_York", "Pacific/Chatham"):
        monkeypatch.setenv("TZ", zone)
        time.tzset()
        made[zone] = hanging_sheet(job)
    monkeypatch.undo()
    time.tzset()
    assert len(set(made.values())) == 1
    reader = PdfReader(io.BytesIO(made["UTC"]), strict=True)
    assert len(reader.pages) > 1 and reader.metadata.creation_date.year == 2000
    assert "Date" in reader.pages[0].extract_text().replace("\t", " ")
    xmp = reader.xmp_metadata
    assert xmp.xmp_create_date.year == xmp.xmp_modify_date.year == 2000
    assert reader.metadata.title.startswith("Hanging sheet") and len(reader.trailer["/ID"]) == 2


def test_same_document_same_bytes(tmp_path):
    document = document_of(SQUARE, fill="hatch")
    one, _ = exported(document, tmp_path / "one")
    two, _ = exported(document, tmp_path / "two")
    for name, path in one.items():
        assert path.read_bytes() == two[name].read_bytes(), name


def test_outside_is_refused_with_reasons_clipped_or_overridden(tmp_path):
    document = document_of(SQUARE, centre=(1500.0, 900.0))
    with pytest.raises(BadValue, match=r"1 of 1 strokes leave the draw zone.*(slack|tilt|hang).*belong to “art.svg”"):
        exported(document, tmp_path / "refused")
    assert not (tmp_path / "refused").exists()
    clipped = edits.set_field(document, "settings.outside", "clip")
    _, report = exported(clipped, tmp_path / "clipped")
    assert report["strokes"] >= 1 and not report["drawn_outside_anyway"]
    assert all(b == 0 for b in planned(clipped).plan.motion.tension.min(axis=1) < 0.8)
    slightly = edits.set_field(
        document_of(SQUARE, centre=(1100.0, 1050.0), width=1100.0), "settings.outside", "draw-anyway"
    )
    files, report = exported(slightly, tmp_path / "overridden")
    assert report["drawn_outside_anyway"]
    first = " ".join(PdfReader(files["hanging-sheet.pdf"]).pages[0].extract_text().split())
    assert "LIMITS IGNORED: 1 stroke leaves the draw zone: the body would tilt too far." in first


def test_a_file_where_the_folder_should_be(tmp_path):
    (tmp_path / "taken").write_text("mine")
    with pytest.raises(BadFile, match="cannot be used"):
        exported(document_of(SQUARE), tmp_path / "taken")
    assert (tmp_path / "taken").read_text() == "mine"


def test_a_full_disk_leaves_the_old_job_whole(tmp_path, monkeypatch):
    document = document_of(SQUARE)
    files, _ = exported(document, tmp_path)
    before = {n: p.read_bytes() for n, p in files.items()}
    real, count = job_writer.os.fsync, [0]

    def full(descriptor: int) -> None:
        count[0] += 1
        if count[0] == 3:
            raise OSError(errno.ENOSPC, "No space left on device")
        real(descriptor)

    monkeypatch.setattr(job_writer.os, "fsync", full)
    with pytest.raises(BadFile, match="no space left"):
        exported(edits.set_placement(document, "placement-1", width=900.0, height=900.0), tmp_path)
    assert {n: p.read_bytes() for n, p in files.items()} == before
    assert sorted(p.name for p in Path(tmp_path).iterdir()) == sorted(before)


def test_a_file_that_reads_back_wrong_is_not_kept(tmp_path, monkeypatch):
    real = job_writer._write

    def flipped(path, pieces):
        wrong = path.name == "belts.ngc"
        real(path, (p.replace(b"G1 X7", b"G1 X8", 1) if wrong else p for p in pieces))

    monkeypatch.setattr(job_writer, "_write", flipped)
    with pytest.raises(BadFile, match="differs from the plan when read back"):
        exported(document_of(SQUARE), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_formula_without_a_place_leaves_its_files_out(tmp_path):
    """Between level anchors 2 m apart, exits 120 mm apart: at 300 mm down and 500 mm off an anchor the two belts together
    are shorter than 2 m, so two straight belts to one point cannot have these lengths."""
    good = document_of(SQUARE)
    exported(good, tmp_path)
    high = document_of(SQUARE, centre=(1000.0, 800.0))
    files, report = exported(high, tmp_path)
    assert {"belts.ngc", "motion.jsonl"} <= set(files) and not {"plane.ngc", "corrected.svg"} & set(files)
    assert not (tmp_path / "plane.ngc").exists(), "that of the earlier job would pass for one of this"
    assert any(c["id"] == "formula" for c in report["checks"])
    sheet = " ".join(" ".join(p.extract_text() for p in PdfReader(files["hanging-sheet.pdf"]).pages).split())
    assert "Run belts.ngc (for other controllers: motion.jsonl)." in unicodedata.normalize("NFKC", sheet)
    taking = document_of(SQUARE, centre=(1000.0, 800.0), controller=Controller(takes="plane"))
    assert any(c.id == "formula" and c.verdict is Verdict.ERROR for c in planned(taking).plan.checks)


@pytest.mark.slow
def test_same_bytes_from_every_process(tmp_path):
    """Hash tables are seeded anew in each process, and one core leaves threads another order."""
    code = (
        "import os, sys; sys.path.insert(0, '.');"
        "hasattr(os, 'sched_setaffinity') and int(sys.argv[2]) and os.sched_setaffinity(0, {0});"
        "from tests.support.jobs import *; from pathlib import Path;"
        "exported(document_of(SQUARE, fill='hatch'), Path(sys.argv[1]))"
    )
    digests = set()
    for i in range(5):
        folder = tmp_path / str(i)
        subprocess.run([sys.executable, "-c", code, str(folder), str(i % 2)], check=True)
        digests.add(tuple(hashlib.sha256(p.read_bytes()).hexdigest() for p in sorted(folder.iterdir())))
    assert len(digests) == 1


@pytest.mark.parametrize(
    ("controller", "file", "others"),
    [
        (Controller(), "belts.ngc", "plane.ngc, corrected.svg, motion.jsonl"),
        (Controller(takes="plane"), "plane.ngc", "belts.ngc, corrected.svg, motion.jsonl"),
        (Controller(pacing="timed"), "motion.jsonl", "belts.ngc, plane.ngc, corrected.svg"),
    ],
)
def test_the_sheet_names_the_one_file_for_this_controller(tmp_path, controller, file, others):
    """A controller for belt lengths that is given x and y winds the body into the wall."""
    document = edits.replace(
        document_of(SQUARE), machine=edits.replace(document_of(SQUARE).machine, controller=controller)
    )
    files, _ = exported(document, tmp_path)
    text = " ".join(" ".join(p.extract_text() for p in PdfReader(files["hanging-sheet.pdf"]).pages).split())
    text = unicodedata.normalize("NFKC", text).replace(" ;", ";")
    assert f"Run {file} (for other controllers: {others})" in text
    assert [f for f in files if f != file and f"Run {f}" in text] == []
    assert "1 stroke, 1 pen," in text


def test_a_section_of_the_sheet_that_fits_a_page_is_not_torn(tmp_path):
    """Read by pypdf: the places to come back to have their heading and their last row on one page."""
    ExperiencedRunner().run(Request(1, demo_document(), Goal.EXPORT, 0, str(tmp_path)))
    last = PdfReader(tmp_path / "hanging-sheet.pdf").pages[-1].extract_text().replace("\t", " ")
    assert "If it stops" in last and last.count("Orange\xa0marker") == 2
