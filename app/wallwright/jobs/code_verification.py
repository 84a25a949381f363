"""Verification of RS-274 files: replays them and compares path, pen, feeds, waits, pauses and end with the plan.

An interpreter of the standard (jobs/interpreter/), independent of the code that writes the files, runs the program. Every
move is compared with the path by its point, centre and feed; so are, in order, all pen lifts, waits, stops and the end
between the moves. Custom lines are replayed alone first; their actions are then expected at their place.

An action is a row: number of moves before it, kind, value.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from enum import IntEnum
from pathlib import Path

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.code_settings import custom_lines, custom_texts
from wallwright.document.language import tr
from wallwright.jobs.interpreter import constants as e
from wallwright.jobs.interpreter.constants import INCH
from wallwright.jobs.interpreter.interpreter import AXES, Events, Interpreter, ProgramError
from wallwright.jobs.lift_events import WAIT_TOLERANCE, lift_events
from wallwright.jobs.move_comparison import ROUNDING, MoveComparison
from wallwright.jobs.post_processor import PostProcessor
from wallwright.jobs.read_back import Mismatch, Progress, VerifiedFile, pieces_of
from wallwright.jobs.rs274 import (
    Part,
    Program,
    let_out,
    pen_changes,
    pen_height,
    values_of,
)
from wallwright.motion.friction import TAKE_UP_PAUSE

UNKNOWN_HEIGHT = -98765.4321
"""Position of the lift axis before the program moves it: a value that no lift has."""
RAISE, LOWER, WAIT, STOP, OPTIONAL, END = range(6)
"""Kinds of actions. Value of LOWER: height, speed word or P; of RAISE: excess over the machine's value; of WAIT: P;
else 0."""
_STROKE = re.compile(rb"^\(stroke (\d{1,9}) of \d{1,9}\)\r?$", re.MULTILINE)
_MOVES = np.array([e.RAPID, e.LINE, e.CLOCKWISE, e.ANTICLOCKWISE])


class _Reader:
    """Converts events of the interpreter to moves and actions, for one controller's axes and lift."""

    def __init__(self, post: PostProcessor, start: Floats, presses: Iterable[float] = (0.0,)) -> None:
        """start: (2,) position of the first two axes, in units of the axes. presses: what pens add to the lift's value."""
        self._post, self._presses = post, list(presses)
        self._axes = [AXES.index(letter) for letter in post.letters]
        self._place = np.zeros(6)
        self._place[self._axes] = [*start, UNKNOWN_HEIGHT]
        self._count, self._is_down = 0, False
        self._inch = INCH if post.code.unit == "inches" else 1.0

    @property
    def start(self) -> dict[str, float]:
        """Positions of all axes before the first line, as the interpreter counts them."""
        turn = [self._inch if letter in "XYZ" else 1.0 for letter in AXES]
        return dict(zip(AXES, (self._place * turn).tolist(), strict=True))

    def read(self, events: Events) -> tuple[Floats, Floats, Integers]:
        """Returns moves (m, 7): the two axes, centre, feed, kind, and whether the pen is down; actions (k, 3); and (k,) the
        lines of the actions. Raises Mismatch for events that no plan has."""
        kind, lift = events.kind, self._post.machine.lift
        places = events.rows[:, e.AXES : e.AXES + 6].copy()
        places[:, :3] /= self._inch
        moved = np.abs(np.diff(np.vstack([self._place, places]), axis=0)) > ROUNDING
        self._place = places[-1] if len(places) else self._place
        left, right, height = self._axes
        others = [axis for axis in range(6) if axis not in self._axes]
        on_wall = moved[:, left] | moved[:, right]
        lifts = moved[:, height]
        is_move = np.isin(kind, _MOVES)
        found = lift_events(lift, events, places[:, height], on_wall, self._presses)
        lifting, raises = found.lifting, found.raises
        if lift.kind == "axis":
            wrong = kind == e.SPINDLE
        else:
            wrong = lifts | ((kind == e.SPINDLE) & (lift.kind == "dwell"))
        is_move &= ~lifting
        wrong = wrong | (is_move & ((kind == e.RAPID) | lifts)) | moved[:, others].any(axis=1)
        if wrong.any():
            raise Mismatch(tr("line {0} moves more than the plan does", int(events.line[int(np.argmax(wrong))])))
        state = np.where(raises, 0.0, np.where(lifting, 1.0, np.nan))
        is_down = _last_known(state, self._is_down)
        self._is_down = bool(is_down[-1]) if len(is_down) else self._is_down
        before = self._count + np.cumsum(is_move) - is_move
        self._count += int(is_move.sum())
        moves = np.column_stack(
            [places[:, [left, right]], events.centre / self._inch, events.feed, kind.astype(float), is_down]
        )
        kinds = np.zeros(e.END + 1)
        kinds[[e.DWELL, e.STOP, e.OPTIONAL_STOP, e.END]] = WAIT, STOP, OPTIONAL, END
        action = np.where(raises, RAISE, np.where(lifting, LOWER, kinds[kind]))
        amount = np.where(action == LOWER, found.value, 0.0)
        amount = np.where(action == RAISE, found.value - found.up, amount)
        amount = np.where(action == WAIT, events.value, amount)
        acts = ~is_move
        return moves[is_move], np.column_stack([before, action, amount])[acts], events.line[acts]


