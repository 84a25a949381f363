"""Register marks: crosses that one hanging draws and a later neighbour is aligned by, with the readings taken there.

Stored with the later hanging. Points are in the wall frame, mm.
"""

from __future__ import annotations

from typing import Annotated

import msgspec

from wallwright.document.quantity import quantity

AWAY = 500.0
"""Largest offset of the pen from a mark, mm; beyond that the wrong cross was read."""


class RegisterMark(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A cross with its name beside it."""

    name: str
    x: float
    y: float


class Sighting(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The pen's position when it should have been on a mark."""

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
    """The marks that a hanging is aligned by, and their readings."""

    marks: tuple[RegisterMark, ...] = ()
    """Stored because they may be on the wall already; (): chosen when the job is planned."""
    sightings: tuple[Sighting, ...] = ()
    """Readings of the last correction of the anchors."""
    planned: tuple[tuple[float, float], tuple[float, float]] | None = None
    """Planned positions of both anchors, mm, once the marks have corrected them. Strokes are still divided among the
    hangings by these, since what other hangings have drawn cannot change."""
    left_over: float = 0.0
    """RMS residual after correcting the anchors, mm."""
    expected: float = 0.0
    """Expected standard error where the parts meet, mm: two of three joins are better, 95 of 100 better than twice this."""
