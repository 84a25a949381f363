"""The page on which a machine takes a drawing: which numbers it asks for and how it places the drawing.

Many machines take an SVG file on a page of their own: the person types a few numbers there, and the machine draws at
one speed with its own formula. The owner describes what the page shows. Lengths on the page are in the plane of the
machine's formula: x to the right of its left anchor, y down, mm.
"""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec

from wallwright.document.language import N_
from wallwright.document.quantity import quantity

LARGEST = 100_000.0
"""Largest length, mm, as everywhere on the wall."""

Ask = Literal["distance", "width", "height", "left", "top", "scale"]
"""distance: between the anchors; width, height: size of the drawing; left, top: position of its corner or middle; scale."""
Placing = Literal["typed", "centred", "anchors", "wall", "area"]
Alteration = Literal["fill", "close", "sort", "simplify"]
Axes = Literal["right-down", "right-up", "left-down", "left-up"]
Unit = Literal["mm", "px", "user"]

CSS_PX = 25.4 / 96
"""mm of a CSS pixel (CSS Values and Units Level 3, 5.2: 96 to the inch)."""
PIXELS_PER_INCH = (96.0, 90.0, 72.0)
"""Resolutions at which a page may read a file's numbers: CSS; SVG 1.1 (7.10: 1 mm would be 3.543307 px, 90 to the inch);
and points (CSS Values and Units Level 3, 5.2)."""


