"""What can be selected, by name. No widgets.

"wall", "machine", "photo", "hanging:0", "keepout:0", "line:0", "pen:ID", "placement:ID", "part:...". Only placements can be
selected several at once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from wallwright.document.document import Document
from wallwright.document.placing import placement_box

if TYPE_CHECKING:
    from wallwright.strokes.stroke_composition import ColourGroup

WALL = "wall"
SEVERAL = "several"
"""Stands for the one selected thing when there are several."""


@dataclass(frozen=True)
class PartSelection:
    """A part of an artwork: a group, or a colour, of the whole or of one group."""

    placement: str
    colour: str = ""
    """"": all colours of the group."""
    group: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """As it is selected."""
        return f"part:{self.placement}:{self.colour}:{SEPARATOR.join(self.group)}"

    @staticmethod
    def of(key: str) -> PartSelection | None:
        """None for what is no part."""
        if not key.startswith("part:"):
            return None
        _, placement, colour, group = key.split(":", 3)
        return PartSelection(placement, colour, tuple(group.split(SEPARATOR)) if group else ())

    def holds(self, part: ColourGroup) -> bool:
        """Whether one colour of one group belongs to it."""
        return self.colour in ("", part.colour) and part.group[: len(self.group)] == self.group


SEPARATOR = "\x1f"
"""Between groups: no name of a group has it (ASCII, unit separator)."""


def around(what: str) -> str:
    """What Escape goes to: from a part to its artwork, from anything else to the wall."""
    part = PartSelection.of(what)
    return f"placement:{part.placement}" if part is not None else WALL


def exists(document: Document, what: str) -> bool:
    """Whether the document has the thing of that name."""
    kind, _, name = what.partition(":")
    if kind in ("placement", "part"):
        return any(p.id == name.partition(":")[0] for p in document.placements)
    if kind == "pen":
        return any(p.id == name for p in document.pens)
    if kind == "keepout":
        return int(name) < len(document.wall.keep_outs)
    if kind == "line":
        return int(name) < len(document.guide_lines)
    if kind == "photo":
        return document.photo is not None
    return kind != "hanging" or int(name) < len(document.hangings)


def box_of(document: Document, chosen: Iterable[str]) -> tuple[float, float, float, float]:
    """Left, top, right, bottom, mm, of what is selected; of what is nowhere on the wall the whole wall."""
    boxes = []
    for what in chosen:
        kind, _, name = what.partition(":")
        if kind in ("placement", "part"):
            boxes.append(placement_box(document.placement(name.partition(":")[0])))
        elif kind == "keepout":
            xs, ys = zip(*document.wall.keep_outs[int(name)].outline, strict=True)
            boxes.append((min(xs), min(ys), max(xs), max(ys)))
        elif kind == "hanging":
            hanging = document.hangings[int(name)]
            xs, ys = zip(hanging.datum, *((a.x, a.y) for a in (hanging.left, hanging.right)), strict=True)
            boxes.append((min(xs), min(ys), max(xs), max(ys)))
    wall = document.wall
    if not boxes:
        return wall.left, wall.top, wall.right, wall.floor
    left, top, right, bottom = zip(*boxes, strict=True)
    return min(left), min(top), max(right), max(bottom)


def together(names: Iterable[str]) -> tuple[str, ...]:
    """The names that can be selected at once: placements, each once; without any, the last name; else the wall."""
    names = tuple(dict.fromkeys(names))
    placements = tuple(n for n in names if n.startswith("placement:"))
    return placements or names[-1:] or (WALL,)


def toggled(chosen: tuple[str, ...], what: str) -> tuple[str, ...]:
    """The selection after one more thing is added, or taken away when it is there already."""
    if what in chosen:
        return together(c for c in chosen if c != what)
    return together((*chosen, what)) if what.startswith("placement:") else (what,)
