"""Going on after trouble: where a job stopped, and how the rest of it is to be drawn.

Strokes are counted in drawing order, from 0 here and from 1 for a person.
"""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec

from wallwright.document.quantity import quantity
from wallwright.document.wall import COORDINATE, Point

TAPE = 0.7
"""mm, standard uncertainty of a tape over a metre; as of a reading of the test drawing."""
RULER = 0.3
"""mm, the same of how far a line is from another, read with a ruler. Common practice, no source."""


class StrokePlace(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A place along the strokes of a plan."""

    stroke: Annotated[int, msgspec.Meta(ge=0)] = 0
    along: Annotated[float, msgspec.Meta(ge=0)] = 0.0
    """mm of that stroke before the place."""


class Interruption(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How far a job was drawn."""

    place: StrokePlace
    of: int
    """Strokes in all."""
    digest: str
    """Of the strokes in their order: a number counts only among the strokes that it was counted in."""
    hanging: int = 0


class Continuation(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What is drawn of a job after it has stopped, and where the machine hangs when that begins."""

    place: StrokePlace = StrokePlace()
    overlap: Annotated[
        float,
        quantity(
            "mm",
            0,
            1000,
            "Overlap",
            "How much of an interrupted stroke is drawn again, so that no gap is left.",
            "One line width: a pen needs that much to start writing.",
        ),
    ] = 2.0
    start: Point | None = None
    """Where the pen is at the beginning, mm; None: at the hanging's starting point."""
    known_by: Literal["start", "tape", "slip"] = "start"
    """How that is known: belts set by tape at the starting point, the pen measured where it hangs, a slip worked out from
    what was drawn."""
    spread: tuple[float, float, float] = (1.0, 0.0, 1.0)
    """mm²: variances and covariance (left, both, right) of the true belt lengths at the beginning. As the error budget
    has it for belts set by tape."""


class WallReading(msgspec.Struct, frozen=True):
    """What a person reads off at the wall when the controller has lost its count. 0: not measured yet."""

    to_left: Annotated[
        float,
        quantity(
            "mm",
            0,
            COORDINATE,
            "Pen tip to left anchor",
            "By tape along the wall, to the centre of the anchor.",
        ),
    ] = 0.0
    to_right: Annotated[
        float,
        quantity(
            "mm",
            0,
            COORDINATE,
            "Pen tip to right anchor",
            "By tape along the wall, to the centre of the anchor.",
        ),
    ] = 0.0
    across: Annotated[
        float,
        quantity(
            "mm",
            -COORDINATE,
            COORDINATE,
            "Pen right of the left anchor",
            "Measured from a plumb line through the anchor.",
        ),
    ] = 0.0
    down: Annotated[
        float,
        quantity(
            "mm",
            -COORDINATE,
            COORDINATE,
            "Pen below the left anchor",
            "Measured from a level line through the anchor.",
        ),
    ] = 0.0
    sure: Annotated[
        float,
        quantity(
            "mm",
            0.05,
            100,
            "Uncertainty of the reading",
            "Two out of three readings are this close.",
            "Typical of a steel tape.",
        ),
    ] = TAPE
    place_sure: Annotated[
        float,
        quantity(
            "mm",
            0.05,
            100,
            "Uncertainty of the reading",
            "Two out of three readings are this close.",
            "Typical of a plumb line and a spirit level.",
        ),
    ] = 1.0
    x: Annotated[
        float,
        quantity(
            "mm",
            -COORDINATE,
            COORDINATE,
            "Position, right of the left anchor",
            "Where the line should be. Clicking the picture fills it in.",
        ),
    ] = 0.0
    y: Annotated[
        float,
        quantity(
            "mm",
            -COORDINATE,
            COORDINATE,
            "Position, below the left anchor",
            "Where the line should be. Clicking the picture fills it in.",
        ),
    ] = 0.0
    off_right: Annotated[
        float,
        quantity(
            "mm",
            -500,
            500,
            "Drawn too far right by",
            "How far right of that position the line was drawn after the belt slipped. Negative: left.",
        ),
    ] = 0.0
    off_down: Annotated[
        float,
        quantity(
            "mm",
            -500,
            500,
            "Drawn too low by",
            "How far below that position the line was drawn after the belt slipped. Negative: above.",
        ),
    ] = 0.0
    off_sure: Annotated[
        float,
        quantity(
            "mm",
            0.05,
            100,
            "Uncertainty of the reading",
            "Two out of three readings are this close.",
            "Typical of a ruler between two lines.",
        ),
    ] = RULER
