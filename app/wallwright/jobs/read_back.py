"""Reads written files back and compares them with the plan before an export is complete.

A file is read and compared in pieces of whole lines, so that a large job's text is never whole in memory.
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

PIECE = 2_000_000
"""Size of a piece, bytes."""
PATH = "{http://www.w3.org/2000/svg}path"
Progress = Callable[[float], None]


class Mismatch(Exception):
    """A written file differs from the plan."""


@dataclass(frozen=True)
class VerifiedFile:
    """Result of the comparison of a file."""

    points: int
    strokes: int
    largest_difference: float
    """Largest difference from the plan, mm."""
    stroke_lines: Integers = field(default_factory=lambda: np.zeros(0, dtype=np.int64), compare=False)
    """(k,) line, from 1, at which each stroke begins, in files of lines."""
    first_stroke: int = field(default=0, compare=False)
    """Index of the first of these strokes in the job: a part of a split program has only its own."""

    @property
    def for_report(self) -> dict[str, float]:
        """Entry for the report."""
        return {"points": self.points, "strokes": self.strokes, "largest_difference": self.largest_difference}


class Comparison:
    """Compares points with the expected ones as they are read."""

    def __init__(
        self,
        wanted: Floats,
        state: Floats | Integers | Flags,
        tolerance: float,
        other: str = "",
        off: Callable[[float], str] = lambda by: tr("a point is off by {0:.4f} mm", by),
    ) -> None:
        """wanted: (n, m) expected, mm; state: (n,) expected state, such as pen down; other: message when that differs; off:
        returns the message for a deviation."""
        self._wanted, self._state, self._tolerance, self._off = wanted, state, tolerance, off
        self._other = other or tr("the pen is down where it should be up")
        self._count, self._worst = 0, 0.0

    def take(self, found: Floats, state: Floats | Integers | Flags) -> None:
        """Compares the next values, (k, m), and their state. Raises Mismatch."""
        first, last = self._count, self._count + len(found)
        self._count = last
        if last > len(self._wanted):
            return  # reported at the end, with the total count
        if not np.array_equal(state, self._state[first:last]):
            raise Mismatch(self._other)
        difference = float(np.abs(found - self._wanted[first:last]).max(initial=0.0))
        if not difference <= self._tolerance:
            raise Mismatch(self._off(difference))
        self._worst = max(self._worst, difference)

    def done(self, strokes: int) -> VerifiedFile:
        """Returns the result after the last values. Raises Mismatch."""
        if self._count != len(self._wanted):
            raise Mismatch(tr("it has {0} points instead of {1}", self._count, len(self._wanted)))
        return VerifiedFile(self._count, strokes, round(self._worst, 6))


def _table(text: bytes, delimiter: str | None = None) -> Floats:
    """Returns (n, m) numbers, one row per line. Raises ValueError."""
    if not text.strip():  # numpy would only warn, on the terminal
        raise ValueError("no numbers in it")
    return np.loadtxt(io.BytesIO(text), delimiter=delimiter, ndmin=2)


def pieces_of(file: Path, progress: Progress) -> Iterator[bytes]:
    """Yields a file in pieces of whole lines."""
    size, read = max(file.stat().st_size, 1), 0
    with open(file, "rb") as stream:
        while piece := stream.read(PIECE):
            if not piece.endswith(b"\n"):
                piece += stream.readline()
            read += len(piece)
            progress(read / size)
            yield piece if piece.endswith(b"\n") else piece + b"\n"


def verify_svg(file: Path, path: ControllerPath, progress: Progress) -> VerifiedFile:
    """Compares every point of the corrected SVG with the path's strokes. Raises Mismatch."""
    keep = np.repeat(path.down, np.diff(path.runs))
    wanted = path.values[keep]
    comparison = Comparison(wanted, np.ones(len(wanted), dtype=bool), 1e-3)
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
    """Compares every line of the motion table with the motion. Raises Mismatch."""
    motion = job.motion
    down = np.repeat(motion.down, np.diff(motion.runs))
    comparison = Comparison(job.counted(motion.belts), down, 1e-4)
    stated, before = None, -np.inf
    for piece in pieces_of(file, progress):
        if stated is None:
            head, _, piece = piece.partition(b"\n")
            stated = _stated_lines(head)
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


def _stated_lines(head: bytes) -> int:
    """Returns the number of lines stated in the first line of a motion table."""
    try:
        return int(json.loads(head)["lines"])
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        raise Mismatch(tr("the motion table does not state its number of lines")) from error
