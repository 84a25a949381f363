"""Example projects: drawings for the walls of a small library in an old mill. Each is planned in seconds and illustrates
one chapter of the guide.

The mill, the library and the drawings are invented; the cat is a photograph (`document.components`).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from wallwright.document import edits, edits_hangings
from wallwright.document.document import Document, Fill, Ink, Pen, Placement, Settings
from wallwright.document.generated_artwork import MEDIA, TextArtwork, encode, generated_name
from wallwright.document.language import N_, tr
from wallwright.document.new_wall import usual_machine
from wallwright.document.picture import OneLine, PictureSettings
from wallwright.document.resources import resource
from wallwright.document.wall import Anchor, Hanging, KeepOut, Wall

SVG = "image/svg+xml"


@dataclass(frozen=True)
class Example:
    """One example. Title and text are translated where they are shown."""

    id: str
    title: str
    text: str
    chapter: str
    """Chapter of the guide: its file name without number, language and suffix."""
    document: Callable[[], Document]


def _mill_wall(distance: float = 2000.0, start: float = 700.0, width: float = 3200.0) -> Document:
    """Returns a free wall of the reading room with two anchors in its middle."""
    wall = Wall(left=(distance - width) / 2, top=-300.0, width=width, height=2600.0)
    hanging = Hanging(tr("Reading room"), Anchor(0.0, 0.0), Anchor(distance, 0.0), (distance / 2, start))
    return Document(
        wall=wall,
        machine=usual_machine(),
        hangings=(hanging,),
        pens=(Pen("black", tr("Black marker"), "#202020"),),
    )


def _with_file(
    document: Document, name: str, media: str, natural: tuple[float, float], centre: tuple[float, float], width: float
) -> tuple[Document, Placement]:
    data = resource("examples", name).read_bytes()
    return edits.add_artwork(document, name, media, data, natural, centre, width)


def _with_solid_file(
    document: Document, name: str, natural: tuple[float, float], centre: tuple[float, float], width: float
) -> Document:
    """Returns the document with an SVG whose colours go to the nearest pen, each with the job's fill."""
    document, placed = _with_file(document, name, SVG, natural, centre, width)
    return edits.set_placement(document, placed.id, colours="solid")


def first_lines() -> Document:
    """Returns lines only: one pen, no fill."""
    return _with_solid_file(_mill_wall(start=600.0), "mill.svg", (520.0, 420.0), (1000.0, 1050.0), 940.0)


def poster() -> Document:
    """Returns two pens with fill, beside a door."""
    document = _mill_wall(start=420.0)
    door = KeepOut(tr("Door"), ((1950.0, 300.0), (2600.0, 300.0), (2600.0, 2300.0), (1950.0, 2300.0)))
    document = edits.set_field(document, "wall.keep_outs", (door,))
    pens = (*document.pens, Pen("red", tr("Red marker"), "#c02020"))
    document = edits.set_field(document, "pens", pens)
    document = edits.set_field(document, "settings", Settings(fill=Fill("hatch", 5.0, math.radians(45))))
    document, placed = _with_file(document, "reading-day.svg", SVG, (400.0, 430.0), (1000.0, 920.0), 760.0)
    inks = (
        Ink("#c02020", "red", fill=Fill("hatch", 4.0, math.radians(45))),
        Ink("#202020", "black", fill=Fill("cross-hatch", 6.0, math.radians(45))),
    )
    return edits.set_placement(document, placed.id, inks=inks, colours="solid")


def portrait() -> Document:
    """Returns the library's cat as one continuous line."""
    document, placed = _with_file(
        _mill_wall(start=480.0), "cat.jpg", "image/jpeg", (390.0, 300.0), (1000.0, 880.0), 700.0
    )
    picture = PictureSettings(style=OneLine(turns=20.0), mixing="mixed", darkest=0.75)
    return edits.set_placement(document, placed.id, picture=picture)


def lettering() -> Document:
    """Returns text on an arc, and a twig below it."""
    document = _mill_wall(distance=2400.0, start=900.0, width=3600.0)
    text = TextArtwork(tr("MILL LANE LIBRARY"), face="roman", size=90.0, radius=700.0, spacing=6.0)
    document, _ = edits.add_artwork(
        document, generated_name(text), MEDIA[TextArtwork], encode(text), ARC_SIZE, (1200.0, 760.0), 1100.0
    )
    return _with_solid_file(document, "twig.svg", (400.0, 90.0), (1200.0, 1080.0), 700.0)


ARC_SIZE = (1100.0, 380.0)
"""Approximate size of the text, mm; it is fitted into its frame."""


def frieze() -> Document:
    """Returns a river along the wall, drawn in four hangings that meet at handover lines."""
    document = _mill_wall(width=7200.0)
    document = edits.set_field(document, "pens", (Pen("blue", tr("Blue marker"), "#1f4e8c"),))
    document = edits.set_field(document, "wall", Wall(left=-700.0, top=-300.0, width=6600.0, height=2600.0))
    document = _with_solid_file(document, "river.svg", (600.0, 60.0), (2600.0, 800.0), 4400.0)
    places = tuple(((x, 0.0), (x + 2000.0, 0.0), (x + 1000.0, 450.0)) for x in FRIEZE_ANCHORS)
    return edits_hangings.replace_hangings(document, places)


FRIEZE_ANCHORS = (0.0, 1070.0, 2140.0, 3210.0)
"""Left anchors of the four hangings, mm."""

EXAMPLES = (
    Example(
        "first-lines", N_("First lines"), N_("One pen, no fill. The shortest way to a job."), "first-job", first_lines
    ),
    Example("poster", N_("A poster with two pens"), N_("Two colours with fill, beside a door."), "pens", poster),
    Example(
        "portrait",
        N_("A portrait as one line"),
        N_("A picture that the pen draws without lifting."),
        "artwork",
        portrait,
    ),
    Example("lettering", N_("Text on an arc"), N_("Single-line letters around a circle."), "artwork", lettering),
    Example(
        "frieze", N_("A frieze of four hangings"), N_("A wall longer than one hanging can draw."), "hangings", frieze
    ),
)
