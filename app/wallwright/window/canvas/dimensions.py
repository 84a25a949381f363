"""Dimensions of what is selected, on the wall: its size below it, and how far its lower left corner is from where positions
are measured. Each can be typed."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPen

from wallwright.document import edits, edits_arrangement, edits_keep_outs
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import format_number, tr
from wallwright.document.placing import bounding_box, placement_corners
from wallwright.document.typed_numbers import evaluate, evaluate_pair, shown
from wallwright.document.wall import Box
from wallwright.jobs.label_placing import LabelPlacer
from wallwright.window.canvas.hanging_labels import ANCHOR_REACH
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import DISTANCE_ABOVE, START_ARM, distance_text, tag
from wallwright.window.model.items import HangingItem, KeepOutItem
from wallwright.window.model.models import Models
from wallwright.window.widgets.pair_field import pair_text
from wallwright.window.widgets.theme import OnWall, on_wall

TICK = 4.0
"""Pixels to either side that end a line."""
BESIDE = 10.0
"""Pixels beside a line that is too short for its text."""
LETTER = 0.5
"""Width of a digit in heights of a line, about."""
AROUND = 8.0
"""Horizontal padding of a label, both sides together, px."""
LEAST = 0.1
"""mm of width and height."""
LEAST_APART = 100.0
"""mm between two anchors."""


@dataclass(frozen=True)
class Dimension:
    """One number, or two, on the wall. Pixels are those of the widget."""

    title: str
    """For who hears the field."""
    text: str
    at: QPointF
    """The middle of the text."""
    typed: str
    """What the field begins with."""
    help: str
    edit: str
    """Title of the change."""
    changed: Callable[[str], Document]
    """The document that a typed text gives. Raises BadValue with a sentence, ValueError for what is no number."""
    line: tuple[QPointF, QPointF] | None = None
    is_painted: bool = True
    """False: what is measured is painted with its dimension already."""


class DimensionSpace(NamedTuple):
    """Where dimensions are shown."""

    view: View
    area: QRectF
    """Of the widget where the wall is seen, pixels."""
    line: float
    """Pixels of a line of text."""

    @property
    def below(self) -> float:
        """Pixels from a frame to the middle of its size."""
        return self.line + 2


def dimensions_of(models: Models, space: DimensionSpace) -> list[Dimension]:
    """Returns the dimensions of what is selected and can be changed, with labels clear of each other and of the marks of the
    current hanging."""
    return _kept_apart(_wanted(models, space), models, space)


def _wanted(models: Models, space: DimensionSpace) -> list[Dimension]:
    item = models.selection.item
    if isinstance(item, KeepOutItem) and item.number < len(models.project.document.wall.keep_outs):
        return _of_keep_out(models, space, item.number)
    if isinstance(item, HangingItem) and item.number == models.selection.hanging:
        return [_of_anchors(models, space.view, item.number)]
    return _of_artwork(models, space)


def _of_artwork(models: Models, space: DimensionSpace) -> list[Dimension]:
    chosen = [p for p in models.selection.placements if p.visible and not p.locked]
    if not chosen:
        return []
    project, ids = models.project, [p.id for p in chosen]
    box = bounding_box(chosen)
    width, height = (chosen[0].width, chosen[0].height) if len(chosen) == 1 else (box[2] - box[0], box[3] - box[1])

    def resized(text: str) -> Document:
        new_width, new_height = _typed_size(text, height)
        share = new_width / width if abs(new_width - width) > 0.05 else new_height / height
        if len(ids) == 1:
            fields = {"width": width * share, "height": height * share}
            return edits.set_placement(project.document, ids[0], **fields)
        middle = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        return edits_arrangement.carry_placements(project.document, ids, middle, share=share)

    def moved(dx: float, dy: float) -> Document:
        return edits_arrangement.move_placements(project.document, ids, dx, dy)

    corners = [space.view.to_screen(*corner) for p in chosen for corner in placement_corners(p).tolist()]
    middle = (min(c.x() for c in corners) + max(c.x() for c in corners)) / 2
    at = QPointF(middle, max(corner.y() for corner in corners) + space.below)
    help = tr("Width and height in mm, or the width alone. The artwork keeps its proportions.")
    size = _size(tr("Size of the artwork"), width, height, at, help, resized)
    return [size, *_positions(models, space, box, moved)]


def _of_keep_out(models: Models, space: DimensionSpace, number: int) -> list[Dimension]:
    project = models.project
    box = edits_keep_outs.box_of(project.document.wall.keep_outs[number].outline)
    left, top, right, bottom = box

    def resized(text: str) -> Document:
        width, height = _typed_size(text, bottom - top)
        fitted = (left, bottom - height, left + width, bottom)
        return edits_keep_outs.fit_keep_out(project.document, number, fitted)

    def moved(dx: float, dy: float) -> Document:
        return edits_keep_outs.move_keep_out(project.document, number, dx, dy)

    at = space.view.to_screen((left + right) / 2, bottom) + QPointF(0, space.below)
    help = tr("Width and height in mm, or the width alone. The lower left corner stays where it is.")
    size = _size(tr("Size of the keep-out"), right - left, bottom - top, at, help, resized)
    return [size, *_positions(models, space, box, moved)]


def _of_anchors(models: Models, view: View, number: int) -> Dimension:
    """How far the anchors are apart; their distance is painted between them."""
    hanging = models.project.document.hangings[number]
    left, right = hanging.left, hanging.right
    apart = math.hypot(right.x - left.x, right.y - left.y)

    def changed(text: str) -> Document:
        value = evaluate(text, "mm")
        if value < LEAST_APART:
            raise BadValue(tr("Anchors must be at least {0:.0f} mm apart", LEAST_APART))
        share = value / max(apart, 1e-9)
        to = left.x + (right.x - left.x) * share, left.y + (right.y - left.y) * share
        return edits.move_anchor(models.project.document, number, "right", to)

    at = (view.to_screen(left.x, left.y) + view.to_screen(right.x, right.y)) / 2
    at -= QPointF(0, DISTANCE_ABOVE)
    title, help = tr("Distance between anchors"), tr("In mm. The right anchor moves, on the line between both.")
    text = f"{apart:.0f} mm"
    return Dimension(title, text, at, shown(round(apart, 1)), help, tr("Move an anchor"), changed, is_painted=False)


def _size(
    title: str, width: float, height: float, at: QPointF, help: str, changed: Callable[[str], Document]
) -> Dimension:
    text = tr("{0:.0f} × {1:.0f} mm", width, height)
    return Dimension(title, text, at, pair_text(round(width, 1), round(height, 1)), help, tr("Resize"), changed)


def _positions(
    models: Models, space: DimensionSpace, box: Box, moved: Callable[[float, float], Document]
) -> list[Dimension]:
    """From the lower left corner of a box, mm, to where positions are measured from."""
    origin, view = models.origin.present, space.view
    left, bottom = box[0], box[3]
    across, along = origin.from_wall(left, bottom)

    def moved_across(text: str) -> Document:
        return moved(origin.to_wall(evaluate(text, "mm"), along)[0] - left, 0.0)

    def moved_along(text: str) -> Document:
        return moved(0.0, origin.to_wall(across, evaluate(text, "mm"))[1] - bottom)

    corner, zero = view.to_screen(left, bottom), view.to_screen(origin.x, origin.y)
    titles = (
        (tr("Left side, from the wall's left edge"), tr("Bottom, above the floor"))
        if origin.is_up
        else (tr("Left side, right of the left anchor"), tr("Bottom, below the left anchor"))
    )
    ends = QPointF(zero.x(), corner.y()), QPointF(corner.x(), zero.y())
    values, changes = (across, along), (moved_across, moved_along)
    found = []
    # Of a line that begins along the frame only the rest is free for its text.
    top = view.to_screen(left, box[1])
    starts = corner, top if ends[1].y() < top.y() else corner
    for title, value, start, end, changed in zip(titles, values, starts, ends, changes, strict=True):
        text = format_number(value, ".0f")
        at = _text_place(start, end, space, text)
        if at is not None and space.area.contains(at):
            help = tr("In mm. Calculations and units work too.")
            typed = shown(round(value, 1) + 0.0)
            found.append(Dimension(title, text, at, typed, help, tr("Move"), changed, (corner, end)))
    return found


def _text_place(start: QPointF, end: QPointF, space: DimensionSpace, text: str) -> QPointF | None:
    """The middle of what is seen of a line, or beside one that is too short for its text; None: it is not seen."""
    area, half = space.area, LETTER * space.line * len(text) / 2
    is_level = abs(end.x() - start.x()) >= abs(end.y() - start.y()) and start.y() == end.y()
    low = QPointF(max(min(start.x(), end.x()), area.left()), max(min(start.y(), end.y()), area.top()))
    high = QPointF(min(max(start.x(), end.x()), area.right()), min(max(start.y(), end.y()), area.bottom()))
    if low.x() > high.x() or low.y() > high.y():
        return None
    middle, length = (low + high) / 2, (high.x() - low.x()) + (high.y() - low.y())
    needed = 2 * (half + BESIDE) if is_level else space.line + BESIDE
    if length >= needed:
        return middle
    return middle + (QPointF(0, space.line + TICK) if is_level else QPointF(-half - BESIDE, 0))


def _kept_apart(found: list[Dimension], models: Models, space: DimensionSpace) -> list[Dimension]:
    """Moves labels that would cover each other, anchors, the anchor distance, or the starting point. The size is placed
    first."""
    document, view, placer = models.project.document, space.view, LabelPlacer()
    hanging = document.hangings[models.selection.hanging]
    marks = [(hanging.start_point, START_ARM)] + [((a.x, a.y), ANCHOR_REACH) for a in (hanging.left, hanging.right)]
    for (x, y), reach in marks:
        at = view.to_screen(x, y)
        placer.keep_clear(at.x() - reach, at.y() - reach, at.x() + reach, at.y() + reach)
    left, right = hanging.left, hanging.right
    above = view.to_screen((left.x + right.x) / 2, (left.y + right.y) / 2) - QPointF(0, DISTANCE_ABOVE)
    width = _text_width(distance_text(document, hanging), space)
    placer.keep_clear(
        above.x() - width / 2, above.y() - space.line / 2, above.x() + width / 2, above.y() + space.line / 2
    )
    apart = []
    for one in found:
        if one.is_painted:
            place = placer.place(one.at.x(), one.at.y(), _text_width(one.text, space), space.line)
            apart.append(replace(one, at=QPointF(place.x, place.y)))
        else:
            apart.append(one)
    return apart


def _text_width(text: str, space: DimensionSpace) -> float:
    """Returns the approximate size of a label, px."""
    return LETTER * space.line * len(text) + AROUND


def _typed_size(text: str, height: float) -> tuple[float, float]:
    """Two numbers, or the width alone beside a height, mm. Raises BadValue or ValueError."""
    try:
        new = evaluate_pair(text)
    except ValueError:
        new = evaluate_pair(f"{text}; {height}")
    if min(new) < LEAST:
        raise BadValue(tr("Width and height must be at least 0.1 mm"))
    return new


def paint_dimensions(painter: QPainter, found: list[Dimension]) -> None:
    """Lines with ticks, and what they measure."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(on_wall(OnWall.CHOSEN), 1.0))
    for one in found:
        if one.line is not None:
            start, end = one.line
            painter.drawLine(start, end)
            tick = QPointF(0, TICK) if start.y() == end.y() else QPointF(TICK, 0)
            painter.drawLine(end - tick, end + tick)
    for one in found:
        if one.is_painted:
            tag(painter, one.at, one.text)
    painter.restore()
