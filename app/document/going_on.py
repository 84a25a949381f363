"""Going on after trouble: where a job stopped, and how the rest of it is to be drawn.

Strokes are counted in drawing order, from 0 here and from 1 for a person.
"""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec

from app.document.quantity import quantity
from app.document.wall import Point

TAPE = 0.7
"""mm, standard uncertainty of a tape over a metre; as of a reading of the test drawing."""


class Place(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A place along the strokes of a plan."""

    stroke: Annotated[int, msgspec.Meta(ge=0)] = 0
    along: Annotated[float, msgspec.Meta(ge=0)] = 0.0
    """mm of that stroke before the place."""


class Stopped(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How far a job was drawn."""

    place: Place
    of: int
    """Strokes in all."""
    digest: str
    """Of the strokes in their order: a number counts only among the strokes that it was counted in."""
    hanging: int = 0


class Rest(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What is drawn of a job after it has stopped, and where the machine hangs when that begins."""

    place: Place = Place()
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
