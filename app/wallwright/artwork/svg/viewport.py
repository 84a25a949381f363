"""Size of the page, viewBox and preserveAspectRatio (SVG 1.1 section 7)."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import numpy as np

from wallwright.artwork.svg.numbers import BadNumber, length_or, numbers
from wallwright.document.arrays import Floats
from wallwright.document.language import tr

Box = tuple[float, float, float, float]
NOTHING_SAID = (100.0, 100.0)
"""What percentages are of in a file that says neither size nor viewBox, px."""


def page_size(root: ET.Element, box: Box | None, doubts: list[str]) -> tuple[float, float] | None:
    """Width and height of the outermost svg in px; None when the file says nothing of it. Raises BadNumber for a page
    without size.

    Percentages are of the viewBox, and without width and height the viewBox gives the size, px for unit (SVG 2, 8.2
    leaves both to the program).
    """
    w, h = (box[2], box[3]) if box else NOTHING_SAID
    sizes = [length_or(root.get(k), s, -1.0, 16.0, doubts) for k, s in (("width", w), ("height", h))]
    given = [
        root.get(k, "auto").strip() not in ("", "auto") and s != -1.0
        for k, s in zip(("width", "height"), sizes, strict=True)
    ]
    if not any(given) and box is None:
        return None
    width, height = sizes
    if not any(given):
        width, height = w, h
    elif not given[0]:
        width = height * w / h if h else 0.0
    elif not given[1]:
        height = width * h / w if w else 0.0
    if width <= 0 or height <= 0:
        raise BadNumber(tr("its page has no size"))
    return width, height


def view_box(element: ET.Element) -> Box | None:
    """x, y, width, height; None when there is none. Raises BadNumber for one that is not four numbers, or negative."""
    text = element.get("viewBox")
    if text is None:
        return None
    values = numbers(text)
    if len(values) != 4:
        raise BadNumber(tr("its viewBox “{0}” is not four numbers", text[:40]))
    if values[2] < 0 or values[3] < 0:
        raise BadNumber(tr("its viewBox “{0}” has no size", text[:40]))
    x, y, width, height = values
    return x, y, width, height


def fit(box: Box | None, aspect: str | None, width: float, height: float) -> Floats:
    """(3, 3) map from a viewBox to a viewport of the given size at the origin, by a preserveAspectRatio.

    Numbers in user units.
    """
    if box is None:
        return np.eye(3)
    x, y, w, h = box
    words = [word for word in (aspect or "").split() if word != "defer"]
    align = words[0] if words and _is_align(words[0]) else "xMidYMid"
    sx, sy = width / w, height / h
    if align == "none":
        return np.array([[sx, 0, -x * sx], [0, sy, -y * sy], [0, 0, 1.0]])
    s = max(sx, sy) if "slice" in words[1:] else min(sx, sy)
    dx, dy = (width - w * s) * SHARE[align[1:4]], (height - h * s) * SHARE[align[5:8]]
    return np.array([[s, 0, dx - x * s], [0, s, dy - y * s], [0, 0, 1.0]])


SHARE = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}


def _is_align(word: str) -> bool:
    return word == "none" or (len(word) == 8 and word[0] + word[4] == "xY" and word[1:4] in SHARE and word[5:] in SHARE)


def width_of_page(root: ET.Element) -> float | None:
    """Width of the page in px; None when the file does not say it, or says it wrongly."""
    try:
        size = page_size(root, view_box(root), [])
    except (BadNumber, ZeroDivisionError):
        return None
    return size[0] if size else None
