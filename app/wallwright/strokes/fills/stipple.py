"""Stipple fill: dots spread evenly over a region, denser where its tone is darker."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.document.arrays import Floats
from wallwright.document.document import Fill
from wallwright.document.picture import Stipple
from wallwright.strokes.fills.progress import Progress, no_progress
from wallwright.strokes.fills.spacing import spacing_of
from wallwright.strokes.pictures.stipple import stipple as stippled
from wallwright.strokes.tone import Tone

CELL = 0.5
"""Size of the grid cells on which the region and its tone are sampled, in pen widths."""
MOST_CELLS = 4_000_000
CELLS_AT_ONCE = 100_000
"""Number of cells processed between two checks for cancel."""
DOT = 3.0
"""Diameter of a dot, in line widths, in regions that are wide enough for it: as for pictures."""


def stipple(
    region: BaseGeometry,
    fill: Fill,
    pen_width: float,
    progress: Progress = no_progress,
    tone: Tone | None = None,
) -> list[Floats]:
    """Returns small spirals, mm, one per dot, that cover the share of the region which lines at the fill's spacing would
    cover, times the tone. Weighted Voronoi stippling (Secord 2002), by the line style for pictures. Each (n, 2)."""
    dot = DOT
    room: BaseGeometry = shapely.buffer(region, -(dot - 1) / 2 * pen_width)
    if room.area < 0.5 * region.area:
        dot, room = 1.0, region
    if room.is_empty:
        return []
    left, top, right, bottom = room.bounds
    cell = max(CELL * pen_width, np.sqrt((right - left) * (bottom - top) / MOST_CELLS))
    columns, rows = int(np.ceil((right - left) / cell)), int(np.ceil((bottom - top) / cell))
    x, y = left + (np.arange(columns) + 0.5) * cell, top + (np.arange(rows) + 0.5) * cell
    wanted = np.zeros((rows, columns))
    shapely.prepare(room)
    full = min(pen_width / spacing_of(fill, pen_width), 1.0)
    at_once = max(1, CELLS_AT_ONCE // columns)
    for first in range(0, rows, at_once):
        progress(0.2 * first / rows)
        points = np.stack(np.meshgrid(x, y[first : first + at_once]), axis=-1).reshape(-1, 2)
        share = shapely.contains_xy(room, points) * full
        if tone is not None:
            share = share * tone(points)
        wanted[first : first + at_once] = share.reshape(-1, columns)
    tones = Tones(wanted, cell)
    dots = stippled(tones, pen_width, Stipple(dot=dot), lambda done: progress(0.2 + 0.8 * done), lambda sentence: None)
    return _kept_inside(region, room, [one + np.array([left, top]) for one in dots])


def _kept_inside(region: BaseGeometry, room: BaseGeometry, dots: list[Floats]) -> list[Floats]:
    """Returns the dots, (n, 2) mm each, inside the region. The centroid of a cell beside a notch or a corner can lie outside
    the room for centres: such a dot is moved there, and clipped if it still crosses the edge."""
    if not dots:
        return []
    shapely.prepare(region)
    number = np.repeat(np.arange(len(dots)), [len(one) for one in dots])
    sticking_out = np.flatnonzero(~shapely.covers(region, shapely.linestrings(np.concatenate(dots), indices=number)))
    for i in sticking_out.tolist():
        centre = (dots[i].min(axis=0) + dots[i].max(axis=0)) / 2
        nearest = shapely.get_coordinates(shapely.shortest_line(room, shapely.Point(centre)))[0]
        inside = shapely.intersection(region, shapely.LineString(dots[i] + nearest - centre))
        parts = [part for part in shapely.get_parts(inside) if part.geom_type == "LineString"]
        dots[i] = shapely.get_coordinates(max(parts, key=shapely.length, default=shapely.LineString()))
    return [one for one in dots if len(one)]
