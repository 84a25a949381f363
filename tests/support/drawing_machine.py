"""A simulated machine that takes a drawing, with its own reader, page, formula and whole microsteps; its body hangs
in MuJoCo.

Shares no code with the program: the file is read with ElementTree and svg.path, which the program does not use. There are
six kinds of page, by how they place a drawing: "typed", "centred", "anchors", "wall", "area", "ink".
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from xml.etree import ElementTree

import numpy as np
from svg.path import Move, parse_path

from tests.support.hanging_body import HangingBody

ASKED = {
    "typed": ["distance", "left", "top", "width"],
    "centred": ["distance", "top"],
    "anchors": ["distance"],
    "wall": ["distance", "left", "top"],
    "area": ["distance"],
    "ink": ["distance", "left", "top"],
}
"""Numbers that each kind of page asks for, in its order."""


def read_drawing(text: str) -> tuple[dict[str, str], list[np.ndarray]]:
    """Returns the attributes of a file and its lines as (n, 2) numbers. Supports only plain paths of M and L."""
    root = ElementTree.fromstring(text)
    lines = []
    for element in root:
        assert element.tag.endswith("}path") and "transform" not in element.attrib
        assert set(element.get("d")) <= set("ML0123456789.,-")
        points = []
        for segment in parse_path(element.get("d")):
            if not isinstance(segment, Move):
                points = points or [segment.start]
                points.append(segment.end)
        lines.append(np.array([[p.real, p.imag] for p in points]))
    return dict(root.attrib), lines


@dataclass
class DrawingMachine:
    """Page, formula, and the body on its belts."""

    kind: str
    body: HangingBody
    steps_per_mm: float
    """Microsteps per mm of the real belts."""
    unit: str = "mm"
    per_inch: float = 96.0
    """Pixels per inch by which it reads the file's numbers, with unit "px"."""
    whole: bool = True
    is_up: bool = False
    area: tuple[float, float, float, float] = (300.0, 150.0, 1400.0, 1400.0)
    """Left, top, width, height of its area, mm."""
    added: float = 0.0
    """Error of the anchor distance in its formula, mm."""
    spacing: float = 0.0
    rise: float = 0.0
    own_steps: float = 80.0
    """Steps per mm that it sends."""
    zero: tuple[float, float] = (0.0, 0.0)
    """Excess of the real belts over its count, mm."""
    offset: tuple[float, float] = (0.0, 0.0)
    """Offset of the drawing from the typed position, right and down, mm."""
    bend: object = None
    """Further deviations: (x, y) arrays -> belt corrections (n, 2) mm."""
    typed: dict = field(default_factory=dict)

    def placed(self, text: str, typed: dict[str, float]) -> list[np.ndarray]:
        """Returns the lines in its plane, mm, for a file and typed numbers."""
        assert list(typed) == ASKED[self.kind], "its page asks other numbers"
        if self.whole:
            assert all(v == round(v) for v in typed.values()), "its page takes whole mm only"
        self.typed = typed
        attributes, lines = read_drawing(text)
        width, height = self._page(attributes)
        x0, y0, _, _ = (float(v) for v in attributes["viewBox"].split())
        assert x0 == y0 == 0
        scale = width / float(attributes["viewBox"].split()[2])
        lines = [line * scale for line in lines]
        if self.is_up:
            lines = [np.column_stack([line[:, 0], height - line[:, 1]]) for line in lines]
        distance = typed["distance"]
        if self.kind == "typed":
            size, corner = typed["width"] / width, (typed["left"], typed["top"])
        elif self.kind == "centred":
            size, corner = 1.0, ((distance - width) / 2, typed["top"])
        elif self.kind == "anchors":
            size, corner = distance / width, (0.0, 0.0)
        elif self.kind == "wall":
            size, corner = 1.0, (-typed["left"], -typed["top"])
        elif self.kind == "area":
            left, top, wide, high = self.area
            size = min(wide / width, high / height)
            corner = left + (wide - size * width) / 2, top + (high - size * height) / 2
        else:
            low = np.concatenate(lines).min(axis=0)
            lines = [line - low for line in lines]
            size, corner = 1.0, (typed["left"], typed["top"])
        return [line * size + corner + np.array(self.offset) for line in lines]

    def _page(self, attributes: dict[str, str]) -> tuple[float, float]:
        """Returns the size of the page as it reads it, mm."""
        if self.unit == "mm":
            assert attributes["width"].endswith("mm")
            return tuple(float(attributes[k].removesuffix("mm")) for k in ("width", "height"))
        share = 25.4 / self.per_inch if self.unit == "px" else 1.0
        return tuple(float(v) * share for v in attributes["viewBox"].split()[2:])

    def belts(self, plane: np.ndarray, distance: float | None = None) -> np.ndarray:
        """Returns (n, 2) real belt lengths at points (n, 2) of its plane, mm, in whole microsteps."""
        wide = (self.typed["distance"] if distance is None else distance) + self.added
        x, y = plane[:, 0], plane[:, 1] - self.rise
        half = self.spacing / 2
        own = np.column_stack([np.hypot(x - half, y), np.hypot(wide - x - half, y)])
        if self.bend is not None:
            own = own + self.bend(plane[:, 0], plane[:, 1])
        return np.rint(own * self.own_steps) / self.steps_per_mm + self.zero

    def _below(self, belts: np.ndarray) -> np.ndarray:
        """Returns (n, 2) mm: slightly below the position of a body without tilt on taut belts."""
        (lx, ly), (rx, ry) = self.body._anchors
        (ex, ey), (fx, fy) = self.body._exits
        lx, ly, rx, ry = lx - ex, ly - ey, rx - fx, ry - fy
        base, turn = math.hypot(rx - lx, ry - ly), math.atan2(ry - ly, rx - lx)
        along = (belts[:, 0] ** 2 - belts[:, 1] ** 2 + base**2) / (2 * base)
        down = np.sqrt(belts[:, 0] ** 2 - along**2) + 4.0
        cos, sin = math.cos(turn), math.sin(turn)
        return np.column_stack([lx + cos * along - sin * down, ly + sin * along + cos * down])

    def pens(self, plane: np.ndarray, distance: float | None = None) -> np.ndarray:
        """Returns (n, 2) MuJoCo's pen at rest, mm in the wall frame."""
        belts, found = self.belts(plane, distance), []
        for pair, guess in zip(belts, self._below(belts), strict=True):
            # Each starts without tilt: from another point's tilt the body may settle upside down.
            pen, _, tension = self.body.settle(pair, guess)
            assert (tension > 0).all()
            found.append(pen)
        return np.array(found)


def at_one_speed(line: np.ndarray, step: float) -> np.ndarray:
    """Returns (n, 2) points of a line at equal distances, step in mm, and its end."""
    way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.linspace(0.0, way[-1], max(math.ceil(way[-1] / step), 1) + 1)
    return np.column_stack([np.interp(at, way, line[:, k]) for k in (0, 1)])
