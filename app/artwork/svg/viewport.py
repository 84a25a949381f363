"""Size of the page, viewBox and preserveAspectRatio (SVG 1.1 section 7)."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import numpy as np

from app.artwork.svg.numbers import BadNumber, length, numbers
from app.document.language import tr


def page_size(root: ET.Element) -> tuple[float, float]:
    """Width and height of the outermost svg in px. Raises BadNumber when it has no size.

    Without width and height the viewBox gives the size, px for unit (SVG 2, 8.2 leaves it to the program); without
    either 100 % of the fallback object size of CSS, 300 by 150.
    """
    box = view_box(root)
    w, h = (box[2], box[3]) if box else (300.0, 150.0)
    width = length(root.get("width"), w, -1.0)
    height = length(root.get("height"), h, -1.0)
    if width < 0 and height < 0:
        width, height = w, h
    elif width < 0:
        width = height * w / h
    elif height < 0:
        height = width * h / w
    if width <= 0 or height <= 0:
        raise BadNumber(tr("its page has no size"))
    return width, height


def view_box(element: ET.Element) -> tuple[float, float, float, float] | None:
    """x, y, width, height; None when there is none. Raises BadNumber for a broken or empty one."""
    text = element.get("viewBox")
    if text is None:
        return None
    values = numbers(text)
    if len(values) != 4:
        raise BadNumber(tr("its viewBox '{0}' is not four numbers", text[:40]))
    if values[2] <= 0 or values[3] <= 0:
        raise BadNumber(tr("its viewBox '{0}' has no size", text[:40]))
    return tuple(values)


def fit(element: ET.Element, width: float, height: float) -> np.ndarray:
    """(3, 3) map from the viewBox to a viewport of the given size at the origin."""
    box = view_box(element)
    if box is None:
        return np.eye(3)
    x, y, w, h = box
    words = element.get("preserveAspectRatio", "xMidYMid").split()
    align = next((word for word in words if word.startswith("x") or word == "none"), "xMidYMid")
    sx, sy = width / w, height / h
    if align == "none":
        return np.array([[sx, 0, -x * sx], [0, sy, -y * sy], [0, 0, 1.0]])
    s = max(sx, sy) if "slice" in words else min(sx, sy)
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    dx = (width - w * s) * share.get(align[1:4], 0.5)
    dy = (height - h * s) * share.get(align[5:8], 0.5)
    return np.array([[s, 0, dx - x * s], [0, s, dy - y * s], [0, 0, 1.0]])
