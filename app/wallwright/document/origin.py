"""What a position is measured from. Every position that a person reads or types names it.

The document keeps positions in the wall frame, whose origin is the left anchor of the first hanging. A person reads them
from the left anchor of the hanging they belong to, to the right and down; or as a tape measures them on the wall: from
its left edge to the right, and from the floor up.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from wallwright.document.document import Document
from wallwright.document.language import format_number, tr
from wallwright.document.wall import Hanging, Point

OriginKind = Literal["anchor", "wall"]
"""anchor: the left anchor of a hanging, y down. wall: the wall's left edge and the floor, y up."""


class Origin(msgspec.Struct, frozen=True):
    """One point that positions are measured from."""

    kind: OriginKind
    x: float
    y: float
    """Where it is in the wall frame, mm."""
    hanging: str = ""
    """Name of the hanging whose left anchor it is, where the wall has several."""

    @property
    def is_up(self) -> bool:
        """Whether the second number counts upwards."""
        return self.kind == "wall"

    def from_wall(self, x: float, y: float) -> Point:
        """A point of the wall frame, measured from here; mm."""
        return x - self.x, self.y - y if self.is_up else y - self.y

    def to_wall(self, across: float, along: float) -> Point:
        """The point of the wall frame that lies so far to the right, and up or down, from here; mm."""
        return self.x + across, self.y - along if self.is_up else self.y + along

    @property
    def anchor_text(self) -> str:
        """The anchor by name, as it stands after "right of"."""
        return tr("the left anchor of {0}", self.hanging) if self.hanging else tr("the left anchor")

    def across_text(self, x: float, form: str = ".0f") -> str:
        """How far right or left a vertical line of the wall frame is, in words that name the origin."""
        across = self.from_wall(x, 0.0)[0]
        number = format_number(abs(across), form)
        if self.is_up:
            return tr("{0} mm from the wall's left edge", format_number(across, form))
        if across < 0:
            return tr("{0} mm left of {1}", number, self.anchor_text)
        return tr("{0} mm right of {1}", number, self.anchor_text)

    def along_text(self, y: float, form: str = ".0f") -> str:
        """How far up or down a horizontal line of the wall frame is, in words that name the origin."""
        along = self.from_wall(0.0, y)[1]
        number = format_number(abs(along), form)
        if self.is_up:
            return tr("{0} mm above the floor", format_number(along, form))
        if along < 0:
            return tr("{0} mm above {1}", number, self.anchor_text)
        return tr("{0} mm below {1}", number, self.anchor_text)

    def text(self, x: float, y: float, form: str = ".0f") -> str:
        """A point of the wall frame, mm, in words that name the origin; form: of its numbers."""
        across, along = self.from_wall(x, y)
        if self.is_up:
            return tr(
                "{0} mm from the wall's left edge, {1} mm above the floor",
                format_number(across, form),
                format_number(along, form),
            )
        numbers = format_number(abs(across), form), format_number(abs(along), form), self.anchor_text
        if across < 0:
            return (
                tr("{0} mm left of and {1} mm above {2}", *numbers)
                if along < 0
                else tr("{0} mm left of and {1} mm below {2}", *numbers)
            )
        return (
            tr("{0} mm right of and {1} mm above {2}", *numbers)
            if along < 0
            else tr("{0} mm right of and {1} mm below {2}", *numbers)
        )


def left_anchor(document: Document, hanging: Hanging) -> Origin:
    """The left anchor of a hanging; it is named where the wall has several hangings."""
    name = hanging.name if len(document.hangings) > 1 else ""
    return Origin("anchor", hanging.left.x, hanging.left.y, name)


def wall_corner(document: Document) -> Origin:
    """Where the wall's left edge meets the floor."""
    return Origin("wall", document.wall.left, document.wall.floor)


def height_text(document: Document, y: float) -> str:
    """How high a point is, for whoever climbs there; y: mm, wall frame."""
    return wall_corner(document).along_text(y)
