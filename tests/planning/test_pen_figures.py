"""Offset figure and sample strip: what is drawn, and what readings as a person takes them teach.

The judge is a pen whose width over speed, spread, opacity and lift are known. What it draws is computed here from the
strokes of the plan; it is read as a person reads: to half a millimetre, to 5 %, to the nearest line of a scale.
"""

from __future__ import annotations

import dataclasses
import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.statics.test_pen_tip import body, drawn
from tests.support.jobs import document_of, planned, planned_job
from wallwright.commands.main import main
from wallwright.document import edits
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadValue
from wallwright.document.machine import Belt
from wallwright.document.pen import numbers_in_holder
from wallwright.document.project import read_project, write_project
from wallwright.jobs.code_verification import replay
from wallwright.jobs.firmware_tables import rows_at
from wallwright.jobs.motion_table import motion_table
from wallwright.jobs.program_parts import parts
from wallwright.jobs.rs274 import Part, code, program_of
from wallwright.jobs.sheet.pdf import hanging_sheet
from wallwright.jobs.sheet.pen_figure_section import pen_figure_section
from wallwright.motion.refills import refills, with_ink_used
from wallwright.planning.offset_figure import (
    APART,
    LAST_LINE,
    PITCH,
    STEP,
    OffsetReading,
    has_scales,
    offset_figure,
    read_offset,
)
from wallwright.planning.sample_strip import CLOSING, DASH, TONES, sample_strip, strip_speeds
from wallwright.planning.strip_readings import (
    WHITE_EVERYWHERE,
    LineSeen,
    StripReading,
    learnt_lift,
    learnt_pen,
    with_strip_read,
)
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import broken
from wallwright.statics.pen_tip import turned
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.strokes import Strokes

EMPTY = b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"><path d="M0 0H9" stroke="red"/></svg>'
BLACK = Pen("black", "Black", "#202020", 1.0)
YELLOW = Pen("yellow", "Yellow", "#f0d020", 1.0)


def with_pens(*pens: Pen, **machine) -> Document:
    return edits.replace(document_of(EMPTY, centre=(1000.0, 950.0), width=400.0, **machine), pens=pens)


def half_millimetres(value: float) -> float:
    return round(2 * value) / 2


# Tip offsets.


def coordinates(strokes: Strokes, axis: int, length: float) -> np.ndarray:
    """Where straight strokes of a length lie that run across an axis, sorted."""
    ways = strokes.ends - strokes.starts
    chosen = (np.abs(ways[:, axis]) < 0.01) & (np.abs(np.abs(ways[:, 1 - axis]) - length) < 0.01)
    return np.sort(strokes.starts[chosen, axis])


@pytest.fixture(scope="module")
def offset_strokes():
    document = with_pens(BLACK, YELLOW, belt=Belt(mass=0.0))
    return document, planned(offset_figure(document, 0)).plan.strokes


def test_the_scales_are_a_vernier(offset_strokes):
    """The other pen's lines lie a little closer than the first pen's, so that for each offset one pair meets."""
    strokes = offset_strokes[1]
    for axis in (0, 1):
        first = coordinates(strokes.take(np.flatnonzero(strokes.pen == 0)), axis, 12.0)
        other = strokes.take(np.flatnonzero(strokes.pen == 1))
        lines = np.sort(np.concatenate([coordinates(other, axis, 12.0), coordinates(other, axis, 17.0)]))
        assert len(lines) == LAST_LINE + 1
        assert np.allclose(np.diff(first), PITCH, atol=1e-3) and np.allclose(np.diff(lines), PITCH - STEP, atol=1e-3)
        for off in (0.0, 0.6, 2.4, -1.0, -3.4, 4.8):
            misses = np.abs(lines[:, None] + off - first).min(axis=1)
            meets = int(np.argmin(misses))
            assert misses[meets] < 1e-3
            assert OffsetReading(APART + half_millimetres(off), meets).offset() == pytest.approx(off)


@settings(deadline=None, derandomize=True)
@given(st.floats(-8, 8), st.floats(-0.9, 0.9))
def test_a_scale_and_a_poor_ruler_read_to_half_a_step(off, error):
    line = round((off % PITCH) / STEP)
    assert abs(OffsetReading(APART + off + error, line).offset() - off) <= STEP / 2 + 1e-9


