"""What is drawn already and what is left, as ink: the first pale, the second in its colours."""

from __future__ import annotations

import dataclasses

import numpy as np
from PySide6.QtGui import QColor

from wallwright.artwork.colour import pale
from wallwright.document.continuation import StrokePlace
from wallwright.document.document import Pen
from wallwright.document.errors import BadValue
from wallwright.strokes.remaining import drawn_until, remaining_strokes
from wallwright.strokes.strokes import Strokes
from wallwright.window.ink import InkLayer


def show_rest(layer: InkLayer, strokes: Strokes, pens: tuple[Pen, ...], place: StrokePlace) -> None:
    """Shows strokes in their order, those before a place pale; all of them when nothing is left."""
    try:
        drawn, left = drawn_until(strokes, place), remaining_strokes(strokes, place)
    except BadValue:
        drawn, left = strokes, Strokes.empty()
    # A pale pen stands behind each in the list.
    drawn = dataclasses.replace(drawn, pen=(drawn.pen + len(pens)).astype(np.int32))
    colours = [QColor(p.colour) for p in pens] + [QColor(pale(p.colour)) for p in pens]
    layer.set_strokes(Strokes.join([drawn, left]), colours, [p.width for p in pens] * 2)
