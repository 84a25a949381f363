"""Placement of a drawing on the page of a machine that takes drawings, and the numbers to type for it.

    file        numbers in the SVG file: from the top left corner of its page, x to the right, y down
    plane       the plane of the machine's formula: x to the right of its left anchor, y down, mm

The machine maps the page to the plane by its own rule (document/drawing_page.py): a size, a position, perhaps a mirror. The
layout inverts that rule: it finds the page and the numbers to type that put every point of the corrected path in place.
All files of a job share one layout, so the typed numbers are the same for every pen.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.document import Document
from wallwright.document.drawing_page import Ask, DrawingPage
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Wall
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import belts_to_controller, typed_distance
from wallwright.statics.pose import inverse_kinematics

Box = tuple[float, float, float, float]
"""left, top, right, bottom, mm."""

TICK_MARGIN = 10.0
"""Distance between the artwork and the ticks, mm, so that these can be cut off or covered."""
TICK = 5.0
"""Length of a tick, mm."""
FINE = 100.0
"""File units per mm, for a page that reads whole numbers and takes its size from the typed numbers."""
ROUNDING = 1e-6
"""Tolerance for rounding where a box is compared with a number, mm."""


@dataclass(frozen=True)
class PageLayout:
    """Position of the page of a job's files in the plane, and the numbers to type for it."""

    left: float
    top: float
    width: float
    height: float
    """Page in the plane, mm; the ink's bounding box where the machine uses that."""
    typed: dict[Ask, float]
    """Numbers to type, in the page's order."""
    per_mm: float
    """File units per mm in the plane."""
    stated: float
    """Stated size of the file over its size in file units."""
    mirrored: tuple[bool, bool]
    """Whether the machine draws the file's x to the left, and its y up."""
    ticks: Floats
    """(k, 2, 2) mm in the plane: short lines at the edges of the ink's box; none where the machine places the page."""

    @property
    def box(self) -> Box:
        return self.left, self.top, self.left + self.width, self.top + self.height

    def to_file(self, plane: Floats) -> Floats:
        """Converts (n, 2) points of the plane, mm, to (n, 2) numbers in the file."""
        across = np.where(self.mirrored, [self.left + self.width, self.top + self.height], [self.left, self.top])
        return (plane - across) * np.where(self.mirrored, -self.per_mm, self.per_mm)

    def to_plane(self, numbers: Floats) -> Floats:
        """Converts (n, 2) numbers in the file to (n, 2) points of the plane, mm."""
        across = np.where(self.mirrored, [self.left + self.width, self.top + self.height], [self.left, self.top])
        return across + numbers / np.where(self.mirrored, -self.per_mm, self.per_mm)


def page_layout(machine: Machine, hanging: Hanging, wall: Wall, plane: Floats) -> PageLayout:
    """Returns the layout for a job with points (n, 2), mm, in the plane, n at least 1.

    Raises BadValue where it does not fit on the page.
    """
    page = machine.controller.page
    low, high = plane.min(axis=0), plane.max(axis=0)
    has_ticks = page.box == "ink" or not page.is_known
    if has_ticks:
        low, high = low - TICK_MARGIN, high + TICK_MARGIN
    if page.placing == "anchors":
        placed = _between_anchors(machine, hanging, wall, float(high[1]))
    elif page.placing == "wall":
        placed = _whole_wall(page, hanging, wall)
    elif page.placing == "area":
        placed = _own_area(page)
    else:
        placed = _around(machine, hanging, wall, low, high)
    left, top, width, height, typed = placed
    _check_inside(low, high, (left, top, left + width, top + height))
    typed["distance"] = typed_distance(machine, hanging)
    flips = page.axes.startswith("left"), page.axes.endswith("up")
    box = (left, top, left + width, top + height)
    ticks = _ticks(box, plane) if has_ticks else np.zeros((0, 2, 2))
    asked = {ask: typed[ask] for ask in page.asks}
    return PageLayout(left, top, width, height, asked, *_numbers_per_mm(page), flips, ticks)


