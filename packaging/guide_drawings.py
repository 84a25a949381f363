"""The drawings of the guide, computed with the program's statics where they show the hanging body.

They contain no words, so that all languages share them. Colours: ink dark, belts blue, errors red.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QImage, QPainter, QPainterPath, QPen, QPolygonF

from wallwright.document.machine import Machine
from wallwright.document.wall import Anchor, Hanging
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.straight_belts import straight_belts

INK, BELT, WRONG, QUIET, WALL = (QColor(c) for c in ("#24313c", "#1f6fb5", "#c0392b", "#9aa4ad", "#fbfaf5"))
BODY = QColor("#dfe4e8")
Points = npt.NDArray[np.float64]


class Drawing:
    """A picture with a few drawing functions, in pixels."""

    def __init__(self, width: int, height: int) -> None:
        self.image = QImage(width, height, QImage.Format.Format_RGB32)
        self.image.fill(WALL)
        self.painter = QPainter(self.image)
        self.painter.setRenderHint(QPainter.RenderHint.Antialiasing)

    def line(self, points: Points, colour: QColor = INK, width: float = 3, dashed: bool = False) -> None:
        pen = QPen(colour, width, Qt.PenStyle.DashLine if dashed else Qt.PenStyle.SolidLine)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        self.painter.setPen(pen)
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in points]))

    def dot(self, x: float, y: float, radius: float = 5, colour: QColor = INK) -> None:
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(colour)
        self.painter.drawEllipse(QPointF(x, y), radius, radius)

    def ring(self, x: float, y: float, radius: float, colour: QColor = INK) -> None:
        self.painter.setPen(QPen(colour, 2))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawEllipse(QPointF(x, y), radius, radius)

    def arrow(
        self, start: tuple[float, float], end: tuple[float, float], text: str = "", colour: QColor = QUIET
    ) -> None:
        """Draws a dimension line with arrowheads at both ends and a short text beside its middle."""
        a, b = np.array(start), np.array(end)
        along = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
        side = np.array([-along[1], along[0]])
        self.line(np.array([a, b]), colour, 1.6)
        for tip, way in ((a, along), (b, -along)):
            self.line(np.array([tip + 9 * way + 4 * side, tip, tip + 9 * way - 4 * side]), colour, 1.6)
        if text:
            self.text((a + b) / 2 + 14 * side, text, colour)

    def text(self, at: Points | tuple[float, float], text: str, colour: QColor = INK) -> None:
        font = QFont("DejaVu Sans")
        font.setPixelSize(17)
        self.painter.setFont(font)
        self.painter.setPen(colour)
        self.painter.drawText(QRectF(at[0] - 60, at[1] - 14, 120, 28), Qt.AlignmentFlag.AlignCenter, text)

    def box(self, left: float, top: float, width: float, height: float, colour: QColor, radius: float = 0) -> None:
        path = QPainterPath()
        path.addRoundedRect(QRectF(left, top, width, height), radius, radius)
        self.painter.fillPath(path, colour)

    def done(self) -> QImage:
        self.painter.end()
        return self.image


def even(a: tuple[float, float], b: tuple[float, float], count: int = 200) -> Points:
    return np.linspace(a, b, count)


def wall() -> QImage:
    """Draws anchors, their distance and difference in height, edges, a door and a socket."""
    d = Drawing(620, 400)
    d.box(20, 20, 580, 360, QColor("#eef0ee"))
    left, right, pen = np.array([150.0, 90.0]), np.array([450.0, 78.0]), np.array([300.0, 230.0])
    d.box(490, 190, 80, 190, QColor("#d9dde0"))
    d.box(70, 330, 18, 18, QColor("#d9dde0"))
    for anchor in (left, right):
        d.line(np.array([anchor, pen]), BELT, 2)
        d.dot(*anchor, 7, BELT)
    d.box(pen[0] - 14, pen[1] - 10, 28, 24, INK, 4)
    d.arrow((150, 60), (450, 60), "1")
    d.line(np.array([[150, 90], [470, 90]]), QUIET, 1.2, dashed=True)
    d.arrow((470, 90), (470, 78))
    d.text((490, 84), "2", QUIET)
    d.arrow((20, 120), (150, 120), "3")
    d.arrow((150, 20), (150, 84))
    d.text((168, 48), "3", QUIET)
    d.text((530, 280), "4", INK)
    d.text((102, 338), "4", INK)
    return d.done()


def machine() -> QImage:
    """Draws the body from the front: exits, rollers, centre of mass, pen tip."""
    d = Drawing(620, 400)
    pen, exits, mass = (310.0, 250.0), ((180.0, 170.0), (440.0, 170.0)), (310.0, 300.0)
    d.box(150, 140, 320, 210, QColor("#dfe4e8"), 16)
    for (x, y), top in zip(exits, ((60.0, 20.0), (560.0, 20.0)), strict=True):
        d.line(np.array([[x, y], top]), BELT, 4)
        d.ring(x, y, 16, BELT)
        d.dot(x, y, 3, BELT)
    d.dot(*pen, 7, WRONG)
    d.ring(*mass, 11)
    d.line(np.array([[299, 300], [321, 300]]), INK, 1.5)
    d.line(np.array([[310, 289], [310, 311]]), INK, 1.5)
    d.text((360, 302), "kg")
    d.arrow((310, 200), (440, 200), "x")
    d.line(np.array([[310, 250], [500, 250]]), QUIET, 1.2, dashed=True)
    d.line(np.array([[440, 170], [500, 170]]), QUIET, 1.2, dashed=True)
    d.arrow((490, 250), (490, 170))
    d.text((508, 210), "y", QUIET)
    d.arrow((180, 170), (192, 159))
    d.text((160, 196), "r", QUIET)
    return d.done()


def distortion() -> QImage:
    """Draws a 1 m square as a controller with two straight belts would, by the statics of the default machine."""
    hanging = Hanging("", Anchor(0.0, 0.0), Anchor(2000.0, 0.0), (1000.0, 800.0))
    rig = CableRobotModel.of(Machine(), hanging)
    corners = [(500, 500), (1500, 500), (1500, 1500), (500, 1500), (500, 500)]
    wanted = np.concatenate([even(a, b, 60) for a, b in itertools.pairwise(corners)]).astype(float)
    spacing = rig.exits[1][0] - rig.exits[0][0]
    rise = -(rig.exits[0][1] + rig.exits[1][1]) / 2
    belts = straight_belts(rig.anchors, wanted, spacing, rise)
    got = forward_kinematics(rig, belts, wanted).pen
    d = Drawing(620, 330)
    for offset, points, colour in ((30.0, got, WRONG), (330.0, wanted, INK)):
        place = np.array([offset, 30.0])
        scale = 0.26 * (points - np.array([500.0, 500.0])) + place
        d.line(0.26 * (wanted - np.array([500.0, 500.0])) + place, QUIET, 1.2, dashed=True)
        d.line(scale, colour, 3)
    return d.done()


def _two_lines() -> tuple[Drawing, Points]:
    return Drawing(460, 150), np.linspace(0, 1, 400)


def ripples() -> QImage:
    d, t = _two_lines()
    d.line(np.stack([60 + 0 * t, 130 - 90 * t], axis=1))
    x = 60 + 360 * t
    d.line(np.stack([x, 40 + 9 * np.exp(-4 * t) * np.sin(70 * t)], axis=1))
    return d.done()


def gaps() -> QImage:
    d, _ = _two_lines()
    for y, cuts in ((50, ((30, 130), (150, 240), (300, 430))), (100, ((60, 210), (216, 330), (372, 430)))):
        for a, b in cuts:
            d.line(even((a, y), (b, y), 2), INK, 6)
    return d.done()


def drift() -> QImage:
    d, _ = _two_lines()
    square = np.array([[60, 30], [400, 30], [400, 120], [60, 120], [60, 30]], dtype=float)
    d.line(square)
    for k in range(8):
        shift = 2.6 * k
        d.line(
            np.array([[76 + 40 * k + shift, 42 + shift], [104 + 40 * k + shift, 108 + shift]]), WRONG if k > 4 else INK
        )
    return d.done()


def sag() -> QImage:
    d, t = _two_lines()
    for y in (45, 105):
        d.line(even((30, y), (430, y), 2), QUIET, 1.2, dashed=True)
        d.line(np.stack([30 + 400 * t, y + 22 * 4 * t * (1 - t)], axis=1))
    return d.done()


def blots() -> QImage:
    d, t = _two_lines()
    for y in (45, 105):
        d.line(np.stack([40 + 380 * t, y + 12 * np.sin(6 * t)], axis=1))
        d.dot(40, y, 9)
        d.dot(420, y + 12 * float(np.sin(6)), 8)
    return d.done()


def side() -> QImage:
    d, _ = _two_lines()
    d.line(np.array([[130, 30], [330, 30], [330, 120], [130, 120], [130, 30]], dtype=float), QUIET, 1.2, dashed=True)
    d.line(np.array([[130, 30], [330, 22], [336, 138], [130, 120], [130, 30]], dtype=float))
    d.arrow((360, 22), (360, 138), colour=WRONG)
    d.arrow((105, 30), (105, 120))
    return d.done()


def tilt() -> QImage:
    """Draws the typical machine as it hangs at seven positions on its wall."""
    hanging = Hanging("", Anchor(0.0, 0.0), Anchor(2000.0, 0.0), (1000.0, 800.0))
    rig = CableRobotModel.of(Machine(), hanging)
    pens = np.array([(360, 620), (640, 1330), (1000, 480), (1000, 1120), (1360, 1330), (1640, 620)], dtype=float)
    pose = inverse_kinematics(rig, pens)
    d = Drawing(620, 440)
    scale, offset = 0.25, np.array([60.0, 34.0])
    anchors = [np.array(a) * scale + offset for a in ((0.0, 0.0), (2000.0, 0.0))]
    for pen, angle, exits in zip(pens, pose.tilt, pose.exits, strict=True):
        place, middle = pen * scale + offset, exits.mean(axis=0) * scale + offset
        for anchor, at in zip(anchors, exits, strict=True):
            d.line(np.array([anchor, at * scale + offset]), BELT, 1.4)
        d.painter.save()
        d.painter.translate(*middle)
        d.painter.rotate(float(np.degrees(angle)))
        d.box(-24, -9, 48, 42, BODY, 6)
        d.line(np.array([[-24, 33], [24, 33]]), INK, 2)
        d.painter.restore()
        for at in exits:
            d.dot(*(at * scale + offset), 4, BELT)
        d.dot(*place, 4, WRONG)
    for anchor in anchors:
        d.dot(*anchor, 7, INK)
    return d.done()


def stand_off() -> QImage:
    """Draws wall, anchor, belt and body from the side, with the two distances between belt and wall."""
    d = Drawing(620, 360)
    d.box(60, 20, 60, 320, QColor("#e4e2da"))
    d.line(np.array([[120, 20], [120, 340]]), INK, 2)
    d.line(np.array([[84, 62], [190, 62]]), INK, 7)
    d.dot(176, 62, 8, BELT)
    d.line(np.array([[176, 62], [214, 230]]), BELT, 4)
    d.box(150, 214, 110, 92, BODY, 10)
    d.dot(214, 230, 6, BELT)
    d.line(np.array([[124, 282], [150, 282]]), WRONG, 6)
    d.dot(122, 282, 4, WRONG)
    d.arrow((120, 118), (176, 118))
    d.line(np.array([[176, 62], [176, 126]]), QUIET, 1.2, dashed=True)
    d.text((150, 138), "1", QUIET)
    d.arrow((120, 190), (214, 190))
    d.line(np.array([[214, 230], [214, 182]]), QUIET, 1.2, dashed=True)
    d.text((150, 174), "2", QUIET)
    return d.done()


def scale() -> QImage:
    """Draws a square that should measure 500, and a larger one as drawn, with a tape beside both."""
    d, _ = _two_lines()
    d.line(np.array([[170, 45], [260, 45], [260, 135], [170, 135], [170, 45]], dtype=float), QUIET, 1.4, dashed=True)
    d.line(np.array([[170, 29], [276, 29], [276, 135], [170, 135], [170, 29]], dtype=float))
    d.arrow((146, 45), (146, 135))
    d.arrow((300, 29), (300, 135), colour=WRONG)
    return d.done()


DRAWINGS: dict[str, Callable[[], QImage]] = {
    one.__name__: one
    for one in (wall, machine, tilt, stand_off, distortion, ripples, gaps, drift, sag, blots, side, scale)
}
