"""Compares the moves of a replayed RS-274 file with its path: points, arcs, feeds and the pen."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.language import tr
from wallwright.jobs.coordinates import ControllerPath
from wallwright.jobs.interpreter.constants import INCH
from wallwright.jobs.post_processor import turning
from wallwright.jobs.read_back import Comparison, VerifiedFile
from wallwright.jobs.rs274 import Part, Program, let_out, let_out_feed, stop_lengths

ROUNDING = 1e-7
"""Tolerance beyond half of the last digit, in units of the axes, for binary rounding."""


class MoveComparison:
    """Compares points, arcs and feeds of a part of a program with those read."""

    def __init__(self, program: Program, part: Part) -> None:
        post, code = program.post, program.machine.controller.code
        path, mm = post.in_axes(program.path), program.path
        inside = np.zeros(len(path.values), dtype=bool)
        inside[path.runs[part.first] : path.runs[part.last]] = True
        inside[path.runs[:-1]] = False
        at = np.flatnonzero(inside)
        down = np.repeat(path.down, np.diff(path.runs))[inside]
        ways, turns = _centres_and_words(path, at)
        feed = post.feed_numbers(program.feeds, mm)[inside]
        values = path.values[inside]
        lead = let_out(program) * post.factors if part.first == 0 else np.zeros((0, 2))
        begin = path.values[path.runs[part.first]] if len(path.values) else np.zeros(2)
        if len(lead):
            begin = stop_lengths(program) * post.factors
            values = np.concatenate([lead, values])
            down, turns = np.concatenate([[False], down]), np.concatenate([[1], turns])
            ways, feed = np.concatenate([np.zeros((1, 2)), ways]), np.concatenate([[let_out_feed(program)], feed])
        inch = INCH if code.unit == "inches" and code.feed_unit != "inverse" else 1.0
        inch = -inch if code.feed_unit == "inverse" else inch  # the interpreter's sign for inverse time
        tolerance = code.resolution + ROUNDING
        self.start = np.round(begin, code.decimals)
        """(2,) position of the two axes before the first line, in units of the axes."""
        self._scale = post.scale
        self._points = Comparison(values / post.scale, down, tolerance / post.scale)
        self._arcs = Comparison(
            ways, turns, tolerance, tr("there is a line instead of an arc, or an arc in the wrong direction")
        )
        self._feeds = Comparison(
            feed[:, None] * inch,
            np.zeros(len(feed)),
            0.01 * 10.0**-post.feed_decimals,
            off=lambda by: tr("a feed is off by {0:.4g}", by),
        )

    def take(self, moves: Floats) -> None:
        """Compares the next moves, (m, 7): two axes, the centre relative to the start, feed, G word and whether the pen is
        down. Raises Mismatch."""
        self._points.take(moves[:, :2] / self._scale, moves[:, 6] == 1.0)
        self._arcs.take(moves[:, 2:4], moves[:, 5])
        self._feeds.take(moves[:, 4:5], np.zeros(len(moves)))

    def done(self, strokes: int) -> VerifiedFile:
        self._arcs.done(0)
        self._feeds.done(0)
        return self._points.done(strokes)


def _centres_and_words(path: ControllerPath, at: Integers) -> tuple[Floats, Integers]:
    """Returns (m, 2) the centres of the moves to points (m,), relative to their starts, 0 for a line; and (m,) G numbers."""
    if path.centre is None:
        return np.zeros((len(at), 2)), np.ones(len(at), dtype=np.int64)
    return np.nan_to_num(path.centre[at] - path.values[at - 1]), turning(path, at)