def _numbers_per_mm(page: DrawingPage) -> tuple[float, float]:
    """Returns file units per mm in the plane, and the stated size of the file over its size in file units."""
    if not page.is_sized_by_page:
        return 1 / page.number_mm, 1.0
    if page.decimals == 0:  # only proportions count
        return FINE, 1 / (FINE * page.unit_mm)
    return 1 / page.unit_mm, 1.0


def _around(
    machine: Machine, hanging: Hanging, wall: Wall, low: Floats, high: Floats
) -> tuple[float, float, float, float, dict[Ask, float]]:
    """Returns left, top, width, height, mm in the plane, and the typed numbers of the smallest rounded page around a box."""
    page = machine.controller.page
    origin = origin_of(machine, hanging, wall)
    left, width, at_left, wide = _axis(
        page,
        float(low[0]),
        float(high[0]),
        float(origin[0]),
        page.shift_right,
        "left" in page.asks,
        page.own_left,
        typed_distance(machine, hanging) / 2 if page.placing == "centred" else None,
    )
    top, height, at_top, high_ = _axis(
        page,
        float(low[1]),
        float(high[1]),
        float(origin[1]),
        page.shift_down,
        "top" in page.asks,
        page.own_top,
        None,
    )
    return (
        left,
        top,
        width,
        height,
        {"left": at_left, "top": at_top, "width": wide, "height": high_, "scale": 1.0},
    )


def _axis(
    page: DrawingPage,
    low: float,
    high: float,
    origin: float,
    shift: float,
    is_asked: bool,
    own: float,
    middle: float | None,
) -> tuple[float, float, float, float]:
    """Returns begin and size along one axis in the plane, mm, and the position and size to type for them."""
    step = page.step
    if middle is not None:
        centre = middle + shift
        typed = middle
    elif page.point == "middle":
        typed = round(((low + high) / 2 - shift - origin) / step) * step if is_asked else own
        centre = typed + shift + origin
    else:
        typed = _down((low - shift - origin) / step) * step if is_asked else own
        begin = typed + shift + origin
        size = max(_up((high - begin) / page.scale / step), 1) * step
        return begin, size * page.scale, typed, size
    reach = max(high - centre, centre - low)
    size = max(_up(2 * reach / page.scale / step), 1) * step
    return centre - size * page.scale / 2, size * page.scale, typed, size


def origin_of(machine: Machine, hanging: Hanging, wall: Wall) -> Floats:
    """Returns (2,) mm in the plane: the origin of the typed left and top."""
    page = machine.controller.page
    if page.origin == "middle":
        return np.array([typed_distance(machine, hanging) / 2, 0.0])
    if page.origin == "start":
        return start_in_plane(machine, hanging)
    if page.origin == "wall":
        return np.array([wall.left - hanging.left.x, wall.top - hanging.left.y])
    return np.zeros(2)


def start_in_plane(machine: Machine, hanging: Hanging) -> Floats:
    """Returns (2,) mm: the machine's assumed position of the pen at the start."""
    page = machine.controller.page
    if page.start_right or page.start_down:
        return np.array([page.start_right, page.start_down])
    pose = inverse_kinematics(CableRobotModel.of(machine, hanging), np.array([hanging.start_point], dtype=float))
    return np.asarray(belts_to_controller(machine, hanging, "plane", pose.belts)[0], dtype=float)


def _between_anchors(
    machine: Machine, hanging: Hanging, wall: Wall, bottom: float
) -> tuple[float, float, float, float, dict[Ask, float]]:
    """Lays out a page as wide as the anchor distance that reaches down to the floor: the same for every drawing."""
    page, distance = machine.controller.page, typed_distance(machine, hanging)
    width = distance * page.scale
    floor = wall.floor - hanging.left.y
    height = max(_up(max((bottom - page.shift_down) / page.scale, floor)), 1) * page.scale
    typed: dict[Ask, float] = {
        "left": 0.0,
        "top": 0.0,
        "width": distance,
        "height": height / page.scale,
        "scale": 1.0,
    }
    return page.shift_right, page.shift_down, width, height, typed


