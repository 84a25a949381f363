"""Proposals for the first position of artwork and for the anchors of a new wall. No widgets."""

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
"""Numbers of grid points of the zone: for display, and for each of many tries."""
PAGE = 0.75
"""Aspect ratio (height over width) of the picture that anchors are proposed for: that of a usual sheet."""
SHARES = tuple(share / 40 for share in range(40, 1, -1))
"""Shares of the wall's width that are tried, from the largest."""
MARGIN = 0.9
"""Share of the largest size that fits; the remainder is a margin."""
DISTANCES = (0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
"""Anchor distances that are tried, as shares of the wall's width."""
ROUND = 50.0
"""Rounding of proposed distances, mm."""
WITHIN_REACH = 0.12
"""Distance of anchors from the ceiling as a share of the wall's height: within reach from a small ladder."""


@dataclass(frozen=True)
class StartSketch:
    """A sketch of a project."""

    edges: tuple[npt.NDArray[np.float64], ...]
    """Edges of the draw zone, (n, 2) mm each."""
    box: Box | None
    """Box for artwork; None if nothing can be drawn."""


def sketch_of(document: Document, ratio: float) -> StartSketch:
    """Returns the sketch of a document. ratio: height over width of the artwork."""
    wall, hanging = document.wall, document.hangings[0]
    zone = compute_zone(wall, document.machine, hanging, points=ZONE_POINTS)
    region = zone_polygons(wall, document.machine, zone)
    edges = tuple(get_coordinates(part.exterior) for part in get_parts(region))
    # The same box as in the project, since the person chooses by the size shown.
    return StartSketch(edges, first_box(document, 0, ratio) if edges else None)


def first_box(document: Document, hanging: int, ratio: float) -> Box | None:
    """Returns the box for the first artwork on an empty wall: the largest that fits with a margin and the recommended motor
    reserve, as near as possible to the middle between the anchors. None if it fits at no size."""
    return comfortable_box(document, zone_with_reserve(document, hanging), ratio, hanging)


def comfortable_box(document: Document, zone: DrawZone, ratio: float, hanging: int = 0) -> Box | None:
    """Returns the same for a known zone, in whole mm."""
    place, wall = document.hangings[hanging], document.wall
    x, y = (place.left.x + place.right.x) / 2, place.start_point[1]
    for share in SHARES:
        width = share * wall.width
        height = width * ratio
        offset = nearest_fit(zone, (x - width / 2, y - height / 2, x + width / 2, y + height / 2))
        if offset is not None:
            # Towards the middle by at most half of the margin, since the coarse grid of the zone displaces a box.
            spare = (1 - MARGIN) * width / 4
            aside = offset[0] - min(max(offset[0], -spare), spare)
            middle_x, middle_y = round(x + aside), round(y + offset[1])
            half_width, half_height = MARGIN * width / 2, MARGIN * height / 2
            return middle_x - half_width, middle_y - half_height, middle_x + half_width, middle_y + half_height
    return None


def proposed_wall(answers: StartAnswers) -> NewWall:
    """Returns the wall with the anchors that give the largest picture. Raises BadValue when none gives any."""
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
