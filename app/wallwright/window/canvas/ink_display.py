"""The ink that the canvas shows: the preview, where its artwork now is, or the plan up to a moment."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QTransform
from PySide6.QtWidgets import QWidget

from wallwright.artwork.colour import pale
from wallwright.document.arrays import Flags
from wallwright.document.continuation import StrokePlace
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadValue
from wallwright.planning.plan import StrokePreview
from wallwright.statics.limits import PRIORITY, Limit, primary_limit
from wallwright.strokes.remaining import drawn_until, remaining_strokes
from wallwright.strokes.strokes import Strokes
from wallwright.window.canvas.ink_picking import ink_move, part_flags
from wallwright.window.canvas.limit_styles import LimitLetter, texture
from wallwright.window.canvas.wall_layer import PAPER
from wallwright.window.ink import InkLayer
from wallwright.window.ink.groups import flagged_runs
from wallwright.window.model.items import PartItem
from wallwright.window.model.models import Models

PALE = 0.45
"""Share of the wall's colour in ink that other hangings draw: visible, and easy to distinguish."""
CHOSEN_BAND = QColor(31, 111, 180, 130)
BAND = 7.0
"""Logical pixels of the bands that mark."""
LINE = 1.0
"""Logical pixels of a line that is neither part of a fill nor of a picture, at least: ink is crisp with the whole wall in
view."""
APART = 500.0
"""mm: marked strokes that are closer together have one letter for all of them."""


OTHER_PLACES = 40
"""Number of alternative points of marked strokes for a letter."""