def test_a_scale_alone_reads_small_offsets():
    assert OffsetReading(line=3).offset() == pytest.approx(0.6)
    assert OffsetReading(line=22).offset() == pytest.approx(-0.6)
    assert OffsetReading(line=12.0).offset() == pytest.approx(2.4)


@pytest.mark.parametrize(
    ("ruler", "line", "said"), [(12.0, 26, "0 to 25"), (12.0, -1, "0 to 25"), (12.2, 0, "Read both")]
)
def test_readings_of_a_scale_that_cannot_be_are_refused(ruler, line, said):
    with pytest.raises(BadValue, match=said):
        OffsetReading(ruler, line).offset()


def test_broad_pens_get_crosses_only():
    broad = edits.replace(YELLOW, width=6.0)
    strokes = planned(offset_figure(with_pens(BLACK, broad), 0)).plan.strokes
    assert np.bincount(strokes.pen).tolist() == [2, 2]
    assert not has_scales((BLACK, broad), 1) and has_scales((BLACK, YELLOW), 1)
    with pytest.raises(BadValue, match="at least two"):
        offset_figure(with_pens(BLACK), 0)


def nearest_line(strokes: Strokes, axis: int, document: Document, tips) -> int:
    """Number of the other pen's line that continues one of the first pen's best, where each line comes out truly."""
    judge, seen = body(), []
    for number, tip in enumerate(tips):
        own = strokes.take(np.flatnonzero(strokes.pen == number))
        ways = np.abs(own.ends - own.starts)
        is_line = (ways[:, axis] < 0.01) & np.isin(np.round(ways[:, 1 - axis], 1), (12.0, 17.0))
        # The end at which both pens' lines meet.
        places = np.stack([own.starts[is_line], own.ends[is_line]])
        across = places[:, :, 1 - axis]
        picked = across.argmax(axis=0) if number == 0 else across.argmin(axis=0)
        points = places[picked, np.arange(len(picked))]
        seen.append(drawn(document.pens[number], tip, points[np.argsort(points[:, axis])], judge)[:, axis])
    return int(np.argmin(np.abs(seen[1][:, None] - seen[0]).min(axis=1)))


def test_touching_colours_meet_once_the_scales_are_read(offset_strokes):
    """MuJoCo hangs the body and draws the figure and an edge. The bar is 0.2 mm, without a ruler's tenths."""
    document, strokes = offset_strokes
    tips = ((2.0, -1.5), (-1.0, 0.8))
    rough = [half_millimetres(tips[1][axis] - tips[0][axis]) for axis in (0, 1)]
    readings = [OffsetReading(APART + rough[axis], nearest_line(strokes, axis, document, tips)) for axis in (0, 1)]
    after = read_offset(document, 0, 1, *readings).pens
    judge = body()
    for point in np.column_stack([np.linspace(550, 1450, 5), np.linspace(600, 1300, 5)]):
        first, second = (
            drawn(pen, tip, np.array([point, point]), judge)[0] for pen, tip in zip(after, tips, strict=True)
        )
        assert np.hypot(*(first - second)) < 0.2


def test_an_offset_read_with_a_ruler_alone_is_turned_with_the_body():
    """As figures of earlier versions, which had no scales, are read."""
    document = with_pens(BLACK, YELLOW)
    after = read_offset(document, 0, 1, OffsetReading(APART + 2.0), OffsetReading(APART - 1.5))
    tip = np.array([[after.pens[1].tip_right, after.pens[1].tip_down]])
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    tilt = inverse_kinematics(rig, np.array([document.hangings[0].start_point])).tilt
    assert np.allclose(turned(tilt, tip), [[2.0, -1.5]])
    again = read_offset(after, 0, 1, OffsetReading(APART), OffsetReading(APART))
    assert again.pens == after.pens


# The sample strip.


def strip_of(pen: Pen, *others: Pen, **machine):
    document = with_pens(pen, *others, **machine)
    return document, sample_strip(document, 0)


@pytest.fixture(scope="module")
def strip_motion():
    document, strip = strip_of(edits.replace(BLACK, width=2.0))
    return document, planned(strip).plan


@pytest.fixture(scope="module")
def strip_job():
    return planned_job(strip_of(YELLOW, BLACK)[1])


