"""Line styles for pictures: one module per style, one line in the table.

A style is a function (tones, pen_width, style, progress, tell) -> polylines in mm, in the frame of the tones. The ink of
its lines, drawn with a round pen of that width, covers the share of the wall that the tones specify; tell receives a
sentence for the user where it cannot.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.document.arrays import Points
from wallwright.document.picture import (
    Cells,
    CrossHatch,
    EdgeLines,
    Engraving,
    FlowLines,
    Halftone,
    Maze,
    OneLine,
    ScanLines,
    Spiral,
    Stipple,
    Style,
    ToneContours,
)
from wallwright.strokes.pictures.cells import cells
from wallwright.strokes.pictures.contours import contours
from wallwright.strokes.pictures.cross_hatch import cross_hatch
from wallwright.strokes.pictures.edges import edges
from wallwright.strokes.pictures.engraving import engraving
from wallwright.strokes.pictures.flow_lines import flow_lines
from wallwright.strokes.pictures.halftone import halftone
from wallwright.strokes.pictures.maze import maze
from wallwright.strokes.pictures.one_line import one_line
from wallwright.strokes.pictures.scan_lines import scan_lines
from wallwright.strokes.pictures.spiral_waves import spiral_waves
from wallwright.strokes.pictures.stipple import stipple

StyleFunction = Callable[[Tones, float, Any, Callable[[float], None], Callable[[str], None]], Sequence[Points]]
"""Any: each function takes the style that it implements."""

LINE_STYLES: dict[type[Style], StyleFunction] = {
    CrossHatch: cross_hatch,
    ToneContours: contours,
    Stipple: stipple,
    OneLine: one_line,
    ScanLines: scan_lines,
    Halftone: halftone,
    Spiral: spiral_waves,
    FlowLines: flow_lines,
    Cells: cells,
    Engraving: engraving,
    Maze: maze,
    EdgeLines: edges,
}
"""Functions by the document type with the style's parameters. Regions are traced by wallwright.artwork.raster.tracing
instead."""
