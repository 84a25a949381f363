"""Where artwork goes at first, and where anchors go for a wall: proposals before anything is drawn. No widgets."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from shapely import get_coordinates, get_parts

from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.new_wall import NewWall
from wallwright.document.start_answers import StartAnswers
from wallwright.document.wall import Box
from wallwright.planning.move_in import nearest_fit, zone_with_reserve
from wallwright.statics.draw_zone import DrawZone, compute_zone
from wallwright.statics.zone_boundary import zone_polygons

ZONE_POINTS, QUICK_POINTS = 1500, 500
"""Grid points of the zone: for a picture, and for one of many tries."""
PAGE = 0.75
"""Height by width of the picture that anchors are proposed for: a usual sheet's."""
SHARES = tuple(share / 40 for share in range(40, 1, -1))
"""Of the wall's width, tried from the largest."""
MARGIN = 0.9
"""Of the largest size that fits: the rest stays as a margin."""
DISTANCES = (0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
"""Of the wall's width, tried for the anchors."""
ROUND = 50.0
"""mm, of proposed distances."""
WITHIN_REACH = 0.12
"""Of the wall's height: anchors this far below the ceiling can be reached from a small ladder."""


@dataclass(frozen=True)
class StartSketch:
    """What a project would look like."""

    edges: tuple[npt.NDArray[np.float64], ...]
    """(n, 2) mm each, of the draw zone."""
    box: Box | None
    """Where artwork would go; None where nothing can be drawn."""


def sketch_of(document: Document, ratio: float) -> StartSketch:
    """ratio: height by width of the artwork."""
    wall, hanging = document.wall, document.hangings[0]
    zone = compute_zone(wall, document.machine, hanging, points=ZONE_POINTS)
    region = zone_polygons(wall, document.machine, zone)
    edges = tuple(get_coordinates(part.exterior) for part in get_parts(region))
    # The same box as in the project: the person chooses by the size that the page promises.
    return StartSketch(edges, first_box(document, 0, ratio) if edges else None)


def first_box(document: Document, hanging: int, ratio: float) -> Box | None:
    """Where artwork goes when it is placed on an empty wall: as large as fits with a margin and with the pull that motors
    should have in reserve, as near as possible to the middle between the anchors. None where it fits at no size."""
    return comfortable_box(document, zone_with_reserve(document, hanging), ratio, hanging)


def comfortable_box(document: Document, zone: DrawZone, ratio: float, hanging: int = 0) -> Box | None:
    """The same in a zone that is known, mm in whole numbers."""
    place, wall = document.hangings[hanging], document.wall
    x, y = (place.left.x + place.right.x) / 2, place.start_point[1]
    for share in SHARES:
        width = share * wall.width
        height = width * ratio
        offset = nearest_fit(zone, (x - width / 2, y - height / 2, x + width / 2, y + height / 2))
        if offset is not None:
            # Back to the middle by at most half of the margin: the coarse grid of the zone moves a box aside.
            spare = (1 - MARGIN) * width / 4
            aside = offset[0] - min(max(offset[0], -spare), spare)
            middle_x, middle_y = round(x + aside), round(y + offset[1])
            half_width, half_height = MARGIN * width / 2, MARGIN * height / 2
            return middle_x - half_width, middle_y - half_height, middle_x + half_width, middle_y + half_height
    return None


def proposed_wall(answers: StartAnswers) -> NewWall:
    """The same wall with the anchors that give the largest picture. Raises BadValue when none gives any."""
    found: list[tuple[float, NewWall]] = []
    for share in DISTANCES:
        distance = max(round(share * answers.wall.width / ROUND) * ROUND, ROUND)
        drop = min(NewWall().drop, round(WITHIN_REACH * answers.wall.height / ROUND) * ROUND)
        wall = replace(answers.wall, distance=float(distance), drop=float(drop))
        document = replace(answers, wall=wall).document()
        zone = compute_zone(document.wall, document.machine, document.hangings[0], points=QUICK_POINTS)
        box = comfortable_box(document, zone, PAGE)
        if box is not None:
            found.append((box[2] - box[0], wall))
    if not found:
        raise BadValue(tr("This machine cannot draw anywhere on this wall"))
    return max(found, key=lambda one: one[0])[1]
