"""The program's icons: lines in the text colour, sharp at every scale, for light and dark.

Drawn in a square of 24 by 24, x to the right, y down.
"""

from __future__ import annotations

import msgspec
from PySide6.QtCore import QPointF, QRect, QSize, Qt
from PySide6.QtGui import QGuiApplication, QIcon, QIconEngine, QPainter, QPainterPath, QPalette, QPen, QPixmap

SIDE, LINE = 24.0, 1.7
Points = tuple[tuple[float, float], ...]


class Arc(msgspec.Struct, frozen=True):
    """A circular arc; angles in degrees, anticlockwise from three o'clock."""

    x: float
    y: float
    radius: float
    start: float
    span: float


class Solid(msgspec.Struct, frozen=True):
    """A filled outline."""

    points: Points


def _box(left: float, top: float, right: float, bottom: float) -> Points:
    return (left, top), (right, top), (right, bottom), (left, bottom), (left, top)


DRAWN: dict[str, tuple[Points | Arc | Solid, ...]] = {
    "new": (((13, 3), (5, 3), (5, 21), (19, 21), (19, 9), (13, 3)), ((13, 3), (13, 9), (19, 9))),
    "open": (
        ((3, 19), (3, 5), (9, 5), (11, 8), (20, 8), (20, 11)),
        ((3, 19), (6, 11), (22, 11), (19, 19), (3, 19)),
    ),
    "save": (
        ((4, 4), (17, 4), (20, 7), (20, 20), (4, 20), (4, 4)),
        ((8, 4), (8, 9), (15, 9), (15, 4)),
        ((8, 20), (8, 14), (16, 14), (16, 20)),
    ),
    "add": (
        ((20, 11), (20, 4), (3, 4), (3, 18), (13, 18)),
        ((3, 15), (8, 9), (13, 15)),
        ((18.5, 14), (18.5, 22)),
        ((14.5, 18), (22.5, 18)),
    ),
    "undo": (((9, 4), (4, 9), (9, 14)), ((4, 9), (14, 9)), Arc(14, 14, 5, 90, -180), ((14, 19), (8, 19))),
    "redo": (((15, 4), (20, 9), (15, 14)), ((20, 9), (10, 9)), Arc(10, 14, 5, 90, 180), ((10, 19), (16, 19))),
    "fit": (
        ((3, 8), (3, 3), (8, 3)),
        ((16, 3), (21, 3), (21, 8)),
        ((21, 16), (21, 21), (16, 21)),
        ((8, 21), (3, 21), (3, 16)),
        ((8, 9), (16, 9), (16, 15), (8, 15), (8, 9)),
    ),
    "plan": (Arc(12, 12, 8, 60, 290), ((12, 6), (16, 5), (15, 1.6))),
    "stop": (((6, 6), (18, 18)), ((18, 6), (6, 18))),
    "close": (((7, 7), (17, 17)), ((17, 7), (7, 17))),
    "export": (((12, 15), (12, 3)), ((7, 8), (12, 3), (17, 8)), ((4, 13), (4, 20), (20, 20), (20, 13))),
    "play": (Solid(((7, 4), (20, 12), (7, 20))),),
    "back": (Solid(((12, 4), (2, 12), (12, 20))), Solid(((22, 4), (12, 12), (22, 20)))),
    "align-left": (((4, 3), (4, 21)), _box(7, 6, 20, 10), _box(7, 14, 14, 18)),
    "align-centre": (
        ((12, 3), (12, 6)),
        ((12, 10), (12, 14)),
        ((12, 18), (12, 21)),
        _box(5, 6, 19, 10),
        _box(8, 14, 16, 18),
    ),
    "align-right": (((20, 3), (20, 21)), _box(4, 6, 17, 10), _box(10, 14, 17, 18)),
    "align-top": (((3, 4), (21, 4)), _box(6, 7, 10, 20), _box(14, 7, 18, 14)),
    "align-middle": (
        ((3, 12), (6, 12)),
        ((10, 12), (14, 12)),
        ((18, 12), (21, 12)),
        _box(6, 5, 10, 19),
        _box(14, 8, 18, 16),
    ),
    "align-bottom": (((3, 20), (21, 20)), _box(6, 4, 10, 17), _box(14, 10, 18, 17)),
    "gaps-across": (((3, 3), (3, 21)), ((21, 3), (21, 21)), _box(9, 7, 15, 17)),
    "gaps-down": (((3, 3), (21, 3)), ((3, 21), (21, 21)), _box(7, 9, 17, 15)),
    "upright": (_box(4, 9, 15, 20), Arc(15, 9, 6, 10, 80), ((17.5, 2.2), (15, 3), (16, 5.4))),
    "mirror": (((12, 3), (12, 21)), Solid(((9, 7), (9, 18), (2, 18))), ((15, 7), (15, 18), (22, 18), (15, 7))),
    "pause": (Solid(((6, 4), (10, 4), (10, 20), (6, 20))), Solid(((14, 4), (18, 4), (18, 20), (14, 20)))),
}


class _Engine(QIconEngine):
    """Paints an icon in a colour of the palette."""

    def __init__(self, name: str, role: QPalette.ColorRole) -> None:
        super().__init__()
        self._name, self._role = name, role

    def clone(self) -> QIconEngine:
        return _Engine(self._name, self._role)

    def pixmap(self, size: QSize, mode: QIcon.Mode, state: QIcon.State) -> QPixmap:
        pixmap = QPixmap(size)
        pixmap.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixmap)
        self.paint(painter, QRect(0, 0, size.width(), size.height()), mode, state)
        painter.end()
        return pixmap

    def paint(self, painter: QPainter, rect: QRect, mode: QIcon.Mode, state: QIcon.State) -> None:
        off = mode == QIcon.Mode.Disabled
        group = QPalette.ColorGroup.Disabled if off else QPalette.ColorGroup.Active
        colour = QGuiApplication.palette().color(group, QPalette.ColorRole.ButtonText if off else self._role)
        scale = min(rect.width(), rect.height()) / SIDE
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(QPointF(rect.center()) + QPointF(0.5, 0.5) - QPointF(SIDE, SIDE) * scale / 2)
        painter.scale(scale, scale)
        pen = QPen(colour, LINE, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        for part in DRAWN[self._name]:
            if isinstance(part, Solid):
                painter.setBrush(colour)
                painter.drawPolygon([QPointF(*p) for p in part.points])
                painter.setBrush(Qt.BrushStyle.NoBrush)
            elif isinstance(part, Arc):
                path, box = (
                    QPainterPath(),
                    (part.x - part.radius, part.y - part.radius, 2 * part.radius, 2 * part.radius),
                )
                path.arcMoveTo(*box, part.start)
                path.arcTo(*box, part.start, part.span)
                painter.drawPath(path)
            else:
                painter.drawPolyline([QPointF(*p) for p in part])
        painter.restore()


def icon(name: str, is_on_accent: bool = False) -> QIcon:
    """Returns an icon of DRAWN. is_on_accent: for a main button. Raises KeyError for any other name."""
    DRAWN[name]
    role = QPalette.ColorRole
    return QIcon(_Engine(name, role.HighlightedText if is_on_accent else role.ButtonText))
