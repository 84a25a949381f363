"""What the sheet and the heads of files say of a controller, for each kind of it; numbers are compared with the moves."""

from __future__ import annotations

import re

import numpy as np
import pytest

from tests.support.jobs import SQUARE, document_of, planned_job
from tests.support.strict_controllers import WORD
from wallwright.document import edits
from wallwright.document.code_settings import CodeSettings
from wallwright.document.controller import Controller
from wallwright.document.document import Pen
from wallwright.jobs.file_names import file_for
from wallwright.jobs.how_to_run import how_to_run
from wallwright.jobs.rs274 import Part, part_code, program_of
from wallwright.jobs.sheet import sections


def job_for(controller: Controller, **changes):
    document = document_of(SQUARE, centre=(1000.0, 900.0), width=400.0, controller=controller)
    return planned_job(edits.replace(document, **changes))


def written(job) -> list[str]:
    path = job.code_in_plane if job.document.machine.controller.takes_plane else job.belts
    whole = Part(0, 0, len(path.down))
    return b"".join(part_code(program_of(job, path), whole, lambda done: None)).decode().splitlines()


@pytest.mark.parametrize(
    ("unit", "per_mm", "feed_unit"),
    [
        ("mm", 1.0, "minute"),
        ("inches", 1 / 25.4, "minute"),
        ("steps", 80.0, "second"),
        ("revolutions", 1 / 40, "inverse"),
    ],
)
def test_the_head_names_the_largest_feed_and_the_fastest_axes_of_the_moves(unit, per_mm, feed_unit):
    """Speeds are worked out from the words of the file: way over time."""
    controller = Controller(code=CodeSettings(unit=unit, feed_unit=feed_unit, decimals=5))
    lines = written(job_for(controller))
    head = "\n".join(line for line in lines if line.startswith("("))
    at, feed, feeds, speeds = None, None, [], []
    for line in lines:
        words = dict(WORD.findall(line))
        if line.startswith("G92"):
            at = np.array([float(words["X"]), float(words["Y"])])
        elif line.startswith("G1 "):
            to = np.array([float(words["X"]), float(words["Y"])])
            feed = float(words["F"]) if "F" in words else feed
            way = float(np.hypot(*(to - at)))
            minutes = 1 / feed if feed_unit == "inverse" else way / feed / (60 if feed_unit == "second" else 1)
            feeds.append(feed)
            speeds.append(np.abs(to - at) / minutes / (60 if feed_unit == "second" else 1))
            at = to
    left, right = np.max(speeds, axis=0)
    per = "s" if feed_unit == "second" else "min"
    found = re.search(rf"at least X ([\d.]+) {unit}/{per} and Y ([\d.]+) {unit}/{per}", head)
    assert [float(v) for v in found.groups()] == pytest.approx([left, right], rel=5e-3, abs=0.06)
    if feed_unit == "inverse":
        assert "feeds up to" not in head
    else:
        most = float(re.search(rf"feeds up to ([\d.]+) {unit}/{per}", head)[1])
        assert most == pytest.approx(max(feeds), rel=1e-3, abs=0.06)
    push = float(re.search(rf"Expects ([\d.]+) {unit}/s2 of acceleration", head)[1])
    assert push == pytest.approx(2 * 200.0 * per_mm, abs=0.06)


def test_the_head_names_the_formula_and_reversed_axes():
    controller = Controller(takes="plane", assumed_spacing=120.0, assumed_rise=5.0)
    text = "\n".join(written(job_for(controller)))
    assert "anchors 2000 mm apart, belt exits 120 mm apart and 5 mm above the pen" in text
    text = "\n".join(written(job_for(Controller(code=CodeSettings(right_reversed=True, comments="short")))))
    assert ", Y negative)" in text and "of acceleration for each axis" in text and "(Machine" not in text


def test_a_controller_that_knows_its_position_is_named_what_it_should_show():
    lines = written(job_for(Controller(code=CodeSettings(start="none"))))
    (pause,) = [line for line in lines if "to show" in line]
    assert not any(line.startswith("G92") for line in lines)
    last = next(line for line in reversed(lines) if line.startswith("G1 "))
    assert dict(WORD.findall(pause))["X"] == dict(WORD.findall(last))["X"], "the job ends where it began"


