"""The transform attribute (SVG 1.1, 7.6)."""

from __future__ import annotations

import re

import numpy as np
from svgelements import Matrix

from app.artwork.svg.numbers import BadNumber, numbers
from app.document.language import tr


def transform_of(text: str | None) -> np.ndarray:
    """(3, 3) of a transform attribute. Raises BadNumber when it cannot be read."""
    if not text or text.strip() == "none":
        return np.eye(3)
    names = re.findall(r"([a-zA-Z]+)\s*\(([^)]*)\)", text)
    if not names or re.sub(r"[a-zA-Z]+\s*\([^)]*\)|[\s,]", "", text):
        raise BadNumber(tr("its transform '{0}' cannot be read", text[:40]))
    for name, inside in names:
        if name not in ("matrix", "translate", "scale", "rotate", "skewX", "skewY"):
            raise BadNumber(tr("its transform '{0}' is not known", name))
        numbers(re.sub(r"(px|deg)\b", "", inside))
    m = Matrix(text)
    return np.array([[m.a, m.c, m.e], [m.b, m.d, m.f], [0, 0, 1.0]])
