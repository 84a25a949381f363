"""Position of a hanging, measured from existing anchors."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import msgspec

from wallwright.document.document import Document
from wallwright.document.language import tr
from wallwright.document.wall import Anchor


def folder_of(hanging: int) -> str:
    """Returns the folder name of a hanging's files, when a wall has several."""
    return f"hanging-{hanging + 1}"


def hanging_folders(folder: Path) -> list[Path]:
    """Returns the folders of hangings in a folder, sorted by name."""
    return sorted(f for f in folder.glob("hanging-*") if re.fullmatch(r"hanging-[1-9]\d*", f.name) and f.is_dir())


class AnchorPosition(msgspec.Struct, frozen=True):
    """Position of one anchor relative to another, mm."""

    words: str
    """Names of both anchors, for a person."""
    across: float
    """Distance to the right, mm."""
    down: float

    @property
    def distance_text(self) -> str:
        """Returns the distances to measure: along the wall and vertical, and straight by tape unless it is level."""
        way = (
            tr("{0:.0f} mm to the right", self.across)
            if self.across >= 0
            else tr("{0:.0f} mm to the left", -self.across)
        )
        if abs(self.down) < 0.5:
            return f"{way}, {tr('level')}"
        level = tr("{0:.0f} mm lower", self.down) if self.down > 0 else tr("{0:.0f} mm higher", -self.down)
        tape = tr("{0:.0f} mm by tape", math.hypot(self.across, self.down))
        return f"{way}, {level}; {tape}"


def anchor_positions(document: Document, hanging: int) -> tuple[AnchorPosition, ...]:
    """Returns both anchors relative to the first hanging's left one and to the nearer anchor of each earlier neighbour."""
    own = document.hangings[hanging]
    if hanging == 0:
        return ()
    first = document.hangings[0]
    bases = [(tr("left anchor of {0}", first.name), first.left)]
    for number in document.earlier_neighbours(hanging):
        other = document.hangings[number]
        is_left = other.left.x + other.right.x < own.left.x + own.right.x
        name = tr("right anchor of {0}", other.name) if is_left else tr("left anchor of {0}", other.name)
        base = (name, other.right if is_left else other.left)
        if base not in bases:
            bases.append(base)
    return tuple(
        _place(tr("{0} from the {1}", title, name), base, anchor)
        for name, base in bases
        for title, anchor in ((tr("Left anchor"), own.left), (tr("Right anchor"), own.right))
    )


def _place(words: str, base: Anchor, anchor: Anchor) -> AnchorPosition:
    return AnchorPosition(words, anchor.x - base.x, anchor.y - base.y)


def anchor_positions_report(document: Document, hanging: int) -> list[dict[str, Any]]:
    """Returns the anchor positions as plain values, for programs."""
    return [
        {"what": p.words, "across_mm": round(p.across, 1), "down_mm": round(p.down, 1)}
        for p in anchor_positions(document, hanging)
    ]