@pytest.mark.parametrize(
    ("controller", "has", "has_not"),
    [
        (
            Controller(),
            ["line by line", "hangs at its starting point", "(M0)", "pauses for each pen"],
            ["to their stops"],
        ),
        (
            Controller(code=CodeSettings(start="stop", transfer="card", pause="M60")),
            ["memory card", "body on a table", "(M60)", "wind both belts in to their stops"],
            ["Set both belts to their starting lengths"],
        ),
        (
            Controller(code=CodeSettings(start="none", transfer="network")),
            ["own page", "position that the controller shows"],
            [],
        ),
        (Controller(pacing="timed"), ["timed table", "no pauses", "stay at one row"], ["M0", "pauses for each pen"]),
        (Controller(pacing="timed", code=CodeSettings(start="stop")), ["starting lengths"], ["to their stops"]),
    ],
)
def test_the_sheet_says_how_this_controller_is_run(controller, has, has_not):
    job = job_for(controller)
    text = sections.steps(job, [file_for(controller)])
    assert all(words in text for words in has) and not any(words in text for words in has_not)
    lines = how_to_run(controller, [file_for(controller)])
    assert len(lines) == 3 and file_for(controller) in lines[0]


@pytest.mark.parametrize(
    ("code", "before", "says"),
    [
        (
            CodeSettings(),
            "(MSG, Pen 1: Black #202020. Put it in, then continue)",
            "the line above M0 that begins with (MSG",
        ),
        (
            CodeSettings(pause_message="comment"),
            "(Pen 1: Black #202020. Put it in, then continue)",
            "in the line above M0",
        ),
        (CodeSettings(pause_message="none"), "G4 P", "the file has no messages"),
        (CodeSettings(comments="none"), "G4 P", "the file has no messages"),
    ],
)
def test_a_pause_says_what_it_is_for_and_the_sheet_where_that_is_read(code, before, says):
    """NISTIR 6556, 3.3.4: a comment that begins with "MSG," is a message to the person."""
    job = job_for(Controller(code=code))
    lines = written(job)
    assert lines[lines.index("M0") - 1].startswith(before)
    text = sections.steps(job, ["belts.ngc"])
    assert says in text and "The pauses for pens come as the hanging sheet lists them" in text


def test_a_long_message_is_shown_whole_on_short_lines():
    pen = Pen("black", "A marker with a very long name that somebody wrote down in full", "#202020", 1.0)
    lines = written(job_for(Controller(code=CodeSettings(line_length=80)), pens=(pen,)))
    shown = [line for line in lines if line.startswith("(MSG,")]
    assert len(shown) > 1 and all(len(line) <= 80 and line.endswith(")") for line in shown)
    words = " ".join(line[len("(MSG, ") : -1] for line in shown)
    assert words == f"Pen 1: {pen.name} #202020. Put it in, then continue"


@pytest.mark.parametrize(
    "controller",
    [
        Controller(),
        Controller(takes="drawing"),
        Controller(pacing="timed"),
        Controller(code=CodeSettings(start="stop")),
    ],
    ids=lambda controller: f"{controller.takes} {controller.pacing} {controller.code.start}",
)
def test_the_last_step_takes_the_body_down_before_the_power_goes_off(controller):
    text = sections.steps(job_for(controller), [file_for(controller)])
    last = re.findall(r"<li>(.*?)</li>", text.partition("</ol>")[0])[-1]
    order = ("leave the power on", "pen is up", "unhook the belts", "switch off the power")
    assert [last.index(words) for words in order] == sorted(last.index(words) for words in order)


def test_the_sheet_says_where_pens_are_changed_and_how_long_ink_dries():
    pens = (Pen("yellow", "Yellow", "#f0d020", 1.0, price=2.0, ink=10.0),)
    job = job_for(Controller(), pens=pens)
    assert "starting point" in sections.passes(job) and "The ink costs about" in sections.passes(job)
    moved = edits.with_field(job.document, "hangings.0.pen_change", (900.0, 1300.0))
    assert "900 mm right of and 1300 mm below the left anchor" in sections.passes(planned_job(moved))
