"""Corrected SVG: the drawing distorted so that a machine with a simple formula draws it correctly.

One group per pen in drawing order, one path per stroke, mm. The page is the bounding box of the path in the controller's
plane, as given by viewBox: x to the right of the left anchor, y down.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from xml.sax.saxutils import quoteattr

import numpy as np

from wallwright.jobs.columns import numbers, parts_of, rows, text
from wallwright.jobs.coordinates import ControllerPath
from wallwright.jobs.file_cautions import FILE_CAUTIONS
from wallwright.jobs.job import Job
from wallwright.motion.plan import PenPass


def corrected_svg(job: Job, progress: Callable[[float], None]) -> Iterator[bytes]:
    """Yields the file in pieces."""
    path, pens = job.in_plane, job.document.pens
    low = np.floor(path.values.min(axis=0)) if len(path.values) else np.zeros(2)
    high = np.ceil(path.values.max(axis=0)) if len(path.values) else np.ones(2)
    size = np.maximum(high - low, 1)
    yield _lines(
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{size[0]:.0f}mm" height="{size[1]:.0f}mm" '
        f'viewBox="{low[0]:.0f} {low[1]:.0f} {size[0]:.0f} {size[1]:.0f}" fill="none" stroke-linecap="round" '
        'stroke-linejoin="round">',
        f"<title>{_text('. '.join(filter(None, (job.ignored.file_text, job.hanging.name))))}</title>",
        f"<desc>{_text(' '.join(FILE_CAUTIONS))}</desc>",
    )
    for number, block in enumerate(job.motion.blocks, start=1):
        pen = pens[block.pen]
        yield _lines(
            f'<g id={quoteattr(f"pass-{number}")} stroke={quoteattr(pen.colour)} stroke-width="{pen.width:g}">',
            f"<title>{number}: {_text(pen.name)}, {_strokes_of(job, block)}</title>",
        )
        for first, last in parts_of(path.runs, block.first_run, block.last_run):
            progress(first / len(path.down))
            yield _paths(path, first, last)
        yield _lines("</g>")
    yield _lines("</svg>")


def _strokes_of(job: Job, block: PenPass) -> str:
    """Returns a text with the numbers of the strokes that one pen draws."""
    numbers = job.motion.stroke[block.first_run : block.last_run]
    numbers = numbers[numbers >= 0] + job.first + 1
    return f"strokes {numbers[0]} to {numbers[-1]} of {job.of}"


def _paths(path: ControllerPath, first: int, last: int) -> bytes:
    """Returns an element for each stroke among runs first .. last - 1."""
    runs = path.runs[first : last + 1]
    drawn = np.repeat(path.down[first:last], np.diff(runs))
    begins, ends = np.zeros(len(drawn), dtype=bool), np.zeros(len(drawn), dtype=bool)
    begins[runs[:-1] - runs[0]] = True
    ends[runs[1:] - 1 - runs[0]] = True
    begins, ends = begins[drawn], ends[drawn]
    x, y = path.values[runs[0] : runs[-1]][drawn].T
    return rows(
        len(x),
        text('<path d="M').where(begins),
        text("L").where(~begins),
        numbers(x, 3),
        text(","),
        numbers(y, 3),
        text('"/>\n').where(ends),
    )


def _lines(*lines: str) -> bytes:
    return ("\n".join(lines) + "\n").encode("utf-8")


def _text(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;")
