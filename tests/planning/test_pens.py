"""Pens of a job: order, wet ink, refills, the point where they are changed."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace

import numpy as np
import pytest

from tests.support.jobs import document_of, planned, planned_job
from wallwright.commands.main import main
from wallwright.document import edits
from wallwright.document.code_settings import CodeSettings
from wallwright.document.controller import Controller, Lift
from wallwright.document.document import Document, Pen
from wallwright.document.project import read_project, write_project
from wallwright.jobs.checks import Remedy, Verdict
from wallwright.jobs.code_verification import replay
from wallwright.jobs.rs274 import Part, part_code, program_of
from wallwright.jobs.sheet.sections import steps
from wallwright.planning.demo import demo_document
from wallwright.planning.motion_checks import long_job
from wallwright.planning.pen_checks import unknown_ink
from wallwright.planning.pen_order import light_to_dark

LINES = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<path d="M10 20H90M10 40H90" fill="none" stroke="#202020"/><path d="M50 10V90" fill="none" stroke="#f0d020"/></svg>'
)
BLACK = Pen("black", "Black", "#202020", 1.0)
YELLOW = Pen("yellow", "Yellow", "#f0d020", 1.0)


def with_pens(*pens: Pen, **machine) -> Document:
    document = document_of(LINES, centre=(1000.0, 950.0), width=400.0, **machine)
    return edits.replace(document, pens=pens)


def check_of(document: Document, name: str):
    return next((c for c in planned(document).plan.checks if c.id.startswith(name)), None)


def test_the_demo_draws_light_to_dark():
    """It once showed the note about dark before light ink itself."""
    assert light_to_dark(demo_document()) == (0, 1, 2, 3)


def test_dark_before_light_is_noticed_and_light_to_dark_proposed():
    document = with_pens(BLACK, YELLOW)
    found = check_of(document, "pen-order")
    assert found is not None and found.verdict is Verdict.NOTE and "Yellow, Black" in found.text
    x, y = (found.place[0] + found.place[2]) / 2, (found.place[1] + found.place[3]) / 2
    assert abs(x - 1000) < 3 and min(abs(y - 830), abs(y - 910)) < 3, "where the lines cross"
    assert light_to_dark(document) == (1, 0)
    assert check_of(with_pens(YELLOW, BLACK), "pen-order") is None


def test_wet_ink_is_noticed_until_it_has_dried():
    slow = edits.replace(YELLOW, drying=30.0)
    found = check_of(with_pens(slow, BLACK), "wet")
    assert found is not None and "before it has dried" in found.text
    assert found.remedies == (Remedy.WAIT_UNTIL_DRY, Remedy.ORDER_FOR_DRY_INK), "a gap helps no lines that cross"
    assert check_of(with_pens(edits.replace(slow, drying=0.05), BLACK), "wet") is None
    any_ink = edits.replace(BLACK, over="any")
    assert check_of(with_pens(slow, any_ink), "wet") is None


def test_a_pen_for_lighter_ink_only_is_warned_of_darker_ink_however_dry():
    dry = edits.replace(BLACK, drying=0.05)
    found = check_of(with_pens(dry, edits.replace(YELLOW, over="lighter")), "dark")
    assert found is not None and found.verdict is Verdict.WARNING and "Yellow touches the darker Black" in found.text
    assert check_of(with_pens(dry, YELLOW), "dark") is None
    assert check_of(with_pens(YELLOW, edits.replace(dry, over="lighter")), "dark") is None


def test_a_refill_pauses_at_the_end_of_a_stroke_and_reads_back():
    """Black strokes, cut where the yellow line hides them, and half a metre of ink."""
    document = with_pens(YELLOW, edits.replace(BLACK, ink=0.5))
    job = planned_job(document)
    program = program_of(job, job.belts)
    part = Part(0, 0, len(job.belts.down))
    text = b"".join(part_code(program, part, lambda done: None)).decode()
    assert replay([text.encode()], program, part).strokes == 5
    left, fills = 0.5, 0
    for metres in job.strokes.lengths()[job.strokes.pen == 1] / 1000:
        fills, left = (fills + 1, 0.5 - metres) if metres > left else (fills, left - metres)
    assert fills > 0 and text.count("\nM0\n") == 2 + fills
    lines = text.splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("(MSG, Refill"))
    assert lines[at - 2] == "G0 Z5" and lines[at + 1] == "M0", "the pen is lifted for the wait"
    assert "those in between are for refilling the pen in use" in steps(job, ["belts.ngc"])
    assert job.estimate.changing_s == (1 + fills) * document.machine.lift.change_time
    assert "Have refills ready: Black" in check_of(document, "refills").text
    long = check_of(with_pens(YELLOW, edits.replace(BLACK, ink=0.1)), "ink")
    assert long is not None and long.verdict is Verdict.WARNING


def test_a_pen_is_pressed_as_far_as_it_wants():
    document = with_pens(YELLOW, edits.replace(BLACK, press=-1.5))
    job = planned_job(document)
    program, part = program_of(job, job.belts), Part(0, 0, len(job.belts.down))
    text = b"".join(part_code(program, part, lambda done: None)).decode()
    assert text.count("\nG0 Z-1.5\n") == 4 and text.count("\nG0 Z0\n") == 1
    assert replay([text.encode()], program, part).strokes == 5


def test_pens_are_changed_at_their_own_point():
    document = edits.with_field(with_pens(YELLOW, BLACK), "hangings.0.pen_change", (800.0, 1300.0))
    motion = planned(document).plan.motion
    first, second = motion.blocks
    between = motion.pen_xy[motion.runs[first.last_run] - 1]
    assert np.allclose(between, (800, 1300))
    assert np.allclose(motion.pen_xy[motion.runs[second.first_run]], (800, 1300))
    assert np.allclose(motion.pen_xy[[0, -1]], document.hangings[0].start_point)
    high = edits.set_field(document, "settings.reach_high", 600.0)
    assert "hands reach" in check_of(high, "pen-change").text
    outside = edits.with_field(document, "hangings.0.pen_change", (10.0, 100.0))
    assert outside.hangings[0].pen_change == (10.0, 100.0)


def test_the_point_of_change_is_off_all_ink_that_is_drawn_before_a_change():
    """Red, drawn second, is on the wall when the third pen goes in; half its line's width reaches beyond its middle."""
    art = LINES.replace(b"</svg>", b'<path d="M10 95H90" fill="none" stroke="#c02020"/></svg>')
    red = Pen("red", "Red", "#c02020", 20.0)
    document = edits.replace(document_of(art, centre=(1000.0, 950.0), width=400.0), pens=(YELLOW, red, BLACK))
    line = 950.0 - 200.0 + 4 * 95.0
    for off, is_wet in ((0.0, True), (19.0, True), (21.0, False)):
        moved = edits.with_field(document, "hangings.0.pen_change", (1000.0, line + off))
        found = check_of(moved, "pen-change")
        assert (found is not None) == is_wet
        assert found is None or "what Red has drawn" in found.text
    last = edits.replace(document, pens=(YELLOW, BLACK, red))
    assert check_of(edits.with_field(last, "hangings.0.pen_change", (1000.0, line)), "pen-change") is None


