"""Edits: pure functions from a document to a new one. Undo keeps the old value; nothing is changed in place."""

from __future__ import annotations

import math
from typing import Any, TypeAlias, TypeVar

import msgspec

from wallwright.document.calibration import Survey
from wallwright.document.document import Artwork, Document, Ink, Pen, Placement, Settings
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.picture import PictureSettings
from wallwright.document.register import Register, RegisterMark
from wallwright.document.wall import Anchor, Point, Side

replace = msgspec.structs.replace
LEAST_NATURAL = 100.0
"""Smallest natural size that is kept, mm; smaller drawings, such as icons, are scaled to the wall."""
MOST_NATURAL = 1.7
"""Largest natural size that is kept, as a multiple of the fitting size: what a usual machine can still draw."""
ANCHOR_FROM_EDGE = 60.0
"""Smallest distance of an anchor from the wall's edges, the ceiling and keep-outs, mm: room for a fixing and a drill."""
BESIDE = 60.0
"""Shift right and down, mm, that keeps artwork visible beside other artwork at the same place."""


FieldPath: TypeAlias = str
"""Path to a nested field by names and tuple indices, such as "machine.body.mass" or "pens.1.width"."""
Edited = TypeVar("Edited", bound=msgspec.Struct)


def with_field(value: Edited, path: FieldPath, new: object) -> Edited:
    """Returns the value with a nested field replaced."""
    name, _, rest = path.partition(".")
    return replace(value, **{name: _with_inner(getattr(value, name), rest, new)})


def _with_inner(inner: Any, path: FieldPath, new: object) -> object:
    """Returns a field's value or tuple entry in which the nested field at a path is replaced."""
    if not path:
        return new
    if not isinstance(inner, tuple):
        return with_field(inner, path, new)
    name, _, rest = path.partition(".")
    index = int(name)
    return (*inner[:index], _with_inner(inner[index], rest, new), *inner[index + 1 :])


def set_field(document: Document, path: FieldPath, new: Any) -> Document:
    """Like with_field for the whole document. Anchors go through move_anchor so that the origin stays; a new search effort
    removes the limit on its changes."""
    if path == "settings.order.effort":
        document = with_field(document, "settings.order.tries", 0)
    match path.split("."):
        case ["hangings", number, ("left" | "right") as side, ("x" | "y") as axis]:
            anchor = document.hangings[int(number)].anchor(side)
            return move_anchor(document, int(number), side, (new, anchor.y) if axis == "x" else (anchor.x, new))
    return with_field(document, path, new)


def move_anchor(document: Document, hanging: int, side: Side, to: Point) -> Document:
    """Moves one anchor to a point of the wall frame, mm.

    The left anchor of the first hanging is the origin. Moving it moves the frame: all other coordinates are
    changed to the new origin, so that everything stays in place on the wall.
    """
    moved = document.hangings[hanging]
    anchor = replace(moved.anchor(side), x=float(to[0]), y=float(to[1]))
    # Corrections from register marks no longer apply.
    moved = replace(moved, **{side: anchor}, register=Register(moved.register.marks))
    hangings = (*document.hangings[:hanging], moved, *document.hangings[hanging + 1 :])
    document = replace(document, hangings=hangings)
    origin = document.hangings[0].left
    if (origin.x, origin.y) != (0.0, 0.0):
        document = shift_frame(document, origin.x, origin.y)
    return document


def set_anchor_distance(document: Document, hanging: int, distance: float) -> Document:
    """Moves both anchors of a hanging to a distance, mm, about their middle, or aside so that both stay on a wall with room
    for them. Their difference in height stays. Raises BadValue if it is larger than the distance."""
    wall, moved = document.wall, document.hangings[hanging]
    down = moved.right.y - moved.left.y
    if distance <= abs(down):
        raise BadValue(tr("One anchor is {0:.0f} mm lower than the other; they cannot be closer than that", abs(down)))
    across = math.sqrt(distance**2 - down**2)
    left = (moved.left.x + moved.right.x - across) / 2
    if across <= wall.width:
        left = min(max(left, wall.left), wall.right - across)
    document = move_anchor(document, hanging, "right", (left + across, moved.right.y))
    return move_anchor(document, hanging, "left", (left, moved.left.y))