def test_the_strip_draws_all_of_a_pen_without_a_pause(strip_job):
    strip = strip_job.document
    names = [pen.name for pen in strip.pens]
    assert names == [
        *("Black", "Black at 40 mm/s", "Black at 80 mm/s"),
        *("Yellow", "Yellow at 40 mm/s", "Yellow at 80 mm/s", "Yellow over dark ink"),
    ]
    assert [pen.speed for pen in strip.pens] == [20.0, 40.0, 80.0, 20.0, 40.0, 80.0, 40.0]
    assert numbers_in_holder(strip.pens) == (0, 0, 0, 3, 3, 3, 3)
    program = program_of(strip_job, strip_job.belts)
    data = b"".join(code(strip_job, strip_job.belts, lambda done: None))
    assert data.count(b"\nM0\n") == 2, "one for each pen"
    assert data.count(b"(Change the pen now") == 1
    part = Part(0, 0, len(program.path.down))
    assert replay([data], program, part).strokes == len(strip_job.strokes)
    assert [part.first for part in parts(replace_files(program, "pens"))] == [0, strip_job.motion.blocks[3].first_run]
    table = b"".join(motion_table(strip_job, lambda done: None)).decode().splitlines()[1:]
    assert {int(line.rstrip("]").rsplit(",", 1)[1]) for line in table} == {-1, 0, 3}
    assert set(rows_at(strip_job, strip_job.motion.time).pen.tolist()) == {-1, 0, 3}
    assert strip_job.estimate.changing_s == strip.machine.lift.change_time
    assert not [check for check in strip_job.checks if check.id.startswith(("pen-order", "wet"))]


def test_ink_is_counted_over_all_speeds_of_a_pen():
    """5 m in all; a pause before the ink ends, wherever the speed changes."""
    pens = (edits.replace(YELLOW, ink=3.0), edits.replace(YELLOW, id="fast", same_as="yellow", ink=3.0))
    metres, down = np.array([0.0, 2.0, 0.0, 2.0, 0.0, 1.0]), np.array([False, True] * 3)
    pen, stroke = np.array([0, 0, 1, 1, 1, 1]), np.array([-1, 0, -1, 1, -1, 2])
    found = refills(pens, metres, down, pen, stroke)
    assert found.runs == (2,) and found.left == (0.0, 0.0)
    used = with_ink_used(pens, metres[down], metres[down], pen[down])
    assert [one.used for one in used] == [3.0, 3.0]


def replace_files(program, files: str):
    controller = program.machine.controller
    code = edits.replace(controller.code, files=files)
    machine = edits.replace(program.machine, controller=edits.replace(controller, code=code))
    return dataclasses.replace(program, machine=machine)


def test_a_pen_that_must_not_touch_dark_ink_draws_over_none():
    strip = strip_of(edits.replace(YELLOW, over="lighter"), BLACK)[1]
    assert [pen.id for pen in strip.pens] == [f"{pen}-{k}" for pen in ("yellow", "black") for k in range(3)]


def test_patches_have_their_coverage(strip_motion):
    """Whole lines, each with half a distance of wall at either side."""
    strokes = strip_motion[1].strokes
    upright = np.abs(strokes.ends[:, 0] - strokes.starts[:, 0]) < 0.001
    lengths = np.abs(strokes.ends[:, 1] - strokes.starts[:, 1])
    lines = strokes.take(np.flatnonzero(upright & np.isclose(lengths, 22.0)))
    found = set()
    for top in np.unique(np.round(lines.points[:, 1].reshape(-1, 2).min(axis=1), 2)):
        row = np.sort(lines.starts[np.isclose(lines.points[:, 1].reshape(-1, 2).min(axis=1), top, atol=0.01), 0])
        gaps = np.diff(row)
        found |= set(np.round(200 / gaps).astype(int).tolist())
    assert found >= {*TONES, *CLOSING}


def test_a_strip_that_does_not_fit_at_the_starting_point_moves_into_the_zone():
    document = with_pens(*(edits.replace(BLACK, id=str(k), width=3.0) for k in range(4)))
    high = edits.with_field(document, "hangings.0.start_point", (1000.0, 300.0))
    placement = sample_strip(high, 0).placements[0]
    assert placement.y > 400.0
    x = placement.x + placement.width * np.linspace(-0.5, 0.5, 20)
    y = placement.y + placement.height * np.linspace(-0.5, 0.5, 20)
    points = np.stack(np.meshgrid(x, y), axis=2).reshape(-1, 2)
    rig = CableRobotModel.of(high.machine, high.hangings[0])
    assert not broken(high.wall, high.machine, rig, inverse_kinematics(rig, points)).any()