def test_belts_do_not_jump_where_pens_with_offsets_are_changed():
    document = with_pens(edits.replace(YELLOW, tip_right=2.0, tip_down=-1.5), edits.replace(BLACK, tip_right=-1.0))
    motion = planned(document).plan.motion
    at = motion.runs[motion.blocks[1].first_run]
    assert np.abs(motion.belts[at] - motion.belts[at - 1]).max() < 1e-6
    assert np.abs(motion.belts[0] - motion.belts[-1]).max() < 1e-6


def test_pens_by_command(tmp_path, capsys, monkeypatch):
    monkeypatch.setenv("WALLWRIGHT_STATE", str(tmp_path / "state"))
    project = tmp_path / "job.wallwright"
    write_project(project, with_pens(BLACK, YELLOW))
    assert main(["pens", str(project), "--offset-figure", str(tmp_path / "o.wallwright")]) == 0
    assert main(["pens", str(project), "--sample-strip", str(tmp_path / "s.wallwright")]) == 0
    assert len(read_project(tmp_path / "s.wallwright").pens) == 7
    assert main(["pens", str(project), "--offset", "Yellow=12,8.5", "--seen", "Yellow=40:1.9", "--write"]) == 0
    pen = read_project(project).pens[1]
    assert (pen.speed, pen.width) == (40.0, 1.9) and abs(pen.tip_right - 2) < 0.1
    assert main(["pens", str(project), "--light-to-dark", "--write", "--save-pen", "Yellow"]) == 0
    assert [p.name for p in read_project(project).pens] == ["Yellow", "Black"]
    assert main(["pens", str(project), "--add-saved-pen", "Yellow", "--write"]) == 0
    assert len(read_project(project).pens) == 3
    for former in (["--keep", "Black"], ["--add-kept", "Black", "--write"]):
        assert main(["pens", str(project), *former]) == 0
    assert [p.name for p in read_project(project).pens] == ["Yellow", "Black", "Yellow", "Black"]
    assert main(["pens", str(project), "--drawn", "--write"]) == 0
    ink = planned(read_project(project)).plan.estimate.per_pen
    assert [p.used for p in read_project(project).pens][:2] == pytest.approx([part.ink_m for part in ink], rel=1e-4)
    capsys.readouterr()
    assert main(["pens", str(project), "--offset", "Green=1,1"]) == 2
    assert "there is no such pen" in capsys.readouterr().err


def test_a_wound_in_start_must_let_out():
    controller = Controller(code=CodeSettings(start="stop"))
    document = with_pens(BLACK, controller=controller)
    assert check_of(document, "stops").verdict is Verdict.OK
    long = edits.set_field(document, "machine.belt.left_stop", 3000.0)
    assert check_of(long, "stops").verdict is Verdict.ERROR


