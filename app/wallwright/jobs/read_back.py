"""Reading the written files again, to compare them with the plan before the export is called done.

A file is read in pieces of whole lines, and each piece is compared at once: a large job's text is never whole in memory.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.language import tr
from wallwright.jobs.coordinates import ControllerPath
from wallwright.jobs.job import Job
from wallwright.jobs.motion_table import HEAD_LINES
from wallwright.jobs.rs274 import turning

PIECE = 2_000_000
"""Bytes read together."""
PATH = "{http://www.w3.org/2000/svg}path"
Progress = Callable[[float], None]


class Mismatch(Exception):
    """A written file does not say what the plan says."""


@dataclass(frozen=True)
class VerifiedFile:
    """What was compared."""

    points: int
    strokes: int
    largest_difference: float
    """mm."""
    stroke_lines: Integers = field(default_factory=lambda: np.zeros(0, dtype=np.int64), compare=False)
    """(k,) line, from 1, at which each stroke begins, in files that are read by lines."""

    @property
    def for_report(self) -> dict[str, float]:
        """For the report."""
        return {"points": self.points, "strokes": self.strokes, "largest_difference": self.largest_difference}


class _Comparison:
    """Points as they are read, against all that are wanted."""

    def __init__(self, wanted: Floats, state: Floats | Integers | Flags, tolerance: float, other: str = "") -> None:
        """wanted: (n, 2) mm; state: (n,) that must be the same, such as pen down; other: the message when it is not."""
        self._wanted, self._state, self._tolerance = wanted, state, tolerance
        self._other = other or tr("the pen is down where it should be up")
        self._count, self._worst = 0, 0.0

    def take(self, found: Floats, state: Floats | Integers | Flags) -> None:
        """The next points, (m, 2), and their state."""
        first, last = self._count, self._count + len(found)
        self._count = last
        if last > len(self._wanted):
            return  # reported at the end, with the whole count
        if not np.array_equal(state, self._state[first:last]):
            raise Mismatch(self._other)
        difference = float(np.abs(found - self._wanted[first:last]).max(initial=0.0))
        if not difference <= self._tolerance:
            raise Mismatch(tr("a point is off by {0:.4f} mm", difference))
        self._worst = max(self._worst, difference)

    def done(self, strokes: int) -> VerifiedFile:
        if self._count != len(self._wanted):
            raise Mismatch(tr("it has {0} points instead of {1}", self._count, len(self._wanted)))
        return VerifiedFile(self._count, strokes, round(self._worst, 6))


def verify_code(file: Path, job: Job, path: ControllerPath, progress: Progress) -> VerifiedFile:
    """Follows RS-274 lines and compares every point, how it is reached, and whether the pen is down, with the path, and the
    strokes' numbers with those of the job."""
    moves = np.ones(len(path.values), dtype=bool)
    moves[path.runs[:-1]] = False
    down = np.repeat(path.down, np.diff(path.runs))
    comparison = _Comparison(path.values[moves], down[moves], 1e-4)
    ways = _Comparison(
        *_ways(path, np.flatnonzero(moves)),
        1e-4,
        tr("there is a line instead of an arc, or an arc in the wrong direction"),
    )
    up_height, is_down = None, False
    count, numbered, places = 0, [], []
    for piece in _pieces(file, progress):
        lines = _Lines(piece)
        arc, mark = lines.begin_with(b"G2 X") | lines.begin_with(b"G3 X"), lines.begin_with(b"(stroke ")
        move = lines.begin_with(b"G1 X") | arc
        if mark.any():
            numbered.append(lines.numbers(mark, b"(stroke", words=2)[:, 0])
            places.append(np.flatnonzero(mark) + count + 1)
        count += len(move)
        height, lower, lift = lines.begin_with(b"G0 Z"), lines.begin_with(b"M3 "), lines.begin_with(b"M5")
        state = np.where(lower, 1, np.where(lift, 0, -1)).astype(np.int8)
        if height.any():
            z = lines.numbers(height, b"GZ")[:, 1]
            # The first height in a program is that of the lifted pen.
            up_height = z[0] if up_height is None else up_height
            state[height] = z != up_height
        # Each line is drawn in the state that was set last before it.
        last = np.maximum.accumulate(np.where(state >= 0, np.arange(len(state)), -1))
        down_now = np.where(last >= 0, state[last] == 1, is_down)
        is_down = bool(down_now[-1])
        if move.any():
            found = lines.numbers(move, b"GXY")
            comparison.take(found[:, 1:], down_now[move])
            offset = np.zeros((len(found), 2))
            if arc.any():
                offset[arc[move]] = lines.numbers(arc, b"GXYIJ")[:, 3:]
            ways.take(offset, found[:, 0])
    ways.done(0)
    found = np.concatenate([np.zeros(0), *numbered])
    if not np.array_equal(found, path.stroke[path.down] + job.first + 1):
        raise Mismatch(tr("its strokes are not numbered in drawing order"))
    done = comparison.done(int(path.down.sum()))
    return replace(done, stroke_lines=np.concatenate([np.zeros(0, dtype=np.int64), *places]))


