"""Common parts of small drawings for measuring pens: their place on the wall, and a document with such a drawing as the
only artwork."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from wallwright.artwork.generated.lettering import letters
from wallwright.document import edits
from wallwright.document.arrays import Floats, Points
from wallwright.document.document import Document, Fill, Ink, Pen
from wallwright.document.joining import Joining
from wallwright.document.ordering import Ordering
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics

Lines = list[Points]
"""For each line (n, 2) mm from the top left corner of a drawing."""
STEP, FARTHEST = 100.0, 1000.0
"""Step and largest distance from the starting point of the places tried for a drawing, mm."""
MARGIN = 20.0
"""Margin around a drawing, mm, that must be in the draw zone too: the zone's edge is curved, and tips are off."""


def line_colour(number: int) -> str:
    """Returns a colour for each pen: only its ink decides which pen draws it."""
    return f"#{number + 1:06x}"


def line(x: float, y: float, right: float = 0.0, down: float = 0.0) -> Points:
    """Returns (2, 2) mm: a line from a point, this far to the right and down."""
    return np.array([[x, y], [x + right, y + down]])


def digits_width(number: int, height: float) -> float:
    """Returns the width of a number, mm."""
    return height * sum(one.advance for one in letters(str(number), "plain")[0])


def digits(number: int, height: float, x: float, foot: float) -> Lines:
    """Returns a number in single-stroke digits, centred at x, with its foot at foot. In mm."""
    found, _ = letters(str(number), "plain")
    x -= digits_width(number, height) / 2
    lines: Lines = []
    for one in found:
        lines += [height * stroke + (x, foot) for stroke in one.strokes]
        x += height * one.advance
    return lines


def figure_corner(
    document: Document, hanging: int, size: tuple[float, float], focus: tuple[float, float]
) -> tuple[float, float]:
    """Returns the best top left corner for a drawing of a size (mm): with its focus (mm from the corner) at the starting
    point, else as near to it as the whole drawing is in the draw zone; at the starting point too if it fits nowhere. In
    mm, wall frame."""
    place = document.hangings[hanging]
    rig = CableRobotModel.of(document.machine, place)
    corner = np.subtract(place.start_point, focus)
    sides = [np.linspace(-MARGIN, length + MARGIN, 5) for length in size]
    grid = np.stack(np.meshgrid(*sides), axis=2).reshape(-1, 2)
    steps = np.arange(-FARTHEST, FARTHEST + STEP, STEP)
    ways = np.stack(np.meshgrid(steps, steps), axis=2).reshape(-1, 2)
    ways = ways[np.argsort(np.hypot(*ways.T), kind="stable")]
    best = ways[0]
    for tried in (ways[:1], ways[1:]):
        points: Floats = (corner + tried[:, None] + grid).reshape(-1, 2)
        is_out = broken(document.wall, document.machine, rig, inverse_kinematics(rig, points)) != 0
        inside = np.flatnonzero(~is_out.reshape(len(tried), -1).any(axis=1))
        if len(inside):
            best = tried[inside[0]]
            break
    x, y = (corner + best).tolist()
    return x, y


def figure_document(
    document: Document,
    hanging: int,
    title: str,
    size: tuple[float, float],
    focus: tuple[float, float],
    lines: Sequence[Lines],
    pens: tuple[Pen, ...],
    purpose: Literal["pen-offsets", "sample-strip", "pen-friction"],
) -> Document:
    """Returns a document with one drawing near the starting point of one hanging. size: mm; focus: point of the drawing,
    mm from its top left corner, that should be at the starting point; lines: of each pen."""
    place = document.hangings[hanging]
    width, height = size
    drawn = [number for number, own in enumerate(lines) if own]
    paths = "".join(f'<path d="{_path_data(lines[number])}" stroke="{line_colour(number)}"/>' for number in drawn)
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" fill="none" stroke-width="0.01">{paths}</svg>'
    )
    settings = edits.replace(
        document.settings, fill=Fill(kind="none"), outside="refuse", joining=Joining(), order=Ordering(), gap=0.0
    )
    empty = edits.replace(
        document,
        hangings=(edits.replace(place, name=f"{place.name}: {title}"),),
        pens=pens,
        artworks=(),
        placements=(),
        settings=settings,
        photo=None,
        stopped=None,
        purpose=purpose,
    )
    x, y = figure_corner(document, hanging, size, focus)
    centre = x + width / 2, y + height / 2
    found, placement = edits.add_artwork(empty, f"{title}.svg", "image/svg+xml", svg.encode(), size, centre, width)
    inks = tuple(Ink(line_colour(number), pens[number].id) for number in drawn)
    found = edits.set_placement(found, placement.id, inks=inks)
    return edits.shift_frame(found, place.left.x, place.left.y) if hanging else found


def _path_data(lines: Lines) -> str:
    return "".join("M" + "L".join(f"{x:.4f} {y:.4f}" for x, y in points.tolist()) for points in lines)