def test_own_lines_that_move_the_machine_are_refused():
    controller = Controller(code=CodeSettings(header="G91\nG1 X5 F100"))
    assert check_of(with_pens(BLACK, controller=controller), "own-code").verdict is Verdict.ERROR
    controller = Controller(code=CodeSettings(header="home all\nG4 P2\nM8"))
    assert check_of(with_pens(BLACK, controller=controller), "own-code") is None


@pytest.mark.parametrize("text", ["header", "pen_change", "footer", "pause", "end"])
def test_no_own_text_may_move_the_machine(text):
    controller = Controller(code=CodeSettings(**{text: "G1 X5 F100"}))
    assert check_of(with_pens(BLACK, controller=controller), "own-code").verdict is Verdict.ERROR


@pytest.mark.parametrize("modes", ["all", "short", "none"])
def test_a_header_that_passes_the_check_is_exported(modes):
    """A line that moves the lift needs the modes, which come first."""
    controller = Controller(code=CodeSettings(header="G0 Z5", modes=modes))
    document = with_pens(YELLOW, BLACK, controller=controller)
    assert check_of(document, "own-code") is None
    job = planned_job(document)
    program, part = program_of(job, job.belts), Part(0, 0, len(job.belts.down))
    data = b"".join(part_code(program, part, lambda done: None))
    assert replay([data], program, part).strokes == 5


def test_a_wait_that_lowers_a_pressed_pen_is_recognised():
    """0.1 + 0.2 is not 0.3 in binary numbers; the file says 0.3."""
    document = with_pens(YELLOW, edits.replace(BLACK, press=0.2), lift=Lift(kind="dwell", up=0.011, down=0.1))
    assert check_of(document, "lift") is None
    job = planned_job(document)
    program, part = program_of(job, job.belts), Part(0, 0, len(job.belts.down))
    data = b"".join(part_code(program, part, lambda done: None))
    assert data.count(b"\nG4 P0.3\n") == 4
    assert replay([data], program, part).strokes == 5


@pytest.mark.parametrize(
    ("lift", "press"),
    [
        (Lift(), 5.0),
        (Lift(kind="spindle", up=0, down=700), -700.0),
        (Lift(kind="servo", up=30, down=90), -60.0),
        (Lift(kind="dwell", up=0.3, down=0.1), 0.2),
        (Lift(kind="dwell", up=0.011, down=0.1), 0.25),
        (Lift(kind="dwell", up=0.011, down=0.1), -0.1),
    ],
)
def test_a_pen_must_not_be_lowered_by_what_raises_it(lift, press):
    found = check_of(with_pens(YELLOW, edits.replace(BLACK, press=press), lift=lift), "lift")
    assert found is not None and found.verdict is Verdict.ERROR and "The pen Black adds" in found.text
    assert check_of(with_pens(YELLOW, BLACK, lift=lift), "lift") is None


def test_each_pen_is_primed_on_the_strip():
    document = edits.with_field(with_pens(YELLOW, BLACK), "hangings.0.priming", (900.0, 1350.0))
    plan = planned(document).plan
    assert np.bincount(plan.strokes.pen).tolist() == [3 + 1, 3 + 4]
    for pen in (0, 1):
        first = np.flatnonzero(plan.strokes.pen == pen)[:3]
        assert all(plan.strokes[k][:, 1].min() >= 1350 for k in first.tolist())
    primed = [plan.strokes[k][0, 1] for k in (0, 1, 2, 4, 5, 6)]
    assert primed == sorted(primed) and len(set(primed)) == 6, "no line on another"


def test_a_hangings_own_points_move_with_the_frame():
    document = edits.with_field(with_pens(BLACK), "hangings.0.pen_change", (800.0, 1300.0))
    document = edits.with_field(document, "hangings.0.priming", (900.0, 1350.0))
    moved = edits.shift_frame(document, 100.0, 50.0).hangings[0]
    assert moved.pen_change == (700.0, 1250.0) and moved.priming == (800.0, 1300.0)


def test_a_job_of_many_hours_and_much_ink_says_so():
    """Only the pen whose ink is not known may not last."""
    assert check_of(with_pens(BLACK), "long") is None and check_of(with_pens(BLACK), "ink-unknown") is None
    document = with_pens(BLACK, YELLOW)
    plan = planned(document).plan
    parts = tuple(dataclasses.replace(part, ink_m=600.0) for part in plan.estimate.per_pen)
    estimate = dataclasses.replace(plan.estimate, total_s=15 * 3600.0, per_pen=parts)
    known = edits.replace(document, pens=(BLACK, edits.replace(YELLOW, ink=900.0)))
    context = SimpleNamespace(document=known, estimate=estimate)
    (found,) = long_job(context)
    assert found.verdict is Verdict.NOTE and found.remedies == (Remedy.SHORTEN,) and "15 h" in found.text
    (found,) = unknown_ink(context)
    assert "Black 600 m" in found.text and "Yellow" not in found.text
