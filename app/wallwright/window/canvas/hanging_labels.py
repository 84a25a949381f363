"""Names of hangings and register marks on the wall. They keep clear of each other, of anchors and of marks; marks that are
too close together for their names have one for all of them, until the view is large enough."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QFont, QPainter, QPen

from wallwright.document.document import Document
from wallwright.document.register import RegisterMark
from wallwright.jobs.label_placing import LabelPlacer, shortened
from wallwright.window.canvas.hangings_layer import GRIP, cross_reach, grip, handover_lines, shown_marks
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import (
    DISTANCE_ABOVE,
    QUIET,
    START_ARM,
    distance_text,
    tag,
    tag_box,
    tag_size,
)
from wallwright.window.model.models import Models

ANCHOR_REACH = 8.0
"""Logical pixels: half the side of what an anchor covers."""
OTHER_START = 7.0
"""The same of the starting point of a hanging that is not the current one."""
NAME_BELOW = 14.0
"""Logical pixels from the line between anchors down to the middle of their hanging's name."""
LEADER = 7.0
"""Logical pixels between a mark and its name from which on a line leads there."""
FARTHEST = 26.0
"""Logical pixels: marks whose names would be farther away have one name for all of them."""


class HangingLabel(NamedTuple):
    """A label, in logical pixels of the widget."""

    text: str
    centre: QPointF
    size: tuple[float, float]
    mark: QPointF | None = None
    """The mark that a line leads to."""

    @property
    def box(self) -> QRectF:
        width, height = self.size
        return QRectF(self.centre.x() - width / 2, self.centre.y() - height / 2, width, height)


class HangingLabels:
    """Found again only when something else than the place of the view has changed."""

    def __init__(self) -> None:
        self._of: tuple[object, ...] = ()
        self._found: list[HangingLabel] = []

    def placed(self, view: View, models: Models, font: QFont, taken: Sequence[QRectF]) -> list[HangingLabel]:
        """The labels of a wall with several hangings. taken: where other words stand, widget."""
        document, zero = models.project.document, view.to_screen(0.0, 0.0)
        if len(document.hangings) < 2:
            return []
        near = [box.translated(-zero) for box in taken]
        lines = tuple(grip(view, document, x) - zero for x in handover_lines(models).values())
        of: tuple[object, ...] = (
            document.hangings,
            shown_marks(models),
            models.selection.hanging,
            view.scale,
            document.settings.joining,
            font.toString(),
            tuple((round(box.x()), round(box.y()), round(box.width())) for box in near),
            tuple((round(at.x()), round(at.y())) for at in lines),
        )
        if of != self._of:
            at_zero = View(0.0, 0.0, view.scale)
            self._of, self._found = of, _Placing(at_zero, models, font).all(near, lines)
        return [
            label._replace(centre=label.centre + zero, mark=None if label.mark is None else label.mark + zero)
            for label in self._found
        ]


def hanging_points(view: View, document: Document) -> list[QPointF]:
    """Anchors and starting points of all hangings, on the widget."""
    hangings = document.hangings
    places = [(anchor.x, anchor.y) for h in hangings for anchor in (h.left, h.right)] + [
        h.start_point for h in hangings
    ]
    return [view.to_screen(*at) for at in places]


def joining_points(view: View, models: Models) -> list[QPointF]:
    """Returns the positions of register marks and grips of handover lines on the widget; none for a single hanging."""
    document = models.project.document
    lines = handover_lines(models).values() if len(document.hangings) > 1 else ()
    marks = [view.to_screen(mark.x, mark.y) for _, mark in shown_marks(models)]
    return marks + [grip(view, document, x) for x in lines]


