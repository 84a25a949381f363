"""A new project from the few numbers that a person knows before anything is drawn."""

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
"""Of the anchor distance: how far below the anchors the pen starts; the belts are then well away from level and plumb."""
ABOVE_FLOOR = 250.0
"""mm that the starting point keeps from the floor: room for the body."""


def usual_machine() -> Machine:
    """The machine of the defaults, named in the person's language."""
    return msgspec.structs.replace(Machine(), name=tr("Typical machine"))


def new_document() -> Document:
    """An empty project whose pen, hanging and machine have names in the person's language."""
    first = Document()
    pen = msgspec.structs.replace(first.pens[0], name=tr("Black marker"))
    hanging = msgspec.structs.replace(first.hangings[0], name=tr("Hanging 1"))
    return msgspec.structs.replace(first, pens=(pen,), hangings=(hanging,), machine=usual_machine())


class NewWall(msgspec.Struct, frozen=True):
    """What is asked at the first start. The anchors are level and in the middle of the wall."""

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
        """The wall, and the hanging on it. Raises BadValue when the anchors are not on the wall."""
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
        """An empty project on this wall. Raises BadValue as hang does."""
        wall, hanging = self.hang()
        return msgspec.structs.replace(new_document(), wall=wall, machine=machine, hangings=(hanging,))