def read_strip(pen: Pen, wide: float, gain: float, opacity: float) -> StripReading:
    """What a person sees whose pen draws `wide` mm at the usual speed, less with speed, and whose ink spreads.

    Tones are those of the share of ink: of patches by the model of dot gain, of the band by its widened stripes.
    """
    speeds = [20.0, 40.0, 80.0]
    widths = [wide * (speed / 40) ** -0.15 for speed in speeds]
    lines = tuple(LineSeen(s, half_millimetres(w), has_gaps=s > 60) for s, w in zip(speeds, widths, strict=True))
    patches = sorted({*TONES, *CLOSING})
    planned_share = np.array(patches) / 100 * wide / pen.width
    closed = next((p for p, share in zip(patches, planned_share, strict=True) if share >= 1), WHITE_EVERYWHERE)
    stripe = 0.5 + (wide - pen.width) / (8 * pen.width) + 2 * gain * wide / (8 * pen.width)
    share = np.minimum(planned_share, 1)
    tones = share + 4 * gain * share * (1 - share)
    half = 5 * round(float(np.interp(stripe, tones[:9], patches[:9])) / 5)
    return StripReading(lines, half, closed, 5 * round(20 * opacity), 0.0, 0.0)


@pytest.mark.parametrize("nominal", [1.0, 2.0])
@pytest.mark.parametrize("ratio", [0.8, 0.95, 1.1, 1.22])
@pytest.mark.parametrize("gain", [-0.05, 0.0, 0.08, 0.15])
def test_the_strip_teaches_a_known_pen(nominal, ratio, gain):
    pen = edits.replace(YELLOW, width=nominal)
    document = with_pens(pen, BLACK)
    wide = nominal * ratio
    found = learnt_pen(document, pen, read_strip(pen, wide, gain, 0.63))
    assert found.speed == 40.0, "the fastest without gaps"
    # A ruler alone would be off by up to a quarter of a millimetre; the patches close at steps of a tenth.
    assert abs(found.width - wide) <= max(0.08 * nominal, 0.5 * abs(half_millimetres(wide) - wide))
    assert abs(found.gain - gain) <= 0.06
    assert found.opacity == pytest.approx(0.65)


def test_bad_lines_are_left_out_and_every_line_bad_is_an_error():
    document = with_pens(BLACK)
    seen = (LineSeen(20, 2.3, bleeds=True), LineSeen(40, 2.1), LineSeen(80, 1.7, has_gaps=True))
    found = learnt_pen(document, BLACK, StripReading(seen))
    assert (found.speed, found.width) == (40, 2.1)
    with pytest.raises(BadValue, match="slower or a faster"):
        learnt_pen(document, BLACK, StripReading(seen[:1]))
    with pytest.raises(BadValue, match="press the pen further down"):
        learnt_pen(document, BLACK, StripReading((LineSeen(20, 2.0, has_gaps=True),)))
    with pytest.raises(BadValue, match="no line is 0 mm wide"):
        learnt_pen(document, BLACK, StripReading((LineSeen(20, 0.0),)))


def test_the_width_is_that_of_the_speed_at_which_the_machine_will_draw():
    """The pen draws well at 80 mm/s, but the machine draws at 40."""
    seen = (LineSeen(20, 2.4), LineSeen(40, 2.0), LineSeen(80, 1.6))
    found = learnt_pen(with_pens(BLACK), BLACK, StripReading(seen))
    assert (found.speed, found.width) == (80.0, 2.0)


def test_patches_alone_teach_too():
    found = learnt_pen(with_pens(BLACK), BLACK, StripReading(closed=90.0))
    assert 1 / 0.9 <= found.width <= 1 / 0.8 and found.speed == BLACK.speed
    thin = learnt_pen(with_pens(BLACK), BLACK, StripReading(closed=WHITE_EVERYWHERE))
    assert thin.width <= 1 / 1.25
    with pytest.raises(BadValue, match="do not fit together"):
        learnt_pen(with_pens(BLACK), BLACK, StripReading((LineSeen(40.0, 2.0),), closed=WHITE_EVERYWHERE))


LIFTS = [(0.0, 0.0), (0.1, 0.05), (0.2, 0.1), (0.3, 0.0)]