def _ways(path: ControllerPath, at: Integers) -> tuple[Floats, Integers]:
    """Where the centre of each move to points (m,) lies from its begin, (m, 2) mm, 0 for a line; and the G word's number."""
    if path.centre is None:
        return np.zeros((len(at), 2)), np.ones(len(at), dtype=np.int64)
    return np.nan_to_num(path.centre[at] - path.values[at - 1]), turning(path, at)


class _Lines:
    """A piece of a file as lines."""

    def __init__(self, piece: bytes) -> None:
        self._bytes = np.frombuffer(piece, dtype=np.uint8)
        self._ends = np.flatnonzero(self._bytes == ord("\n")) + 1
        self._starts = np.concatenate([[0], self._ends[:-1]])

    def begin_with(self, word: bytes) -> Flags:
        """(m,) bool, of each line."""
        found: Flags = self._ends - self._starts >= len(word)
        for i, character in enumerate(word):
            found[found] &= self._bytes[self._starts[found] + i] == character
        return found

    def numbers(self, which: Flags, letters: bytes, words: int | None = None) -> Floats:
        """(k, m) numbers of the lines marked in (m,) bool: word G, X, Y, ... without these letters; what follows so many
        words, by default as many as there are letters, is left out."""
        words = words or len(letters)
        kept = np.repeat(which, self._ends - self._starts)
        text = self._bytes[kept]
        length = (self._ends - self._starts)[which]
        spaces = np.cumsum(text == ord(" "))
        before = np.repeat(spaces[np.cumsum(length) - length], length)  # a line does not begin with one
        text = text[(spaces - before < words) | (text == ord("\n"))].tobytes()
        try:
            return _table(text.translate(None, delete=letters))
        except ValueError as error:
            raise Mismatch(str(error)) from error


def _table(text: bytes, delimiter: str | None = None) -> Floats:
    """(n, m) numbers, a row a line. Raises ValueError."""
    if not text.strip():  # numpy warns, on the terminal, and goes on
        raise ValueError("no numbers in it")
    return np.loadtxt(io.BytesIO(text), delimiter=delimiter, ndmin=2)


def _pieces(file: Path, progress: Progress) -> Iterator[bytes]:
    """The file in pieces of whole lines."""
    size, read = max(file.stat().st_size, 1), 0
    with open(file, "rb") as stream:
        while piece := stream.read(PIECE):
            if not piece.endswith(b"\n"):
                piece += stream.readline()
            read += len(piece)
            progress(read / size)
            yield piece if piece.endswith(b"\n") else piece + b"\n"


def verify_svg(file: Path, path: ControllerPath, progress: Progress) -> VerifiedFile:
    """Compares every point of the corrected SVG with the path's strokes."""
    keep = np.repeat(path.down, np.diff(path.runs))
    wanted = path.values[keep]
    comparison = _Comparison(wanted, np.ones(len(wanted), dtype=bool), 1e-3)
    waiting: list[str] = []
    size, strokes = 0, 0

    def compare() -> None:
        if waiting:
            try:
                found = _table("".join(waiting).encode(), ",")
            except ValueError as error:
                raise Mismatch(str(error)) from error
            comparison.take(found, np.ones(len(found), dtype=bool))
            waiting.clear()

    try:
        for _, element in ElementTree.iterparse(file):
            if element.tag == PATH:
                data = element.get("d", "")
                waiting.append(data[1:].replace("L", "\n") + "\n")
                size, strokes = size + len(data), strokes + 1
                if size > PIECE:
                    progress(strokes / max(int(path.down.sum()), 1))
                    compare()
                    size = 0
            element.clear()
    except (ElementTree.ParseError, LookupError, ValueError) as error:
        raise Mismatch(str(error)) from error
    compare()
    return comparison.done(strokes)


def verify_table(file: Path, job: Job, progress: Progress) -> VerifiedFile:
    """Compares every line of the motion table with the motion."""
    motion = job.motion
    down = np.repeat(motion.down, np.diff(motion.runs))
    comparison = _Comparison(job.counted(motion.belts), down, 1e-4)
    stated, before = None, -np.inf
    for piece in _pieces(file, progress):
        if stated is None:
            head, _, piece = piece.partition(b"\n")
            stated = _lines_said(head)
        if not piece:
            continue
        try:
            found = _table(piece.translate(None, delete=b"[]"), ",")
        except ValueError as error:
            raise Mismatch(str(error)) from error
        time = np.concatenate([[before], found[:, 0]])
        if np.any(np.diff(time) < -1e-9):
            raise Mismatch(tr("time runs backwards in the motion table"))
        before = time[-1]
        comparison.take(found[:, 1:3], found[:, 3] >= 0)
    if stated != len(motion.time):
        raise Mismatch(tr("the motion table is incomplete"))
    done = comparison.done(int(motion.down.sum()))
    return replace(done, stroke_lines=motion.runs[:-1][motion.down] + HEAD_LINES + 1)


def _lines_said(head: bytes) -> int:
    """How many lines a motion table says it has, in its first one."""
    try:
        return int(json.loads(head)["lines"])
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        raise Mismatch(tr("the motion table does not state its number of lines")) from error
