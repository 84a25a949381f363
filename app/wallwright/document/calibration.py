"""Calibration: the marks of a test drawing, the distances measured between them, and the result.

Kept with the hanging it was measured in. Points are in the wall frame, mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal, get_args

import msgspec

from wallwright.document.language import N_, mid_sentence, tr
from wallwright.document.quantity import quantity

LEFT, RIGHT = N_("Left anchor"), N_("Right anchor")
"""Names of the anchors where a measurement goes to or from one."""


ReadingKind = Literal["distance", "across", "down"]
READING_KINDS: tuple[ReadingKind, ...] = get_args(ReadingKind)


class Mark(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A cross of the test drawing."""

    name: str
    x: float
    """Where it was meant to be, mm."""
    y: float
    left: float
    """What the controller counted for its belts, mm."""
    right: float
    plane: tuple[float, float] | None = None
    """Where the page of a machine that takes drawings was asked to draw it, in the plane of the controller's formula, mm,
    without what the page shifts."""


class TapeReading(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One reading between two named points: marks, or an anchor."""

    kind: ReadingKind
    """distance: by tape; across: horizontally, between plumb lines through both; down: vertically, with a level."""
    a: str
    b: str
    value: (
        Annotated[
            float,
            quantity(
                "mm",
                -100_000,
                100_000,
                "Reading",
                "Horizontal and vertical readings are from the first point to the second.",
            ),
        ]
        | None
    ) = None
    """None: proposed, not yet read."""
    uncertainty: Annotated[
        float,
        quantity(
            "mm",
            0.05,
            100,
            "Uncertainty",
            "Two out of three readings are this close.",
            "A steel tape over a metre, read between the centres of crosses.",
        ),
    ] = 0.7

    @property
    def words(self) -> str:
        """As a person with a tape would say it."""
        first, second = (self.a, self.b) if self.kind == "distance" else (self.b, self.a)
        second = mid_sentence(tr(second)) if second in (LEFT, RIGHT) else second
        if self.kind == "down":
            return tr("{0} below {1}", tr(first), second)
        if self.kind == "across":
            return tr("{0} right of {1}", tr(first), second)
        return tr("{0} to {1}", tr(first), second)


def reading_titles(measures: Sequence[TapeReading]) -> list[str]:
    """The words of each reading; a second take of one says so."""
    found: list[str] = []
    before: set[tuple[str, str, str]] = set()
    for measure in measures:
        key = (measure.kind, measure.a, measure.b)
        found.append(tr("{0} (again)", measure.words) if key in before else measure.words)
        before.add(key)
    return found


class Survey(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A test drawing and its readings."""

    figure: str = ""
    marks: tuple[Mark, ...] = ()
    measures: tuple[TapeReading, ...] = ()
    typed_distance: Annotated[
        float,
        quantity(
            "mm",
            0,
            100_000,
            "Typed distance",
            "Anchor distance that was typed for the test drawing, at a machine that takes drawings.",
        ),
    ] = 0.0
    scale_centre: tuple[float, float] = (0.0, 0.0)
    """mm, as Mark.plane: what stays in its place when the machine's page draws at another scale."""
    page_scale: Annotated[
        float,
        quantity(
            "",
            0,
            100,
            "Page scale of the test drawing",
            "Page scale with which the files of the test drawing were made.",
            zero=N_("that of the machine"),
            least=0.01,
        ),
    ] = 0.0

    @property
    def read(self) -> tuple[TapeReading, ...]:
        """Those that have a reading."""
        return tuple(m for m in self.measures if m.value is not None)


class CalibrationFit(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a fit knows: its parameters' values and how far they may still be off, together."""

    names: tuple[str, ...]
    values: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    """Units of the parameters, squared."""
    readings: int
    typed_distance: Annotated[
        float,
        quantity(
            "mm",
            0,
            100_000,
            "Typed distance",
            "Anchor distance that was typed for the test drawing, at a machine that takes drawings.",
        ),
    ] = 0.0


class CalibratedNumber(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A number of the machine as a calibration found it, in the unit of its parameter."""

    name: str
    value: float
    uncertainty: float


class MachineCalibration(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The last calibration of a machine: what it found, kept with the machine wherever it goes."""

    date: str
    """ISO 8601, such as "2026-05-01"; "" when nobody noted it."""
    readings: int
    numbers: tuple[CalibratedNumber, ...]


class FormulaRemainder(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a controller does besides its formula, as a smooth displacement in the plane of the formula.

    The formula is given (x, y) plus the sum of coefficient k times monomial k of u = (x - centre_x) / reach and
    v = (y - centre_y) / reach; monomials by degree: u², uv, v², u³, u²v, uv², v³. Outside |u|, |v| <= 1 the nearest value
    inside counts. Place, size and turn belong to other parameters.
    """

    centre: tuple[float, float]
    reach: Annotated[float, quantity("mm", 1, 100_000, "Reach", "Half of the measured area's longer side.")]
    right: tuple[float, ...]
    """mm, a coefficient a monomial."""
    down: tuple[float, ...]
