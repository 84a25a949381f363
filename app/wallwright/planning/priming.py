"""Priming strokes: a few lines on a strip of tape or outside the artwork that start each pen's ink flow."""

from __future__ import annotations

import numpy as np

from wallwright.document.document import Document
from wallwright.document.pen import needs_change
from wallwright.document.wall import Hanging
from wallwright.strokes.strokes import Strokes

BETWEEN = 2.0
"""Distance from one priming stroke to the next, in line widths."""


def with_priming(document: Document, hanging: Hanging, strokes: Strokes) -> Strokes:
    """Returns ordered strokes with priming strokes before the first one of each pen that is put in; unchanged if the hanging
    has no strip.

    They begin at the strip's corner and continue below each other, pen by pen.
    """
    settings = document.settings
    if hanging.priming is None or not settings.priming_strokes or not len(strokes):
        return strokes
    starts = np.concatenate([[0], np.flatnonzero(np.diff(strokes.pen)) + 1])
    x, y = hanging.priming
    parts: list[Strokes] = []
    for first, last in zip(starts.tolist(), [*starts[1:].tolist(), len(strokes)], strict=True):
        pen = int(strokes.pen[first])
        if first and not needs_change(document.pens, int(strokes.pen[first - 1]), pen):
            parts.append(strokes.take(np.arange(first, last)))
            continue
        step = BETWEEN * document.pens[pen].width
        lines = []
        for k in range(settings.priming_strokes):
            ends = np.array([[x, y], [x + settings.priming_length, y]])
            lines.append(ends if k % 2 == 0 else ends[::-1])
            y += step
        parts += [Strokes.pack(lines, pen), strokes.take(np.arange(first, last))]
    return Strokes.join(parts)
