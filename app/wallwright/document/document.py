"""The document: what a person edits. Frozen values; an edit makes a new document."""

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
    # Asked for at every edit; a large file takes a fifth of a second. bytes objects keep their hash.
    return hashlib.sha256(data).hexdigest()


PICTURES = ("image/png", "image/jpeg", "image/webp")
"""Media types of artwork made of pixels."""
ColourRule = Literal["mixed", "solid"]
"""What happens to colours without a choice: a recipe of one or two pens with coverages that comes nearest from afar; or the
pen that is nearest in colour, with the fill of the job."""
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
    """A further pen whose fill is laid over that of the first."""

    pen: str
    """Pen id."""
    fill: Fill


class Ink(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How one colour of an artwork is drawn."""

    colour: Colour
    pen: str = ""
    """Pen id; "" when this colour is not drawn."""
    outline: bool = True
    """Whether the edge of a filled region is drawn too."""
    fill: Fill | None = None
    """None: the fill of the settings."""
    group: tuple[str, ...] = ()
    """Groups of the artwork that it holds for, outermost first; none: for the whole artwork. The inmost one wins."""
    overlays: tuple[Overlay, ...] = ()
    """Of its areas."""


class Artwork(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A file as the person brought it, kept to the byte."""

    id: str
    name: str
    media: str
    """Media type: "image/svg+xml", "image/png", "image/jpeg", "image/webp", or a form of our own."""
    data: bytes = b""
    read_anyway: bool = False
    """Whether the person agreed that reading it takes more than files may take unasked."""

    @property
    def digest(self) -> str:
        """SHA-256 of the file, in hex."""
        return _digest(self.data)

    @property
    def is_picture(self) -> bool:
        """Whether it is made of pixels, which a line style turns into strokes."""
        return self.media in PICTURES


class ColourGap(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The gap between areas of two colours of an artwork, where it is not that of the job."""

    first: Colour
    second: Colour
    gap: Annotated[float, quantity("mm", 0, 50, "Gap between two colours", "0: they meet.")]


class Placement(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """An artwork on the wall: scaled about its centre, mirrored, turned, then moved."""

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
    """Colours not named here go by the rule for colours."""
    colours: ColourRule = "solid"
    gaps: tuple[ColourGap, ...] = ()
    picture: PictureSettings | None = None
    """How it becomes lines, of a picture only; None: as a new picture does."""


class Photo(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A photo of the real wall, shown behind the artwork on screen and nowhere else."""

    artwork: str
    """Id of its file among the artworks."""
    seen: tuple[Point, Point, Point, Point]
    """Four points of the photo, pixels from its top left corner."""
    places: tuple[Point, Point, Point, Point]
    """Where they are on the wall, mm."""
    opacity: Annotated[
        float,
        quantity("share", 0.0, 1.0, "Opacity", "0 %: invisible. 100 %: full strength.", "Ink stays easy to see on it."),
    ] = 0.6
    shown: bool = True


class GuideLine(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A vertical or horizontal line on the wall that artwork is put by, shown on screen and nowhere else."""

    is_vertical: bool
    """Else it is level."""
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
    """Choices that hold for the whole job."""

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
    """What happens to strokes outside the draw zone."""
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
    """Everything of one project."""

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
    """How far the job was drawn, when it was interrupted."""
    purpose: Literal["wall", "pen-offsets", "sample-strip", "pen-friction", "test-drawing"] = "wall"
    """What is drawn for: of drawings that teach something about pens or machine the sheet says how they are read."""

    @property
    def from_left(self) -> tuple[int, ...]:
        """Numbers of the hangings from left to right, by the middle between their anchors."""
        middle = [(h.left.x + h.right.x) / 2 for h in self.hangings]
        return tuple(sorted(range(len(middle)), key=lambda i: (middle[i], i)))

    def drawer_of(self, hanging: int, x: float) -> int:
        """Number of the earlier neighbour of a hanging that draws what it is lined up by at x, mm: the one on that side."""
        middle = [(h.left.x + h.right.x) / 2 for h in self.hangings]
        return min(self.earlier_neighbours(hanging), key=lambda n: abs(middle[n] - x))

    def earlier_neighbours(self, hanging: int) -> tuple[int, ...]:
        """Numbers of the hangings beside a hanging that are drawn before it."""
        row = self.from_left
        at = row.index(hanging)
        return tuple(i for i in (*row[max(at - 1, 0) : at], *row[at + 1 : at + 2]) if i < hanging)

    def pen(self, pen_id: str) -> Pen:
        return next(p for p in self.pens if p.id == pen_id)

    def artwork(self, artwork_id: str) -> Artwork:
        return next(a for a in self.artworks if a.id == artwork_id)

    def draws_lines(self, placement: Placement) -> bool:
        """Whether it is a picture in a line style, whose colours go to pens as layers and not by a table."""
        is_picture = self.artwork(placement.artwork).is_picture
        return is_picture and not isinstance((placement.picture or PictureSettings()).style, Regions)

    def placement(self, placement_id: str) -> Placement:
        return next(p for p in self.placements if p.id == placement_id)
