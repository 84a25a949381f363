"""Programs split by pen or by size: what the report says of each file, and how large the files are."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace

import numpy as np
import pytest

from tests.support.jobs import document_of, exported, planned_job
from wallwright.document import edits
from wallwright.document.code_settings import CodeSettings
from wallwright.document.controller import Controller
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadValue
from wallwright.jobs.program_parts import parts
from wallwright.jobs.rs274 import Moves, part_code, program_of

LINES = "".join(
    f'<path d="M{x} 10L{x + 2} 50L{x} 90" fill="none" stroke="{"#202020" if x < 48 else "#c02020"}"/>'
    for x in range(4, 96, 4)
)
ART = (
    f'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">{LINES}</svg>'.encode()
)
PENS = (Pen("black", "Black", "#202020", 1.0), Pen("red", "Red", "#c02020", 1.0))


def split(**code) -> Document:
    document = document_of(ART, centre=(1000.0, 950.0), width=400.0, controller=Controller(code=CodeSettings(**code)))
    return edits.replace(document, pens=PENS)


@pytest.mark.parametrize("code", [{"files": "pens"}, {"files": "size", "file_size": 8.0}], ids=["pens", "size"])
def test_the_report_names_the_file_and_the_line_of_each_stroke(code, tmp_path):
    files, report = exported(split(**code), tmp_path)
    parts = {name: path.read_text().splitlines() for name, path in files.items() if re.search(r"belts-part-\d", name)}
    assert len(parts) > 1
    places = report["stroke_places"]
    assert len(places) > 3
    for place in places:
        named = {name: line for name, line in place["lines"].items() if name in parts}
        assert len(named) == 1, "each stroke is in one file"
        for name, line in named.items():
            assert parts[name][line - 1] == f"(stroke {place['stroke']} of {report['strokes']})"


@pytest.mark.parametrize("size", [8.0, 9.5, 13.0])
@pytest.mark.parametrize(
    "code",
    [{}, {"unit": "steps", "decimals": 0, "comments": "none"}, {"line_ending": "crlf", "pen_change": "beep\n" * 40}],
)
def test_no_file_is_larger_than_allowed_nor_much_smaller(code, size):
    """With pauses to refill; another stroke would not have fitted into any file but the last."""
    document = split(**code, files="size", file_size=size)
    job = planned_job(edits.replace(document, pens=tuple(edits.replace(pen, ink=1.0) for pen in PENS)))
    program = program_of(job, job.belts)
    assert len(program.refills) > 1
    found = parts(program)
    files = [b"".join(part_code(program, part, lambda done: None)) for part in found]
    assert len(files) > 1 and all(len(data) <= 1000 * size for data in files)
    for part, following in itertools.pairwise(found):
        up = np.flatnonzero(~program.path.down[following.first + 1 :])
        longer = (
            replace(part, last=following.first + 1 + int(up[0]))
            if len(up)
            else replace(part, last=len(program.path.down))
        )
        assert len(b"".join(part_code(program, longer, lambda done: None))) > 1000 * size


def test_the_sizes_of_runs_are_those_of_their_lines():
    for drag in (0.0, 0.4):
        document = split(files="size")
        pens = tuple(edits.replace(pen, drag=drag) for pen in PENS)
        job = planned_job(edits.replace(document, pens=pens))
        program = program_of(job, job.belts)
        writer, count = Moves(program), len(program.path.down)
        assert writer.sizes(0, count).tolist() == [len(writer.lines(run, run + 1)) for run in range(count)]


def test_a_stroke_larger_than_a_file_gets_a_sentence(tmp_path):
    with pytest.raises(BadValue, match=r"The file with stroke \d+ alone has \d\.\d kB"):
        exported(split(files="size", file_size=4.0, header="beep\n" * 500), tmp_path)
    assert not list(tmp_path.iterdir())