def custom_actions(text: str, post: PostProcessor, values: dict[str, str] | None = None) -> list[tuple[float, float]]:
    """Returns the actions of custom lines, as kinds and values; lines outside the standard are ignored.

    Raises Mismatch when they move the machine.
    """
    lines = custom_lines(text, values or {})
    if not lines:
        return []
    reader = _Reader(post, np.zeros(2))
    own = {line.encode("ascii") for line in lines}
    program = Interpreter(reader.start, reader.start, post.usual_modes, post.code.line_length, own)
    try:
        events = program.run("".join(line + "\n" for line in lines).encode("ascii"))
    except ProgramError as error:
        raise Mismatch(str(error)) from error
    moves, actions, _ = reader.read(events)
    if len(moves):
        raise Mismatch(tr("the text “{0}” moves the machine", lines[0]))
    return [(float(kind), float(value)) for _, kind, value in actions]


def _interpreter(reader: _Reader, post: PostProcessor, own: set[bytes], knows: bool) -> Interpreter:
    """knows: whether the controller knows at the start where its axes are."""
    start = reader.start
    known = start if knows else {letter: v for letter, v in start.items() if letter not in post.letters[:2]}
    return Interpreter(start, known, post.assumed_modes(), post.code.line_length, own)


class _Actions:
    """Compares the actions between moves with the expected ones."""

    def __init__(self, wanted: Floats) -> None:
        self._wanted, self._count = wanted, 0

    def take(self, found: Floats, lines: Integers) -> None:
        """Compares the next actions, (m, 3), found in lines (m,). Raises Mismatch."""
        wanted = self._wanted[self._count : self._count + len(found)]
        same = np.zeros(len(found), dtype=bool)
        same[: len(wanted)] = (np.abs(found[: len(wanted)] - wanted) <= (0, 0, WAIT_TOLERANCE)).all(axis=1)
        if not same.all():
            at = int(np.argmin(same))
            raise Mismatch(
                tr(
                    "line {0} has {1} where the plan has {2}",
                    int(lines[at]),
                    _describe(found[at]),
                    _describe(wanted[at]) if at < len(wanted) else tr("nothing more"),
                )
            )
        self._count += len(found)

    def done(self) -> None:
        """Raises Mismatch when an action is missing."""
        if self._count < len(self._wanted):
            raise Mismatch(tr("it lacks {0}", _describe(self._wanted[self._count])))


def _describe(action: Floats) -> str:
    """Describes an action."""
    moves, kind, value = int(action[0]), int(action[1]), float(action[2])
    what = {
        RAISE: tr("the pen raised") if abs(value) <= WAIT_TOLERANCE else tr("the pen raised to another value"),
        LOWER: tr("the pen lowered to {0:g}", value),
        WAIT: tr("a wait of {0:g}", value),
        STOP: tr("a stop"),
        OPTIONAL: tr("an optional stop"),
        END: tr("the end"),
    }[kind]
    return tr("{0} after {1} moves", what, moves)


