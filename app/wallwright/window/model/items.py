"""What can be selected in the window, as values: things of the document, by number or id. No widgets."""

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
    """The wall, which stands for "nothing in particular" as well."""

    def exists(self, document: Document) -> bool:
        return True

    def box(self, document: Document) -> Box | None:
        """None: the item has no place on the wall."""
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
    """A hanging, by its number in the document, from 0."""

    number: int

    def exists(self, document: Document) -> bool:
        return self.number < len(document.hangings)

    def box(self, document: Document) -> Box | None:
        hanging = document.hangings[self.number]
        return _around((hanging.start_point, *((a.x, a.y) for a in (hanging.left, hanging.right))))


class KeepOutItem(msgspec.Struct, frozen=True):
    """A keep-out, by its number in the wall, from 0."""

    number: int

    def exists(self, document: Document) -> bool:
        return self.number < len(document.wall.keep_outs)

    def box(self, document: Document) -> Box | None:
        return _around(document.wall.keep_outs[self.number].outline)


class GuideLineItem(msgspec.Struct, frozen=True):
    """A guide line, by its number in the document, from 0."""

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
    """An artwork on the wall, by the id of its placement. Only these can be selected several at once."""

    placement: str

    def exists(self, document: Document) -> bool:
        return any(p.id == self.placement for p in document.placements)

    def box(self, document: Document) -> Box | None:
        return placement_box(document.placement(self.placement))


class PartItem(msgspec.Struct, frozen=True):
    """A part of an artwork: a group, or a colour, of the whole or of one group."""

    placement: str
    colour: str = ""
    """"": all colours of the group."""
    group: tuple[str, ...] = ()

    def exists(self, document: Document) -> bool:
        return self.whole.exists(document)

    def box(self, document: Document) -> Box | None:
        """Of the whole artwork."""
        return self.whole.box(document)

    @property
    def whole(self) -> PlacementItem:
        """The artwork that it is a part of."""
        return PlacementItem(self.placement)

    def holds(self, part: ColourGroup) -> bool:
        """Whether one colour of one group belongs to it."""
        return self.colour in ("", part.colour) and part.group[: len(self.group)] == self.group


Item = (
    WallItem | MachineItem | PhotoItem | HangingItem | KeepOutItem | GuideLineItem | PenItem | PlacementItem | PartItem
)
WALL = WallItem()
MACHINE = MachineItem()
PHOTO = PhotoItem()


def parent_of(item: Item | None) -> Item:
    """What Escape selects: from a part its artwork, from anything else the wall."""
    return item.whole if isinstance(item, PartItem) else WALL


def box_of(document: Document, items: Iterable[Item]) -> Box:
    """The box around some items; of items that are nowhere on the wall the whole wall."""
    boxes = [box for item in items if (box := item.box(document)) is not None]
    wall = document.wall
    if not boxes:
        return wall.left, wall.top, wall.right, wall.floor
    left, top, right, bottom = zip(*boxes, strict=True)
    return min(left), min(top), max(right), max(bottom)


def together(items: Iterable[Item]) -> tuple[Item, ...]:
    """The items that can be selected at once: placements, each once; without any, the last item; else the wall."""
    unique = tuple(dict.fromkeys(items))
    placements = tuple(item for item in unique if isinstance(item, PlacementItem))
    return placements or unique[-1:] or (WALL,)


def toggled(selected: tuple[Item, ...], item: Item) -> tuple[Item, ...]:
    """The selection after one more item is added, or taken away when it is there already."""
    if item in selected:
        return together(other for other in selected if other != item)
    return together((*selected, item)) if isinstance(item, PlacementItem) else (item,)


def _around(points: Iterable[tuple[float, float]]) -> Box:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
