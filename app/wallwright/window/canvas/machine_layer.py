"""The machine as it hangs at a point: tilted body, sagging belts, and its numbers."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPalette, QPen, QPolygonF, QTransform

from wallwright.document.document import Document
from wallwright.document.language import tr
from wallwright.document.origin import Origin
from wallwright.document.wall import Hanging
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limit_sentences import describe_excesses
from wallwright.statics.limits import broken, describe_limits
from wallwright.statics.pose import inverse_kinematics, sag, span_curve
from wallwright.window.canvas.view import View
from wallwright.window.canvas.zone_layer import ZonePicture
from wallwright.window.widgets.theme import OnWall, on_wall

INSIDE, OUTSIDE = on_wall(OnWall.CHOSEN), on_wall(OnWall.OUTSIDE)


def _distance(segments: npt.NDArray[np.float64], point: tuple[float, float]) -> float:
    """mm from a point to the nearest of (m, 2, 2) segments."""
    way = segments[:, 1] - segments[:, 0]
    along = ((point - segments[:, 0]) * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-12)
    near = segments[:, 0] + np.clip(along, 0, 1)[:, None] * way
    return float(np.hypot(*(near - point).T).min())


TABLE_ACROSS, TABLE_DOWN = 10.0, 6.0
"""Padding of the table of numbers, logical pixels."""
TABLE_FLAGS = int(Qt.AlignmentFlag.AlignLeft) | int(Qt.AlignmentFlag.AlignTop) | int(Qt.TextFlag.TextWordWrap)


class HangingMachine:
    """One pose, ready to be painted and described."""

    def __init__(self, document: Document, hanging: Hanging, pen: tuple[float, float]) -> None:
        self._of = (document.wall, document.machine, hanging)
        self.rig = CableRobotModel.of(document.machine, hanging)
        self.pen = pen
        self.pose = inverse_kinematics(self.rig, np.array([pen], dtype=float))
        self.bits = int(broken(document.wall, document.machine, self.rig, self.pose)[0])
        self.hangs = bool(self.pose.converged[0])
        self._outline = document.machine.body.outline

    def is_of(self, document: Document, hanging: Hanging, pen: tuple[float, float]) -> bool:
        """Whether it is the same pose of the same machine."""
        now = (document.wall, document.machine, hanging)
        return pen == self.pen and all(a is b for a, b in zip(now, self._of, strict=True))

    def limit_text(self, zone: ZonePicture | None) -> str:
        """Which limits are broken here and by how much, a line each, and how far away the zone is."""
        wall, machine, _ = self._of
        lines = describe_excesses(wall, machine, self.rig, self.pose, self.bits)
        if self.bits and zone is not None and len(zone.edge):
            lines.append(tr("The draw zone begins {0:.0f} mm from here.", _distance(zone.edge, self.pen)))
        return "\n".join(lines)

    def numbers(self, origin: Origin) -> str:
        """What is shown beside the pointer, one line each. origin: what its position is measured from."""
        if not self.hangs:
            text = describe_limits(self.bits)
            return text[:1].upper() + text[1:]
        pose = self.pose
        sags = sag(self.rig, pose)[0]
        lines = [
            origin.text(*self.pen),
            tr("Belts {0:.1f} and {1:.1f} mm", *pose.belts[0]),
            tr("Tension {0:.1f} and {1:.1f} N", *pose.exit_tension[0]),
            tr("Tilt {0:+.1f}°   Sag {1:.1f} and {2:.1f} mm", np.degrees(pose.tilt[0]), *sags),
        ]
        if self.bits:
            lines.append(tr("Outside: {0}", describe_limits(self.bits)))
        return "\n".join(lines)

    def paint(self, painter: QPainter, view: View) -> None:
        if not self.hangs:
            return
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.scale(view.scale, view.scale)
        painter.translate(-view.left, -view.top)
        pen = QPen(OUTSIDE if self.bits else INSIDE, 2.0)
        pen.setStyle(Qt.PenStyle.DashLine if self.bits else Qt.PenStyle.SolidLine)
        pen.setCosmetic(True)
        painter.setPen(pen)
        for side in (0, 1):
            curve = span_curve(self.rig, self.pose, 0, side)
            painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in curve.tolist()]))
        turn = QTransform()
        turn.translate(*self.pen)
        turn.rotateRadians(float(self.pose.tilt[0]))
        fill = QColor(pen.color())
        fill.setAlpha(40)
        painter.setBrush(fill)
        painter.drawPolygon(turn.map(QPolygonF([QPointF(*p) for p in self._outline])))
        painter.restore()
        at = view.to_screen(*self.pen)
        painter.setPen(QPen(pen.color(), 1.5))
        painter.drawLine(at - QPointF(7, 0), at + QPointF(7, 0))
        painter.drawLine(at - QPointF(0, 7), at + QPointF(0, 7))

    def numbers_box(self, painter: QPainter, frame: QRectF, origin: Origin, legend: QRectF) -> QRectF:
        """Returns the place of the table of numbers in a frame: its lower left corner, or the upper one if the legend is in
        the way."""
        room = QRectF(0.0, 0.0, frame.width() - 2 * TABLE_ACROSS, frame.height())
        size = painter.boundingRect(room, TABLE_FLAGS, self.numbers(origin)).size()
        width, height = size.width() + 2 * TABLE_ACROSS, size.height() + 2 * TABLE_DOWN
        lower = QRectF(frame.left(), frame.bottom() - height, width, height)
        return lower if not lower.intersects(legend) else QRectF(frame.left(), frame.top(), width, height)

    def paint_numbers(
        self, painter: QPainter, frame: QRectF, palette: QPalette, origin: Origin, legend: QRectF
    ) -> None:
        """Paints a small table in a corner of the frame. legend: area of the legend; empty: none."""
        box = self.numbers_box(painter, frame, origin, legend)
        base = QColor(palette.color(QPalette.ColorRole.Base))
        base.setAlpha(225)
        painter.setPen(palette.color(QPalette.ColorRole.Mid))
        painter.setBrush(base)
        painter.drawRoundedRect(box, 4, 4)
        painter.setPen(palette.color(QPalette.ColorRole.Text))
        inner = box.adjusted(TABLE_ACROSS, TABLE_DOWN, -TABLE_ACROSS + 1, 0)
        painter.drawText(inner, TABLE_FLAGS, self.numbers(origin))
