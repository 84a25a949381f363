"""Read-back of RS-274 that cannot be fooled: interpreter after NISTIR 6556, and mutations of exported programs."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.code_trace import AT_REST, LEFT_BEHIND, same, trace
from tests.support.jobs import SQUARE, document_of, planned_job
from tests.support.mutants import mutants
from tests.support.ngc import NotRs274
from wallwright.document.controller import Controller, Lift
from wallwright.jobs.code_verification import replay
from wallwright.jobs.interpreter.interpreter import Interpreter, ProgramError
from wallwright.jobs.read_back import Mismatch
from wallwright.jobs.rs274 import Part, part_code, program_of

ROUND = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<circle cx="50" cy="50" r="40" fill="none" stroke="#202020"/><path d="M10 95H90" stroke="#202020"/></svg>'
)
HEAD = b"G17 G21 G40 G49 G80 G90 G94\nG92 X0 Y0\n"


def events(text: bytes, **begins):
    return Interpreter(known={"Z": 0.0}, **begins).run(text)


@pytest.fixture(scope="module", params=["axis", "spindle", "arcs"])
def program(request):
    """A job, its path and its program."""
    machine = {
        "axis": {},
        "spindle": {"lift": Lift(kind="spindle", up=0, down=700)},
        "arcs": {"controller": Controller(takes="plane", curves="arcs")},
    }[request.param]
    job = planned_job(document_of(ROUND, centre=(1000.0, 950.0), width=200.0, **machine))
    path = job.code_in_plane if request.param == "arcs" else job.belts
    return written(job, path)


def written(job, path):
    """A program, its whole as one part, and its text."""
    whole, part = program_of(job, path), Part(0, 0, len(path.down))
    return whole, part, b"".join(part_code(whole, part, lambda done: None)).decode()


def caught(text: str, whole, part) -> bool:
    try:
        replay([text.encode()], whole, part)
    except Mismatch:
        return True
    return False


@pytest.mark.parametrize("every", [3, pytest.param(1, marks=pytest.mark.slow)])
def test_every_mutation_that_changes_the_motion_is_caught(program, every):
    """Whether it does is judged by an independent reader, from a usual and from an unusual modal state. every: a third of
    them all, or all."""
    whole, part, text = program
    assert not caught(text, whole, part)
    rest, left = trace(text, AT_REST), trace(text, LEFT_BEHIND)
    assert same(rest, left)
    found, missed = 0, []
    for mutant in itertools.islice(mutants(text), 0, None, every):
        if caught(mutant.text, whole, part):
            found += 1
            continue  # the judge takes five times as long: it is asked about the others only
        try:
            changes = not (same(rest, trace(mutant.text, AT_REST)) and same(left, trace(mutant.text, LEFT_BEHIND)))
        except NotRs274:
            changes = True
        if changes:
            missed.append((mutant.kind, mutant.line, mutant.change))
    assert found > 200 // every
    assert missed == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (" G21 ", " G20 "),
        (" G90\n", " G91\n"),
        ("G92 X", "G92 X1"),
        ("F", "F1"),
        ("\nM0\n", "\n"),
        ("\nM2\n", "\n"),
        ("G4 P0.25", "G4 P0"),
    ],
)
def test_the_seven_that_once_passed(old, new):
    """G20 for G21, G91 for G90, wrong G92, feeds ten times as high, no M0, no M2, no time to lift."""
    job = planned_job(document_of(SQUARE, centre=(1000.0, 900.0), width=400.0))
    whole, part, text = written(job, job.belts)
    assert caught(text.replace(old, new), whole, part)


def test_what_the_standard_leaves_open_is_left_open(program):
    """NISTIR 6556, 3.3.2, 3.3.5 and 3.5: spaces and case mean nothing, words of a line may stand in any order, a modal
    motion need not be repeated, lines may be numbered."""
    whole, part, text = program
    assert not caught(text.lower().replace(" x", "x").replace("g1", "g 01").replace("(stroke", "(stroke"), whole, part)
    numbered = (f"N{i % 99999} {line}" if line[0] != "(" else line for i, line in enumerate(text.splitlines()))
    assert not caught("\n".join(numbered) + "\n", whole, part)
    turned = (" ".join(reversed(line.split())) if line[0] == "G" else line for line in text.splitlines())
    assert not caught("\n".join(turned) + "\n", whole, part)
    assert not caught(text.replace("\n", "\r\n"), whole, part)
    assert not caught("%\n" + text + "%\n", whole, part)


def test_inches_relative_moves_and_inverse_time():
    """NISTIR 6556, 3.5.19 (G93): a move takes 1/F minutes; 1 inch is 25.4 mm."""
    found = events(b"G17 G20 G40 G49 G91 G93\nG1 X1 F2\nG1 X1 Y-1 F0.5\nG94 G21 G1 X10 F60\n")
    assert found.axis("X").tolist() == pytest.approx([25.4, 50.8, 60.8])
    assert found.axis("Y").tolist() == pytest.approx([0, -25.4, -25.4])
    assert found.seconds.tolist() == pytest.approx([30, 120, 10])


def test_arcs_in_centre_and_radius_format_are_the_same():
    """NISTIR 6556, 3.5.3: the examples of both formats, "G17 G2 x 10 y 15 r 20" and "i 3 j 4"."""
    for g, r in itertools.product((2, 3), (20.0, -20.0)):
        radius = events(HEAD + f"G{g} X10 Y15 R{r} F100\n".encode())
        i, j = radius.centre[0]
        centre = events(HEAD + f"G{g} X10 Y15 I{i:.6f} J{j:.6f} F100\n".encode())
        assert centre.seconds[0] == pytest.approx(radius.seconds[0], rel=1e-6)
        half = 2 * math.asin(math.hypot(10, 15) / 40)
        assert radius.seconds[0] == pytest.approx(0.6 * 20 * (half if r > 0 else 2 * math.pi - half))
    whole = events(HEAD + b"G3 X0 Y0 I3 J4 F100\n")
    assert whole.seconds[0] == pytest.approx(0.6 * 2 * math.pi * 5)


def test_arcs_in_the_other_planes():
    """NISTIR 6556, 3.5.3.2: G18 takes I and K, G19 J and K; travel along the third axis makes a helix."""
    xz = events(b"G18 G21 G40 G49 G90 G94\nG92 X0 Y0\nG3 X3 Z0 I1.5 K0 F60\n")
    assert xz.seconds[0] == pytest.approx(1.5 * math.pi)
    helix = events(HEAD + b"G2 X2 Y0 Z4 I1 J0 F60\n")
    assert helix.seconds[0] == pytest.approx(math.hypot(math.pi, 4))


@pytest.mark.parametrize(
    ("line", "what"),
    [
        (b"G1 X1 F1 (open\n", "comment"),
        (b"G1 G0 X1 F1\n", "exclude"),
        (b"X1 X2\n", "the same word twice"),
        (b"G1 X1\n", "without a feed"),
        (b"G92.1\n", "does not know"),
        (b"G28\n", "does not know"),
        (b"G1 X#1 F1\n", "expression"),
        (b"/G1 X1 F1\n", r"a block delete mark \(/\)"),
        (b"G1 Xone F1\n", "letter without a number"),
        (b"G2 X5 Y5 I9 J9 F60\n", "does not end on its circle"),
        (b"G1 F60\n", "a move without an axis"),
        (b"G4\n", "without a time"),
        (b"G4 P-1\n", "negative"),
        (b"N1.5 G1 X1 F1\n", "an invalid line number"),
        (b"M99\n", "standard does not have"),
        (b"G1 X1 F1 " + b" " * 250 + b"\n", "more characters"),
        (b"G1 X1 P2 F5\n", "nothing on its line uses"),
        (b"G93 G1 X1\n", "without a feed"),
    ],
)
def test_what_does_not_follow_the_standard_is_named_with_its_line(line, what):
    with pytest.raises(ProgramError, match=f"^line 4 has .*{what}"):
        events(HEAD + b"(a comment)\n" + line)


def test_a_mode_that_nothing_set_is_not_guessed():
    with pytest.raises(ProgramError, match="no word has set units"):
        events(b"G1 X1 F1\n")
    with pytest.raises(ProgramError, match="no word has set where the machine is"):
        events(b"G17 G21 G40 G49 G90 G94 G1 X1 F1\n")
    assert len(events(b"G91 G1 X1 F1\n", modes=("G17", "G21", "G40", "G49", "G94"))) == 1


def test_nothing_after_the_end_is_carried_out():
    """NISTIR 6556, 3.6.1 and 3.1."""
    assert len(events(HEAD + b"M2\nG1 X5 F5\n")) == 1
    assert len(events(b"%\n" + HEAD + b"%\nG1 X5 F5\n")) == 0


@settings(deadline=None, derandomize=True, max_examples=40)
@given(st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500), st.floats(1, 9000)), min_size=1, max_size=30))
def test_pieces_of_a_program_are_followed_as_the_whole_is(moves):
    """However a file is cut into pieces of whole lines."""
    lines = [HEAD, *(f"G1 X{x:.3f} Y{y:.3f} F{f:.1f}\n".encode() for x, y, f in moves), b"M2\n"]
    one, parts = Interpreter(), Interpreter()
    whole = one.run(b"".join(lines)).rows
    assert np.array_equal(whole, np.concatenate([parts.run(line).rows for line in lines]))
    assert parts.has_ended