@pytest.mark.parametrize(("late", "slow"), LIFTS)
def test_the_strip_teaches_how_long_the_lift_needs(strip_motion, late, slow):
    """A lift that needs so many s more than it is given: what its dashes look like comes from the planned motion."""
    document, plan = strip_motion
    motion = plan.motion
    is_dash = np.isclose(plan.strokes.lengths(), DASH, atol=0.01) & np.isclose(
        plan.strokes.starts[:, 1], plan.strokes.ends[:, 1], atol=0.01
    )
    run = next(r for r in np.flatnonzero(motion.down).tolist() if is_dash[motion.stroke[r]])
    seen = []
    for number, seconds in ((run, late), (run + 1, slow)):
        here = slice(motion.runs[number], motion.runs[number + 1])
        way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(motion.pen_xy[here], axis=0).T))])
        seen.append(float(np.interp(seconds, motion.time[here] - motion.time[here][0], way)))
    reading = StripReading(late=half_millimetres(seen[0]), tail=half_millimetres(seen[1]))
    lift = learnt_lift(document, {"black": reading})
    before = document.machine.lift
    assert abs(lift.lower_time - (before.lower_time + late)) <= 0.06
    assert abs(lift.raise_time - (before.raise_time + slow)) <= 0.06


def test_the_slowest_pen_decides_and_dots_shorten():
    document = with_pens(YELLOW, BLACK)
    before = document.machine.lift
    dots = StripReading(has_dots=True)
    assert learnt_lift(document, {"black": dots}).lower_time == pytest.approx(0.75 * before.lower_time, abs=0.006)
    good = StripReading(late=0.0, tail=0.0)
    assert learnt_lift(document, {"black": dots, "yellow": good}) == before
    late = learnt_lift(document, {"black": StripReading(late=2.0), "yellow": good})
    assert late.lower_time > before.lower_time + 0.1
    assert with_strip_read(document, {"black": StripReading(late=2.0)}).machine.lift == late
    for wrong, said in (
        (StripReading(late=DASH), "Pen down, difference"),
        (StripReading(tail=8.0), "Pen up"),
        (StripReading(late=1.0, has_dots=True), "not both"),
    ):
        with pytest.raises(BadValue, match=said):
            learnt_lift(document, {"black": wrong})


def test_a_strip_is_drawn_with_the_pens_own_speed():
    document = with_pens(edits.replace(BLACK, speed=10.0))
    assert strip_speeds(document, document.pens[0]) == [5.0, 10.0, 20.0]


def test_the_sheet_says_what_to_read(strip_job):
    from pypdf import PdfReader

    pages = PdfReader(io.BytesIO(hanging_sheet(strip_job))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert "What to read" in text and "Like stripes" in text and "the same pen, without a pause" in text
    offsets = dataclasses.replace(strip_job, document=offset_figure(with_pens(YELLOW, BLACK), 0))
    assert "continues lines of Yellow" in pen_figure_section(offsets)
    assert pen_figure_section(dataclasses.replace(strip_job, document=with_pens(YELLOW))) == ""


def test_figures_are_read_by_command(tmp_path, capsys):
    project = tmp_path / "job.wallwright"
    write_project(project, with_pens(BLACK, YELLOW))
    seen = "Yellow=20:1.5,40:1.3,80:1.1gaps,stripes:45,closed:80,hides:65,late:2,tail:0.5"
    assert main(["pens", str(project), "--offset", "Yellow=12@10,8.5@17.5", "--seen", seen, "--write"]) == 0
    found = read_project(project)
    pen = found.pens[1]
    assert abs(pen.tip_right - 2) < 0.2 and abs(pen.tip_down + 1.5) < 0.2
    assert pen.speed == 40.0 and 1.25 <= pen.width <= 1.4 and pen.opacity == 0.65 and pen.gain != 0
    assert found.machine.lift.lower_time > 0.45
    assert main(["pens", str(project), "--seen", "Black=closed:none,dots", "--write"]) == 0
    capsys.readouterr()
    for option, value, said in (
        ("--seen", "Black=stripes:1.2.3", "cannot be read"),
        ("--seen", "Black=stripes:none", "cannot be read"),
        ("--offset", "Yellow=,", "write PEN"),
        ("--offset", "Yellow=@3,@40", "0 to 25"),
    ):
        assert main(["pens", str(project), option, value]) == 2
        assert said in capsys.readouterr().err
