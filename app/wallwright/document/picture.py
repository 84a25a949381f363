"""How a raster picture becomes lines: tone, pens, and a line style with its parameters.

Lengths related to the pen are multiples of its line width, so that a setting looks the same with a fine and a broad pen.
Tone is the share of the wall covered by ink, 0 to 1.
"""

from __future__ import annotations

import math
from typing import Annotated, Literal, get_args

import msgspec

from wallwright.document.quantity import quantity


class _Style(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind"):
    pass


LineAngle = Annotated[
    float,
    quantity(
        "rad",
        -math.pi,
        math.pi,
        "Angle",
        "Direction of the lines where the picture gives none, clockwise from horizontal.",
        "On diagonals, motor steps are hardly visible.",
    ),
]
Following = Annotated[
    float,
    quantity(
        "",
        0,
        1,
        "Follow the picture",
        "0: straight lines. 1: lines run along the shapes in the picture.",
        "Follows the shapes and stays calm.",
    ),
]


class CrossHatch(_Style, frozen=True, tag="cross-hatch"):
    """Hatch lines limited to the dark parts; a second layer crosses them in darker ones."""

    angle: LineAngle = math.radians(45)
    follow: Following = 0.7
    crossing: Annotated[
        float,
        quantity(
            "",
            0,
            1,
            "Second layer from tone",
            "From this tone on, a second layer crosses the first. 1: never.",
            "Keeps light areas light.",
        ),
    ] = 0.4


class ToneContours(_Style, frozen=True, tag="contours"):
    """Contour lines of the tone, closer together where it is darker."""

    begin: Annotated[
        float,
        quantity(
            "",
            0,
            1,
            "First line at tone",
            "The first line runs where the picture has this tone. The others follow on both sides.",
            "The middle tone of most pictures.",
        ),
    ] = 0.4
    smooth: Annotated[
        float,
        quantity(
            "",
            0,
            50,
            "Smoothing (line widths)",
            "In line widths. Smaller details do not bend the lines.",
            "Keeps neighbouring lines apart.",
        ),
    ] = 3.0


class Stipple(_Style, frozen=True, tag="stipple"):
    """Dots, closer together where the tone is darker."""

    dot: Annotated[
        float,
        quantity(
            "",
            1,
            20,
            "Dot size (line widths)",
            "In line widths. 1: a tap of the pen. More: a small spiral.",
            "Each dot needs a pen lift. Dots three widths wide need a ninth as many.",
        ),
    ] = 3.0


class OneLine(_Style, frozen=True, tag="one-line"):
    """A continuous line, denser where the tone is darker; with several pens it is interrupted over other pens' areas."""

    turns: Annotated[
        float,
        quantity(
            "",
            1,
            2000,
            "Most turns",
            "In thousands. A large picture that needs more is drawn lighter.",
            "Enough for a dark picture 600 mm wide with a pen of 1 mm.",
        ),
    ] = 400.0


class ScanLines(_Style, frozen=True, tag="scan-lines"):
    """Parallel wavy lines whose amplitude grows with the tone."""

    spacing: Annotated[
        float,
        quantity(
            "",
            2,
            50,
            "Spacing (line widths)",
            "Between the lines, in line widths.",
            "Wide enough for a wave, fine enough for a face one metre wide.",
        ),
    ] = 6.0
    angle: Annotated[
        float,
        quantity(
            "rad",
            -math.pi,
            math.pi,
            "Angle",
            "Direction of the lines, clockwise from horizontal.",
            "Horizontal lines are usual.",
        ),
    ] = 0.0


class EdgeLines(_Style, frozen=True, tag="edges"):
    """Lines along the edges between light and dark; tone is ignored."""

    smooth: Annotated[
        float,
        quantity(
            "",
            0.5,
            50,
            "Smoothing (line widths)",
            "In line widths. Smaller details are left out.",
            "Leaves out grain and texture.",
        ),
    ] = 2.0
    strength: Annotated[
        float,
        quantity(
            "",
            0.005,
            1,
            "Smallest step",
            "An edge is a change of tone of at least this much.",
            "A change that the eye sees as a line.",
        ),
    ] = 0.12


class Halftone(_Style, frozen=True, tag="halftone"):
    """Dots on a rotated grid that grow with the tone."""

    pitch: Annotated[
        float,
        quantity(
            "",
            2,
            50,
            "Dot distance (line widths)",
            "From the middle of a dot to the next, in line widths.",
            "Shows its dots from near and the picture from a few steps away.",
        ),
    ] = 6.0
    angle: Annotated[
        float,
        quantity(
            "rad",
            -math.pi,
            math.pi,
            "Angle",
            "Direction of the rows of dots, clockwise from horizontal.",
            "Rows on diagonals are seen least.",
        ),
    ] = math.radians(45)


class Spiral(_Style, frozen=True, tag="spiral"):
    """One wavy spiral over the whole picture whose amplitude grows with the tone."""

    spacing: Annotated[
        float,
        quantity(
            "",
            2,
            50,
            "Spacing (line widths)",
            "Between the turns, in line widths.",
            "Wide enough for a wave, fine enough for a face one metre wide.",
        ),
    ] = 5.0
    across: Annotated[
        float, quantity("", 0, 1, "Middle across", "0: at the left edge. 1: at the right edge.", "In the middle.")
    ] = 0.5
    down: Annotated[float, quantity("", 0, 1, "Middle down", "0: at the top. 1: at the bottom.", "In the middle.")] = (
        0.5
    )


class FlowLines(_Style, frozen=True, tag="flow"):
    """Lines that follow the edges in the picture, closer together where it is darker."""

    smooth: Annotated[
        float,
        quantity(
            "",
            1,
            50,
            "Smoothing (line widths)",
            "In line widths. Smaller details do not bend the lines.",
            "Follows hair and folds, not grain.",
        ),
    ] = 6.0


class Cells(_Style, frozen=True, tag="cells"):
    """Outlines of cells, which are smaller and thicker where the tone is darker."""

    largest: Annotated[
        float,
        quantity(
            "",
            4,
            200,
            "Largest cell (line widths)",
            "Width of a cell where the picture is nearly white, in line widths.",
            "Still seen as a pattern.",
        ),
    ] = 40.0


class Engraving(_Style, frozen=True, tag="engraving"):
    """Lines along the shapes that swell with the tone: the pen draws them two or more times, side by side."""

    spacing: Annotated[
        float,
        quantity(
            "",
            2,
            50,
            "Spacing (line widths)",
            "Between the lines, in line widths.",
            "Room for a line four times as thick.",
        ),
    ] = 4.5
    angle: LineAngle = math.radians(-30)
    follow: Following = 0.6


class Maze(_Style, frozen=True, tag="maze"):
    """One closed line around the paths of a maze, which are narrower where the tone is darker."""

    widest: Annotated[
        float,
        quantity(
            "",
            2,
            100,
            "Widest path (line widths)",
            "Width of the paths where the picture is nearly white, in line widths.",
            "Still seen as a maze.",
        ),
    ] = 24.0


class Regions(_Style, frozen=True, tag="regions"):
    """Flat areas with clean edges; colours, pens and fills work as in any other artwork."""

    colours: Annotated[
        int,
        quantity(
            "",
            2,
            24,
            "Colours",
            "Number of colours the picture is reduced to.",
            "Enough for a logo or a poster.",
        ),
    ] = 6
    speck: Annotated[
        float,
        quantity(
            "mm",
            0,
            1000,
            "Smallest area",
            "Areas narrower than this on the wall are merged with a neighbour.",
            "Anything thinner than two marker lines cannot be filled.",
        ),
    ] = 4.0


Style = (
    CrossHatch
    | ToneContours
    | Stipple
    | OneLine
    | ScanLines
    | Halftone
    | Spiral
    | FlowLines
    | Cells
    | Engraving
    | Maze
    | EdgeLines
    | Regions
)

STYLES: dict[str, type[_Style]] = {str(style.__struct_config__.tag): style for style in get_args(Style)}
"""Line styles by the name used in commands and project files."""


Mixing = Literal["mixed", "apart"]
"""How several pens draw a picture. mixed: over each other, mixed by the eye; apart: each place with one pen."""


class PictureSettings(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How a placed raster picture is drawn."""

    style: Style = CrossHatch()
    pens: tuple[str, ...] = ()
    """Pen ids, one layer each; (): the darkest pen alone."""
    lightness: Annotated[
        float,
        quantity(
            "",
            -1,
            1,
            "Lightness",
            "Above 0 the middle tones become lighter, below 0 darker.",
            "The drawing is as light as the picture.",
        ),
    ] = 0.0
    contrast: Annotated[
        float,
        quantity(
            "",
            -1,
            1,
            "Contrast",
            "Above 0 the difference between light and dark grows.",
            "As in the picture.",
        ),
    ] = 0.0
    darkest: Annotated[
        float,
        quantity(
            "",
            0.1,
            1,
            "Darkest tone",
            "Share of the wall covered by ink where the picture is as dark as the ink.",
            "Dark enough for black; more wets the wall twice and costs much time.",
        ),
    ] = 0.96
    gap: Annotated[
        float,
        quantity(
            "",
            0,
            10,
            "Gap between colours (line widths)",
            "Gap between the layers of two pens, in line widths.",
            "Keeps wet inks from mixing.",
        ),
    ] = 1.0
    mixing: Mixing = "apart"
