"""Where a drawing lies on the page of a machine that takes drawings, and which numbers put it there.

    file        numbers in the SVG file: from the top left corner of its page, x to the right, y down
    plane       the plane of the machine's formula: x to the right of its left anchor, y down, mm

The page carries the file into the plane by its own rule (document/drawing_page.py): a size, a place, perhaps a mirror. The
layout is that rule solved for the page and the numbers to type, such that every point of the corrected path comes to its
place. All files of a job share one layout: what is typed once holds for every pen.
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
"""mm between the artwork and the ticks: they can be cut off or covered."""
TICK = 5.0
"""mm, length of a tick."""
FINE = 100.0
"""Numbers in the file for a mm, on a page that reads whole numbers and takes its size from what is typed."""
ROUNDING = 1e-6
"""mm that a box may be beyond a number, from rounding alone."""


@dataclass(frozen=True)
class PageLayout:
    """How the page of a job's files lies in the plane, and what is typed for that."""

    left: float
    top: float
    width: float
    height: float
    """mm in the plane: the page, or the ink's box where the machine takes that."""
    typed: dict[Ask, float]
    """What its page asks, in its order."""
    per_mm: float
    """Numbers in the file for a mm in the plane."""
    stated: float
    """What the file states as its size, over its size in its own numbers."""
    mirrored: tuple[bool, bool]
    """Whether the machine draws the file's x to the left, and its y upwards."""
    ticks: Floats
    """(k, 2, 2) mm in the plane: short lines at the edges of the ink's box; none where the page counts."""

    @property
    def box(self) -> Box:
        return self.left, self.top, self.left + self.width, self.top + self.height

    def to_file(self, plane: Floats) -> Floats:
        """(n, 2) numbers in the file for points (n, 2), mm, in the plane."""
        across = np.where(self.mirrored, [self.left + self.width, self.top + self.height], [self.left, self.top])
        return (plane - across) * np.where(self.mirrored, -self.per_mm, self.per_mm)

    def to_plane(self, numbers: Floats) -> Floats:
        """(n, 2) mm in the plane for numbers (n, 2) in the file: the way back."""
        across = np.where(self.mirrored, [self.left + self.width, self.top + self.height], [self.left, self.top])
        return across + numbers / np.where(self.mirrored, -self.per_mm, self.per_mm)


def page_layout(machine: Machine, hanging: Hanging, wall: Wall, plane: Floats) -> PageLayout:
    """The layout for a job with points (n, 2), mm, in the plane: at least one.

    Raises BadValue where the page has no place for it.
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
    """Numbers in the file for a mm in the plane, and what the file states as its size over its size in numbers."""
    if not page.is_sized_by_page:
        return 1 / page.number_mm, 1.0
    if page.decimals == 0:  # only proportions count
        return FINE, 1 / (FINE * page.unit_mm)
    return 1 / page.unit_mm, 1.0


def _around(
    machine: Machine, hanging: Hanging, wall: Wall, low: Floats, high: Floats
) -> tuple[float, float, float, float, dict[Ask, float]]:
    """Left, top, width, height, mm in the plane, and what is typed: the smallest page of round numbers around a box."""
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
    """Begin and size in the plane, mm, along one axis, and the place and size that are typed for them."""
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
    """(2,) mm in the plane: what the numbers typed for left and top are measured from."""
    page = machine.controller.page
    if page.origin == "middle":
        return np.array([typed_distance(machine, hanging) / 2, 0.0])
    if page.origin == "start":
        return start_in_plane(machine, hanging)
    if page.origin == "wall":
        return np.array([wall.left - hanging.left.x, wall.top - hanging.left.y])
    return np.zeros(2)


def start_in_plane(machine: Machine, hanging: Hanging) -> Floats:
    """(2,) mm: where the machine believes its pen to be at the start."""
    page = machine.controller.page
    if page.start_right or page.start_down:
        return np.array([page.start_right, page.start_down])
    pose = inverse_kinematics(CableRobotModel.of(machine, hanging), np.array([hanging.start_point], dtype=float))
    return np.asarray(belts_to_controller(machine, hanging, "plane", pose.belts)[0], dtype=float)


def _between_anchors(
    machine: Machine, hanging: Hanging, wall: Wall, bottom: float
) -> tuple[float, float, float, float, dict[Ask, float]]:
    """The page is as wide as the anchors are apart, and reaches down to the floor: the same for every drawing."""
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
    """The page is as large as the wall; left and top say where the left anchor is on it."""
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
    """The page has the area's proportions, so that it fills it."""
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
    """What the machine's page holds, mm in the plane; None where it grows with the drawing. Raises BadValue when the size
    of its area is not known."""
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
    """mm in the plane, without what the page shifts: what stays in its place when the page draws at another scale."""
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
    """(4, 2, 2) mm: a short line along each edge of the box, beside the artwork's own outermost point."""
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
    """The layout of one hanging's job with points (n, 2), mm, in the plane. Raises BadValue."""
    return page_layout(document.machine, document.hangings[hanging], document.wall, plane)


def _down(value: float) -> int:
    return math.floor(value + ROUNDING)


def _up(value: float) -> int:
    return math.ceil(value - ROUNDING)