def anchors_onto_wall(document: Document, hanging: int) -> Document:
    """Moves both anchors of a hanging onto the wall, with room for a fixing; closer together if the wall is too narrow."""
    wall, moved = document.wall, document.hangings[hanging]
    room = min(ANCHOR_FROM_EDGE, wall.width / 4, wall.height / 4)
    widest = wall.width - 2 * room
    if moved.right.x - moved.left.x > widest:
        left, right = wall.left + room, wall.right - room
    else:
        aside = max(wall.left + room - moved.left.x, 0.0) - max(moved.right.x - wall.right + room, 0.0)
        left, right = moved.left.x + aside, moved.right.x + aside
    left_y, right_y = (min(max(a.y, wall.top + room), wall.floor - room) for a in (moved.left, moved.right))
    document = move_anchor(document, hanging, "right", (right, right_y))
    return move_anchor(document, hanging, "left", (left, left_y))


def shift_frame(document: Document, x: float, y: float) -> Document:
    """Makes the point (x, y), mm, the origin of the wall frame; nothing moves on the wall."""

    def shift(p: Point) -> Point:
        return (p[0] - x, p[1] - y)

    def anchor(a: Anchor) -> Anchor:
        return replace(a, x=a.x - x, y=a.y - y)

    def survey(s: Survey) -> Survey:
        return replace(s, marks=tuple(replace(m, x=m.x - x, y=m.y - y) for m in s.marks))

    def mark(m: RegisterMark) -> RegisterMark:
        return replace(m, x=m.x - x, y=m.y - y)

    def register(r: Register) -> Register:
        return replace(
            r,
            marks=tuple(map(mark, r.marks)),
            planned=r.planned and tuple(map(shift, r.planned)),
            sightings=tuple(replace(s, mark=mark(s.mark)) for s in r.sightings),
        )

    wall = document.wall
    return replace(
        document,
        wall=replace(
            wall,
            left=wall.left - x,
            top=wall.top - y,
            keep_outs=tuple(replace(k, outline=tuple(map(shift, k.outline))) for k in wall.keep_outs),
        ),
        hangings=tuple(
            replace(
                h,
                left=anchor(h.left),
                right=anchor(h.right),
                start_point=shift(h.start_point),
                pen_change=None if h.pen_change is None else shift(h.pen_change),
                cable=None if h.cable is None else shift(h.cable),
                priming=None if h.priming is None else shift(h.priming),
                survey=survey(h.survey),
                handover=None if h.handover is None else h.handover - x,
                register=register(h.register),
            )
            for h in document.hangings
        ),
        placements=tuple(replace(p, x=p.x - x, y=p.y - y) for p in document.placements),
        photo=document.photo and replace(document.photo, places=tuple(map(shift, document.photo.places))),
        guide_lines=tuple(replace(g, at=g.at - (x if g.is_vertical else y)) for g in document.guide_lines),
    )


def unused_id(taken: list[str] | tuple[str, ...], stem: str) -> str:
    """Returns the first of stem-1, stem-2, ... that is not taken."""
    number = 1
    while f"{stem}-{number}" in taken:
        number += 1
    return f"{stem}-{number}"


def file_title(name: str) -> str:
    """Returns a file name as text, with undecodable bytes and control characters replaced."""
    text = name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
    return "".join(c if c.isprintable() else " " for c in text)


def add_artwork(
    document: Document,
    name: str,
    media: str,
    data: bytes,
    natural: tuple[float, float],
    centre: Point | None = None,
    width: float | None = None,
    height: float | None = None,
    read_anyway: bool = False,
) -> tuple[Document, Placement]:
    """Adds a file to the project and places it. natural: its size in mm; width and height on the wall, mm, default to a
    size that fits well between the anchors. Identical bytes are stored once. read_anyway: the person agreed to the cost
    of reading it. Raises BadValue for artwork without a size."""
    artwork = next((a for a in document.artworks if a.data == data and a.media == media), None)
    if artwork is None:
        artwork = Artwork(
            unused_id([a.id for a in document.artworks], "artwork"),
            file_title(name),
            media,
            data,
            read_anyway,
        )
        document = replace(document, artworks=(*document.artworks, artwork))
    elif read_anyway:
        document = agree_to_read(document, artwork.id)
    if min(natural) <= 0 or not all(map(math.isfinite, natural)):
        raise BadValue(tr("{0} has no size: {1} by {2} mm", name, natural[0], natural[1]))
    aspect = natural[1] / natural[0]
    if width is not None and height is not None:
        size = (width, height)
    elif width is not None:
        size = (width, width * aspect)
    elif height is not None:
        size = (height / aspect, height)
    else:
        size = first_size(document, natural, is_picture=artwork.is_picture)
    picture = PictureSettings(mixing="mixed") if artwork.is_picture else None
    placement = Placement(
        unused_id([p.id for p in document.placements], "placement"),
        artwork.id,
        *(centre or free_place(document)),
        *size,
        picture=picture,
        colours="mixed",
    )
    return replace(document, placements=(*document.placements, placement)), placement


