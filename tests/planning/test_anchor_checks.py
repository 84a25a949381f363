"""What is not known of an anchor is not approved, and cables behind it are warned of.

The reserve of 4 on a fixing: common practice, no source. Cable zones: BS 7671:2018, 522.6.202 (from memory).
"""

import json
import zipfile

import pytest

from tests.support.earlier_projects import back_to_2
from wallwright.document import edits
from wallwright.document.edits_keep_outs import add_keep_out, rectangle
from wallwright.document.language import Language, set_language
from wallwright.document.project import read_project, write_project
from wallwright.document.wall import FIXING_RESERVE
from wallwright.jobs.checks import Remedy
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner

RUNNER = Runner()


def checks_of(document) -> dict:
    return {c.id: c for c in RUNNER.run(Request(1, document, Goal.PLAN)).plan.checks}


@pytest.fixture(scope="module")
def demo_checks():
    return checks_of(demo_document())


def test_a_fixing_that_nobody_rated_is_a_note_that_says_the_pull(demo_checks):
    check = demo_checks["anchor-left"]
    assert check.verdict.value == "note"
    assert "Enter what its fixing is rated for" in check.text and "common practice" in check.text.casefold()
    assert check.remedies == (Remedy.ENTER_RATING,)


@pytest.mark.parametrize(("times", "verdict"), [(0.9, "error"), (1.5, "warning"), (FIXING_RESERVE * 1.05, "ok")])
def test_a_rated_fixing_is_compared_with_the_pull(demo_checks, times, verdict):
    pull = float(demo_checks["anchor-left"].text.split("Pull up to ")[1].split(" N")[0])
    rated = edits.set_field(demo_document(), "hangings.0.left.rating", times * pull)
    check = checks_of(rated)["anchor-left"]
    assert check.verdict.value == verdict and not check.remedies


@pytest.mark.parametrize(
    ("corner", "opposite", "is_near"),
    [
        ((-80, 1500), (0, 1580), True),  # straight below the left anchor
        ((-349, -60), (-270, 20), True),  # beside it
        ((-340, 1500), (-260, 1580), False),
    ],
)
def test_an_anchor_in_line_with_a_socket_is_warned_of(corner, opposite, is_near):
    wall = edits.with_field(demo_document(), "wall.keep_outs", ())
    found = checks_of(add_keep_out(wall, "Socket", rectangle(corner, opposite)))
    assert ("cables-left" in found) == is_near
    if is_near:
        assert found["cables-left"].verdict.value == "warning" and "“Socket”" in found["cables-left"].text
    door = checks_of(add_keep_out(wall, "Door", rectangle(corner, opposite)))
    assert "cables-left" not in door


def test_a_keep_out_is_electrical_by_its_name_in_either_language():
    try:
        for code, name in (("en", "socket "), ("de", "Steckdose"), ("de", "Socket")):
            set_language(Language(code))
            document = add_keep_out(demo_document(), name, rectangle((0, 1500), (80, 1580)))
            assert document.wall.keep_outs[-1].kind == "electrical"
    finally:
        set_language(Language())


def test_checks_name_the_defaults_they_rest_on(demo_checks):
    assert "default values for: holding torque" in demo_checks["torque"].text
    assert "sense resistor" in demo_checks["supply"].text
    for side in ("left", "right"):
        assert "default values for: mass of the body, belt mass." in demo_checks[f"anchor-{side}"].text
    assert "default values for: belt on the machine." in demo_checks["belts"].text
    assert "rated for at least 4 times the pull" in demo_checks["belts"].text
    known = demo_document()
    for name, value in (
        ("motor.holding_torque", 0.45),
        ("motor.rated_current", 1.3),
        ("motor.set_current", 0.65),
        ("motor.usable", 0.45),
        ("motor.sense_resistor", 0.1),
        ("motor.supply_power", 60.0),
        ("body.mass", 0.8),
        ("belt.mass", 0.009),
        ("belt.length", 4500.0),
    ):
        known = edits.set_field(known, f"machine.{name}", value)
    for check in checks_of(known).values():
        assert "default values" not in check.text


def test_a_rating_that_only_an_older_version_assumed_is_forgotten(tmp_path):
    project = tmp_path / "old.wallwright"
    write_project(project, edits.set_field(demo_document(), "hangings.0.right.rating", 80.0))
    with zipfile.ZipFile(project) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    head = json.loads(parts["document.json"])
    back_to_2(head)
    head["version"] = 1
    head["document"]["hangings"][0]["left"]["holds"] = 50.0
    with zipfile.ZipFile(project, "w") as packed:
        for name, data in (parts | {"document.json": json.dumps(head).encode()}).items():
            packed.writestr(name, data)
    hanging = read_project(project).hangings[0]
    assert (hanging.left.rating, hanging.right.rating) == (0.0, 80.0)
