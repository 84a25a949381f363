"""Dragging artworks: moving them, and scaling and turning them by their handles."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF

from wallwright.document import edits, edits_arrangement
from wallwright.document.document import Document
from wallwright.document.language import format_number, tr
from wallwright.document.placing import bounding_box
from wallwright.window.canvas.artwork_layer import frame_shown
from wallwright.window.canvas.drag import SNAP_REACH, Drag, Keys, Point
from wallwright.window.canvas.gaps import things_of
from wallwright.window.canvas.handles import OPPOSITE, SMALLEST, drag_handle, handles_of
from wallwright.window.canvas.hit_testing import artwork_at, target_at
from wallwright.window.canvas.ink_picking import alike, narrowed
from wallwright.window.canvas.snapping import SnapLine, Snapping, lines_for
from wallwright.window.model import selection
from wallwright.window.model.selection import PartSelection

if TYPE_CHECKING:
    from wallwright.window.canvas.canvas import Canvas


UPRIGHT_REACH = math.radians(2)
"""A turn this close to plumb and level comes to rest there."""


class _ArtworkDrag(Drag):
    """Changes the selected artworks from what they were when the drag began."""

    def __init__(self, canvas: Canvas) -> None:
        self._canvas, self._session = canvas, canvas.session
        self._first = self._session.document
        self._ids = self._session.placement_ids
        zone = canvas.zone.layer if canvas.show_zone else None
        wall = self._first.wall
        self._snapping = Snapping(
            lines_for(self._first, self._ids), zone.edge if zone is not None else None,
            things_of(self._first, self._ids), (wall.left, wall.top, wall.right, wall.floor),
        )  # fmt: skip

    @property
    def _reach(self) -> float:
        return SNAP_REACH / self._canvas.view.scale

    def _apply(self, title: str, changed: Document) -> None:
        """Takes only the placements over: what else came into the document meanwhile stays."""
        moved = {p.id: p for p in changed.placements if p.id in self._ids}
        now = self._session.document
        placements = tuple(moved.get(p.id, p) for p in now.placements)
        self._session.edit(title, edits.replace(now, placements=placements), merge="drag")


class ArtworkMove(_ArtworkDrag):
    """Moves the artwork under the pointer, with the others when it is one of several selected ones."""

    def __init__(self, canvas: Canvas, name: str, clicked: str, start: Point, adds: bool) -> None:
        """name: what is moved; clicked: what a click without moving means."""
        key, session = f"placement:{name}", canvas.session
        self._clicked = f"placement:{clicked}"
        self._key, self._was_chosen, self._adds = key, key in session.chosen, adds
        if not self._was_chosen:
            session.select(*(session.chosen if adds else ()), key)
        super().__init__(canvas)
        self._start = start
        free = [p for p in self._session.placements if not p.locked]
        self._box = bounding_box(free) if free else None

    def move(self, to: Point, keys: Keys) -> None:
        if self._box is None:
            return
        dx, dy = round(to[0] - self._start[0], 1), round(to[1] - self._start[1], 1)
        if keys.shift:
            dx, dy = (dx, 0.0) if abs(dx) > abs(dy) else (0.0, dy)
        left, top, right, bottom = self._box
        self.guides = ()
        if not keys.alt:
            snap = self._snapping.box((left + dx, top + dy, right + dx, bottom + dy), self._reach)
            # With Shift the straight way is kept: only what lies along it counts.
            kept = [g for g in snap.guides if not keys.shift or g.plumb == bool(dx)]
            self.guides = tuple(kept)
            dx += snap.dx if any(g.plumb for g in kept) else 0.0
            dy += snap.dy if any(not g.plumb for g in kept) else 0.0
        self._apply(tr("Move"), edits_arrangement.move_placements(self._first, self._ids, dx, dy))
        wall = self._first.wall
        self.readout = "\n".join((
            tr("{0} right, {1} down", format_number(dx, ".1f"), format_number(dy, ".1f")),
            tr("{0} from the wall's left, {1} above the floor",
               format_number(left + dx - wall.left, ".1f"), format_number(wall.floor - bottom - dy, ".1f")),
        ))  # fmt: skip

    def finish(self, moved: bool) -> None:
        if moved or not self._was_chosen:
            return
        if self._adds:
            self._session.select(*selection.toggled(self._session.chosen, self._key))
        else:
            self._session.select(self._clicked)


class PartDrag(Drag):
    """While a part of an artwork is selected: a click selects the part there, moving moves the whole artwork."""

    def __init__(self, canvas: Canvas, name: str, start: Point, clicked: str) -> None:
        """clicked: what a click selects."""
        self._canvas, self._name, self._start, self._clicked = canvas, name, start, clicked
        self._move: ArtworkMove | None = None

    def move(self, to: Point, keys: Keys) -> None:
        if self._move is None:
            self._move = ArtworkMove(self._canvas, self._name, self._name, self._start, adds=False)
        self._move.move(to, keys)
        self.readout, self.guides = self._move.readout, self._move.guides

    def finish(self, moved: bool) -> None:
        if not moved:
            self._canvas.session.select(self._clicked)


def begin_artwork_drag(canvas: Canvas, at: QPointF, held: str, adds: bool) -> Drag:
    """held: the artwork under the pointer that is taken hold of. What is clicked may be another one, which lies over
    or within it."""
    session, start = canvas.session, canvas.view.to_wall(at)
    name, hit = artwork_at(canvas, at)
    part = PartSelection.of(session.selection)
    if part is not None and part.placement == name and not adds:
        there = alike(session, hit, part) if hit is not None else None
        return PartDrag(canvas, name, start, there.key if there is not None else f"placement:{name}")
    if adds:
        return ArtworkMove(canvas, name, name, start, adds=True)
    held = held if held in session.placement_ids else name
    return ArtworkMove(canvas, held, name, start, adds=False)


def begin_part_drag(canvas: Canvas, at: QPointF) -> Drag | None:
    """A double click on ink: selects the part there, or a narrower one. None: there is no part."""
    if target_at(canvas, at)[0] != "placement":
        return None
    name, hit = artwork_at(canvas, at)
    part = narrowed(canvas.session, hit) if hit is not None else None
    if part is None:
        return None
    canvas.session.select(part.key)
    return PartDrag(canvas, name, canvas.view.to_wall(at), part.key)


class ArtworkScale(_ArtworkDrag):
    """Scales by a corner or a side."""

    def __init__(self, canvas: Canvas, handle: str) -> None:
        super().__init__(canvas)
        self._frame = frame_shown(self._session)
        self._handle = handle

    def move(self, to: Point, keys: Keys) -> None:
        old, several = self._frame, not self._frame.id
        self.guides = ()
        if not keys.alt:
            to = self._snapped(to, keys)
        new = drag_handle(old, self._handle, to, keys.shift and not several, keys.control)
        if several:
            changed = edits_arrangement.carry_placements(
                self._first, self._ids, (old.x, old.y), (new.x, new.y), share=new.width / old.width
            )
        else:
            fields = {"x": new.x, "y": new.y, "width": new.width, "height": new.height}
            changed = edits.set_placement(self._first, old.id, **fields)
        self._apply(tr("Scale"), changed)
        self.readout = f"{format_number(new.width, '.1f')} × {format_number(new.height, '.1f')} mm"

    def _snapped(self, to: Point, keys: Keys) -> Point:
        """Where the pointer would have to be for the handle to rest on a line; only for upright frames."""
        frame, name = self._frame, self._handle
        if abs(math.sin(2 * frame.turn)) > 1e-9:
            return to
        now = drag_handle(frame, name, to, keys.shift and bool(frame.id), keys.control)
        x, y = next((h.x, h.y) for h in handles_of(now) if h.name == name)
        snap = self._snapping.point(x, y, self._reach)
        guides = [g for g in snap.guides if abs(g.at - (now.x if g.plumb else now.y)) > SMALLEST / 2]
        if " " not in name:  # a side moves along one axis only
            upright = abs(math.sin(frame.turn)) < 0.5
            guides = [g for g in guides if g.plumb == ((name in ("left", "right")) == upright)]
        elif not keys.shift or not frame.id:  # proportions are kept: one line decides
            guides = sorted(guides, key=lambda g: abs(g.at - (x if g.plumb else y)))[:1]
        self.guides = tuple(guides)
        moved = {g.plumb: g.at for g in guides}
        if len(guides) == 1 and " " in name and (not keys.shift or not frame.id):
            return self._along_diagonal((x, y), guides[0], keys)
        return moved.get(True, x), moved.get(False, y)

    def _along_diagonal(self, corner: Point, line: SnapLine, keys: Keys) -> Point:
        """The corner moved to the line so that the proportions stay."""
        frame = self._frame
        u, v = (
            next((h.x, h.y) for h in handles_of(frame) if h.name == n)
            for n in (OPPOSITE[self._handle], self._handle)
        )
        fixed = (frame.x, frame.y) if keys.control else u
        way = (v[0] - fixed[0], v[1] - fixed[1])
        along = way[0] if line.plumb else way[1]
        share = (line.at - (fixed[0] if line.plumb else fixed[1])) / along
        return fixed[0] + share * way[0], fixed[1] + share * way[1]


class ArtworkRotation(_ArtworkDrag):
    """Turns about the middle."""

    def __init__(self, canvas: Canvas) -> None:
        super().__init__(canvas)
        self._frame = frame_shown(self._session)

    def move(self, to: Point, keys: Keys) -> None:
        old = self._frame
        turn = drag_handle(old, "turn", to, keys.shift).turn
        upright = round(turn / (math.pi / 2)) * (math.pi / 2)
        if not (keys.alt or keys.shift) and abs(turn - upright) < UPRIGHT_REACH:
            turn = math.remainder(upright, math.tau)
        changed = edits_arrangement.carry_placements(
            self._first, self._ids, (old.x, old.y), angle=math.remainder(turn - old.turn, math.tau)
        )
        self._apply(tr("Turn"), changed)
        self.readout = f"{format_number(math.degrees(turn), '.1f')}°"
