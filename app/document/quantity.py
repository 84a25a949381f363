"""Numbers a person can type: each with unit, range, title, help and the reason for its default.

A quantity is the metadata of a field of a document type. The same record feeds validation on reading
(msgspec enforces the range), the inspector of the window, the options of the commands and the manual, so
a range or a help text is written once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any, get_args, get_origin, get_type_hints

import msgspec


def quantity(
    unit: str, low: float, high: float, title: str, help: str, reason: str = "", zero: str = ""
) -> msgspec.Meta:
    """Metadata of a typed number.

    unit: as stored ("mm", "rad", "s", "N", "kg", "A", ...; "" for a pure number); low, high: inclusive
    range in that unit; reason: why the default is what it is; zero: what naught means where that is no amount ("none").
    """
    return msgspec.Meta(
        ge=low, le=high, title=title, description=help, extra={"unit": unit, "reason": reason, "zero": zero}
    )


@dataclass(frozen=True)
class Quantity:
    """One typed number of a document type, as read back from its annotation."""

    name: str
    unit: str
    low: float
    high: float
    default: Any
    title: str
    help: str
    reason: str
    zero: str = ""

    @property
    def shown_unit(self) -> str:
        """The unit on screen: angles are stored in radians and shown in degrees."""
        return "°" if self.unit == "rad" else self.unit

    def to_shown(self, value: float) -> float:
        return math.degrees(value) if self.unit == "rad" else value

    def from_shown(self, value: float) -> float:
        return math.radians(value) if self.unit == "rad" else value


def quantities(type_: type[msgspec.Struct]) -> dict[str, Quantity]:
    """The typed numbers of a document type by field name, in field order."""
    hints = get_type_hints(type_, include_extras=True)
    defaults = {f.name: f.default for f in msgspec.structs.fields(type_)}
    found = {}
    for name, hint in hints.items():
        if get_origin(hint) is not Annotated:
            continue
        for meta in get_args(hint)[1:]:
            if isinstance(meta, msgspec.Meta) and meta.extra and "unit" in meta.extra:
                found[name] = Quantity(
                    name, meta.extra["unit"], meta.ge, meta.le, defaults[name], meta.title or name,
                    meta.description or "", meta.extra["reason"], meta.extra["zero"],
                )  # fmt: skip
    return found
