"""A new project from a few numbers about the wall."""

from __future__ import annotations

from typing import Annotated

import msgspec

from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.quantity import quantity
from wallwright.document.wall import COORDINATE, Anchor, Hanging, Wall

START_SHARE = 0.4
"""Depth of the starting point below the anchors over their distance; the belts are then far from level and plumb."""
ABOVE_FLOOR = 250.0
"""Least distance of the starting point from the floor, mm: room for the body."""


def usual_machine() -> Machine:
    """Returns the default machine, named in the person's language."""
    return msgspec.structs.replace(Machine(), name=tr("Typical machine"))


def new_document() -> Document:
    """Returns an empty project whose pen, hanging and machine have names in the person's language."""
    first = Document()
    pen = msgspec.structs.replace(first.pens[0], name=tr("Black marker"))
    hanging = msgspec.structs.replace(first.hangings[0], name=tr("Hanging 1"))
    return msgspec.structs.replace(first, pens=(pen,), hangings=(hanging,), machine=usual_machine())


class NewWall(msgspec.Struct, frozen=True):
    """Measurements of a new wall. The anchors are level and centred on the wall."""

    width: Annotated[float, quantity("mm", 100, COORDINATE, "Wall width", "Width of the wall that is free.")] = 3000.0
    height: Annotated[float, quantity("mm", 100, COORDINATE, "Wall height", "From floor to ceiling.")] = 2500.0
    distance: Annotated[
        float,
        quantity(
            "mm",
            100,
            COORDINATE,
            "Distance between anchors",
            "From anchor to anchor. The drawing can be about half as wide.",
        ),
    ] = 2000.0
    drop: Annotated[
        float, quantity("mm", 0, COORDINATE, "Anchors below the ceiling", "As high as you can reach safely.")
    ] = 300.0

    def hang(self) -> tuple[Wall, Hanging]:
        """Returns the wall and the hanging on it. Raises BadValue when the anchors are not on the wall."""
        if self.distance > self.width:
            raise BadValue(
                tr(
                    "The anchors are {0:g} mm apart, but the wall is only {1:g} mm wide",
                    self.distance,
                    self.width,
                )
            )
        if self.drop + ABOVE_FLOOR > self.height:
            raise BadValue(tr("The anchors are too low. At least {0:g} mm must remain below them", ABOVE_FLOOR))
        wall = Wall((self.distance - self.width) / 2, -self.drop, self.width, self.height)
        below = min(START_SHARE * self.distance, wall.floor - ABOVE_FLOOR)
        left, right = Anchor(0.0, 0.0), Anchor(self.distance, 0.0)
        return wall, Hanging(tr("Hanging 1"), left, right, (self.distance / 2, float(round(below))))

    def document(self, machine: Machine) -> Document:
        """Returns an empty project on this wall. Raises BadValue like hang."""
        wall, hanging = self.hang()
        return msgspec.structs.replace(new_document(), wall=wall, machine=machine, hangings=(hanging,))