class DrawingPage(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How a machine's page takes a drawing."""

    is_known: bool = True
    """False: the page's behaviour is untested; the proof drawing comes first."""
    placing: Placing = "typed"
    """typed: at the typed numbers, or at a fixed place; centred: halfway between the anchors; anchors: the page is
    the rectangle between the anchors; wall: the page is the wall; area: fitted into the machine's own area."""
    box: Literal["page", "ink"] = "page"
    """What is placed: the page of the file, or the bounding box of the ink."""
    asks: tuple[Ask, ...] = ("distance", "left", "top", "width")
    """Numbers the page asks for, in its order."""
    origin: Literal["anchor", "middle", "start", "wall"] = "anchor"
    """What left and top are measured from: the left anchor, the point halfway between the anchors, the point at which the
    machine starts, the wall's top left corner."""
    point: Literal["corner", "middle"] = "corner"
    """Point of the drawing that left and top refer to: its top left corner, or its middle."""
    axes: Axes = "right-down"
    """Directions of the drawing's x and y on the wall; in SVG they are right and down."""
    unit: Unit = "mm"
    """mm: the size in mm that the file states is respected; px: a number in the file is a pixel of 1/96 inch; user: a number
    in the file is a mm."""
    whole_numbers: bool = True
    """Whether only whole mm can be typed."""
    decimals: Annotated[
        int,
        quantity(
            "",
            0,
            4,
            "Decimals",
            "Of the coordinates in the file. 0: it reads whole numbers only.",
            "Hundredths of a mm are finer than a motor's step.",
        ),
    ] = 2
    own_left: Annotated[
        float,
        quantity(
            "mm",
            -LARGEST,
            LARGEST,
            "Left of its place",
            "From the left anchor to where the page puts drawings, if it does not ask.",
        ),
    ] = 0.0
    own_top: Annotated[
        float,
        quantity(
            "mm",
            -LARGEST,
            LARGEST,
            "Top of its place",
            "Below the left anchor, where the page puts drawings, if it does not ask.",
        ),
    ] = 0.0
    own_width: Annotated[
        float,
        quantity(
            "mm",
            0,
            LARGEST,
            "Width of its area",
            "Of the area that it fits drawings into.",
            zero=N_("not known"),
            least=10,
        ),
    ] = 0.0
    own_height: Annotated[
        float,
        quantity(
            "mm",
            0,
            LARGEST,
            "Height of its area",
            "Of the area that it fits drawings into.",
            zero=N_("not known"),
            least=10,
        ),
    ] = 0.0
    scale: Annotated[
        float,
        quantity(
            "",
            0.01,
            100,
            "Page scale",
            "What becomes of 1 mm on its page, in mm. Found by the proof drawing.",
            "Most pages keep a mm.",
        ),
    ] = 1.0
    shift_right: Annotated[
        float,
        quantity(
            "mm",
            -10_000,
            10_000,
            "Placed right by",
            "How far right of the typed place it draws. Found by the proof drawing.",
        ),
    ] = 0.0
    shift_down: Annotated[
        float,
        quantity(
            "mm",
            -10_000,
            10_000,
            "Placed down by",
            "How far below the typed place it draws. Found by the proof drawing.",
        ),
    ] = 0.0
    added_distance: Annotated[
        float,
        quantity(
            "mm",
            -1000,
            1000,
            "Added to the distance",
            "What its formula adds to the anchor distance that is typed. Found by calibration.",
            "Most formulas use the number as it is typed.",
        ),
    ] = 0.0
    start: Literal["own", "hand"] = "own"
    """own: the machine winds the belts to a stop and lets them out; hand: the person puts the pen at its start."""
    start_right: Annotated[
        float,
        quantity(
            "mm",
            -LARGEST,
            LARGEST,
            "Its start, right",
            "Where it believes the pen to be at the start, right of the "
            "left anchor. 0: the starting point of the hanging.",
            zero=N_("the starting point"),
        ),
    ] = 0.0
    start_down: Annotated[
        float,
        quantity(
            "mm",
            -LARGEST,
            LARGEST,
            "Its start, down",
            "The same, below the left anchor.",
            zero=N_("the starting point"),
        ),
    ] = 0.0
    switch_off: tuple[Alteration, ...] = ()
    """Alterations the page makes to paths unless switched off."""
    always: tuple[Alteration, ...] = ()
    """Alterations that cannot be switched off."""
    tolerance: Annotated[
        float,
        quantity(
            "mm",
            0.001,
            1,
            "Thinning",
            "How far a line in the file may pass a point that is left out.",
            "Fewer points; far below a pen's width.",
        ),
    ] = 0.02
    largest_file: Annotated[
        float,
        quantity(
            "kB",
            0,
            1_000_000,
            "Largest file",
            "Larger drawings are split between two strokes. 0: no limit.",
            "Most pages take any file.",
            zero=N_("no limit"),
            least=4,
        ),
    ] = 0.0
    attributes: Literal["none", "stroke"] = "none"
    """stroke: each path has a stroke colour and no fill, for pages that need one to draw."""
    one_file: bool = False
    """Whether a file with all pens is written too."""
    other_files: bool = False
    """Whether the files for controllers of other kinds are written too."""
    lift_angle: Annotated[
        float,
        quantity(
            "rad",
            0,
            3.1415,
            "Lift at corners",
            "Corners that turn by more end a stroke: the pen is lifted there instead of turning at speed. 0: never.",
            "A lift takes time and may leave a dot.",
            zero=N_("never"),
            least=0.1,
        ),
    ] = 0.0

    @property
    def is_sized_by_page(self) -> bool:
        """Whether the size on the wall comes from the typed numbers or the page, regardless of the numbers in the file."""
        return self.placing in ("anchors", "area") or "width" in self.asks or "height" in self.asks

    @property
    def unit_mm(self) -> float:
        """Length in mm of one unit in the file."""
        return CSS_PX if self.unit == "px" else 1.0

    @property
    def number_mm(self) -> float:
        """Length on the wall, in mm, of one unit in the file, where the size comes from the file."""
        return self.unit_mm * self.scale

    @property
    def keeps_middle(self) -> tuple[bool, bool]:
        """Whether a drawing of another size keeps its centre fixed, in x and in y; else its left or top edge."""
        if self.point == "middle" and self.placing in ("typed", "centred"):
            return True, True
        return self.placing in ("centred", "area"), self.placing == "area"

    @property
    def step(self) -> float:
        """Smallest step of a typed length, mm."""
        return 1.0 if self.whole_numbers else 0.1
