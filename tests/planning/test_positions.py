"""What checks, sheet and lists say of places: read back by the anchor they name, they are where the wall has them."""

import csv
import io
import unicodedata

import pytest
from pypdf import PdfReader

from tests.support.experienced import ExperiencedRunner
from tests.support.positions import positions_in
from tests.support.walls import hung_banner
from wallwright.planning.plan import Goal, Request


@pytest.fixture(scope="module")
def second(tmp_path_factory):
    """The wall, the second hanging's exported folder, and its plan."""
    wall, folder = hung_banner(spacing=160.0), tmp_path_factory.mktemp("second")
    runner = ExperiencedRunner()
    return wall, folder, runner.run(Request(1, wall, Goal.EXPORT, 1, str(folder))), runner


def test_a_check_of_the_second_hanging_counts_from_its_own_anchor(second):
    wall, _, _, runner = second
    plan = runner.run(Request(2, wall, Goal.PLAN, 1)).plan
    found = set()
    for check in plan.checks:
        places = positions_in(check.text, wall, 1)
        if places and check.place is not None and check.place[:2] == check.place[2:]:
            assert places[0] == pytest.approx(check.place[:2], abs=0.6), check.text
            assert "the left anchor of Hanging 2" in check.text
            found.add(check.id)
    assert {"start-point", "swing", "torque"} <= found


def test_the_sheet_of_the_second_hanging_has_one_origin(second):
    """Its own left anchor; where another one is meant, it is named. Whoever climbs reads the height."""
    wall, folder, answer, _ = second
    text = " ".join(page.extract_text() for page in PdfReader(folder / "hanging-sheet.pdf").pages)
    sheet = " ".join(unicodedata.normalize("NFKC", text).split())  # "fl" may be one glyph
    hanging, marks = wall.hangings[1], answer.preview.marks[1]
    places = positions_in(sheet, wall, 1)
    for mark in marks:
        assert any(p == pytest.approx((mark.x, mark.y), abs=0.6) for p in places), mark
        assert f"{wall.wall.floor - mark.y:.0f} mm above" in sheet  # the cell has two lines
    assert any(p == pytest.approx(hanging.start_point, abs=0.6) for p in places)
    for y in (hanging.left.y, hanging.right.y, hanging.start_point[1]):
        assert f"{wall.wall.floor - y:.0f} mm above the floor" in sheet


def test_the_list_of_marks_says_where_they_are_from_its_anchor_and_from_the_floor(second):
    wall, folder, answer, _ = second
    rows = list(csv.DictReader(io.StringIO((folder / "register.csv").read_text())))
    anchor = wall.hangings[1].left
    for row, mark in zip(rows, answer.preview.marks[1], strict=True):
        wanted = mark.x - anchor.x, mark.y - anchor.y, wall.wall.floor - mark.y, mark.x, mark.y
        names = ("right_of_anchor", "below_anchor", "above_floor", "wall_x", "wall_y")
        assert [float(row[name]) for name in names] == pytest.approx(wanted, abs=0.06)


def test_the_program_starts_from_its_own_anchor(second):
    wall, folder, _, _ = second
    head = (folder / "register.ngc").read_text().split("G17")[0]
    assert positions_in(head, wall, 1) == [pytest.approx(wall.hangings[1].start_point, abs=0.06)]