def _whole_wall(page: DrawingPage, hanging: Hanging, wall: Wall) -> tuple[float, float, float, float, dict[Ask, float]]:
    """Lays out a page as large as the wall; left and top are the position of the left anchor on it."""
    left, top = wall.left - hanging.left.x, wall.top - hanging.left.y
    typed: dict[Ask, float] = {
        "left": -left,
        "top": -top,
        "width": wall.width,
        "height": wall.height,
        "scale": 1.0,
    }
    width, height = wall.width * page.scale, wall.height * page.scale
    return left + page.shift_right, top + page.shift_down, width, height, typed


def _own_area(page: DrawingPage) -> tuple[float, float, float, float, dict[Ask, float]]:
    """Lays out a page with the proportions of the machine's area, which it fills."""
    if not (page.own_width and page.own_height):
        raise BadValue(tr("Enter the size of the area that the machine's page fits drawings into"))
    width, height = page.own_width * page.scale, page.own_height * page.scale
    left = page.own_left + page.shift_right + (page.own_width - width) / 2
    top = page.own_top + page.shift_down + (page.own_height - height) / 2
    typed: dict[Ask, float] = {
        "left": page.own_left,
        "top": page.own_top,
        "width": page.own_width,
        "height": page.own_height,
        "scale": 1.0,
    }
    return left, top, width, height, typed


def page_area(machine: Machine, hanging: Hanging, wall: Wall) -> Box | None:
    """Returns the area of the machine's page, mm in the plane; None where it grows with the drawing. Raises BadValue when
    its size is not known."""
    page = machine.controller.page
    if page.placing == "anchors":
        placed = _between_anchors(machine, hanging, wall, 0.0)
    elif page.placing == "wall":
        placed = _whole_wall(page, hanging, wall)
    elif page.placing == "area":
        placed = _own_area(page)
    else:
        return None
    left, top, width, height, _ = placed
    return left, top, left + width, top + height


def scale_centre(page: DrawingPage, layout: PageLayout) -> tuple[float, float]:
    """Returns the fixed point of the page's scaling, mm in the plane, before the page's own shift."""
    corner = np.array([layout.left, layout.top])
    size = np.array([layout.width, layout.height])
    x, y = np.where(page.keeps_middle, corner + size / 2, corner) - [page.shift_right, page.shift_down]
    return float(x), float(y)


def _check_inside(low: Floats, high: Floats, box: Box) -> None:
    """Raises BadValue when the drawing leaves the page."""
    over = [box[0] - low[0], box[1] - low[1], high[0] - box[2], high[1] - box[3]]
    worst = int(np.argmax(over))
    if over[worst] <= ROUNDING:
        return
    side = (tr("left"), tr("top"), tr("right"), tr("bottom"))[worst]
    raise BadValue(
        tr(
            "The drawing leaves the machine's page by {0:.0f} mm at the {1}. The page reaches from {2:.0f} to {3:.0f} mm "
            "right of the left anchor and from {4:.0f} to {5:.0f} mm below it. Move or shrink the artwork, or correct what "
            "the page does",
            over[worst],
            side,
            box[0],
            box[2],
            box[1],
            box[3],
        )
    )


def _ticks(box: Box, plane: Floats) -> Floats:
    """Returns (4, 2, 2) mm: a short line along each edge of the box, next to the artwork's outermost point."""
    left, top, right, bottom = box
    half = TICK / 2
    lines = []
    for axis, pick, edge in (
        (0, np.argmin, left),
        (1, np.argmin, top),
        (0, np.argmax, right),
        (1, np.argmax, bottom),
    ):
        at = float(plane[int(pick(plane[:, axis])), 1 - axis])
        line = np.empty((2, 2))
        line[:, axis] = edge
        line[:, 1 - axis] = at - half, at + half
        lines.append(line)
    return np.stack(lines)


def layout_of_document(document: Document, hanging: int, plane: Floats) -> PageLayout:
    """Returns the layout of one hanging's job with points (n, 2), mm, in the plane. Raises BadValue."""
    return page_layout(document.machine, document.hangings[hanging], document.wall, plane)


def _down(value: float) -> int:
    return math.floor(value + ROUNDING)


def _up(value: float) -> int:
    return math.ceil(value - ROUNDING)