def agree_to_read(document: Document, artwork: str) -> Document:
    """Records that the person agreed to the cost of reading an artwork."""
    artworks = tuple(replace(a, read_anyway=True) if a.id == artwork else a for a in document.artworks)
    return replace(document, artworks=artworks)


def first_size(document: Document, natural: tuple[float, float], is_picture: bool) -> tuple[float, float]:
    """Returns the file's natural size if it suits a wall and a usual machine can draw it, else a fitting size; mm.

    A raster picture has no natural size in mm.
    """
    fitting = fitting_size(document, natural[1] / natural[0])
    is_for_walls = max(natural) >= LEAST_NATURAL and natural[0] <= MOST_NATURAL * fitting[0]
    return natural if is_for_walls and not is_picture else fitting


def free_place(document: Document) -> Point:
    """Returns the starting point, or a point beside it where other artwork is centred there."""
    x, y = document.hangings[0].start_point
    while any(math.dist((x, y), (p.x, p.y)) < 1 for p in document.placements):
        x, y = x + BESIDE, y + BESIDE
    return x, y


def fitting_size(document: Document, aspect: float) -> tuple[float, float]:
    """Returns an initial size within 0.4 by 0.35 anchor distances, which a usual machine can draw in the middle."""
    hanging = document.hangings[0]
    distance = hanging.right.x - hanging.left.x
    width = min(0.4 * distance, 0.35 * distance / aspect)
    return (width, width * aspect)


def set_placement(document: Document, placement_id: str, **fields: Any) -> Document:
    """Replaces fields of one placement."""
    return replace(
        document,
        placements=tuple(replace(p, **fields) if p.id == placement_id else p for p in document.placements),
    )


def set_ink(document: Document, placement_id: str, ink: Ink) -> Document:
    """Sets how one colour of a placement, or of one of its groups, is drawn."""
    document = unset_ink(document, placement_id, ink.colour, ink.group)
    inks = (*document.placement(placement_id).inks, ink)
    return set_placement(document, placement_id, inks=tuple(sorted(inks, key=lambda i: (i.group, i.colour))))


def unset_ink(document: Document, placement_id: str, colour: str, group: tuple[str, ...] = ()) -> Document:
    """Removes the choice for one colour, which then follows its enclosing group or the colour rule."""
    inks = document.placement(placement_id).inks
    others = tuple(i for i in inks if (i.group, i.colour) != (group, colour))
    return set_placement(document, placement_id, inks=others)


def add_pen(document: Document, name: str, colour: str, width: float) -> tuple[Document, Pen]:
    pen = Pen(unused_id([p.id for p in document.pens], "pen"), name, colour, width)
    return replace(document, pens=(*document.pens, pen)), pen


def remove_pen(document: Document, pen_id: str) -> Document:
    """Removes a pen; its colours go back to the colour rule. Raises BadValue for the last pen."""
    if len(document.pens) == 1:
        raise BadValue(tr("A project needs at least one pen"))
    return replace(
        document,
        pens=tuple(p for p in document.pens if p.id != pen_id),
        settings=_without_mark_pen(document.settings, pen_id),
        placements=tuple(_without_pen(p, pen_id) for p in document.placements),
    )


def _without_mark_pen(settings: Settings, pen_id: str) -> Settings:
    if settings.joining.pen != pen_id:
        return settings
    return replace(settings, joining=replace(settings.joining, pen=""))


def _without_pen(placement: Placement, pen_id: str) -> Placement:
    picture = placement.picture
    if picture is not None:
        picture = replace(picture, pens=tuple(p for p in picture.pens if p != pen_id))
    inks = tuple(
        replace(i, overlays=tuple(o for o in i.overlays if o.pen != pen_id)) for i in placement.inks if i.pen != pen_id
    )
    return replace(placement, inks=inks, picture=picture)


def without_pens(placement: Placement) -> Placement:
    """Returns a placement without chosen pens for its colours and layers."""
    picture = placement.picture and replace(placement.picture, pens=())
    return replace(placement, inks=(), picture=picture)
