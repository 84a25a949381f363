"""Corrected SVG: the drawing bent so that a machine with a simple formula of its own draws it straight.

One group a pen in drawing order, one path a stroke, mm, strokes as they are drawn. The page is the box of the path in the
controller's plane: x to the right of the left anchor, y down, as its viewBox says.
"""

from __future__ import annotations

from collections.abc import Callable
from xml.sax.saxutils import quoteattr

import numpy as np

from app.jobs.job import Job


def corrected_svg(job: Job, progress: Callable[[float], None]) -> str:
    """The whole file as text."""
    path, pens = job.plane, job.document.pens
    low = np.floor(path.values.min(axis=0)) if len(path.values) else np.zeros(2)
    high = np.ceil(path.values.max(axis=0)) if len(path.values) else np.ones(2)
    size = np.maximum(high - low, 1)
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{size[0]:.0f}mm" height="{size[1]:.0f}mm" '
        f'viewBox="{low[0]:.0f} {low[1]:.0f} {size[0]:.0f} {size[1]:.0f}" fill="none" stroke-linecap="round" '
        'stroke-linejoin="round">',
    ]
    for number, block in enumerate(job.motion.blocks, start=1):
        progress((number - 1) / len(job.motion.blocks))
        pen = pens[block.pen]
        out.append(
            f'<g id={quoteattr(f"pass-{number}")} stroke={quoteattr(pen.colour)} stroke-width="{pen.width:g}">'
        )
        out.append(f"<title>{number}: {_text(pen.name)}</title>")
        for r in range(block.first_run, block.last_run):
            if path.down[r]:
                points = path.values[path.runs[r] : path.runs[r + 1]]
                d = "L".join(f"{x:.3f},{y:.3f}" for x, y in points.tolist())
                out.append(f'<path d="M{d}"/>')
        out.append("</g>")
    out.append("</svg>")
    return "\n".join(out) + "\n"


def _text(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;")