class _Place(IntEnum):
    """Order of a file's actions before the moves of a run."""

    HEADER = 0
    WOUND_IN = 1
    HUNG = 2
    RAISED_FIRST = 3
    RAISED = 4
    WAITED_UP = 5
    PEN_CHANGE = 6
    PAUSE = 7
    SETTLED = 8
    LOWERED = 9
    WAITED_DOWN = 10
    TAKE_UP = 11
    FOOTER = 12
    END = 13


def planned_actions(program: Program, part: Part, stops: list[int] | None = None) -> Floats:
    """Returns (m, 3) the expected actions of a file, in order: number of moves before, kind, value.

    stops: runs before which a file pauses without a pen change or footer; None: a job's file.
    """
    path, first = program.path, part.first
    lead = len(let_out(program)) if first == 0 else 0
    rows = np.concatenate(
        [
            _pause_rows(program, part, stops, lead > 0),
            _lift_rows(program, part),
            _settling_rows(program, part),
            _take_up_rows(program, part),
        ]
    )
    run, place, within = rows[:, 0].astype(np.int64), rows[:, 1], rows[:, 4]
    order = np.lexsort((within, place, run))  # stable: actions at the same place keep their order
    run, place, within = run[order], place[order], within[order]
    moves = path.runs - np.arange(len(path.runs))
    before = moves[run] - moves[first] + lead + within
    before[(run == first) & (place <= _Place.WOUND_IN)] = 0  # before the belts are let out
    return np.column_stack([before, rows[order, 2:4]])


# Rows of actions, (m, 5): the run they precede, place, kind, value, number of moves of that run before them.


def _pause_rows(program: Program, part: Part, stops: list[int] | None, is_wound_in: bool) -> Floats:
    """Returns rows of the pauses, the custom lines and the end."""
    post, path, code, first, last = program.post, program.path, program.machine.controller.code, part.first, part.last
    pause, wait = custom_actions(code.pause, post), post.wait_number(program.machine.lift.raise_time)
    raised: list[tuple[float, float]] = [(RAISE, 0.0), (WAIT, wait)]
    found = [(first, _Place.HEADER, custom_actions(code.header, post, values_of(program, part)))]
    if is_wound_in:
        found += [(first, _Place.WOUND_IN, pause), (first, _Place.HUNG, pause)]
    found.append((first, _Place.RAISED_FIRST, raised))
    if stops is None:
        changes = [run for run in pen_changes(program) if first <= run < last]
        for run in changes:
            change = custom_actions(code.pen_change, post, values_of(program, part, int(path.pen[run])))
            found.append((run, _Place.PEN_CHANGE, [*change, *pause]))
        # The begin of a pen's part or of a file has a pause already, or the same pen continues.
        refilled = set(program.refills) - set(changes) - {first, 1 if program.pauses_at_start else first}
        found += [(run, _Place.PAUSE, pause) for run in sorted(refilled) if first < run < last]
        if program.pauses_at_start and first == 0:
            found.append((1, _Place.PAUSE, pause))
        found.append((last, _Place.FOOTER, custom_actions(code.footer, post, values_of(program, part))))
    else:
        found += [(run, _Place.PEN_CHANGE, pause) for run in stops]
    found.append((last, _Place.END, custom_actions(code.end, post)))
    rows = [(run, place, kind, value, 0.0) for run, place, actions in found for kind, value in actions]
    return np.array(rows, dtype=float).reshape(-1, 5)


def _lift_rows(program: Program, part: Part) -> Floats:
    """Returns rows that lower the pen before each stroke and raise it after it, each with its wait."""
    post, path, lift = program.post, program.path, program.machine.lift
    down = np.flatnonzero(path.down[part.first : part.last]) + part.first
    heights = np.array([pen_height(lift, program.pens[int(pen)]) for pen in path.pen[down]])
    lowering, raising = (np.full(len(down), post.wait_number(s)) for s in (lift.lower_time, lift.raise_time))
    none = np.zeros(len(down))
    each = (
        (down, _Place.LOWERED, LOWER, heights),
        (down, _Place.WAITED_DOWN, WAIT, lowering),
        (down + 1, _Place.RAISED, RAISE, none),
        (down + 1, _Place.WAITED_UP, WAIT, raising),
    )
    columns = [np.column_stack([run, none + place, none + kind, value, none]) for run, place, kind, value in each]
    return np.concatenate(columns)


