"""Handles of a placement: where they are, and what dragging one makes of it. No widgets."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec
import numpy as np
import numpy.typing as npt

from wallwright.document.document import Placement
from wallwright.document.edits import replace
from wallwright.document.placing import bounding_box

SMALLEST = 1.0
"""mm: no side gets shorter by dragging."""
TURN_STEP = math.radians(15)
"""With Shift a turn goes by steps."""

NAMES = ("top left", "top", "top right", "right", "bottom right", "bottom", "bottom left", "left", "turn")
# Place of each handle in the placement's own frame, from -1 to 1.
UNIT = {
    "top left": (-1, -1),
    "top": (0, -1),
    "top right": (1, -1),
    "right": (1, 0),
    "bottom right": (1, 1),
    "bottom": (0, 1),
    "bottom left": (-1, 1),
    "left": (-1, 0),
    "turn": (0, -1),
}

OPPOSITE = {a: next(b for b in UNIT if UNIT[b] == (-UNIT[a][0], -UNIT[a][1])) for a in UNIT}


class Handle(msgspec.Struct, frozen=True):
    """Where a placement is taken hold of."""

    name: str
    x: float
    y: float
    """On the wall, mm; of the turn handle: the middle of the top side, it is shown above it."""


def handles_of(placement: Placement) -> list[Handle]:
    """All handles of a placement."""
    across, down = _axes(placement)
    centre = np.array([placement.x, placement.y])
    found = []
    for name in NAMES:
        u, v = UNIT[name]
        point = centre + u * placement.width / 2 * across + v * placement.height / 2 * down
        found.append(Handle(name, float(point[0]), float(point[1])))
    return found


def page_contains(placement: Placement, x: float, y: float, room: float = 0.0) -> bool:
    """Whether a wall point lies on the placement's page, or no further than room, mm, from it."""
    across, down = _axes(placement)
    offset = np.array([x - placement.x, y - placement.y])
    half = placement.width / 2 + room, placement.height / 2 + room
    return bool(abs(offset @ across) <= half[0] and abs(offset @ down) <= half[1])


def frame_of(placements: Sequence[Placement]) -> Placement:
    """What the handles are put around: a placement itself, or the upright box of several."""
    if len(placements) == 1:
        return placements[0]
    left, top, right, bottom = bounding_box(placements)
    return Placement("", "", (left + right) / 2, (top + bottom) / 2, right - left, bottom - top)


def drag_handle(start: Placement, handle: str, to: tuple[float, float], free: bool, centred: bool = False) -> Placement:
    """The placement after dragging a handle to a wall point.

    The opposite corner or side stays where it is; centred: the middle does. free is what Shift says: a corner then
    lets the proportions go, and the turn goes by steps.
    """
    if handle == "turn":
        angle = math.atan2(to[1] - start.y, to[0] - start.x) + math.pi / 2
        if free:
            angle = round(angle / TURN_STEP) * TURN_STEP
        return replace(start, turn=math.remainder(angle, math.tau))
    across, down = _axes(start)
    u, v = UNIT[handle]
    fixed = np.array([start.x, start.y])
    if not centred:
        fixed = fixed - u * start.width / 2 * across - v * start.height / 2 * down
    offset = (np.array(to) - fixed) * (2 if centred else 1)
    width = max(u * float(offset @ across), SMALLEST) if u else start.width
    height = max(v * float(offset @ down), SMALLEST) if v else start.height
    if u and v and not free:
        share = max(width / start.width, height / start.height)
        width, height = start.width * share, start.height * share
    centre = fixed if centred else fixed + u * width / 2 * across + v * height / 2 * down
    return replace(start, x=float(centre[0]), y=float(centre[1]), width=width, height=height)


def _axes(placement: Placement) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Unit vectors (2,) across and down the placement's page."""
    cos, sin = math.cos(placement.turn), math.sin(placement.turn)
    return np.array([cos, sin]), np.array([-sin, cos])
