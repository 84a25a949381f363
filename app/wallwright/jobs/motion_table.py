"""The motion table: JSON lines of time, belts and pen, for controllers that follow a timed table.

First line: an object that describes the table. Then one array per line: [time s, left belt mm, right belt mm, pen]: belts
as the controller counts them; pen -1 when it is off the wall, else the pen's number from 0. Between two lines belts move
linearly in time; lines are dense enough for that to follow the plan. The header lists the lines at which strokes begin, at
regular intervals, counting the header as line 1. Schema: resources/schemas/motion-table.schema.json.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator

import numpy as np

from wallwright.document.pen import numbers_in_holder
from wallwright.jobs.columns import numbers, parts_of, rows, text
from wallwright.jobs.file_cautions import FILE_CAUTIONS
from wallwright.jobs.job import Job
from wallwright.motion.timetable import stroke_marks

HEAD_LINES = 1


def motion_table(job: Job, progress: Callable[[float], None]) -> Iterator[bytes]:
    """Yields the file in pieces."""
    motion, marks = job.motion, stroke_marks(job.motion)
    head = {
        "form": "wallwright motion table",
        "version": 1,
        "limits_ignored": job.ignored.report(),
        "cautions": list(FILE_CAUTIONS),
        "columns": ["time_s", "left_belt_mm", "right_belt_mm", "pen"],
        "hanging": job.hanging.name,
        "pens": [p.name for p in job.document.pens],
        "lines": len(motion.time),
        "strokes": {"first": job.first + 1, "of": job.of},
        "places": [
            {"stroke": int(stroke) + job.first + 1, "line": int(sample) + HEAD_LINES + 1}
            for stroke, sample in zip(marks.strokes, marks.samples, strict=True)
        ],
    }
    yield (json.dumps(head, ensure_ascii=False) + "\n").encode("utf-8")
    block_pen = np.zeros(len(motion.down), dtype=np.int64)
    in_holder = numbers_in_holder(job.document.pens)
    for block in motion.blocks:
        block_pen[block.first_run : block.last_run] = in_holder[block.pen]
    pen_of_run = np.where(motion.down, block_pen, -1)
    for first, last in parts_of(motion.runs, 0, len(motion.down)):
        progress(first / len(motion.down))
        here = slice(motion.runs[first], motion.runs[last])
        belts = job.counted(motion.belts[here])
        pen = np.repeat(pen_of_run[first:last], np.diff(motion.runs[first : last + 1]))
        yield rows(
            len(pen),
            text("["),
            numbers(motion.time[here], 5),
            text(","),
            numbers(belts[:, 0], 4),
            text(","),
            numbers(belts[:, 1], 4),
            text(","),
            numbers(pen, 0),
            text("]\n"),
        )
