"""The hangings that are not the current one, shown quietly: the edges of their zones, and the handover lines."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from wallwright.document.document import Document
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.register import RegisterMark
from wallwright.document.wall import Hanging, Wall
from wallwright.statics.draw_zone import compute_zone
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import QUIET
from wallwright.window.model.models import Models
from wallwright.window.widgets.theme import OnWall, on_wall

HANDOVER = on_wall(OnWall.HANDOVER)
ZONE_POINTS = 2500
GRIP = 7.0
"""Logical pixels: radius of the grip of a handover line."""
LEAST_CROSS = 5.0
"""Logical pixels: half a register mark that is seen from afar."""
INSET = 0.06
"""Of the wall's height, between the grip and the floor."""


def handover_lines(models: Models) -> dict[int, float]:
    """x, mm, of each handover line, by the hanging on its left: as the document says, else as the newest preview found."""
    document, preview = models.project.document, models.planning.preview
    order = document.from_left
    found = {}
    for place, number in enumerate(order[:-1]):
        x = document.hangings[number].handover
        if x is None and preview is not None and preview.row is not None and preview.row.order == order:
            x = preview.row.lines[place]
        if x is not None:
            found[number] = x
    return found


def grip(view: View, document: Document, x: float) -> QPointF:
    """Where a handover line is taken hold of, on the widget, if not on the line itself."""
    return view.to_screen(x, document.wall.floor - INSET * document.wall.height)


class OtherZonesLayer:
    """Outlines of the zones of the other hangings; found again when what they depend on has changed."""

    def __init__(self) -> None:
        self._cache: dict[tuple[Wall, Machine, Hanging], QPainterPath] = {}

    def paint(self, painter: QPainter, view: View, models: Models, stay: bool) -> None:
        """stay: nothing new is computed, as during a drag."""
        document = models.project.document
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.scale(view.scale, view.scale)
        painter.translate(-view.left, -view.top)
        pen = QPen(QUIET, 1.2, Qt.PenStyle.DashLine)
        pen.setCosmetic(True)
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        used = {}
        for number, hanging in enumerate(document.hangings):
            if number == models.selection.hanging:
                continue
            name = (document.wall, document.machine, hanging)
            path = self._cache.get(name)
            if path is None and not stay:
                path = _outline(document, hanging)
            if path is not None:
                used[name] = path
                painter.drawPath(path)
        if not stay:
            self._cache = used
        painter.restore()


def _outline(document: Document, hanging: Hanging) -> QPainterPath:
    # These take a moment to import, and most walls need one hanging.
    from wallwright.statics.zone_boundary import zone_polygons
    from wallwright.window.canvas.contours import region_path

    zone = compute_zone(document.wall, document.machine, hanging, points=ZONE_POINTS)
    return region_path(zone_polygons(document.wall, document.machine, zone))


def paint_handover_lines(painter: QPainter, view: View, models: Models) -> None:
    document = models.project.document
    if len(document.hangings) < 2:
        return
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for x in handover_lines(models).values():
        low, high = view.to_screen(x, document.wall.top), view.to_screen(x, document.wall.floor)
        painter.setPen(QPen(HANDOVER, 1.4, Qt.PenStyle.DashDotLine))
        painter.drawLine(low, high)
        painter.setPen(QPen(HANDOVER, 1.6))
        painter.setBrush(QColor("#ffffff"))
        at = grip(view, document, x)
        painter.drawEllipse(at, GRIP, GRIP)
        painter.drawLine(at - QPointF(4, 0), at + QPointF(4, 0))
    painter.restore()


def register_marks(models: Models) -> tuple[tuple[int, RegisterMark], ...]:
    """The marks that the document has, else those of the newest preview, each with the number of the hanging whose pen is
    lined up by it."""
    planned = models.planning.preview.marks if models.planning.preview is not None else {}
    found = []
    for number, hanging in enumerate(models.project.document.hangings):
        found += [(number, mark) for mark in hanging.register.marks or planned.get(number, ())]
    return tuple(found)


def shown_marks(models: Models) -> tuple[tuple[int, RegisterMark], ...]:
    """The marks that the wall shows, each with the number of the hanging whose pen is lined up by it."""
    document = models.project.document
    return register_marks(models) if len(document.hangings) > 1 and document.settings.joining.marks else ()


def cross_reach(models: Models, scale: float) -> float:
    """Logical pixels: half a register mark at a scale in logical pixels per mm."""
    return max(models.project.document.settings.joining.arm * scale, LEAST_CROSS)


def paint_register_marks(painter: QPainter, view: View, models: Models) -> None:
    """The crosses at their size, but never too small to be found."""
    document = models.project.document
    joining = document.settings.joining
    pen = next((p for p in document.pens if p.id == joining.pen), document.pens[0])
    reach = cross_reach(models, view.scale)
    painter.save()
    for number, mark in shown_marks(models):
        at = view.to_screen(mark.x, mark.y)
        strong = number == models.selection.hanging
        painter.setPen(QPen(QColor(pen.colour), max(pen.width * view.scale, 2.0 if strong else 1.2)))
        painter.drawLine(at - QPointF(reach, 0), at + QPointF(reach, 0))
        painter.drawLine(at - QPointF(0, reach), at + QPointF(0, reach))
    painter.restore()


def hanging_legend(models: Models) -> tuple[str, ...]:
    """Lines of the legend: what the quiet things are; none of a single hanging."""
    if len(models.project.document.hangings) == 1:
        return ()
    return (
        tr("Current: {0}", models.project.document.hangings[models.selection.hanging].name),
        tr("Pale ink: drawn by other hangings"),
        tr("Dashed: draw zones of other hangings"),
        tr("Violet: handover line; drag to move it"),
        *((tr("Crosses: register marks"),) if shown_marks(models) else ()),
    )
