"""Where artwork goes at first, and where anchors go for a wall: proposals before anything is drawn. No widgets."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from shapely import Geometry, get_coordinates, get_parts

from wallwright.document.document import Document, Placement
from wallwright.document.edits import replace
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.new_wall import NewWall
from wallwright.document.placing import bounding_box
from wallwright.document.start_answers import StartAnswers
from wallwright.document.wall import Box
from wallwright.planning.move_in import machine_with_reserve, zone_with_reserve
from wallwright.statics.draw_zone import DrawZone, compute_zone
from wallwright.statics.limits import describe_limits, primary_limit
from wallwright.statics.zone_boundary import zone_polygons
from wallwright.window.model.remedies import LARGEST_POINTS, as_large_as_fits

ZONE_POINTS, QUICK_POINTS = 1500, 1500
"""Grid points of the zone: for a picture, and for one of many tries."""
PAGE = 0.75
"""Height by width of the picture that anchors are proposed for: a usual sheet's."""
WHOLE_PAGE: Box = (0.0, 0.0, 1.0, 1.0)
"""The part of its page that artwork draws, where nothing else is known."""
DISTANCES = (0.3, 0.35, 0.4, 0.45, 0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9)
"""Of the wall's width, tried for the anchors."""
ROUND = 50.0
"""mm, of proposed distances."""
WITHIN_REACH = 0.12
"""Of the wall's height: anchors this far below the ceiling can be reached from a small ladder."""
LARGER = 1.02
"""A picture that is larger than another by less counts as equally large."""
LIMITING = 0.9
"""The reserve that motors should have is worth a word where it leaves less than this share of the zone."""
SKETCHED = "sketched"
"""Id of the placement that stands for artwork which is not read yet."""

Edges = tuple[npt.NDArray[np.float64], ...]


@dataclass(frozen=True)
class StartSketch:
    """What a project would look like."""

    edges: Edges
    """(n, 2) mm each, of the draw zone."""
    reserve_edges: Edges
    """(n, 2) mm each, of the part of it where the motors keep the reserve that they should have; empty where that is
    nearly all of it."""
    box: Box | None
    """Where the page of artwork would go; None where nothing can be drawn."""
    drawn: Box | None
    """The part of that box that the artwork draws on."""
    has_reserve: bool
    """Whether the motors keep their reserve there."""
    limits: str
    """What keeps the machine from drawing, in words, where it can draw nowhere."""


def sketch_of(document: Document, ratio: float, part: Box = WHOLE_PAGE) -> StartSketch:
    """ratio: height by width of the artwork's page. part: of the page that it draws."""
    wall, hanging, machine = document.wall, document.hangings[0], document.machine
    zone = compute_zone(wall, machine, hanging, points=ZONE_POINTS)
    region = zone_polygons(wall, machine, zone)
    if region.is_empty:
        found, count = np.unique(primary_limit(zone.bits.ravel()), return_counts=True)
        return StartSketch((), (), None, None, False, describe_limits(int(found[count.argmax()])))
    spared = machine_with_reserve(machine)
    inner = zone_polygons(wall, spared, compute_zone(wall, spared, hanging, points=ZONE_POINTS))
    # The same rule as in the project: the person chooses by the size that the page promises.
    placed, has_reserve = _first_placed(document, 0, ratio, part)
    return StartSketch(
        _edges(region),
        _edges(inner) if inner.area < LIMITING * region.area else (),
        None if placed is None else bounding_box([placed]),
        None if placed is None else bounding_box([placed], {SKETCHED: part}),
        has_reserve,
        "",
    )


def _edges(region: Geometry) -> Edges:
    return tuple(get_coordinates(part.exterior) for part in get_parts(region) if not part.is_empty)


def first_box(document: Document, hanging: int, ratio: float, part: Box = WHOLE_PAGE) -> Box | None:
    """Where the page of artwork goes when it is placed on an empty wall: what it draws is as large as fits with the pull
    that motors should have in reserve, or without where that leaves no room; the same as "Fit to draw zone". None where it
    fits at no size. ratio: height by width of the page. part: of the page that is drawn."""
    placed, _ = _first_placed(document, hanging, ratio, part)
    return None if placed is None else bounding_box([placed])


def _first_placed(document: Document, hanging: int, ratio: float, part: Box) -> tuple[Placement | None, bool]:
    """Artwork on an otherwise empty wall, and whether the motors keep their reserve there."""
    place, width = document.hangings[hanging], document.wall.width
    artwork = Placement(SKETCHED, "", place.start_point[0], place.start_point[1], width, width * ratio)
    alone, parts = replace(document, placements=(artwork,)), {SKETCHED: part}
    for has_reserve in (True, False):
        zone = (
            zone_with_reserve(document, hanging, LARGEST_POINTS)
            if has_reserve
            else compute_zone(document.wall, document.machine, place, points=LARGEST_POINTS)
        )
        try:
            return as_large_as_fits(alone, (SKETCHED,), hanging, zone, parts).placements[0], has_reserve
        except BadValue:
            continue
    return None, False


def proposed_wall(answers: StartAnswers, keeps_drop: bool = False) -> NewWall:
    """The same wall with the anchors that give the largest picture, with the motors' reserve where there is any. Of several
    that give about the same the closest, whose pull is the least. keeps_drop: the height of the anchors stays. Raises
    BadValue when none gives any."""
    usual_drop = min(NewWall().drop, round(WITHIN_REACH * answers.wall.height / ROUND) * ROUND)
    drop = answers.wall.drop if keeps_drop else float(usual_drop)
    walls = []
    for share in DISTANCES:
        distance = max(round(share * answers.wall.width / ROUND) * ROUND, ROUND)
        walls.append(replace(answers.wall, distance=float(distance), drop=drop))
    for has_reserve in (True, False):
        best: tuple[float, NewWall] | None = None
        for wall in walls:
            document = replace(answers, wall=wall).document()
            machine = machine_with_reserve(document.machine) if has_reserve else document.machine
            zone = compute_zone(document.wall, machine, document.hangings[0], points=QUICK_POINTS)
            width = _largest_width(document, zone)
            if width > LARGER * (best[0] if best is not None else 0.0):
                best = width, wall
        if best is not None:
            return best[1]
    raise BadValue(tr("This machine cannot draw anywhere on this wall"))


def _largest_width(document: Document, zone: DrawZone) -> float:
    """Of a picture of the usual shape, mm; 0 where none fits."""
    artwork = Placement(SKETCHED, "", *document.hangings[0].start_point, 1000.0, 1000.0 * PAGE)
    try:
        placed = as_large_as_fits(replace(document, placements=(artwork,)), (SKETCHED,), 0, zone)
    except BadValue:
        return 0.0
    return placed.placements[0].width
