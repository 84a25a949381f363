"""The demo job: a harbour drawn in four colours on the wall of a boat-house, beside a door and over a socket."""

from __future__ import annotations

import math

from wallwright.document import edits
from wallwright.document.document import Document, Fill, Pen, Settings
from wallwright.document.language import tr
from wallwright.document.new_wall import usual_machine
from wallwright.document.resources import resource
from wallwright.document.wall import Anchor, Hanging, KeepOut, Point, Wall

ARTWORK = resource("demo", "harbour.svg")
NATURAL = (240.0, 180.0)
"""Size of the drawing in its file, mm."""


def demo_document() -> Document:
    """Returns a complete project, ready to be planned."""
    door = KeepOut(tr("Door"), ((2350.0, 200.0), (3250.0, 200.0), (3250.0, 2200.0), (2350.0, 2200.0)))
    around = ((-300.0, 1880.0), (-220.0, 1880.0), (-220.0, 1960.0), (-300.0, 1960.0))
    socket = KeepOut(tr("Socket"), around, "electrical")
    document = Document(
        machine=usual_machine(),
        wall=Wall(left=-350.0, top=-300.0, width=3600.0, height=2500.0, keep_outs=(door, socket)),
        hangings=(Hanging(tr("Boat-house wall"), Anchor(0.0, 0.0), Anchor(2100.0, -15.0), (1050.0, 700.0)),),
        settings=Settings(fill=Fill("hatch", 5.0, math.radians(45))),
    )
    return with_harbour(document, centre=(1050.0, 830.0), width=1000.0)


def with_harbour(document: Document, centre: Point | None = None, width: float | None = None) -> Document:
    """Returns the document with the demo's drawing and its four pens, on any wall; by default where it fits well."""
    pens = (  # light to dark: a light pen that crosses dark ink picks it up
        Pen("orange", tr("Orange marker"), "#e08a1e"),
        Pen("red", tr("Red marker"), "#c02020"),
        Pen("blue", tr("Blue marker"), "#1f4e8c"),
        Pen("black", tr("Black marker"), "#202020"),
    )
    document = edits.set_field(document, "pens", pens)
    data = ARTWORK.read_bytes()
    return edits.add_artwork(document, ARTWORK.name, "image/svg+xml", data, NATURAL, centre, width)[0]
