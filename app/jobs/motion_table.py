"""The motion table: JSON lines of time, belts and pen, for controllers that follow a timed table.

First line: an object that says what follows. Then one array a line: [time s, left belt mm, right belt mm, pen]: belts as
the controller counts them; pen -1 when it is off the wall, else the pen's number from 0. Between two lines belts run
linearly in time; lines lie so close that this keeps to the plan. Schema: resources/schemas/motion-table.schema.json.
"""

from __future__ import annotations

import json
from collections.abc import Callable

import numpy as np

from app.jobs.job import Job


def motion_table(job: Job, progress: Callable[[float], None]) -> str:
    """The whole file as text."""
    motion = job.motion
    head = {
        "form": "wallwright motion table",
        "version": 1,
        "columns": ["time_s", "left_belt_mm", "right_belt_mm", "pen"],
        "hanging": job.hanging.name,
        "pens": [p.name for p in job.document.pens],
        "lines": len(motion.time),
    }
    per_run = np.diff(motion.runs)
    block_pen = np.zeros(len(motion.down), dtype=np.int64)
    for block in motion.blocks:
        block_pen[block.first_run : block.last_run] = block.pen
    pen = np.repeat(np.where(motion.down, block_pen, -1), per_run)
    belts = np.round(job.counted(motion.belts), 4)
    rows = zip(
        np.round(motion.time, 5).tolist(), belts[:, 0].tolist(), belts[:, 1].tolist(), pen.tolist(), strict=True,
    )  # fmt: skip
    progress(0.1)
    lines = [json.dumps(head, ensure_ascii=False)]
    lines.extend(f"[{t},{left},{right},{p}]" for t, left, right, p in rows)
    progress(1.0)
    return "\n".join(lines) + "\n"
