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
        quantity("mm", 0, 1000, "Overlap", "How much of a stroke that was cut short is drawn again, so that the line "
                 "closes.", "A line width: the pen needs that much to begin to write."),
    ] = 2.0  # fmt: skip
    start: Point | None = None
    """Where the pen is at the beginning, mm; None: at the hanging's starting place."""
    known_by: Literal["start", "tape", "slip"] = "start"
    """How that is known: belts set by tape at the starting place, the pen measured where it hangs, a slip told from what
    was drawn."""
    spread: tuple[float, float, float] = (1.0, 0.0, 1.0)
    """mm²: variances and covariance (left, both, right) of the true belt lengths at the beginning. As the error budget
    has it for belts set by tape."""


class WallReading(msgspec.Struct, frozen=True):
    """What a person reads off at the wall when the controller has lost its count. 0: not measured yet."""

    to_left: Annotated[
        float,
        quantity("mm", 0, COORDINATE, "Pen tip to left anchor", "By tape along the wall, to the middle of the nail."),
    ] = 0.0  # fmt: skip
    to_right: Annotated[
        float,
        quantity("mm", 0, COORDINATE, "Pen tip to right anchor", "By tape along the wall, to the middle of the nail."),
    ] = 0.0  # fmt: skip
    across: Annotated[
        float,
        quantity("mm", -COORDINATE, COORDINATE, "Pen right of the left anchor", "From a plumb line through the nail."),
    ] = 0.0  # fmt: skip
    down: Annotated[
        float,
        quantity("mm", -COORDINATE, COORDINATE, "Pen below the left anchor", "From a level line through the nail."),
    ] = 0.0  # fmt: skip
    sure: Annotated[
        float,
        quantity("mm", 0.05, 100, "Sure to", "Two readings out of three are this close.", "A steel tape."),
    ] = TAPE
    place_sure: Annotated[
        float,
        quantity("mm", 0.05, 100, "Sure to", "Two readings out of three are this close.", "A plumb line and a level."),
    ] = 1.0  # fmt: skip
    x: Annotated[
        float,
        quantity("mm", -COORDINATE, COORDINATE, "Place, right of the left anchor", "Where it should have drawn; a click on "
                 "the picture fills it in."),
    ] = 0.0  # fmt: skip
    y: Annotated[
        float,
        quantity("mm", -COORDINATE, COORDINATE, "Place, below the left anchor", "Where it should have drawn; a click on the "
                 "picture fills it in."),
    ] = 0.0  # fmt: skip
    off_right: Annotated[
        float,
        quantity("mm", -500, 500, "Drawn too far right by", "How far right of that place it drew after the slip; negative: "
                 "left."),
    ] = 0.0  # fmt: skip
    off_down: Annotated[
        float,
        quantity("mm", -500, 500, "Drawn too low by", "How far below that place it drew after the slip; negative: above."),
    ] = 0.0  # fmt: skip
    off_sure: Annotated[
        float,
        quantity("mm", 0.05, 100, "Sure to", "Two readings out of three are this close.", "A ruler between two lines."),
    ] = RULER  # fmt: skip
