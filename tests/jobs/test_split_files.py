"""Programs split by pen or by size: what the report says of each file, and how large the files are."""

from __future__ import annotations

import re

import pytest

from tests.support.jobs import document_of, exported
from wallwright.document import edits
from wallwright.document.code_settings import CodeSettings
from wallwright.document.controller import Controller
from wallwright.document.document import Document, Pen

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
