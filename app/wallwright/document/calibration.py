"""Calibration: the marks of a test drawing, the distances measured between them, and the result.

Stored with the hanging it was measured in. Points are in the wall frame, mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal, get_args

import msgspec

from wallwright.document.language import N_, mid_sentence, tr
from wallwright.document.quantity import quantity

LEFT, RIGHT = N_("Left anchor"), N_("Right anchor")
"""Names of the anchors as end points of a measurement."""


ReadingKind = Literal["distance", "across", "down"]
READING_KINDS: tuple[ReadingKind, ...] = get_args(ReadingKind)


class Mark(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A cross of the test drawing."""

    name: str
    x: float
    """Intended x, mm."""
    y: float
    left: float
    """Length of the left belt by the controller's count, mm."""
    right: float
    plane: tuple[float, float] | None = None
    """Where the page of a machine that takes drawings was asked to draw it, in the plane of the controller's formula, mm,
    before the page's own shift."""


class TapeReading(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One reading between two named points, each a mark or an anchor."""

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
        """Description for a person with a tape."""
        first, second = (self.a, self.b) if self.kind == "distance" else (self.b, self.a)
        second = mid_sentence(tr(second)) if second in (LEFT, RIGHT) else second
        if self.kind == "down":
            return tr("{0} below {1}", tr(first), second)
        if self.kind == "across":
            return tr("{0} right of {1}", tr(first), second)
        return tr("{0} to {1}", tr(first), second)


def reading_titles(measures: Sequence[TapeReading]) -> list[str]:
    """Returns the description of each reading; a repeated one says so."""
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
    """Fixed point of the page's scaling, mm, in the plane of Mark.plane."""
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
        """Measures that have a reading."""
        return tuple(m for m in self.measures if m.value is not None)


class CalibrationFit(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Parameter values of a fit and their joint uncertainty."""

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
    """A calibrated number of the machine, in the unit of its parameter."""

    name: str
    value: float
    uncertainty: float


class MachineCalibration(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Results of a machine's last calibration, stored with the machine."""

    date: str
    """ISO 8601 date, such as "2026-05-01"; "" when unknown."""
    readings: int
    numbers: tuple[CalibratedNumber, ...]


class FormulaRemainder(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Deviation of a controller from its formula, as a smooth displacement in the plane of the formula.

    The formula is given (x, y) plus the sum of coefficient k times monomial k of u = (x - centre_x) / reach and
    v = (y - centre_y) / reach; monomials by degree: u², uv, v², u³, u²v, uv², v³. Outside |u|, |v| <= 1 the nearest value
    inside counts. Place, size and turn belong to other parameters.
    """

    centre: tuple[float, float]
    reach: Annotated[float, quantity("mm", 1, 100_000, "Reach", "Half of the measured area's longer side.")]
    right: tuple[float, ...]
    """mm, one coefficient per monomial."""
    down: tuple[float, ...]