def _settling_rows(program: Program, part: Part) -> Floats:
    """Returns rows of the waits for the swing to fade before the pen is lowered."""
    path = program.path
    if path.settling is None:
        return np.zeros((0, 5))
    run = path.waits[(path.waits >= part.first) & (path.waits < part.last)]
    none = np.zeros(len(run))
    seconds = path.settling[run] * program.post.wait_number(1.0)
    return np.column_stack([run, none + _Place.SETTLED, none + WAIT, seconds, none])


def _take_up_rows(program: Program, part: Part) -> Floats:
    """Returns rows of the waits before and after the moves that adapt the belts to another friction."""
    path = program.path
    begins, ends = path.take_ups
    points = np.concatenate([begins - 1, ends])
    run = np.searchsorted(path.runs, points, side="right") - 1
    here = (run >= part.first) & (run < part.last)
    points, run = points[here], run[here]
    none = np.zeros(len(points))
    wait = none + program.post.wait_number(TAKE_UP_PAUSE)
    return np.column_stack([run, none + _Place.TAKE_UP, none + WAIT, wait, points - path.runs[run]])


def verify_code(file: Path, program: Program, part: Part, progress: Progress) -> VerifiedFile:
    """Replays an RS-274 file and compares it with a part of a program. Raises Mismatch."""
    return replay(pieces_of(file, progress), program, part)


def replay(pieces: Iterable[bytes], program: Program, part: Part, stops: list[int] | None = None) -> VerifiedFile:
    """Replays a file, given in pieces of whole lines, and compares it with a part of a program; stops: see
    planned_actions. Raises Mismatch."""
    post, code = program.post, program.machine.controller.code
    comparisons = MoveComparison(program, part)
    actions = _Actions(planned_actions(program, part, stops))
    reader = _Reader(post, comparisons.start, (pen.press for pen in program.pens))
    pens = [values_of(program, part, pen) for pen in range(len(program.pens))]
    own = {
        line.encode("ascii") for text in custom_texts(code) for values in pens for line in custom_lines(text, values)
    }
    interpreter = _interpreter(reader, post, own, code.start == "none")
    numbered: list[int] = []
    begins: list[int] = []
    lowered: list[Integers] = []
    lines = 0
    for piece in pieces:
        try:
            events = interpreter.run(piece)
        except ProgramError as error:
            raise Mismatch(str(error)) from error
        for number, line in _numbered_strokes(piece):
            numbered.append(number)
            begins.append(lines + line)
        lines += piece.count(b"\n")
        moves, found, at = reader.read(events)
        comparisons.take(moves)
        actions.take(found, at)
        lowered.append(at[found[:, 1] == LOWER])
    actions.done()
    strokes = program.path.stroke[part.first : part.last][program.path.down[part.first : part.last]]
    if code.comments == "none":
        begins = np.concatenate([np.zeros(0, dtype=np.int64), *lowered]).tolist()
    elif not np.array_equal(numbered, strokes + program.first + 1):
        raise Mismatch(tr("its strokes are not numbered in drawing order"))
    first_stroke = int(strokes[0]) if len(strokes) else 0
    stroke_lines = np.array(begins, dtype=np.int64)
    return replace(comparisons.done(len(strokes)), stroke_lines=stroke_lines, first_stroke=first_stroke)


def _numbered_strokes(piece: bytes) -> list[tuple[int, int]]:
    """Returns the stroke numbers in comments, with their lines in the piece, from 1."""
    found = list(_STROKE.finditer(piece))
    ends = np.flatnonzero(np.frombuffer(piece, dtype=np.uint8) == ord("\n"))
    lines = np.searchsorted(ends, [match.start() for match in found]) + 1
    return [(int(match[1]), int(line)) for match, line in zip(found, lines, strict=True)]


def _last_known(state: Floats, before: bool) -> Flags:
    """Returns (n,) bool, the state in force at each event; state: (n,) 1, 0, or nan where it does not change."""
    last = np.maximum.accumulate(np.where(np.isnan(state), -1, np.arange(len(state))))
    known: Flags = np.where(last >= 0, state[last] == 1.0, before) if len(state) else np.zeros(0, dtype=bool)
    return known
