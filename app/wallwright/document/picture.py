"""How a picture becomes lines: tone, pens, and one of the line styles with its few numbers.

Lengths that belong to the pen are counted in widths of its line, so that a choice looks the same with a fine and a broad
pen. Tone is the share of the wall that ink covers, 0 to 1.
"""

from __future__ import annotations

import math
from typing import Annotated, Literal

import msgspec

from wallwright.document.quantity import quantity


class _Style(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind"):
    pass


class CrossHatch(_Style, frozen=True, tag="cross-hatch"):
    """Hatch lines that end where the tone ends; a second layer crosses them in the dark."""

    angle: Annotated[
        float,
        quantity(
            "rad",
            -math.pi,
            math.pi,
            "Angle",
            "Direction of the lines where the picture gives none, clockwise from horizontal.",
            "On diagonals, motor steps are hardly visible.",
        ),
    ] = math.radians(45)
    follow: Annotated[
        float,
        quantity(
            "",
            0,
            1,
            "Follow the picture",
            "0: straight lines. 1: lines run along the shapes in the picture.",
            "Follows the shapes and stays calm.",
        ),
    ] = 0.7
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
    """Lines around light and dark, closer together the darker it is."""

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
            "Smoothing",
            "In line widths. Smaller details do not bend the lines.",
            "Keeps neighbouring lines apart.",
        ),
    ] = 3.0


class Stipple(_Style, frozen=True, tag="stipple"):
    """Dots, closer together the darker it is."""

    dot: Annotated[
        float,
        quantity(
            "",
            1,
            20,
            "Dot size",
            "In line widths. 1: a tap of the pen. More: a small spiral.",
            "Each dot needs a pen lift. Dots three widths wide need a ninth as many.",
        ),
    ] = 3.0


class OneLine(_Style, frozen=True, tag="one-line"):
    """A single line that never lifts, denser the darker it is; with several pens it lifts over another pen's ground."""

    turns: Annotated[
        float,
        quantity(
            "",
            1,
            100,
            "Most turns",
            "In thousands. A large picture that needs more is drawn lighter.",
            "Takes a few seconds to find.",
        ),
    ] = 100.0


class ScanLines(_Style, frozen=True, tag="scan-lines"):
    """Lines side by side whose wave grows with the tone."""

    spacing: Annotated[
        float,
        quantity(
            "",
            2,
            50,
            "Spacing",
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
    """Lines where light meets dark; tone is left out."""

    smooth: Annotated[
        float,
        quantity(
            "",
            0.5,
            50,
            "Smoothing",
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


class Regions(_Style, frozen=True, tag="regions"):
    """Flat areas with clean edges; colours, pens and fills go as in any other artwork."""

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


Style = CrossHatch | ToneContours | Stipple | OneLine | ScanLines | EdgeLines | Regions

STYLES: dict[str, type[_Style]] = {
    str(s.__struct_config__.tag): s for s in (CrossHatch, ToneContours, Stipple, OneLine, ScanLines, EdgeLines, Regions)
}
"""By the name that commands and project files use."""


Mixing = Literal["mixed", "apart"]
"""How several pens draw a picture: on each other, mixed by the eye from afar; or each place with one pen."""


class PictureSettings(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How one placed picture is drawn."""

    style: Style = CrossHatch()
    pens: tuple[str, ...] = ()
    """Pen ids, each a layer of its own; none: the darkest pen alone."""
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
    ] = 0.92
    gap: Annotated[
        float,
        quantity(
            "",
            0,
            10,
            "Gap between colours",
            "Gap between the layers of two pens, in line widths.",
            "Keeps wet inks from mixing.",
        ),
    ] = 1.0
    mixing: Mixing = "apart"
