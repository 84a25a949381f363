"""Dragging artworks: selecting them by a rectangle, moving them, scaling and turning them by their handles."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF

from wallwright.document import edits, edits_arrangement
from wallwright.document.document import Document, Placement
from wallwright.document.language import format_number, tr
from wallwright.document.placing import bounding_box, placement_box
from wallwright.window.canvas.artwork_layer import frame_shown
from wallwright.window.canvas.context import CanvasContext
from wallwright.window.canvas.gaps import things_of
from wallwright.window.canvas.handles import OPPOSITE, SMALLEST, drag_handle, handles_of
from wallwright.window.canvas.hit_testing import TargetKind, artwork_at, target_at
from wallwright.window.canvas.ink_picking import alike, narrowed
from wallwright.window.canvas.interaction import SNAP_REACH, Drag, Keys, Point
from wallwright.window.canvas.snapping import SnapLine, Snapping, lines_for
from wallwright.window.model.items import WALL, Item, PartItem, PlacementItem, toggled

UPRIGHT_REACH = math.radians(2)
"""A turn this close to upright or level snaps to it."""


class BandDrag(Drag):
    """Draws a rectangle on the empty wall; the artworks that it touches are selected."""

    def __init__(self, context: CanvasContext, start: Point, adds: bool) -> None:
        """adds: to what is selected."""
        self._models, self._start = context.models, start
        self._before = self._models.selection.items if adds else ()
        if not adds:
            self._models.selection.select(WALL)

    def move(self, to: Point, keys: Keys) -> None:
        self.band = band = QRectF(QPointF(*self._start), QPointF(*to)).normalized()
        touched = []
        for placement in self._models.project.document.placements:
            left, top, right, bottom = placement_box(placement)
            is_apart = left > band.right() or right < band.left() or top > band.bottom() or bottom < band.top()
            if placement.visible and not placement.locked and not is_apart:
                touched.append(PlacementItem(placement.id))
        self._models.selection.select(*self._before, *touched)


class _ArtworkDrag(Drag):
    """Changes the selected artworks from what they were when the drag began."""

    def __init__(self, context: CanvasContext) -> None:
        self._context, self._models = context, context.models
        self._first = self._models.project.document
        self._ids = self._models.selection.placement_ids
        wall = self._first.wall
        self._snapping = Snapping(
            lines_for(self._first, self._ids),
            context.zone_edge,
            things_of(self._first, self._ids),
            (wall.left, wall.top, wall.right, wall.floor),
        )

    @property
    def _reach(self) -> float:
        return SNAP_REACH / self._context.view.scale

    def _apply(self, title: str, changed: Document) -> None:
        """Takes only the placements over: what else came into the document meanwhile stays."""
        moved = {p.id: p for p in changed.placements if p.id in self._ids}
        now = self._models.project.document
        placements = tuple(moved.get(p.id, p) for p in now.placements)
        self._models.project.edit(title, edits.replace(now, placements=placements), merge="drag")


class ArtworkMove(_ArtworkDrag):
    """Moves the artwork under the pointer, with the others when it is one of several selected ones."""

    def __init__(self, context: CanvasContext, name: str, clicked: str, start: Point, adds: bool) -> None:
        """name: what is moved; clicked: what a click without moving means."""
        item, selection = PlacementItem(name), context.models.selection
        self._clicked = PlacementItem(clicked)
        self._item, self._was_chosen, self._adds = item, item in selection.items, adds
        if not self._was_chosen:
            selection.select(*(selection.items if adds else ()), item)
        super().__init__(context)
        self._start = start
        free = [p for p in self._models.selection.placements if not p.locked]
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
            # With Shift the way stays straight: only lines across it count.
            self.guides = tuple(g for g in snap.guides if not keys.shift or g.is_vertical == bool(dx))
            axes = {g.is_vertical for g in self.guides}
            dx += snap.dx if True in axes else 0.0
            dy += snap.dy if False in axes else 0.0
        self._apply(tr("Move"), edits_arrangement.move_placements(self._first, self._ids, dx, dy))
        corner = self._models.origin.present.text(left + dx, bottom + dy, ".1f")
        self.readout = "\n".join(
            (
                way_text(dx, dy),
                tr("Lower left corner: {0}", corner),
            )
        )

    def finish(self, moved: bool) -> None:
        if moved or not self._was_chosen:
            return
        if self._adds:
            selection = self._models.selection
            selection.select(*toggled(selection.items, self._item))
        else:
            self._models.selection.select(self._clicked)


def way_text(right: float, down: float) -> str:
    """How far something was moved, mm, in the directions that it went."""
    across, along = format_number(abs(right), ".1f"), format_number(abs(down), ".1f")
    return tr(
        "Moved {0}, {1}",
        tr("{0} mm to the left", across) if right < 0 else tr("{0} mm to the right", across),
        tr("{0} mm up", along) if down < 0 else tr("{0} mm down", along),
    )


class PartDrag(Drag):
    """While a part of an artwork is selected: a click selects the part there, moving moves the whole artwork."""

    def __init__(self, context: CanvasContext, name: str, start: Point, clicked: Item) -> None:
        """clicked: what a click selects."""
        self._context, self._name, self._start, self._clicked = context, name, start, clicked
        self._move: ArtworkMove | None = None

    def move(self, to: Point, keys: Keys) -> None:
        if self._move is None:
            self._move = ArtworkMove(self._context, self._name, self._name, self._start, adds=False)
        self._move.move(to, keys)
        self.readout, self.guides = self._move.readout, self._move.guides

    def finish(self, moved: bool) -> None:
        if not moved:
            self._context.models.selection.select(self._clicked)


def begin_artwork_drag(context: CanvasContext, at: QPointF, held: str, adds: bool) -> Drag:
    """held: the artwork under the pointer that is taken hold of. What is clicked may be another one, which lies over
    or within it."""
    selection, start = context.models.selection, context.view.to_wall(at)
    name, hit = artwork_at(context, at)
    part = selection.item
    if isinstance(part, PartItem) and part.placement == name and not adds:
        there = alike(hit, part) if hit is not None else None
        return PartDrag(context, name, start, there or PlacementItem(name))
    if adds:
        return ArtworkMove(context, name, name, start, adds=True)
    held = held if held in selection.placement_ids else name
    return ArtworkMove(context, held, name, start, adds=False)


def begin_part_drag(context: CanvasContext, at: QPointF) -> Drag | None:
    """A double click on ink: selects the part there, or a narrower one. None: there is no part."""
    if target_at(context, at).kind is not TargetKind.PLACEMENT:
        return None
    name, hit = artwork_at(context, at)
    part = narrowed(context.models, hit) if hit is not None else None
    if part is None:
        return None
    context.models.selection.select(part)
    return PartDrag(context, name, context.view.to_wall(at), part)


class _HandleDrag(_ArtworkDrag):
    """Changes the selected artworks by a handle of the frame around them."""

    def __init__(self, context: CanvasContext) -> None:
        super().__init__(context)
        frame = frame_shown(self._models)
        if frame is None:
            raise ValueError("nothing that is selected has handles")
        self._frame: Placement = frame


class ArtworkScale(_HandleDrag):
    """Scales by a corner or a side."""

    def __init__(self, context: CanvasContext, handle: str) -> None:
        super().__init__(context)
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
        guides = [g for g in snap.guides if abs(g.at - (now.x if g.is_vertical else now.y)) > SMALLEST / 2]
        if " " not in name:  # a side moves along one axis only
            upright = abs(math.sin(frame.turn)) < 0.5
            guides = [g for g in guides if g.is_vertical == ((name in ("left", "right")) == upright)]
        elif not keys.shift or not frame.id:  # proportions are kept: one line decides
            guides = sorted(guides, key=lambda g: abs(g.at - (x if g.is_vertical else y)))[:1]
        self.guides = tuple(guides)
        moved = {g.is_vertical: g.at for g in guides}
        if len(guides) == 1 and " " in name and (not keys.shift or not frame.id):
            return self._along_diagonal((x, y), guides[0], keys)
        return moved.get(True, x), moved.get(False, y)

    def _along_diagonal(self, corner: Point, line: SnapLine, keys: Keys) -> Point:
        """The corner moved to the line so that the proportions stay."""
        frame = self._frame
        u, v = (
            next((h.x, h.y) for h in handles_of(frame) if h.name == n) for n in (OPPOSITE[self._handle], self._handle)
        )
        fixed = (frame.x, frame.y) if keys.control else u
        way = (v[0] - fixed[0], v[1] - fixed[1])
        along = way[0] if line.is_vertical else way[1]
        share = (line.at - (fixed[0] if line.is_vertical else fixed[1])) / along
        return fixed[0] + share * way[0], fixed[1] + share * way[1]


class ArtworkRotation(_HandleDrag):
    """Turns about the middle."""

    def move(self, to: Point, keys: Keys) -> None:
        old = self._frame
        turn = drag_handle(old, "turn", to, keys.shift).turn
        upright = round(turn / (math.pi / 2)) * (math.pi / 2)
        if not (keys.alt or keys.shift) and abs(turn - upright) < UPRIGHT_REACH:
            turn = math.remainder(upright, math.tau)
        changed = edits_arrangement.carry_placements(
            self._first, self._ids, (old.x, old.y), angle=math.remainder(turn - old.turn, math.tau)
        )
        self._apply(tr("Rotation"), changed)
        self.readout = f"{format_number(math.degrees(turn), '.1f')}°"
