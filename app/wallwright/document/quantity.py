"""Numbers that a person can type, each with unit, range, title, help and the reason for its default.

A quantity is the metadata of a field of a document type. It serves validation on reading (msgspec enforces the
range), the inspector of the window, the options of the commands and the manual, so a range or help text is written
once.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated, Any, get_args, get_origin, get_type_hints

import msgspec

from wallwright.document.errors import BadValue
from wallwright.document.language import format_number, tr


def quantity(
    unit: str, low: float, high: float, title: str, help: str, reason: str = "", zero: str = "", least: float = 0.0
) -> msgspec.Meta:
    """Metadata of a typed number.

    unit: as stored ("mm", "rad", "s", "N", "kg", "A", ...; "share" for a part of 1, shown and typed in per cent; "" for a
    pure number); low, high: inclusive range in that unit; reason: reason for the default; zero: meaning of 0 where it is
    not an amount ("none"); least: the smallest magnitude other than 0, where 0 has such a meaning.
    """
    return msgspec.Meta(
        ge=low,
        le=high,
        title=title,
        description=help,
        extra={"unit": unit, "reason": reason, "zero": zero, "least": least},
    )


class Quantity(msgspec.Struct, frozen=True):
    """A number of a document type, read from its annotation."""

    name: str
    unit: str
    low: float
    high: float
    default: Any
    title: str
    help: str
    reason: str
    zero: str = ""
    least: float = 0.0
    is_translated: bool = False
    """Whether title and help are translated already, as for a number that is no field of a document type."""

    @property
    def shown_title(self) -> str:
        return self.title if self.is_translated else tr(self.title)

    @property
    def shown_help(self) -> str:
        return self.help if self.is_translated else tr(self.help)

    def fault(self, value: float) -> str:
        """Returns the fault of a value (stored unit) apart from its range, as the end of a sentence; "" for a valid one."""
        return _fault(value, self.least, self.shown_unit)

    @property
    def shown_unit(self) -> str:
        """The unit on screen: angles are stored in radians and shown in degrees, shares in per cent."""
        return {"rad": "°", "share": "%"}.get(self.unit, self.unit)

    def to_shown(self, value: float) -> float:
        return math.degrees(value) if self.unit == "rad" else 100.0 * value if self.unit == "share" else value

    def from_shown(self, value: float) -> float:
        return math.radians(value) if self.unit == "rad" else value / 100.0 if self.unit == "share" else value


def quantities(type_: type[msgspec.Struct]) -> Mapping[str, Quantity]:
    """Returns the quantities of a document type by field name, in field order."""
    return _quantities(type_)


@functools.cache  # reading type hints takes milliseconds, and a window reads many types, some more than once
def _quantities(type_: type[msgspec.Struct]) -> Mapping[str, Quantity]:
    hints = get_type_hints(type_, include_extras=True)
    defaults = {f.name: f.default for f in msgspec.structs.fields(type_)}
    found = {}
    for name, hint in hints.items():
        if get_origin(hint) is not Annotated:
            continue
        for meta in get_args(hint)[1:]:
            if isinstance(meta, msgspec.Meta) and meta.extra and "unit" in meta.extra:
                assert meta.ge is not None and meta.le is not None, f"{name} has no range"
                found[name] = Quantity(
                    name,
                    meta.extra["unit"],
                    meta.ge,
                    meta.le,
                    defaults[name],
                    meta.title or name,
                    meta.description or "",
                    meta.extra["reason"],
                    meta.extra["zero"],
                    meta.extra["least"],
                )
    return MappingProxyType(found)


def check_numbers(value: msgspec.Struct) -> None:
    """Raises BadValue for any nested number that is not finite, or nearer to 0 than its quantity allows.

    msgspec accepts NaN in ranges, and has no ranges with a gap.
    """
    if not _is_sound(value):
        _check(value, "")


_WITHOUT_NUMBERS = (str, int, bytes, type(None))


def _is_sound(value: Any) -> bool:
    """Whether _check would find nothing. Faster, for every step of a drag: it builds no texts."""
    if isinstance(value, float):
        return math.isfinite(value)
    if isinstance(value, msgspec.Struct):
        for name, quantity in _gaps(type(value)).items():
            number = getattr(value, name)
            if isinstance(number, float | int) and 0 < abs(number) < quantity.least:
                return False
        value = msgspec.structs.astuple(value)
    if isinstance(value, tuple):
        for inner in value:
            if not isinstance(inner, _WITHOUT_NUMBERS) and not _is_sound(inner):
                return False
    return True


def _check(value: Any, where: str) -> None:
    if isinstance(value, float):
        _refuse(_fault(value, 0.0, ""), where)
    elif isinstance(value, tuple):
        for number, inner in enumerate(value, start=1):
            if not isinstance(inner, str | bytes):
                _check(inner, f"{where} {number}")
    elif isinstance(value, msgspec.Struct):
        gaps = _gaps(type(value))
        for name in value.__struct_fields__:
            inner = getattr(value, name)
            if isinstance(inner, float | int | tuple | msgspec.Struct):
                place = f"{where}, {name}" if where else name
                if name in gaps and isinstance(inner, float | int):
                    _refuse(gaps[name].fault(inner), place)
                else:
                    _check(inner, place)


@functools.cache
def _gaps(type_: type[msgspec.Struct]) -> dict[str, Quantity]:
    """Returns the quantities of a type that have a least magnitude other than 0."""
    return {name: q for name, q in quantities(type_).items() if q.least}


def _fault(value: float, least: float, unit: str) -> str:
    if not math.isfinite(value):
        return tr("must be a finite number")
    if 0 < abs(value) < least:
        return tr("must be 0, or at least {0} {1}", format_number(least), unit).rstrip()
    return ""


def _refuse(fault: str, where: str) -> None:
    if fault:
        raise BadValue(f"{where.replace('_', ' ')}: {fault}")