class InkDisplay:
    """Keeps an ink layer in step with document, selection and plan."""

    def __init__(self, models: Models, canvas: QWidget) -> None:
        self.models, self._canvas = models, canvas
        self.layer = InkLayer(canvas)
        self._strokes = Strokes.empty()
        self.limits: tuple[Limit, ...] = ()
        """That strokes are marked for, the most important first."""
        self.hidden_limits: tuple[Limit, ...] = ()
        """That strokes break too, everywhere together with a more important one, whose mark is shown."""
        self._letters: list[tuple[int, LimitLetter]] = []
        """Artwork, and a letter at its planned position on the wall, mm."""
        self._moved: dict[int, QTransform] = {}
        self._moved_of: tuple[Document, Document] | None = None
        """The two documents that the moves are between."""
        self._shows_plan = self._shows_rest = False
        self._marks_part = False

    def show_planned(self, until: tuple[int, float] | None) -> None:
        """The strokes of the plan in drawing order, up to one of them; None: all of the preview again."""
        plan = self.models.planning.plan
        if self._shows_rest:
            return
        if until is None or plan is None:
            if self._shows_plan:
                self.show_preview()
            return
        if not self._shows_plan:
            self._shows_plan = True
            self.limits, self.hidden_limits, self._letters = (), (), []
            self._set(plan.strokes)
            self.mark_part()
        self.layer.reveal(*until)

    def show_rest(self, place: StrokePlace | None) -> None:
        """The strokes of the plan, pale those before a place; None: all of the preview again."""
        plan, document = self.models.planning.plan, self.models.planning.plan_document
        if place is None or plan is None or document is None:
            self._shows_rest = False
            self.show_preview()
            return
        self._shows_plan = self._shows_rest = True
        self._strokes = Strokes.empty()
        show_rest(self.layer, plan.strokes, document.pens, place)

    def show_preview(self) -> None:
        """The preview's strokes, marked where they lie outside the zone."""
        self._shows_plan = False
        preview = self.models.planning.preview
        self.limits, self.hidden_limits, self._letters = (), (), []
        if preview is None:
            self._strokes = Strokes.empty()
            self.layer.set_strokes(self._strokes, [], [])
            return
        owner, strokes = preview.placement_of_source, preview.strokes
        self._set(strokes, owner[strokes.source] if len(strokes) else None, self._others(preview))
        self._mark_outside(preview)
        self.mark_part()
        self._move_along()

    def _mark_outside(self, preview: StrokePreview) -> None:
        """Bands and letters for the limits that strokes break, at each place the most important one."""
        pieces, owner = preview.outside.pieces, preview.placement_of_source
        if not len(pieces):
            return
        most = primary_limit(preview.outside.broken)
        self.limits = tuple(limit for limit in PRIORITY if (most == limit).any())
        bits = np.bitwise_or.reduce(preview.outside.broken)
        self.hidden_limits = tuple(limit for limit in PRIORITY if bits & limit and limit not in self.limits)
        look = np.argmax(most[:, None] == np.array(self.limits, dtype=np.uint16), axis=1)
        group = owner[pieces.source]
        counts = [len(p.outside.broken) for p in preview.by_hanging] or [len(pieces)]
        hanging = np.repeat(np.arange(len(counts)), counts)
        ratio = max(1, round(self._canvas.devicePixelRatioF()))
        textures = [texture(limit, ratio) for limit in self.limits] * len(counts)
        marks = replace(pieces, pen=(hanging * len(self.limits) + look).astype(np.int32))
        self.layer.set_mark("outside", marks, group, textures, BAND * ratio)
        # A letter in the middle of the longest piece, for each limit, artwork and part of the wall.
        lengths, ends = pieces.lengths(), np.diff(pieces.offsets)
        middle = pieces.points[pieces.offsets[:-1] + ends // 2]
        other = pieces.points[pieces.offsets[:-1] + np.maximum(ends // 2 - 1, 0)]
        at = np.where((ends == 2)[:, None], (middle + other) / 2, middle)
        cells = np.column_stack([group, look, np.floor(at / APART)]).astype(np.int64)
        order = np.lexsort((-lengths, *cells.T))
        new = np.append(True, (np.diff(cells[order], axis=0) != 0).any(axis=1))
        cell = np.empty(len(order), dtype=np.int64)
        cell[order] = np.cumsum(new) - 1
        of_points = np.repeat(cell, ends)
        sorted_points = pieces.points[np.argsort(of_points, kind="stable")]
        begins = np.searchsorted(np.sort(of_points), np.arange(new.sum() + 1))
        for number, k in enumerate(order[new].tolist()):
            begin, end = begins[number : number + 2]
            some = np.unique(np.linspace(begin, end - 1, OTHER_PLACES).astype(np.int64))
            others = tuple(QPointF(*point) for point in sorted_points[some].tolist())
            self._letters.append((int(group[k]), LimitLetter(self.limits[look[k]], QPointF(*at[k].tolist()), others)))

    def _show_marks(self, is_shown: bool) -> None:
        """Marks strokes outside, or takes the marks away."""
        preview = self.models.planning.preview
        if preview is None or self._shows_plan or is_shown == bool(self.limits):
            return
        if is_shown:
            self._mark_outside(preview)
        else:
            self.limits, self.hidden_limits, self._letters = (), (), []
            self.layer.set_mark("outside", Strokes.empty(), None, [])

    def letters(self) -> list[LimitLetter]:
        """Returns the letters of visible strokes, on the wall, mm."""
        shown = self.models.planning.preview_document
        if not self._letters or shown is None:
            return []
        moves = self._moves(shown)
        return [
            LimitLetter(limit, moves[group].map(at), tuple(map(moves[group].map, others)))
            for group, (limit, at, others) in self._letters
            if group in moves
        ]

    def mark_at(self, x: float, y: float, reach: float) -> tuple[float, float, int] | None:
        """The point of a marked stroke that is nearest to a point of the wall within reach, mm, and which hanging draws
        it."""
        found = self.layer.mark_at("outside", x, y, reach) if self.limits else None
        return None if found is None else (*found[:2], found[2] // len(self.limits))

    def mark_part(self) -> None:
        """A band under the strokes of the part of an artwork that is selected, those of a plan too."""
        preview, item = self.models.planning.preview, self.models.selection.item
        part = item if isinstance(item, PartItem) else None
        if preview is None or (part is None and not self._marks_part):
            return
        self._marks_part = part is not None
        flags = part_flags(self.models.planning, part, self._strokes) if part is not None else None
        found = flagged_runs(self._strokes, flags) if flags is not None else Strokes.empty()
        found = replace(found, pen=np.zeros(len(found), dtype=np.int32))
        groups = None if self._shows_plan else preview.placement_of_source[found.source]
        self.layer.set_mark("part", found, groups, [CHOSEN_BAND], BAND * self._canvas.devicePixelRatioF())
        if not self._shows_plan:
            self._move_along()

    def follow(self, is_dragged: bool = False) -> None:
        """Shows ink of an older preview where its artwork now is. Marks of what lies outside go along while something is
        dragged; after any other change, such as a remedy, nobody knows them until it is planned."""
        shown = self.models.planning.preview_document
        if shown is not None and not is_dragged:
            self._show_marks(not _lies_elsewhere(self.models.project.document, shown))
        self._move_along()

    def _move_along(self) -> None:
        """Puts the ink of each artwork where it now is."""
        shown = self.models.planning.preview_document
        if shown is None:
            return
        moves = self._moves(shown)
        for group in range(len(shown.placements)):
            self.layer.set_group_visible(group, group in moves)
            if group in moves:
                self.layer.move_group(group, moves[group])

    def _moves(self, shown: Document) -> dict[int, QTransform]:
        """How the ink of each artwork that is seen has moved since a document was planned."""
        now = self.models.project.document
        if self._moved_of is None or now is not self._moved_of[0] or shown is not self._moved_of[1]:
            present = {p.id: p for p in now.placements if p.visible}
            planned = [(group, old, present.get(old.id)) for group, old in enumerate(shown.placements)]
            self._moved = {
                g: QTransform() if new is old else ink_move(old, new) for g, old, new in planned if new is not None
            }
            self._moved_of = (now, shown)
        return self._moved

    def _others(self, preview: StrokePreview) -> npt.NDArray[np.bool_] | None:
        """(k,) strokes that another hanging draws than the current one."""
        if not preview.by_hanging:
            return None
        counts = [len(p.strokes) for p in preview.by_hanging]
        return np.repeat(np.arange(len(counts)) != self.models.selection.hanging, counts)

    def _set(
        self,
        strokes: Strokes,
        groups: npt.NDArray[np.integer] | None = None,
        others: npt.NDArray[np.bool_] | None = None,
    ) -> None:
        document = self.models.planning.preview_document
        pens = document.pens if document is not None else ()
        self._strokes = strokes
        colours, widths = [QColor(p.colour) for p in pens], [p.width for p in pens]
        if others is not None:  # the same pens once more, paler
            strokes = replace(strokes, pen=strokes.pen + np.int32(len(pens)) * others)
            colours, widths = colours + [paler(c) for c in colours], 2 * widths
        # And all of them once more, for lines that are to be seen from afar.
        count = len(colours)
        strokes = replace(strokes, pen=strokes.pen + np.int32(count) * self._are_outlines(strokes))
        least = [0.0] * count + [LINE * self._canvas.devicePixelRatioF()] * count
        self.layer.set_strokes(strokes, 2 * colours, 2 * widths, groups, least, 2 * list(range(count)))

    def _are_outlines(self, strokes: Strokes) -> Flags:
        """(k,) strokes that are lines by themselves: neither part of a fill nor of a picture, whose tone they would
        change."""
        preview, document = self.models.planning.preview, self.models.planning.preview_document
        if preview is None or document is None:
            return ~strokes.is_fill
        media = {a.id: a.is_picture for a in document.artworks}
        pictures = np.array([media[p.artwork] for p in document.placements] + [False])
        owner = np.append(preview.placement_of_source, -1)  # the last one: of no artwork
        is_outline: Flags = ~strokes.is_fill & ~pictures[owner[strokes.source]]
        return is_outline


def _lies_elsewhere(now: Document, planned: Document) -> bool:
    """Whether what lies outside the zone may be something else than planned."""
    return now is not planned and (now.placements, now.hangings, now.wall, now.machine) != (
        planned.placements,
        planned.hangings,
        planned.wall,
        planned.machine,
    )


def paler(colour: QColor) -> QColor:
    """A colour that is mostly wall."""
    channels = ((colour.redF(), PAPER.redF()), (colour.greenF(), PAPER.greenF()), (colour.blueF(), PAPER.blueF()))
    return QColor.fromRgbF(*(PALE * wall + (1 - PALE) * ink for ink, wall in channels))


def show_rest(layer: InkLayer, strokes: Strokes, pens: tuple[Pen, ...], place: StrokePlace) -> None:
    """Shows strokes in their order, those before a place pale; all of them pale when nothing remains."""
    try:
        drawn, remaining = drawn_until(strokes, place), remaining_strokes(strokes, place)
    except BadValue:
        drawn, remaining = strokes, Strokes.empty()
    # A pale pen stands behind each in the list.
    drawn = replace(drawn, pen=(drawn.pen + len(pens)).astype(np.int32))
    colours = [QColor(p.colour) for p in pens] + [QColor(pale(p.colour)) for p in pens]
    layer.set_strokes(Strokes.join([drawn, remaining]), colours, [p.width for p in pens] * 2)