class _Placing:
    """Placement of all labels at one scale."""

    def __init__(self, view: View, models: Models, font: QFont) -> None:
        self._view, self._models, self._font = view, models, font
        self._document: Document = models.project.document
        self._placer = LabelPlacer()
        self._reach = cross_reach(models, view.scale)

    def all(self, taken: Sequence[QRectF], grips: Sequence[QPointF]) -> list[HangingLabel]:
        """Returns all labels. Names of marks are placed first, since hanging names may stand farther off."""
        current = self._models.selection.hanging
        for box in taken:
            self._placer.keep_clear(box.left(), box.top(), box.right(), box.bottom())
        for at in grips:
            self._keep_clear(at, GRIP)
        for number, hanging in enumerate(self._document.hangings):
            for anchor in (hanging.left, hanging.right):
                self._keep_clear(self._view.to_screen(anchor.x, anchor.y), ANCHOR_REACH)
            start = self._view.to_screen(*hanging.start_point)
            self._keep_clear(start, START_ARM if number == current else OTHER_START)
        fixed = self._document.hangings[current]
        size = tag_size(distance_text(self._document, fixed), self._font)
        box = tag_box(self._between_anchors(current) - QPointF(0, DISTANCE_ABOVE), size)
        self._placer.keep_clear(box.left(), box.top(), box.right(), box.bottom())
        groups: dict[tuple[int, int], list[RegisterMark]] = {}
        for number, mark in shown_marks(self._models):
            self._keep_clear(self._view.to_screen(mark.x, mark.y), self._reach)
            earlier = self._document.earlier_neighbours(number)
            drawer = self._document.drawer_of(number, mark.x) if earlier else -1
            groups.setdefault((number, drawer), []).append(mark)
        order = sorted(groups, key=lambda group: (group[0] != current, group))
        found = [label for group in order for label in self._names(groups[group])]
        return found + [self._name(number) for number in range(len(self._document.hangings)) if number != current]

    def _keep_clear(self, at: QPointF, reach: float) -> None:
        self._placer.keep_clear(at.x() - reach, at.y() - reach, at.x() + reach, at.y() + reach)

    def _between_anchors(self, number: int) -> QPointF:
        hanging = self._document.hangings[number]
        left, right = hanging.left, hanging.right
        return self._view.to_screen((left.x + right.x) / 2, (left.y + right.y) / 2)

    def _name(self, number: int) -> HangingLabel:
        """Returns the label of a hanging that is not the current one."""
        text = shortened(self._document.hangings[number].name)
        return self._placed(text, self._between_anchors(number) + QPointF(0, NAME_BELOW), is_beside=False)[0]

    def _names(self, marks: list[RegisterMark]) -> list[HangingLabel]:
        """Returns the labels of marks shared by two hangings: one each, or one for all."""
        before, found = self._placer.count, []
        for mark in marks:
            label, is_good = self._placed(mark.name, self._view.to_screen(mark.x, mark.y), is_beside=True)
            if not is_good:
                self._placer.back_to(before)
                top = min(marks, key=lambda mark: mark.y)
                return [self._placed(common_name(marks), self._view.to_screen(top.x, top.y), is_beside=True)[0]]
            found.append(label)
        return found

    def _placed(self, text: str, at: QPointF, is_beside: bool) -> tuple[HangingLabel, bool]:
        """Returns a label, and whether it is free and near."""
        size = tag_size(text, self._font)
        width, height = size.width(), size.height()
        place = self._placer.place(at.x(), at.y(), width, height, is_beside)
        leads = is_beside and place.gap > self._reach + LEADER
        label = HangingLabel(text, QPointF(place.x, place.y), (width, height), at if leads else None)
        return label, place.covered == 0 and place.gap <= self._reach + FARTHEST


def common_name(marks: Sequence[RegisterMark]) -> str:
    """Returns a common name of several marks."""
    names = sorted(mark.name for mark in marks)
    return ", ".join(names) if len(names) < 3 else f"{names[0]}\N{EN DASH}{names[-1]}"


def paint_labels(painter: QPainter, labels: Sequence[HangingLabel]) -> None:
    """Paints the labels; leader lines first, so that they cross no text."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QUIET, 1.0))
    for label in labels:
        if label.mark is not None:
            painter.drawLine(label.centre, label.mark)
    for label in labels:
        tag(painter, label.centre, label.text)
    painter.restore()
