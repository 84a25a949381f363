"""The hangings that are not in hand, told quietly: the edge of their zones, and the lines where neighbours meet."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from wallwright.document.document import Document
from wallwright.document.language import tr
from wallwright.document.register import RegisterMark
from wallwright.document.wall import Hanging
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import QUIET, tag
from wallwright.window.model.session import Session

MEETING = QColor("#7a3f9d")
ZONE_POINTS = 2500
GRIP = 7.0
"""Pixels: radius of the grip of a meeting line."""
LEAST_CROSS = 5.0
"""Pixels: half a register mark that is seen from afar."""
INSET = 0.06
"""Of the wall's height, between the grip and the floor."""


def handover_lines(session: Session) -> dict[int, float]:
    """x, mm, of each meeting line, by the hanging on its left: as the document says, else as the newest preview found."""
    document, preview = session.document, session.preview
    order = document.from_left
    found = {}
    for place, number in enumerate(order[:-1]):
        x = document.hangings[number].meets
        if x is None and preview is not None and preview.row is not None and preview.row.order == order:
            x = preview.row.lines[place]
        if x is not None:
            found[number] = x
    return found


def grip(view: View, document: Document, x: float) -> QPointF:
    """Where a meeting line is taken hold of, on the widget, if not on the line itself."""
    return view.to_screen(x, document.wall.floor - INSET * document.wall.height)


class OtherZonesLayer:
    """Outlines of the zones of the hangings that are not in hand; found anew when what they hang on has changed."""

    def __init__(self) -> None:
        self._kept: dict[tuple, QPainterPath] = {}

    def paint(self, painter: QPainter, view: View, session: Session, stay: bool) -> None:
        """stay: nothing new is computed, as during a drag."""
        document = session.document
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
            if number == session.hanging:
                continue
            name = (document.wall, document.machine, hanging)
            path = self._kept.get(name)
            if path is None and not stay:
                path = _outline(document, hanging)
            if path is not None:
                used[name] = path
                painter.drawPath(path)
        if not stay:
            self._kept = used
        painter.restore()


def _outline(document: Document, hanging: Hanging) -> QPainterPath:
    from shapely import (  # takes a moment, and most walls need one hanging
        get_coordinates,
        get_parts,
        get_rings,
    )

    from wallwright.statics.draw_zone import compute_zone
    from wallwright.statics.zone_boundary import zone_polygons

    zone = compute_zone(document.wall, document.machine, hanging, points=ZONE_POINTS)
    path = QPainterPath()
    for ring in get_rings(get_parts(zone_polygons(document.wall, document.machine, zone))):
        path.addPolygon(QPolygonF([QPointF(*p) for p in get_coordinates(ring).tolist()]))
    return path


def paint_handover_lines(painter: QPainter, view: View, session: Session) -> None:
    document = session.document
    if len(document.hangings) < 2:
        return
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for x in handover_lines(session).values():
        low, high = view.to_screen(x, document.wall.top), view.to_screen(x, document.wall.floor)
        painter.setPen(QPen(MEETING, 1.4, Qt.PenStyle.DashDotLine))
        painter.drawLine(low, high)
        painter.setPen(QPen(MEETING, 1.6))
        painter.setBrush(QColor("#ffffff"))
        at = grip(view, document, x)
        painter.drawEllipse(at, GRIP, GRIP)
        painter.drawLine(at - QPointF(4, 0), at + QPointF(4, 0))
    painter.restore()


def register_marks(session: Session) -> tuple[tuple[int, RegisterMark], ...]:
    """The marks as they are kept, else as the newest preview found them, each with the hanging that looks for it."""
    planned = session.preview.marks if session.preview is not None else {}
    found = []
    for number, hanging in enumerate(session.document.hangings):
        found += [(number, mark) for mark in hanging.register.marks or planned.get(number, ())]
    return tuple(found)


def paint_register_marks(painter: QPainter, view: View, session: Session) -> None:
    """The crosses at their size, but never too small to be found, with their names."""
    document = session.document
    if len(document.hangings) < 2 or not document.settings.joining.marks:
        return
    joining = document.settings.joining
    pen = next((p for p in document.pens if p.id == joining.pen), document.pens[0])
    reach = max(joining.arm * view.scale, LEAST_CROSS)
    painter.save()
    for number, mark in register_marks(session):
        at = view.to_screen(mark.x, mark.y)
        strong = number == session.hanging
        painter.setPen(QPen(QColor(pen.colour), max(pen.width * view.scale, 2.0 if strong else 1.2)))
        painter.drawLine(at - QPointF(reach, 0), at + QPointF(reach, 0))
        painter.drawLine(at - QPointF(0, reach), at + QPointF(0, reach))
        tag(painter, at + QPointF(reach + 12, -reach - 4), mark.name)
    painter.restore()


def hangings_told(session: Session) -> tuple[str, ...]:
    """Lines of the legend: what the quiet things are; none of a single hanging."""
    if len(session.document.hangings) == 1:
        return ()
    return (
        tr("In hand: {0}", session.document.hangings[session.hanging].name),
        tr("Pale ink: other hangings draw it"),
        tr("Dashed: zones of the others"),
        tr("Violet: where hangings meet; drag it"),
        *((tr("Crosses: register marks"),) if register_marks(session) else ()),
    )
