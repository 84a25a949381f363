"""Continuing an interrupted job: where it stopped, and how the remaining part is drawn.

Strokes are counted in drawing order, from 0 here and from 1 for a person.
"""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec

from wallwright.document.quantity import quantity
from wallwright.document.wall import COORDINATE, Point

TAPE = 0.7
"""Standard uncertainty of a tape over a metre, mm; the same as for a reading of the test drawing."""
RULER = 0.3
"""Standard uncertainty of the distance between two lines read with a ruler, mm. Common practice, no source."""


class StrokePlace(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A position along the strokes of a plan."""

    stroke: Annotated[int, msgspec.Meta(ge=0)] = 0
    along: Annotated[float, msgspec.Meta(ge=0)] = 0.0
    """Arc length along that stroke, mm."""


class Interruption(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How far an interrupted job was drawn."""

    place: StrokePlace
    of: int
    """Total number of strokes."""
    digest: str
    """Digest of the ordered strokes: a stroke number is valid only for these strokes."""
    hanging: int = 0


class Continuation(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What remains to be drawn of an interrupted job, and where the machine hangs at its start."""

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
    """Position of the pen at the start, mm; None: the hanging's starting point."""
    known_by: Literal["start", "tape", "slip"] = "start"
    """How that position is known. start: belts set by tape at the starting point; tape: the pen measured where it hangs;
    slip: belt slip derived from the drawing."""
    spread: tuple[float, float, float] = (1.0, 0.0, 1.0)
    """Variance of the left, covariance, and variance of the right belt length at the start, mm². Default: the error budget's
    value for belts set by tape."""


class WallReading(msgspec.Struct, frozen=True):
    """Measurements at the wall after the controller has lost its count. 0: not measured yet."""

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
