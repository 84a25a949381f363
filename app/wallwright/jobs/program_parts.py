"""Splits a program into files."""

from __future__ import annotations

import itertools

import numpy as np

from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.jobs.columns import parts_of
from wallwright.jobs.rs274 import LOOK, Moves, Part, Program, foot, head, pen_changes, pen_lines, refill_lines


def parts(program: Program) -> list[Part]:
    """Returns the files of a program: one, one for each pen, or split by size after the end of a stroke."""
    path, code = program.path, program.machine.controller.code
    count = len(path.down)
    if code.files == "one" or not count:
        return [Part(0, 0, count)]
    starts = pen_changes(program) if code.files == "pens" else _splits(program)
    bounds = itertools.pairwise([*starts, count])
    return [Part(number if len(starts) > 1 else 0, a, b) for number, (a, b) in enumerate(bounds, start=1)]


def _splits(program: Program) -> list[int]:
    """Returns the runs at which files begin so that none exceeds the largest size. Raises BadValue where one stroke with the
    travel to it is larger."""
    path, code, post = program.path, program.machine.controller.code, program.post
    most, count = 1000 * code.file_size, len(path.down)
    writer, pens, refills = Moves(program), pen_changes(program), set(program.refills)
    size = np.concatenate([writer.sizes(a, b) for a, b in parts_of(path.runs, 0, count)])
    size[pens] += [len(pen_lines(program, Part(0, run, count), run)) for run in pens]
    if program.pauses_at_start:
        size[1] += len(post.encode(post.pause(LOOK)))
    begins = np.flatnonzero(~path.down | (np.arange(count) == 0)).tolist()  # only after the end of a stroke
    starts = [0]
    taken = frame = _frame(program, Part(1, 0, count))
    for first, last in itertools.pairwise([*begins, count]):
        stroke = int(size[first:last].sum())
        pause = len(refill_lines(program, first)) if first in refills else 0
        if taken + pause + stroke > most and first > starts[-1]:
            starts.append(first)
            taken = frame = _frame(program, Part(len(starts), first, count))
            pause = 0
        taken += pause + stroke
        if frame + stroke > most:
            raise BadValue(
                tr(
                    "The file with stroke {0} alone has {1:.1f} kB, more than the largest file that the machine page allows "
                    "({2:g} kB). Allow larger files there, or divide the stroke",
                    int(path.stroke[first:last].max()) + program.first + 1,
                    (frame + stroke) / 1000,
                    code.file_size,
                )
            )
    return starts


def _frame(program: Program, part: Part) -> int:
    """Returns the bytes of a file's head and end."""
    return len(head(program, part)) + len(foot(program, part))
