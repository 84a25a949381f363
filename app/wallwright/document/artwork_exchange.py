"""Copying artwork between projects as a self-contained JSON text.

{"form": "wallwright artwork", "version": 1, "placements": [...], "artworks": [...], "pens": [...]}; bytes are base64.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Literal

import msgspec

from wallwright.document.consistency import validate
from wallwright.document.document import Artwork, Document, Pen, Placement
from wallwright.document.edits import replace, unused_id
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.language import tr
from wallwright.document.placing import bounding_box
from wallwright.document.wall import Point

MEDIA = "application/vnd.wallwright.artwork+json"
"""Media type of the text (RFC 6838: vendor tree)."""
OFFSET = 50.0
"""Shift down and right from a placement that is already at the same place, mm."""


class Clipping(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Placements with their artworks and the pens assigned to their colours."""

    placements: tuple[Placement, ...]
    artworks: tuple[Artwork, ...]
    pens: tuple[Pen, ...]
    form: Literal["wallwright artwork"] = "wallwright artwork"
    version: Literal[1] = 1


def encode_clip(document: Document, ids: Collection[str], drawn_by: Collection[str] = ()) -> bytes:
    """Returns the JSON text for some placements of a document.

    drawn_by: ids of pens that draw them by default, as the nearest in colour. They are included so that the other
    project has them too.
    """
    placements = tuple(p for p in document.placements if p.id in ids)
    shown = {p.artwork for p in placements}
    pens = {ink.pen for p in placements for ink in p.inks}
    pens |= {overlay.pen for p in placements for ink in p.inks for overlay in ink.overlays}
    pens |= set(drawn_by)
    pens |= {pen for p in placements if p.picture is not None for pen in p.picture.pens}
    return msgspec.json.encode(
        Clipping(
            placements,
            tuple(a for a in document.artworks if a.id in shown),
            tuple(p for p in document.pens if p.id in pens),
        )
    )


def paste_clip(document: Document, data: bytes, centre: Point | None = None) -> tuple[Document, tuple[str, ...]]:
    """Adds the placements in a JSON text; returns the document and the ids of the new placements.

    centre: centre of their common bounding box, mm. None: where they were, shifted until nothing else is at the same place,
    or at the starting point when that is not on this wall. Raises BadFile when the text cannot be used.
    """
    try:
        clip = msgspec.json.decode(data, type=Clipping)
        validate(replace(document, placements=clip.placements, artworks=clip.artworks, pens=clip.pens or document.pens))
    except (msgspec.DecodeError, BadValue, ValueError) as error:
        raise BadFile(tr("The clipboard cannot be pasted: {0}.", error)) from error
    if not clip.placements:
        return document, ()
    document, pens = _with_pens(document, clip.pens)
    document, artworks = _with_artworks(document, clip.artworks)
    dx, dy = _displacement(document, clip.placements, centre)
    taken = [p.id for p in document.placements]
    new = []
    for old in clip.placements:
        taken.append(unused_id(taken, "placement"))
        inks = tuple(
            replace(
                i,
                pen=pens.get(i.pen, i.pen),
                overlays=tuple(replace(o, pen=pens.get(o.pen, o.pen)) for o in i.overlays),
            )
            for i in old.inks
        )
        picture = old.picture and replace(old.picture, pens=tuple(pens.get(p, p) for p in old.picture.pens))
        moved = replace(old, x=old.x + dx, y=old.y + dy, inks=inks, picture=picture, locked=False)
        new.append(replace(moved, id=taken[-1], artwork=artworks[old.artwork]))
    return replace(document, placements=(*document.placements, *new)), tuple(p.id for p in new)


def _with_pens(document: Document, pens: tuple[Pen, ...]) -> tuple[Document, dict[str, str]]:
    """Adds the pens that the document lacks; returns the document and its pen id for each of the clip's."""
    ids = {}
    for pen in pens:
        same = next((p for p in document.pens if replace(p, id=pen.id) == pen), None)
        if same is None:
            taken = [p.id for p in document.pens]
            same = replace(pen, id=pen.id if pen.id not in taken else unused_id(taken, "pen"))
            document = replace(document, pens=(*document.pens, same))
        ids[pen.id] = same.id
    return document, ids


def _with_artworks(document: Document, artworks: tuple[Artwork, ...]) -> tuple[Document, dict[str, str]]:
    ids = {}
    for artwork in artworks:
        same = next((a for a in document.artworks if replace(a, id=artwork.id, name=artwork.name) == artwork), None)
        if same is None:
            same = replace(artwork, id=unused_id([a.id for a in document.artworks], "artwork"))
            document = replace(document, artworks=(*document.artworks, same))
        ids[artwork.id] = same.id
    return document, ids


def _displacement(document: Document, placements: tuple[Placement, ...], centre: Point | None) -> Point:
    left, top, right, bottom = bounding_box(placements)
    middle = ((left + right) / 2, (top + bottom) / 2)
    wall = document.wall
    if centre is None and not (wall.left <= middle[0] <= wall.right and wall.top <= middle[1] <= wall.floor):
        centre = document.hangings[0].start_point
    if centre is not None:
        return centre[0] - middle[0], centre[1] - middle[1]
    there = {(round(p.x, 3), round(p.y, 3)) for p in document.placements}
    step = 0.0
    while any((round(p.x + step, 3), round(p.y + step, 3)) in there for p in placements):
        step += OFFSET
    return step, step
