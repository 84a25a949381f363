"""Paths for measuring timing, each as polylines and as its exact curve."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.support.optimum import Piece, line, smooth
from wallwright.document.document import Document
from wallwright.document.edits import replace


@dataclass(frozen=True)
class Path:
    """A path on the wall."""

    strokes: list[np.ndarray]
    """Polylines, mm."""
    curves: list[list[Piece]]
    """The curve of each stroke."""


def rounded_square(side: float = 400.0, radius: float = 25.0) -> Path:
    """Returns a rounded square that begins in the middle of its upper side."""
    x, y, half = 1000.0, 950.0, side / 2
    quarter = np.linspace(0, np.pi / 2, 60)
    start = np.array([x, y - half])
    points, pieces, at = [start[None]], [], start
    for corner in range(4):
        turn = corner * np.pi / 2
        rotate = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        arc = np.column_stack([half - radius + radius * np.sin(quarter), -half + radius - radius * np.cos(quarter)])
        arc = arc @ rotate.T + [x, y]
        pieces += [line(at, arc[0]), smooth(arc)]
        points.append(arc)
        at = arc[-1]
    return Path([np.concatenate([*points, start[None]])], [[*pieces, line(at, start)]])


def circle(radius: float = 150.0) -> Path:
    angle = np.linspace(0, 2 * np.pi, 721)
    points = np.column_stack([1000 + radius * np.cos(angle), 950 + radius * np.sin(angle)])
    return Path([points], [[smooth(points)]])


def hatch(count: int = 300) -> Path:
    """Returns lines of a hatched disc at 45 degrees, 2 mm apart."""
    offsets = (np.arange(count) - (count - 1) / 2) * 2.0
    half = np.sqrt(np.maximum((count + 4.0) ** 2 - offsets**2, 100.0))
    along, across = np.array([1, 1]) / np.sqrt(2), np.array([-1, 1]) / np.sqrt(2)
    strokes = [
        np.stack([[1000, 950] + o * across - h * along, [1000, 950] + o * across + h * along])
        for o, h in zip(offsets, half, strict=True)
    ]
    return Path(strokes, [[line(*s)] for s in strokes])


def spiral(count: int = 20_000, turns: float = 28.0) -> Path:
    angle = np.linspace(4 * np.pi, (4 + 2 * turns) * np.pi, count)
    points = np.column_stack([1000 + 1.5 * angle * np.cos(angle), 950 + 1.5 * angle * np.sin(angle)])
    return Path([points], [[smooth(points)]])


def random_curve(count: int = 8000, seed: int = 5) -> Path:
    random = np.random.default_rng(seed)
    u = np.linspace(0, 1, count)
    points = np.zeros((count, 2)) + [1000, 950]
    for k in range(1, 9):
        size, phase = random.uniform(0.3, 1.0, 2) * 220 / k**2, random.uniform(0, 2 * np.pi, 2)
        points += size * np.sin(2 * np.pi * k * u[:, None] + phase)
    return Path([points], [[smooth(points)]])


PATHS = {
    "square with rounded corners": rounded_square,
    "circle": circle,
    "300 hatch lines": hatch,
    "spiral of 20,000 points": spiral,
    "random smooth curve": random_curve,
}


def machine(loose: bool) -> Document:
    """Returns the default machine with belts that seldom limit the motion (loose), or that do; swing does not."""
    document = Document()
    speeds = (300.0, 600.0, 1000.0, 5000.0) if loose else (300.0, 600.0, 90.0, 250.0)
    names = ("draw_speed", "acceleration", "belt_speed", "belt_acceleration")
    limits = replace(
        document.machine.limits, swing=1000.0, landing_swing=1000.0, **dict(zip(names, speeds, strict=True))
    )
    return replace(document, machine=replace(document.machine, limits=limits))
