"""Selectable items of the document as values, by index or id. No widgets."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import msgspec

from wallwright.document.document import Document
from wallwright.document.placing import placement_box

if TYPE_CHECKING:
    from wallwright.strokes.stroke_composition import ColourGroup

Box = tuple[float, float, float, float]
"""Left, top, right, bottom, mm."""


class WallItem(msgspec.Struct, frozen=True):
    """The wall, which also stands for an empty selection."""

    def exists(self, document: Document) -> bool:
        return True

    def box(self, document: Document) -> Box | None:
        """Returns the item's box; None: it has no position on the wall."""
        return None


class MachineItem(msgspec.Struct, frozen=True):
    """The machine."""

    def exists(self, document: Document) -> bool:
        return True

    def box(self, document: Document) -> Box | None:
        return None


class PhotoItem(msgspec.Struct, frozen=True):
    """The photo of the wall."""

    def exists(self, document: Document) -> bool:
        return document.photo is not None

    def box(self, document: Document) -> Box | None:
        return None


class HangingItem(msgspec.Struct, frozen=True):
    """A hanging, by its index in the document."""

    number: int

    def exists(self, document: Document) -> bool:
        return self.number < len(document.hangings)

    def box(self, document: Document) -> Box | None:
        hanging = document.hangings[self.number]
        return _around((hanging.start_point, *((a.x, a.y) for a in (hanging.left, hanging.right))))


class KeepOutItem(msgspec.Struct, frozen=True):
    """A keep-out, by its index in the wall."""

    number: int

    def exists(self, document: Document) -> bool:
        return self.number < len(document.wall.keep_outs)

    def box(self, document: Document) -> Box | None:
        return _around(document.wall.keep_outs[self.number].outline)


class GuideLineItem(msgspec.Struct, frozen=True):
    """A guide line, by its index in the document."""

    number: int

    def exists(self, document: Document) -> bool:
        return self.number < len(document.guide_lines)

    def box(self, document: Document) -> Box | None:
        return None


class PenItem(msgspec.Struct, frozen=True):
    """A pen, by its id."""

    pen: str

    def exists(self, document: Document) -> bool:
        return any(p.id == self.pen for p in document.pens)

    def box(self, document: Document) -> Box | None:
        return None


class PlacementItem(msgspec.Struct, frozen=True):
    """An artwork on the wall, by the id of its placement. The only kind that allows multiple selection."""

    placement: str

    def exists(self, document: Document) -> bool:
        return any(p.id == self.placement for p in document.placements)

    def box(self, document: Document) -> Box | None:
        return placement_box(document.placement(self.placement))


class PartItem(msgspec.Struct, frozen=True):
    """A part of an artwork: a group, or a colour of the whole artwork or of a group."""

    placement: str
    colour: str = ""
    """"": all colours of the group."""
    group: tuple[str, ...] = ()

    def exists(self, document: Document) -> bool:
        return self.whole.exists(document)

    def box(self, document: Document) -> Box | None:
        """Returns the box of the whole artwork."""
        return self.whole.box(document)

    @property
    def whole(self) -> PlacementItem:
        """Artwork that contains it."""
        return PlacementItem(self.placement)

    def holds(self, part: ColourGroup) -> bool:
        """Whether it includes a colour of a group."""
        return self.colour in ("", part.colour) and part.group[: len(self.group)] == self.group


Item = (
    WallItem | MachineItem | PhotoItem | HangingItem | KeepOutItem | GuideLineItem | PenItem | PlacementItem | PartItem
)
WALL = WallItem()
MACHINE = MachineItem()
PHOTO = PhotoItem()


def parent_of(item: Item | None) -> Item:
    """Returns the item that Escape selects: the artwork of a part, else the wall."""
    return item.whole if isinstance(item, PartItem) else WALL


def box_of(document: Document, items: Iterable[Item]) -> Box:
    """Returns the bounding box of items; the whole wall if none has a position."""
    boxes = [box for item in items if (box := item.box(document)) is not None]
    wall = document.wall
    if not boxes:
        return wall.left, wall.top, wall.right, wall.floor
    left, top, right, bottom = zip(*boxes, strict=True)
    return min(left), min(top), max(right), max(bottom)


def together(items: Iterable[Item]) -> tuple[Item, ...]:
    """Returns the items that can be selected together: distinct placements, else the last item, else the wall."""
    unique = tuple(dict.fromkeys(items))
    placements = tuple(item for item in unique if isinstance(item, PlacementItem))
    return placements or unique[-1:] or (WALL,)


def toggled(selected: tuple[Item, ...], item: Item) -> tuple[Item, ...]:
    """Returns the selection with an item added, or removed if it was selected."""
    if item in selected:
        return together(other for other in selected if other != item)
    return together((*selected, item)) if isinstance(item, PlacementItem) else (item,)


def _around(points: Iterable[tuple[float, float]]) -> Box:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
