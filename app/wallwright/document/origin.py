"""Origins of positions. Every position that a person reads or types names its origin.

The document stores positions in the wall frame, whose origin is the left anchor of the first hanging. A person reads them
to the right and down from the left anchor of their hanging, or as measured on the wall: to the right from its left edge
and up from the floor.
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
    """A point that positions are measured from."""

    kind: OriginKind
    x: float
    y: float
    """Position in the wall frame, mm."""
    hanging: str = ""
    """Name of the hanging whose left anchor it is, if the wall has several."""

    @property
    def is_up(self) -> bool:
        """Whether the vertical coordinate counts upwards."""
        return self.kind == "wall"

    def from_wall(self, x: float, y: float) -> Point:
        """Converts a point of the wall frame to this origin; mm."""
        return x - self.x, self.y - y if self.is_up else y - self.y

    def to_wall(self, across: float, along: float) -> Point:
        """Converts coordinates from this origin (across to the right, along up or down) to the wall frame; mm."""
        return self.x + across, self.y - along if self.is_up else self.y + along

    @property
    def anchor_text(self) -> str:
        """Anchor's name for use after "right of"."""
        return tr("the left anchor of {0}", self.hanging) if self.hanging else tr("the left anchor")

    def across_text(self, x: float, form: str = ".0f") -> str:
        """Returns a text for the x of a vertical line (mm, wall frame) that names the origin."""
        across = self.from_wall(x, 0.0)[0]
        number = format_number(abs(across), form)
        if self.is_up:
            return tr("{0} mm from the wall's left edge", format_number(across, form))
        if across < 0:
            return tr("{0} mm left of {1}", number, self.anchor_text)
        return tr("{0} mm right of {1}", number, self.anchor_text)

    def along_text(self, y: float, form: str = ".0f") -> str:
        """Returns a text for the y of a horizontal line (mm, wall frame) that names the origin."""
        along = self.from_wall(0.0, y)[1]
        number = format_number(abs(along), form)
        if self.is_up:
            return tr("{0} mm above the floor", format_number(along, form))
        if along < 0:
            return tr("{0} mm above {1}", number, self.anchor_text)
        return tr("{0} mm below {1}", number, self.anchor_text)

    def text(self, x: float, y: float, form: str = ".0f") -> str:
        """Returns a text for a point of the wall frame (mm) that names the origin; form: format of its numbers."""
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
    """Returns the left anchor of a hanging as an origin, with a name if the wall has several hangings."""
    name = hanging.name if len(document.hangings) > 1 else ""
    return Origin("anchor", hanging.left.x, hanging.left.y, name)


def wall_corner(document: Document) -> Origin:
    """Returns the bottom left corner of the wall as an origin."""
    return Origin("wall", document.wall.left, document.wall.floor)


def height_text(document: Document, y: float) -> str:
    """Returns a text for the height of a point above the floor; y: mm, wall frame."""
    return wall_corner(document).along_text(y)
