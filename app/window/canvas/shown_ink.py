"""The ink that the canvas shows: the preview, where its artwork now is, or the plan up to a moment."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QObject
from PySide6.QtGui import QColor

from app.strokes.strokes import Strokes
from app.window.canvas.ink_move import ink_move
from app.window.ink import InkLayer
from app.window.picking import part_flags
from app.window.selection import PartName
from app.window.session import Session

OUTSIDE = QColor(200, 84, 27, 150)
CHOSEN_BAND = QColor(31, 111, 180, 130)


class ShownInk(QObject):
    """Keeps an ink layer in step with the session."""

    def __init__(self, session: Session, parent: QObject) -> None:
        super().__init__(parent)
        self.session = session
        self.layer = InkLayer(self)
        self._strokes = Strokes.empty()
        self._shows_plan = False
        self._marks_part = False

    def show_planned(self, until: tuple[int, float] | None) -> None:
        """The strokes of the plan in drawing order, up to one of them; None: all of the preview again."""
        plan = self.session.plan
        if until is None or plan is None:
            if self._shows_plan:
                self.show_preview()
            return
        if not self._shows_plan:
            self._shows_plan = True
            self._set(plan.strokes)
            self.mark_part()
        self.layer.reveal(*until)

    def show_preview(self) -> None:
        """The preview's strokes, marked where they lie outside the zone."""
        self._shows_plan = False
        preview = self.session.preview
        if preview is None:
            self._strokes = Strokes.empty()
            self.layer.set_strokes(self._strokes, [], [])
            return
        owner, strokes = preview.placement_of_source, preview.strokes
        self._set(strokes, owner[strokes.source] if len(strokes) else None)
        outside = preview.outside != 0
        self.layer.set_mark("outside", outside if outside.any() else None, OUTSIDE)
        self.mark_part()
        self.follow()

    def mark_part(self) -> None:
        """A band under the strokes of the part of an artwork that is selected, those of a plan too."""
        preview, part = self.session.preview, PartName.of(self.session.selection)
        if preview is None or (part is None and not self._marks_part):
            return
        self._marks_part = part is not None
        flags = part_flags(self.session, part, self._strokes) if part is not None else None
        self.layer.set_mark("part", flags if flags is not None and flags.any() else None, CHOSEN_BAND)
        if not self._shows_plan:
            self.follow()

    def follow(self) -> None:
        """Shows ink of an older preview where its artwork now is."""
        shown, now = self.session.preview_document, self.session.document
        if shown is None:
            return
        present = {p.id: p for p in now.placements}
        for group, old in enumerate(shown.placements):
            new = present.get(old.id)
            self.layer.set_group_visible(group, new is not None and new.visible)
            if new is not None:
                self.layer.move_group(group, ink_move(old, new))

    def _set(self, strokes: Strokes, groups: np.ndarray | None = None) -> None:
        pens = self.session.preview_document.pens
        self._strokes = strokes
        self.layer.set_strokes(strokes, [QColor(p.colour) for p in pens], [p.width for p in pens], groups)
