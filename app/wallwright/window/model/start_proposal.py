"""Proposals for the first position of artwork and for the anchors of a new wall. No widgets."""

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
from wallwright.document.placing import WHOLE_PAGE, bounding_box
from wallwright.document.start_answers import StartAnswers
from wallwright.document.wall import Box
from wallwright.planning.move_in import FreeSpace, machine_with_reserve, zone_with_reserve
from wallwright.statics.draw_zone import DrawZone, compute_zone
from wallwright.statics.limits import describe_limits, primary_limit
from wallwright.statics.zone_boundary import zone_polygons
from wallwright.window.model.remedies import LARGEST_POINTS, as_large_as_fits

ZONE_POINTS = 1500
"""Number of grid points of the zone, for display and for each of many tries."""
PAGE = 0.75
"""Aspect ratio (height over width) of the picture that anchors are proposed for: that of a usual sheet."""
DISTANCES = (0.3, 0.35, 0.4, 0.45, 0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9)
"""Anchor distances that are tried, as shares of the wall's width."""
ROUND = 50.0
"""Rounding of proposed distances, mm."""
WITHIN_REACH = 0.12
"""Distance of anchors from the ceiling as a share of the wall's height: within reach from a small ladder."""
LARGER = 1.02
"""Ratio of sizes up to which two pictures count as equally large."""
LIMITING = 0.9
"""Share of the zone with motor reserve below which the reserve is mentioned."""
SKETCHED = "sketched"
"""Id of the placement for artwork that is not read yet."""

Edges = tuple[npt.NDArray[np.float64], ...]


@dataclass(frozen=True)
class StartSketch:
    """A sketch of a project."""

    edges: Edges
    """Edges of the draw zone, (n, 2) mm each."""
    reserve_edges: Edges
    """Edges of its part in which the motors keep their recommended reserve, (n, 2) mm each; empty if that is nearly all of
    it."""
    box: Box | None
    """Box for the page of the artwork; None if nothing can be drawn."""
    drawn: Box | None
    """Part of that box that the artwork draws on."""
    has_reserve: bool
    """Whether the motors keep their reserve there."""
    limits: str
    """Limits that prevent drawing, in words, if the machine can draw nowhere."""


def sketch_of(document: Document, ratio: float, part: Box = WHOLE_PAGE) -> StartSketch:
    """Returns the sketch of a document. ratio: height over width of the artwork's page; part: drawn part of the page."""
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
    """Returns the box of the page of the first artwork on an empty wall: its drawn part is as large as fits with the
    recommended motor reserve, or without if that leaves no room, as by "Fit to draw zone". None if it fits at no size.
    ratio: height over width of the page; part: drawn part of the page."""
    placed, _ = _first_placed(document, hanging, ratio, part)
    return None if placed is None else bounding_box([placed])


def _first_placed(document: Document, hanging: int, ratio: float, part: Box) -> tuple[Placement | None, bool]:
    """Returns artwork placed on an otherwise empty wall, and whether the motors keep their reserve there."""
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
            return as_large_as_fits(alone, (SKETCHED,), parts, FreeSpace.of_zone(zone)).placements[0], has_reserve
        except BadValue:
            continue
    return None, False


def proposed_wall(answers: StartAnswers, keeps_drop: bool = False) -> NewWall:
    """Returns the wall with the anchors that give the largest picture, with the motors' reserve if possible. Of anchors
    that give about the same size, the closest are taken, which have the least pull. keeps_drop: the height of the anchors
    stays. Raises BadValue when none gives any."""
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
            zone = compute_zone(document.wall, machine, document.hangings[0], points=ZONE_POINTS)
            width = _largest_width(document, zone)
            if width > LARGER * (best[0] if best is not None else 0.0):
                best = width, wall
        if best is not None:
            return best[1]
    raise BadValue(tr("This machine cannot draw anywhere on this wall"))


def _largest_width(document: Document, zone: DrawZone) -> float:
    """Returns the width of the largest picture of the usual shape, mm; 0 if none fits."""
    artwork = Placement(SKETCHED, "", *document.hangings[0].start_point, 1000.0, 1000.0 * PAGE)
    try:
        placed = as_large_as_fits(replace(document, placements=(artwork,)), (SKETCHED,), space=FreeSpace.of_zone(zone))
    except BadValue:
        return 0.0
    return placed.placements[0].width
