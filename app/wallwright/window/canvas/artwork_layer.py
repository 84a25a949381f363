"""Frames of the artworks, and the handles of those that are selected."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF, QTransform

from wallwright.document.document import Placement
from wallwright.document.placing import WHOLE_PAGE, placement_corners
from wallwright.document.wall import Box
from wallwright.window.canvas.handles import frame_of, handles_of
from wallwright.window.canvas.view import View
from wallwright.window.model.items import PartItem
from wallwright.window.model.models import Models
from wallwright.window.widgets.theme import OnWall, on_wall

CHOSEN = on_wall(OnWall.CHOSEN)
OTHER = QColor(90, 90, 90, 150)
NEARLY = 0.02
"""Share of the page: a smaller margin is not shown."""
TURN_HANDLE = 26.0
"""Pixels of the turn handle above the top side."""


def paint_artworks(painter: QPainter, view: View, models: Models, frame: Placement | None) -> None:
    """frame: what the handles are put around."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    chosen, item = models.selection.placement_ids, models.selection.item
    for placement in models.project.document.placements:
        if placement.visible or placement.id in chosen:
            has_part = isinstance(item, PartItem) and item.placement == placement.id
            pen = QPen(
                CHOSEN if placement.id in chosen or has_part else OTHER,
                1.5 if placement.id in chosen else 1.0,
            )
            if placement.id not in chosen or not placement.visible:
                pen.setStyle(Qt.PenStyle.DashLine)
            painter.setPen(pen)
            part = ink_part(models, placement) if placement.id in chosen and placement.visible else None
            if part is not None:
                painter.drawPolygon(_outline(view, placement, part))
                painter.setPen(QPen(CHOSEN, 1.0, Qt.PenStyle.DotLine))
            painter.drawPolygon(_outline(view, placement))
    if frame is not None:
        painter.setPen(QPen(CHOSEN, 1.5))
        if len(chosen) > 1:
            painter.drawPolygon(_outline(view, frame))
        _paint_handles(painter, view, frame)
    painter.restore()


def ink_part(models: Models, placement: Placement) -> Box | None:
    """Returns the drawn part of a placement, if known; None if that is nearly the whole page."""
    part = models.planning.drawn_parts().get(placement.id)
    if part is None or max(abs(a - b) for a, b in zip(part, WHOLE_PAGE, strict=True)) < NEARLY:
        return None
    return part


def frame_shown(models: Models) -> Placement | None:
    """What the handles are put around: the selected artworks, as far as they can be moved."""
    free = [p for p in models.selection.placements if p.visible and not p.locked]
    return frame_of(free) if free else None


def handle_points(view: View, frame: Placement) -> dict[str, QPointF]:
    """Where the handles of a frame are on the widget. Several artworks keep their proportions: only corners."""
    points = {h.name: view.to_screen(h.x, h.y) for h in handles_of(frame)}
    up = QTransform().rotateRadians(frame.turn).map(QPointF(0, -TURN_HANDLE))
    points["turn"] = points["turn"] + up
    if not frame.id:
        points = {name: at for name, at in points.items() if " " in name or name == "turn"}
    return points


def _outline(view: View, placement: Placement, part: Box = WHOLE_PAGE) -> QPolygonF:
    return QPolygonF([view.to_screen(*c) for c in placement_corners(placement, part).tolist()])


def _paint_handles(painter: QPainter, view: View, frame: Placement) -> None:
    painter.setBrush(QColor("#ffffff"))
    top = next(view.to_screen(h.x, h.y) for h in handles_of(frame) if h.name == "top")
    for name, at in handle_points(view, frame).items():
        if name == "turn":
            painter.drawLine(top, at)
            painter.drawEllipse(at, 5.5, 5.5)
        else:
            painter.drawRect(QRectF(at.x() - 4.5, at.y() - 4.5, 9, 9))
