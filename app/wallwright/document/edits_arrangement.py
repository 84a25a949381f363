"""Edits of several placements at once: move, scale, rotate, mirror, align, distribute, reorder.

Locked placements do not move. Each function returns a new document and ignores unknown ids.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection
from typing import Any, Literal

from wallwright.document.document import Document, Placement
from wallwright.document.edits import replace, unused_id
from wallwright.document.placing import bounding_box, placement_box
from wallwright.document.wall import Point

Side = Literal["left", "centre", "right", "top", "middle", "bottom"]
Order = Literal["front", "forward", "backward", "back"]


def _each(document: Document, ids: Collection[str], change: Callable[[Placement], Placement]) -> Document:
    placements = tuple(change(p) if p.id in ids and not p.locked else p for p in document.placements)
    return replace(document, placements=placements)


def carry_placements(
    document: Document,
    ids: Collection[str],
    about: Point = (0.0, 0.0),
    to: Point | None = None,
    share: float = 1.0,
    angle: float = 0.0,
) -> Document:
    """Scales by share and rotates clockwise by angle (rad) about a point, then moves that point to another (mm)."""
    cos, sin = share * math.cos(angle), share * math.sin(angle)
    to = to or about

    def carried(p: Placement) -> Placement:
        x, y = p.x - about[0], p.y - about[1]
        return replace(
            p,
            x=to[0] + cos * x - sin * y,
            y=to[1] + sin * x + cos * y,
            width=p.width * share,
            height=p.height * share,
            turn=math.remainder(p.turn + angle, math.tau),
        )

    return _each(document, ids, carried)


def move_placements(document: Document, ids: Collection[str], dx: float, dy: float) -> Document:
    """Moves by (dx, dy), mm. All other numbers keep every digit."""
    return _each(document, ids, lambda p: replace(p, x=p.x + dx, y=p.y + dy))


def mirror_placements(document: Document, ids: Collection[str], across: bool) -> Document:
    """Mirrors placements together about the middle of their bounding box: left to right (across), or top to bottom.

    A placement is mirrored before it is rotated. With M = diag(-1, 1) and rotation R(t), M R(t) = R(-t) M; top to bottom
    is diag(1, -1) = R(pi) M.
    """
    chosen = [p for p in document.placements if p.id in ids and not p.locked]
    if not chosen:
        return document
    left, top, right, bottom = bounding_box(chosen)

    def mirrored(p: Placement) -> Placement:
        turn = -p.turn if across else math.pi - p.turn
        x, y = (left + right - p.x, p.y) if across else (p.x, top + bottom - p.y)
        return replace(p, x=x, y=y, mirror=not p.mirror, turn=math.remainder(turn, math.tau))

    return _each(document, ids, mirrored)


def upright_placements(document: Document, ids: Collection[str]) -> Document:
    """Rotates each about its own centre to the nearest multiple of 90°."""
    quarter = math.pi / 2
    return _each(document, ids, lambda p: replace(p, turn=math.remainder(round(p.turn / quarter) * quarter, math.tau)))


def align_placements(document: Document, ids: Collection[str], side: Side) -> Document:
    """Aligns one side, or the horizontal centre or vertical middle, of every bounding box.

    Several are aligned within their common bounding box; a single one is aligned on the wall.
    """
    chosen = [p for p in document.placements if p.id in ids]
    if not chosen:
        return document
    wall = document.wall
    frame = bounding_box(chosen) if len(chosen) > 1 else (wall.left, wall.top, wall.right, wall.floor)

    def aligned(p: Placement) -> Placement:
        box = placement_box(p)
        low, high, name = (0, 2, "x") if side in ("left", "centre", "right") else (1, 3, "y")
        move = {
            "left": frame[low] - box[low],
            "top": frame[low] - box[low],
            "right": frame[high] - box[high],
            "bottom": frame[high] - box[high],
        }.get(side, (frame[low] + frame[high] - box[low] - box[high]) / 2)
        return replace(p, **{name: getattr(p, name) + move})

    return _each(document, ids, aligned)


def distribute_placements(document: Document, ids: Collection[str], across: bool) -> Document:
    """Makes the gaps between neighbouring boxes equal. The outermost two stay; fewer than three are left unchanged."""
    low, high, name = (0, 2, "x") if across else (1, 3, "y")
    chosen = [p for p in document.placements if p.id in ids]
    if len(chosen) < 3:
        return document
    boxes = {p.id: placement_box(p) for p in chosen}
    row = sorted(chosen, key=lambda p: boxes[p.id][low] + boxes[p.id][high])
    lengths = [boxes[p.id][high] - boxes[p.id][low] for p in row]
    span = boxes[row[-1].id][high] - boxes[row[0].id][low]
    gap = (span - sum(lengths)) / (len(row) - 1)
    at, moves = boxes[row[0].id][low], {}
    for placement, length in zip(row, lengths, strict=True):
        moves[placement.id] = at - boxes[placement.id][low]
        at += length + gap
    for outermost in (row[0].id, row[-1].id):
        moves[outermost] = 0.0
    return _each(document, ids, lambda p: replace(p, **{name: getattr(p, name) + moves[p.id]}))


def reorder_placements(document: Document, ids: Collection[str], to: Order) -> Document:
    """Changes the stacking order: later placements lie over earlier ones. Includes locked ones, since nothing moves."""
    row = list(document.placements)
    if to in ("front", "back"):
        chosen = [p for p in row if p.id in ids]
        others = [p for p in row if p.id not in ids]
        row = others + chosen if to == "front" else chosen + others
    else:
        # A chosen one swaps with its neighbour unless that is chosen too, so the chosen ones keep their order.
        step = 1 if to == "forward" else -1
        places = range(len(row) - 2, -1, -1) if step == 1 else range(1, len(row))
        for i in places:
            if row[i].id in ids and row[i + step].id not in ids:
                row[i], row[i + step] = row[i + step], row[i]
    return replace(document, placements=tuple(row))


def set_placements(document: Document, ids: Collection[str], **fields: Any) -> Document:
    """Replaces fields of several placements, such as visible and locked."""
    placements = tuple(replace(p, **fields) if p.id in ids else p for p in document.placements)
    return replace(document, placements=placements)


def remove_placements(document: Document, ids: Collection[str]) -> Document:
    """Removes placements, and artworks that are no longer used."""
    placements = tuple(p for p in document.placements if p.id not in ids)
    shown = {p.artwork for p in placements} | ({document.photo.artwork} if document.photo else set())
    return replace(document, placements=placements, artworks=tuple(a for a in document.artworks if a.id in shown))


def duplicate_placements(
    document: Document, ids: Collection[str], offset: float = 50.0
) -> tuple[Document, tuple[str, ...]]:
    """Duplicates placements, moved by offset mm down and right; returns the document and the new ids."""
    taken = [p.id for p in document.placements]
    copies = []
    for old in document.placements:
        if old.id in ids:
            taken.append(unused_id(taken, "placement"))
            copies.append(replace(old, id=taken[-1], x=old.x + offset, y=old.y + offset, locked=False))
    return replace(document, placements=(*document.placements, *copies)), tuple(c.id for c in copies)
