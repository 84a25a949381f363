"""The document that a person edits. Values are frozen; an edit makes a new document."""

from __future__ import annotations

import functools
import hashlib
import math
from typing import Annotated, Literal

import msgspec

from wallwright.document.continuation import Interruption
from wallwright.document.joining import Joining
from wallwright.document.language import N_
from wallwright.document.machine import Machine
from wallwright.document.ordering import Ordering
from wallwright.document.pen import Colour
from wallwright.document.pen import Pen as Pen
from wallwright.document.picture import PictureSettings, Regions
from wallwright.document.quantity import quantity
from wallwright.document.wall import COORDINATE, Anchor, Hanging, Point, Wall


@functools.lru_cache(maxsize=32)
def _digest(data: bytes) -> str:
    # Cached, since every edit asks for it and a large file takes a fifth of a second. bytes objects keep their hash.
    return hashlib.sha256(data).hexdigest()


PICTURES = ("image/png", "image/jpeg", "image/webp")
"""Media types of raster artwork."""
ColourRule = Literal["mixed", "solid"]
"""How colours without a chosen pen are drawn. mixed: by the closest recipe of one or two pens with coverages, as seen from a
distance; solid: by the pen nearest in colour, with the fill of the job."""
FillKind = Literal["none", "quickest", "hatch", "cross-hatch", "zigzag", "contour", "spiral", "stipple"]


