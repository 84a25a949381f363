"""From a line of a file back to its stroke, whatever the controller's settings leave out and own lines add."""

from __future__ import annotations

import re

import numpy as np
import pytest

from tests.support.jobs import document_of, planned_job
from wallwright.document import edits
from wallwright.document.code_settings import CodeSettings
from wallwright.document.controller import Controller, Lift
from wallwright.document.document import Pen
from wallwright.document.errors import BadValue
from wallwright.jobs.place_by_line import place_by_line
from wallwright.jobs.program_parts import parts
from wallwright.jobs.rs274 import Part, part_code, program_of

ART = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<path d="M10 10L90 12L10 14M10 30L90 32" fill="none" stroke="#202020"/>'
    b'<path d="M10 50L90 52M10 70L90 72L10 74" fill="none" stroke="#c02020"/></svg>'
)
PENS = (Pen("black", "Black", "#202020", 1.0, press=0.2), Pen("red", "Red", "#c02020", 1.0))
LIFTS = {"axis": Lift(), "dwell": Lift(kind="dwell", up=0.011, down=0.1), "servo": Lift(kind="servo", up=30, down=90)}


def job_with(lift: str, **code):
    document = document_of(
        ART, centre=(1000.0, 950.0), width=400.0, lift=LIFTS[lift], controller=Controller(code=CodeSettings(**code))
    )
    return planned_job(edits.replace(document, pens=PENS))


def lines_of(job, part: Part | None = None) -> list[bytes]:
    program = program_of(job, job.belts)
    whole = Part(0, 0, len(program.path.down))
    return b"".join(part_code(program, part or whole, lambda done: None)).splitlines()


def place(job, lines: list[bytes], line: int, strokes=None):
    strokes = job.strokes if strokes is None else strokes
    return place_by_line(lines, line, job.document.machine, job.hanging, strokes, job.document.pens)


RAISE = {"axis": "G0 Z5", "dwell": "G4 P0.011", "servo": "M3 S30"}


@pytest.mark.parametrize("comments", ["short", "none"])
@pytest.mark.parametrize("lift", LIFTS)
def test_own_lines_that_raise_the_pen_do_not_shift_the_strokes(lift, comments):
    """The stroke of every line, from the file with all stroke numbers kept."""
    own = {"header": RAISE[lift], "pen_change": f"{RAISE[lift]}\n{RAISE[lift]}", "footer": RAISE[lift]}
    job, numbered = (job_with(lift, **own, comments=kind) for kind in (comments, "kept"))
    assert len(job.strokes) >= 4
    lines, wanted, stroke, moves = lines_of(job), {}, -1, 0
    for line in lines_of(numbered):
        if found := re.match(rb"\(stroke (\d+) of", line):
            stroke, moves = int(found[1]) - 1, 0
        elif line.startswith(b"G1 ") and stroke >= 0:
            moves += 1
            if moves > 1:
                wanted[line] = stroke
        elif moves:
            stroke = -1
    drawn = [at for at, line in enumerate(lines, start=1) if line in wanted]
    for at in drawn[5 :: len(drawn) // 6]:
        found = place(job, lines, at)
        assert found.stroke == wanted[lines[at - 1]] and found.along > 0


@pytest.mark.parametrize("comments", ["kept", "short"])
def test_a_file_of_other_strokes_is_refused_with_few_comments_too(comments):
    job = job_with("axis", comments=comments)
    lines = lines_of(job)
    with pytest.raises(BadValue, match="belongs to other strokes"):
        place(job, lines, len(lines) // 2, job.strokes.take(np.arange(2)))


def test_a_part_without_stroke_numbers_is_refused():
    job = job_with("axis", comments="none", files="pens")
    later = parts(program_of(job, job.belts))[1]
    lines = lines_of(job, later)
    with pytest.raises(BadValue, match="cannot be assigned to a stroke"):
        place(job, lines, len(lines) // 2)
