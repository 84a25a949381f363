"""A small document with every number that a person can type, and a check of its plan."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator
from typing import Any

import msgspec
import numpy as np

from tests.support.jobs import document_of
from wallwright.document import edits
from wallwright.document.consistency import validate
from wallwright.document.document import Document, Fill, GuideLine, Pen
from wallwright.document.errors import UserError
from wallwright.document.quantity import Quantity, quantities
from wallwright.document.wall import KeepOut
from wallwright.jobs.checks import Verdict
from wallwright.planning.plan import Goal, Plan, Request
from wallwright.planning.runner import Runner

SVG = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20">'
    b'<path d="M0 0H8V6H0Z" fill="#202020"/><path d="M10 15L18 19L17.7 18.85" fill="none" stroke="#202020"/></svg>'
)
"""A filled area, and a line that turns back on itself."""
LONGEST = 30 * 24 * 3600.0
"""Longest time of a small drawing, s: a longer one must not be exportable."""


def small_document() -> Document:
    """Returns a drawing of 20 mm with every item that has numbers: keep-out, guide line, separate fill."""
    document = document_of(SVG, (20.0, 20.0), (1000.0, 900.0), 20.0, "cross-hatch")
    return edits.replace(
        document,
        pens=(Pen("black", "Black", "#202020", 1.0),),
        settings=edits.replace(document.settings, fill=Fill("cross-hatch", 9.0)),
        wall=edits.replace(
            document.wall, keep_outs=(KeepOut("Door", ((1400.0, 900.0), (1500.0, 900.0), (1500.0, 1000.0))),)
        ),
        guide_lines=(GuideLine(True, 500.0),),
    )


def numbers_in(value: Any, prefix: str = "") -> Iterator[tuple[str, Quantity]]:
    """Yields path and quantity of every typed number nested in a value."""
    if isinstance(value, msgspec.Struct):
        for quantity in quantities(type(value)).values():
            yield prefix + quantity.name, quantity
        for name in value.__struct_fields__:
            yield from numbers_in(getattr(value, name), f"{prefix}{name}.")
    elif isinstance(value, tuple):
        for number, inner in enumerate(value):
            yield from numbers_in(inner, f"{prefix}{number}.")


def fault_of(document: Document, runner: Runner) -> str:
    """Returns what is wrong with a document's plan, which must be finite, or a sentence; "" for nothing."""
    try:
        validate(document)
        plan = runner.run(Request(1, document, Goal.PLAN)).plan
    except UserError as trouble:
        return "" if len(str(trouble)) > 20 and "nan" not in str(trouble) else f"no sentence: {trouble}"
    return "; ".join(_not_finite(plan))


def _not_finite(plan: Plan) -> Iterator[str]:
    yield from _numbers_not_finite("estimate", plan.estimate)
    yield from _numbers_not_finite("motion", plan.motion)
    for check in plan.checks:
        if {"nan", "inf", "-inf", "nan°"} & set(check.text.replace(",", " ").split()):
            yield f"check {check.id}: {check.text}"
    is_good = all(check.verdict is not Verdict.ERROR for check in plan.checks)
    if is_good and plan.estimate.total_s > LONGEST:
        yield f"good, but takes {plan.estimate.total_s:.3g} s"
    if is_good and not len(plan.strokes):
        yield "good, but draws nothing"


def _numbers_not_finite(name: str, value: Any) -> Iterator[str]:
    if isinstance(value, float) and not math.isfinite(value):
        yield f"{name} is {value}"
    elif isinstance(value, np.ndarray):
        if value.dtype.kind == "f" and not np.isfinite(value).all():
            yield f"{name} is not finite"
    elif isinstance(value, tuple):
        for number, inner in enumerate(value):
            yield from _numbers_not_finite(f"{name} {number}", inner)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from _numbers_not_finite(f"{name}.{field.name}", getattr(value, field.name))