class Fill(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How a region is filled."""

    kind: FillKind = "hatch"
    spacing: Annotated[
        float,
        quantity(
            "mm",
            0.05,
            1000,
            "Spacing",
            "Distance between fill lines, centre to centre.",
            "Two line widths give a light, quick fill that still reads as a tone.",
        ),
    ] = 4.0
    angle: Annotated[
        float,
        quantity(
            "rad",
            -math.pi,
            math.pi,
            "Angle",
            "Direction of the lines, clockwise from horizontal.",
            "On diagonals, motor steps are hardly visible.",
        ),
    ] = math.radians(45)
    coverage: Annotated[
        float,
        quantity(
            "%",
            0,
            100,
            "Coverage",
            "Share of the area covered by ink; sets the spacing. 0: use the spacing above.",
            "The spacing applies.",
            zero=N_("by spacing"),
            least=0.1,
        ),
    ] = 0.0
    cross_angle: Annotated[
        float,
        quantity(
            "rad",
            -math.pi,
            math.pi,
            "Second angle",
            "Angle of the second lines of a cross-hatch, measured from the first.",
            "Gives squares.",
        ),
    ] = math.radians(90)
    cross_spacing: Annotated[
        float,
        quantity(
            "mm",
            0,
            1000,
            "Second spacing",
            "Spacing of the second lines of a cross-hatch. 0: same as the first.",
            "Gives even squares.",
            zero=N_("same as the first"),
            least=0.05,
        ),
    ] = 0.0


class Overlay(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A further pen whose fill is drawn over that of the first."""

    pen: str
    """Pen id."""
    fill: Fill


class Ink(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How one colour of an artwork is drawn."""

    colour: Colour
    pen: str = ""
    """Pen id; "" when this colour is not drawn."""
    outline: bool = True
    """Whether the outline of a filled region is drawn too."""
    fill: Fill | None = None
    """None: the fill in the settings."""
    group: tuple[str, ...] = ()
    """Path of group names, outermost first, that this choice applies to; (): the whole artwork. The innermost one wins."""
    overlays: tuple[Overlay, ...] = ()
    """Further fills of areas in this colour."""


class Artwork(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """An imported file, kept byte for byte."""

    id: str
    name: str
    media: str
    """Media type: "image/svg+xml", "image/png", "image/jpeg", "image/webp", or one of Wallwright's own."""
    data: bytes = b""
    read_anyway: bool = False
    """Whether the person agreed to exceed the default limits on reading cost."""

    @property
    def digest(self) -> str:
        """SHA-256 of the file, in hex."""
        return _digest(self.data)

    @property
    def is_picture(self) -> bool:
        """Whether it is a raster picture, which a line style turns into strokes."""
        return self.media in PICTURES


class ColourGap(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A gap between areas of two colours of an artwork that differs from the job's."""

    first: Colour
    second: Colour
    gap: Annotated[float, quantity("mm", 0, 50, "Gap between two colours", "0: they meet.")]


class Placement(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """An artwork on the wall: scaled about its centre, mirrored, rotated, then moved."""

    id: str
    artwork: str
    x: Annotated[
        float,
        quantity(
            "mm",
            -COORDINATE,
            COORDINATE,
            "Centre, right of the first left anchor",
            "Measured from the left anchor of the first hanging.",
        ),
    ]
    y: Annotated[
        float,
        quantity(
            "mm",
            -COORDINATE,
            COORDINATE,
            "Centre, below the first left anchor",
            "Measured from the left anchor of the first hanging.",
        ),
    ]
    width: Annotated[float, quantity("mm", 0.1, COORDINATE, "Width", "On the wall, before turning.")]
    height: Annotated[float, quantity("mm", 0.1, COORDINATE, "Height", "On the wall, before turning.")]
    turn: Annotated[float, quantity("rad", -math.pi, math.pi, "Rotation", "Clockwise.")] = 0.0
    mirror: bool = False
    visible: bool = True
    locked: bool = False
    inks: tuple[Ink, ...] = ()
    """Choices by colour; all other colours follow the colour rule."""
    colours: ColourRule = "solid"
    gaps: tuple[ColourGap, ...] = ()
    picture: PictureSettings | None = None
    """Line style of a raster picture; None: that of a new picture."""


class Photo(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A photo of the real wall, shown behind the artwork on screen only."""

    artwork: str
    """Artwork id of its file."""
    seen: tuple[Point, Point, Point, Point]
    """Four points of the photo, pixels from its top left corner."""
    places: tuple[Point, Point, Point, Point]
    """The same points on the wall, mm."""
    opacity: Annotated[
        float,
        quantity("share", 0.0, 1.0, "Opacity", "0 %: invisible. 100 %: full strength.", "Ink stays easy to see on it."),
    ] = 0.6
    shown: bool = True


class GuideLine(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A vertical or horizontal guide line for placing artwork, shown on screen only."""

    is_vertical: bool
    """False: horizontal."""
    at: Annotated[
        float,
        quantity(
            "mm",
            -COORDINATE,
            COORDINATE,
            "Position",
            "From the left anchor of the first hanging: to the right for a vertical line, down for a horizontal one.",
        ),
    ]


class Settings(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Settings of the whole job."""

    fill: Fill = Fill("quickest")
    order: Ordering = Ordering()
    flatness: Annotated[
        float,
        quantity(
            "mm",
            0.005,
            5,
            "Curve tolerance",
            "Curves are drawn as short lines that stay this close to them.",
            "A tenth of a fine marker's line width.",
        ),
    ] = 0.05
    path_tolerance: Annotated[
        float,
        quantity(
            "mm",
            0.005,
            5,
            "Path tolerance",
            "How far the pen may stray from a straight line between two points of the exported file.",
            "A fortieth of a broad marker's line width.",
        ),
    ] = 0.05
    join_gap: Annotated[
        float,
        quantity(
            "mm",
            0,
            10,
            "Join gap",
            "Ends closer than this are joined without lifting the pen.",
            "Less than a line width.",
        ),
    ] = 0.2
    gap: Annotated[
        float,
        quantity(
            "mm",
            0,
            50,
            "Gap between colours",
            "Between filled areas of different pens; 0: they meet.",
            "Half a millimetre beyond the error between two pens, so that wet inks do not touch.",
        ),
    ] = 1.0
    wait_until_dry: bool = False
    """Whether the job waits at pen changes until no pen touches wet ink."""
    outside: Literal["refuse", "clip", "draw-anyway"] = "refuse"
    """Treatment of strokes outside the draw zone."""
    joining: Joining = Joining()
    priming_strokes: Annotated[
        int,
        quantity(
            "",
            0,
            50,
            "Priming strokes",
            "Lines that each pen draws on the priming strip before it begins.",
            "Ink flows by the third line.",
        ),
    ] = 3
    priming_length: Annotated[
        float,
        quantity("mm", 1, 1000, "Priming length", "Length of each priming stroke.", "A strip of tape by hand."),
    ] = 60.0
    reach_low: Annotated[
        float,
        quantity(
            "mm",
            0,
            20_000,
            "Hands reach from",
            "Lowest height above the floor at which pens can be changed.",
            "Without kneeling.",
        ),
    ] = 500.0
    reach_high: Annotated[
        float,
        quantity(
            "mm",
            0,
            20_000,
            "Hands reach up to",
            "Highest height above the floor at which pens can be changed.",
            "Without a ladder.",
        ),
    ] = 1900.0


class Document(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The complete content of a project."""

    wall: Wall = Wall()
    machine: Machine = Machine()
    hangings: tuple[Hanging, ...] = (Hanging("Hanging 1", Anchor(0.0, 0.0), Anchor(2000.0, 0.0), (1000.0, 800.0)),)
    pens: tuple[Pen, ...] = (Pen("black", "Black marker", "#202020"),)
    artworks: tuple[Artwork, ...] = ()
    placements: tuple[Placement, ...] = ()
    settings: Settings = Settings()
    photo: Photo | None = None
    guide_lines: tuple[GuideLine, ...] = ()
    stopped: Interruption | None = None
    """How far the job was drawn when it was interrupted; None: not interrupted."""
    purpose: Literal["wall", "pen-offsets", "sample-strip", "pen-friction", "test-drawing"] = "wall"
    """Purpose of the drawing. For drawings that measure pens or the machine, the sheet explains how to read them."""

    @property
    def from_left(self) -> tuple[int, ...]:
        """Indices of the hangings from left to right, by the midpoint between their anchors."""
        middle = [(h.left.x + h.right.x) / 2 for h in self.hangings]
        return tuple(sorted(range(len(middle)), key=lambda i: (middle[i], i)))

    def drawer_of(self, hanging: int, x: float) -> int:
        """Returns the index of the earlier neighbour on the side of x (mm), which draws the marks to align a hanging by."""
        middle = [(h.left.x + h.right.x) / 2 for h in self.hangings]
        return min(self.earlier_neighbours(hanging), key=lambda n: abs(middle[n] - x))

    def earlier_neighbours(self, hanging: int) -> tuple[int, ...]:
        """Returns the indices of the neighbouring hangings that are drawn before a hanging."""
        row = self.from_left
        at = row.index(hanging)
        return tuple(i for i in (*row[max(at - 1, 0) : at], *row[at + 1 : at + 2]) if i < hanging)

    def pen(self, pen_id: str) -> Pen:
        return next(p for p in self.pens if p.id == pen_id)

    def artwork(self, artwork_id: str) -> Artwork:
        return next(a for a in self.artworks if a.id == artwork_id)

    def draws_lines(self, placement: Placement) -> bool:
        """Whether it is a raster picture in a line style, drawn in pen layers instead of by its colour choices."""
        is_picture = self.artwork(placement.artwork).is_picture
        return is_picture and not isinstance((placement.picture or PictureSettings()).style, Regions)

    def placement(self, placement_id: str) -> Placement:
        return next(p for p in self.placements if p.id == placement_id)
