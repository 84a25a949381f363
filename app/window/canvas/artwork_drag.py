"""Dragging artworks: moving them, and scaling and turning them by their handles."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from app.document import edits, edits_arrange
from app.document.document import Document
from app.document.language import tr, written
from app.window import selection
from app.window.canvas.artwork_layer import frame_shown
from app.window.canvas.drag import Drag, Keys, Point
from app.window.canvas.handles import dragged

if TYPE_CHECKING:
    from app.window.canvas.canvas import Canvas


class _ArtworkDrag(Drag):
    """Changes the selected artworks from what they were when the drag began."""

    def __init__(self, canvas: Canvas) -> None:
        self._canvas, self._session = canvas, canvas.session
        self._first = self._session.document
        self._ids = self._session.placement_ids

    def _apply(self, title: str, changed: Document) -> None:
        """Takes only the placements over: what else came into the document meanwhile stays."""
        moved = {p.id: p for p in changed.placements if p.id in self._ids}
        now = self._session.document
        placements = tuple(moved.get(p.id, p) for p in now.placements)
        self._session.edit(title, edits.replace(now, placements=placements), merge="drag")


class Move(_ArtworkDrag):
    """Moves the artwork under the pointer, with the others when it is one of several selected ones."""

    def __init__(self, canvas: Canvas, name: str, start: Point, adds: bool) -> None:
        key, session = f"placement:{name}", canvas.session
        self._key, self._was_chosen, self._adds = key, key in session.chosen, adds
        if not self._was_chosen:
            session.select(*(session.chosen if adds else ()), key)
        super().__init__(canvas)
        self._start = start

    def move(self, to: Point, keys: Keys) -> None:
        dx, dy = round(to[0] - self._start[0], 1), round(to[1] - self._start[1], 1)
        if keys.shift:
            dx, dy = (dx, 0.0) if abs(dx) > abs(dy) else (0.0, dy)
        self._apply(tr("Move"), edits_arrange.move_placements(self._first, self._ids, dx, dy))
        self.readout = tr("{0} right, {1} down", written(dx, ".1f"), written(dy, ".1f"))

    def finish(self, moved: bool) -> None:
        if moved or not self._was_chosen:
            return
        if self._adds:
            self._session.select(*selection.toggled(self._session.chosen, self._key))
        else:
            self._session.select(self._key)


class Reshape(_ArtworkDrag):
    """Scales by a corner or a side."""

    def __init__(self, canvas: Canvas, handle: str) -> None:
        super().__init__(canvas)
        self._frame = frame_shown(self._session)
        self._handle = handle

    def move(self, to: Point, keys: Keys) -> None:
        old, several = self._frame, not self._frame.id
        new = dragged(old, self._handle, to, keys.shift and not several, keys.control)
        if several:
            changed = edits_arrange.carry_placements(
                self._first, self._ids, (old.x, old.y), (new.x, new.y), share=new.width / old.width
            )
        else:
            fields = {"x": new.x, "y": new.y, "width": new.width, "height": new.height}
            changed = edits.set_placement(self._first, old.id, **fields)
        self._apply(tr("Scale"), changed)
        self.readout = f"{written(new.width, '.1f')} × {written(new.height, '.1f')} mm"


class Turn(_ArtworkDrag):
    """Turns about the middle."""

    def __init__(self, canvas: Canvas) -> None:
        super().__init__(canvas)
        self._frame = frame_shown(self._session)

    def move(self, to: Point, keys: Keys) -> None:
        old = self._frame
        turn = dragged(old, "turn", to, keys.shift).turn
        changed = edits_arrange.carry_placements(
            self._first, self._ids, (old.x, old.y), angle=math.remainder(turn - old.turn, math.tau)
        )
        self._apply(tr("Turn"), changed)
        self.readout = f"{written(math.degrees(turn), '.1f')}°"
