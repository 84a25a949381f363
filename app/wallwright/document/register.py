"""Register marks: crosses that one hanging draws and a later one beside it looks for, and what was seen there.

Kept with the later hanging. Points are in the wall frame, mm.
"""

from __future__ import annotations

from typing import Annotated

import msgspec

from wallwright.document.quantity import quantity

AWAY = 500.0
"""mm that a pen may be seen off a mark: beyond that the wrong cross was read."""


class RegisterMark(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A cross with its name beside it."""

    name: str
    x: float
    y: float


class Sighting(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Where the pen was when it should have been on a mark."""

    mark: RegisterMark
    right: Annotated[
        float,
        quantity("mm", -AWAY, AWAY, "Right of the mark", "How far the pen is right of the mark. Negative: left."),
    ]
    down: Annotated[
        float,
        quantity("mm", -AWAY, AWAY, "Below the mark", "How far the pen is below the mark. Negative: above."),
    ]


class Register(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The marks that a hanging looks for, and their readings."""

    marks: tuple[RegisterMark, ...] = ()
    """Kept since they may be on the wall; none: they are chosen when the job is planned."""
    sightings: tuple[Sighting, ...] = ()
    """What the anchors were corrected by last."""
    planned: tuple[tuple[float, float], tuple[float, float]] | None = None
    """Where both anchors were meant to be, once the marks have shown where they are. Strokes are still shared out by these:
    what other hangings have drawn does not change any more."""
    left_over: float = 0.0
    """mm, root mean square: what the corrected anchors do not explain."""
    expected: float = 0.0
    """mm: two out of three parts meet better than this, 95 of 100 better than twice."""
