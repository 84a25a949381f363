"""Five controllers with different settings run the exported files, each read by a strict independent controller."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.jobs import document_of, planned_job
from tests.support.strict_controllers import Refused, StrictController
from wallwright.document import edits
from wallwright.document.code_settings import CodeSettings
from wallwright.document.consistency import validate
from wallwright.document.controller import Controller, Lift
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadValue
from wallwright.document.machine import Belt
from wallwright.jobs.code_verification import replay
from wallwright.jobs.file_cautions import FILE_CAUTIONS
from wallwright.jobs.post_processor import CustomLines, PostProcessor
from wallwright.jobs.program_parts import parts
from wallwright.jobs.read_back import Mismatch
from wallwright.jobs.rs274 import Part, part_code, program_of
from wallwright.jobs.sample_program import sample_lines, sample_program

ART = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<circle cx="50" cy="50" r="40" fill="none" stroke="#202020"/><path d="M10 95H90" stroke="#c02020"/>'
    b'<path d="M10 5H90M20 10V60" stroke="#c02020"/></svg>'
)
PENS = (Pen("black", "Black", "#202020", 1.0), Pen("red", "Red", "#c02020", 1.0))
USUAL = frozenset({"G17", "G21", "G40", "G49", "G80", "G90", "G94"})
STEPS = 80.0  # 200 full steps in 16 microsteps over 20 teeth of 2 mm
CASES = {
    "plain": (Lift(), Controller(), StrictController("plain")),
    "servo": (
        Lift(kind="servo", up=30, down=90),
        Controller(
            code=CodeSettings(
                modes="short",
                dwell_unit="ms",
                comments="none",
                pause_message="none",
                line_ending="crlf",
                decimals=2,
                line_length=80,
            )
        ),
        StrictController(
            "servo",
            words=frozenset({"G21", "G90", "G94"}),
            wait_seconds=0.001,
            lift="M3 M3",
            up=30,
            down=90,
            comments=False,
            ending=b"\r\n",
            decimals=2,
            longest=80,
        ),
    ),
    "steps": (
        Lift(kind="dwell", up=0.011, down=0.022),
        Controller(
            code=CodeSettings(
                left_axis="A",
                right_axis="B",
                right_reversed=True,
                unit="steps",
                feed_unit="second",
                start="none",
                modes="none",
                decimals=0,
                comments="short",
            )
        ),
        StrictController(
            "steps",
            axes="AB",
            per_mm=(STEPS, -STEPS),
            words=frozenset(),
            feed_seconds=1.0,
            lift="G4 G4",
            up=0.011,
            down=0.022,
            preset=False,
            decimals=0,
        ),
    ),
    "revolutions": (
        Lift(),
        Controller(
            code=CodeSettings(
                lift_axis="C",
                unit="revolutions",
                feed_unit="inverse",
                start="stop",
                pause="M60",
                end="M30",
                files="pens",
                decimals=5,
            )
        ),
        StrictController(
            "revolutions",
            per_mm=(1 / 40, 1 / 40),
            words=(USUAL - {"G94"}) | {"G93"},
            feed_seconds=0,
            lift="C",
            pause="M60",
            end="M30",
            decimals=5,
        ),
    ),
    "inches": (
        Lift(kind="spindle", up=0, down=700),
        Controller(
            takes="plane",
            curves="arcs",
            code=CodeSettings(
                unit="inches",
                pause_message="message",
                header="lamp on\nhome all",
                pen_change="T{pen_number} is {pen}",
                footer="beep",
                files="size",
                file_size=6.0,
                decimals=5,
            ),
        ),
        StrictController(
            "inches",
            per_mm=(1 / 25.4, 1 / 25.4),
            words=(USUAL - {"G21"}) | {"G20"},
            has_arcs=True,
            lift="M3 M5",
            up=0,
            down=700,
            own=("lamp on", "home all", "T1 is Black", "T2 is Red", "beep"),
            decimals=5,
        ),
    ),
}


@pytest.fixture(scope="module", params=CASES)
def case(request):
    """Name, strict controller, program, and its files."""
    lift, controller, strict = CASES[request.param]
    document = document_of(
        ART, centre=(1000.0, 950.0), width=500.0, lift=lift, controller=controller, belt=Belt(left_stop=200.0)
    )
    document = validate(edits.replace(document, pens=PENS))
    job = planned_job(document)
    path = job.code_in_plane if controller.takes == "plane" else job.belts
    program = program_of(job, path)
    files = [(part, b"".join(part_code(program, part, lambda done: None))) for part in parts(program)]
    return request.param, strict, program, files


def run_all(strict: StrictController, program, files):
    """What the files draw one after the other; a controller without G92 knows where it is."""
    if not strict.preset:
        start = np.round(program.path.values[0] * strict.per_mm, strict.decimals)
        strict = replace(strict, begins=tuple(start.tolist()))
    return [strict.run(data) for _, data in files]


def test_each_controller_draws_what_was_planned(case):
    """With the pen down at all planned points to the last digit, in the planned time, with a pause for each pen."""
    name, strict, program, files = case
    drawn = run_all(strict, program, files)
    path = program.path
    lines = [line for one in drawn for line in one.lines]
    wanted = [path.values[path.runs[r] : path.runs[r + 1]] for r in np.flatnonzero(path.down)]
    assert len(lines) == len(wanted) == 4
    digit = 0.5 * 10.0**-strict.decimals / min(abs(p) for p in strict.per_mm)
    for line, points in zip(lines, wanted, strict=True):
        far = shapely.distance(shapely.LineString(line), shapely.points(points))
        assert far.max() <= 2 * digit + 1e-6
        if path.centre is None:
            assert len(line) == len(points)
    assert sum(one.pauses for one in drawn) == 2 + 2 * (name == "revolutions")
    seconds = 60 * np.nansum(path.lengths / program.feeds)
    if name == "revolutions":  # the faster belt is let out at half its speed
        seconds += np.abs(path.values[0] - (200.0, 150.0)).max() / (0.5 * program.machine.limits.belt_speed)
    assert sum(one.seconds for one in drawn) == pytest.approx(seconds, rel=2e-3)
    lift = program.machine.lift
    waits = len(wanted) * (lift.lower_time + lift.raise_time) + len(files) * lift.raise_time
    assert sum(one.waited for one in drawn) == pytest.approx(waits)


def test_steps_are_those_of_the_motors_when_the_controller_has_another_number_of_steps():
    """True: 80 steps per mm of belt, by pulley and motor. What the controller believes does not turn the motors."""
    code = CodeSettings(unit="steps", decimals=0)
    document = document_of(
        ART, centre=(1000.0, 950.0), width=500.0, controller=Controller(assumed_steps=79.0, code=code)
    )
    job = planned_job(edits.replace(document, pens=PENS))
    program = program_of(job, job.belts)
    whole = Part(0, 0, len(program.path.down))
    data = b"".join(part_code(program, whole, lambda done: None))
    assert b"Lengths are scaled by 1.012658: the belts have 80 microsteps per mm" in data
    drawn = StrictController("steps", per_mm=(STEPS, STEPS), decimals=0).run(data)
    assert drawn.begin is not None
    belts = job.start_pose.belts[0]
    assert np.abs(np.array(drawn.begin) - belts).max() <= 0.5 / STEPS + 1e-6
    assert replay([data], program, whole).strokes == 4


def test_an_own_line_of_placeholders_alone_is_not_every_line():
    own = CustomLines(CodeSettings(header="{pen}\nT{pen_number}", pen_change="{hanging}{machine}"))
    assert b"T1" in own and b"M0" in own
    assert b"G1 X1..5 Y2" not in own and b"" not in own
    assert b"" not in CustomLines(CodeSettings(header="{pen}"))


@pytest.mark.parametrize("length", [80, 256])
def test_long_comments_take_several_lines_and_nothing_of_them_is_lost(length):
    machine = edits.replace(Document().machine, controller=Controller(code=CodeSettings(line_length=length)))
    text = " ".join([*FILE_CAUTIONS, "x" * 400])
    lines = PostProcessor(machine).note(text)
    assert len(lines) > 1 and max(map(len, lines)) == length
    assert all(line[0] == "(" and line[-1] == ")" for line in lines)
    assert "".join(line[1:-1].replace(" ", "") for line in lines) == text.replace(" ", "")


def test_each_file_reads_back(case):
    _, _, program, files = case
    for part, data in files:
        assert replay([data], program, part).strokes == int(program.path.down[part.first : part.last].sum())


def test_files_begin_where_the_last_one_ended(case):
    name, strict, program, files = case
    if name != "inches":
        return
    assert len(files) > 2
    assert all(len(data) <= 6_000 for _, data in files)
    assert sum(len(one.own) for one in run_all(strict, program, files)) == 3 * len(files) + 2
    bounds = [part.first for part, _ in files[1:]]
    assert not program.path.down[bounds].any(), "a file begins with a travel: a stroke is never torn"


def test_a_controller_refuses_the_files_of_another(case):
    name, _, program, files = case
    for other, (_, _, strict) in CASES.items():
        if other == name or (other, name) == ("plain", "plain"):
            continue
        with pytest.raises(Refused):
            run_all(strict, program, files)


def test_the_preview_has_the_words_of_the_settings(case):
    name, _, program, _ = case
    document = edits.replace(Document(), machine=program.machine, pens=PENS)
    lines = sample_lines(document)
    if name == "inches":
        assert "home all" in lines and "T2 is Red" in lines and "G17 G20 G40 G49 G80 G90" in lines
        assert any(line.startswith("(MSG, Pen 2: Red") for line in lines)
    assert lines[-1] == program.machine.controller.code.end
    assert sum(line == program.machine.controller.code.pause for line in lines) == 2 + 2 * (name == "revolutions")


def test_the_wound_in_start_lets_out_before_it_draws(case):
    name, _, program, files = case
    if name != "revolutions":
        return
    lines = files[0][1].decode().splitlines()
    preset = lines.index("G92 X5 Y3.75")  # 200 and 150 mm of belt
    post = PostProcessor(program.machine)
    assert lines[preset - 2 : preset] == ["(MSG, Wind both belts in to their stops, then continue)", "M60"]
    assert lines[preset + 1].startswith(f"G1 {post.position(program.path.values[0])} F")
    assert lines[preset + 2 : preset + 4] == ["(MSG, Hang the body between the anchors now, then continue)", "M60"]
    # A later file goes on from where the machine is.
    later = files[1][1].decode()
    assert "stops" not in later and f"G92 {post.position(program.path.values[0])}" in later


@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"left_axis": "Y"}, "different letters"),
        ({"left_axis": "A"}, "cannot share a feed"),
        ({"header": "{nothing}"}, "contains {nothing}"),
        ({"footer": "Tsch\u00fcss"}, "ASCII"),
        ({"pause": " "}, "one line"),
        ({"pen_change": "x" * 300}, "more than 256"),
    ],
)
def test_settings_that_cannot_be_written_are_refused(changes, what):
    machine = Document().machine
    controller = Controller(code=CodeSettings(**changes))
    with pytest.raises(BadValue, match=what):
        validate(edits.replace(Document(), machine=edits.replace(machine, controller=controller)))


@settings(deadline=None, derandomize=True, max_examples=40)
@given(
    st.sampled_from(["mm", "inches", "steps", "revolutions"]),
    st.sampled_from(["minute", "second", "inverse"]),
    st.booleans(),
    st.booleans(),
    st.integers(2, 6),
    st.sampled_from(["axis", "spindle", "servo", "dwell"]),
    st.sampled_from(["preset", "stop", "none"]),
)
def test_whatever_the_settings_a_program_reads_back(unit, feed_unit, left, right, decimals, kind, start):
    code = CodeSettings(
        unit=unit, feed_unit=feed_unit, left_reversed=left, right_reversed=right, decimals=decimals, start=start
    )
    machine = edits.replace(Document().machine, controller=Controller(code=code), lift=Lift(kind=kind, up=3, down=7))
    program = sample_program(edits.replace(Document(), machine=machine))
    whole = Part(0, 0, len(program.path.down))
    text = b"".join(part_code(program, whole, lambda done: None))
    assert replay([text], program, whole).strokes == 1
    lines = text.splitlines(keepends=True)
    with pytest.raises(Mismatch):
        replay([b"".join(line for line in lines if not line.startswith(b"M0"))], program, whole)
