"""The stroke table: length, time and position of each stroke as CSV, for spreadsheets and programs."""

from __future__ import annotations

import numpy as np

from wallwright.document.document import Document
from wallwright.jobs.columns import numbers, rows, text
from wallwright.motion.estimate import by_stroke
from wallwright.motion.plan import Motion
from wallwright.strokes.strokes import Strokes

HEAD = "stroke,pen,wall_x_mm,wall_y_mm,begins_s,travel_s,lifting_s,drawing_s,ink_m,swing_mm,largest_motor_load"


def stroke_table(document: Document, strokes: Strokes, motion: Motion, first: int = 0) -> bytes:
    """Returns the table of a job's strokes in drawing order.

    wall_x, wall_y: start of a stroke in the wall frame; pen: its number in the list, from 1; first: number of strokes
    drawn before these, in a continued job.
    """
    found, k = by_stroke(document, motion), len(strokes)
    comma = text(",")
    columns = [numbers(np.arange(first + 1, first + k + 1), 0), comma, numbers(found.pen + 1, 0)]
    for values, places in (
        (strokes.starts[:, 0], 1),
        (strokes.starts[:, 1], 1),
        (found.begins_s, 2),
        (found.travel_s, 2),
        (found.lifting_s, 2),
        (found.drawing_s, 2),
        (found.ink_m, 4),
        (found.swing_mm, 3),
        (found.load, 3),
    ):
        columns += [comma, numbers(values, places)]
    return f"{HEAD}\n".encode("ascii") + rows(k, *columns, text("\n"))
