"""Wall, anchors and starting point."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QImage, QPainter, QPalette, QPen

from wallwright.document.document import Document
from wallwright.document.language import N_, tr
from wallwright.document.wall import Anchor, Hanging
from wallwright.jobs.label_placing import shortened
from wallwright.window.canvas.view import View
from wallwright.window.widgets.theme import OnWall, on_wall

ANCHOR = on_wall(OnWall.CHOSEN)
QUIET = on_wall(OnWall.QUIET)
"""Of what belongs to another hanging than the current one."""
PAPER = on_wall(OnWall.PAPER)
"""The wall is light in dark mode too: ink is judged against a wall, not against the window."""
START_ARM, TAG_GAP = 11.0, 3.0
"""Pixels from the middle of the starting point's mark to its ends, and from there to its word."""
DISTANCE_ABOVE = 16.0
"""Pixels from the line between the anchors up to the middle of their distance; another hanging's anchor fits between."""
RULER = 22.0
"""Pixels of the rulers' breadth."""


def paint_wall(painter: QPainter, view: View, document: Document, palette: QPalette) -> None:
    wall = document.wall
    box = view.rect_to_screen(wall.left, wall.top, wall.right, wall.floor)
    painter.fillRect(box, PAPER)
    painter.setPen(QPen(on_wall(OnWall.EDGE), 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box)
    painter.setPen(QPen(on_wall(OnWall.EDGE), 3.0))
    painter.drawLine(box.bottomLeft(), box.bottomRight())
    line = QFontMetricsF(painter.font()).height()
    if box.height() > 8 * line:
        x = max(box.left(), RULER) + 6
        painter.setPen(QUIET)
        painter.drawText(QPointF(x, box.top() + line), tr("ceiling"))
        painter.drawText(QPointF(x, box.bottom() - 0.4 * line), tr("floor"))


def paint_anchors(
    painter: QPainter,
    view: View,
    document: Document,
    is_selected: bool,
    current: int = 0,
    taken: Sequence[QRectF] = (),
) -> None:
    """Of all hangings, the others than the current one first and quietly, without their names.

    is_selected: whether the current hanging is; taken: where other words stand, which its own leave free.
    """
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for number, hanging in enumerate(document.hangings):
        if number != current:
            _paint_quietly(painter, view, hanging)
    hanging = document.hangings[current]
    left, right = (view.to_screen(a.x, a.y) for a in (hanging.left, hanging.right))
    painter.setPen(QPen(QColor(ANCHOR.red(), ANCHOR.green(), ANCHOR.blue(), 110), 1.0, Qt.PenStyle.DotLine))
    painter.drawLine(left, right)
    painter.setPen(QPen(QColor("#ffffff"), 1.5))
    painter.setBrush(ANCHOR)
    for point in (left, right):
        painter.drawEllipse(point, 8 if is_selected else 6.5, 8 if is_selected else 6.5)
    text = distance_text(document, hanging)
    tag(painter, (left + right) / 2 - QPointF(0, DISTANCE_ABOVE), text)
    start_point = view.to_screen(*hanging.start_point)
    painter.setPen(QPen(ANCHOR, 2.0))
    painter.setBrush(QColor(255, 255, 255, 200))
    painter.drawEllipse(start_point, 7, 7)
    for arm in (QPointF(START_ARM, 0), QPointF(0, START_ARM)):
        painter.drawLine(start_point - arm, start_point + arm)
    tag(painter, free_place(start_point, tr("start"), painter.font(), taken), tr("start"))
    painter.restore()


def distance_text(document: Document, hanging: Hanging) -> str:
    """How far the anchors are apart, and of which hanging."""
    distance = math.hypot(hanging.right.x - hanging.left.x, hanging.right.y - hanging.left.y)
    return f"{distance:.0f} mm" if len(document.hangings) == 1 else f"{shortened(hanging.name)}: {distance:.0f} mm"


def free_place(point: QPointF, text: str, font: QFont, taken: Sequence[QRectF]) -> QPointF:
    """The middle of a tag beside a mark at a point: below it, or where it lies on nothing that is taken."""
    size = tag_size(text, font)
    beside = START_ARM + TAG_GAP + size.width() / 2
    below = QPointF(0, START_ARM + TAG_GAP + size.height() / 2)
    places = [point + way for way in (below, -below, QPointF(beside, 0), QPointF(-beside, 0))]
    free = (at for at in places if not any(tag_box(at, size).intersects(box) for box in taken))
    return next(free, places[0])


def tag_box(centre: QPointF, size: QSizeF) -> QRectF:
    """Where a tag of a size stands."""
    return QRectF(centre - QPointF(size.width() / 2, size.height() / 2), size)


def _paint_quietly(painter: QPainter, view: View, hanging: Hanging) -> None:
    left, right, start_point = (
        view.to_screen(*p) for p in (_at(hanging.left), _at(hanging.right), hanging.start_point)
    )
    painter.setPen(QPen(QUIET, 1.0, Qt.PenStyle.DotLine))
    painter.drawLine(left, right)
    painter.setPen(QPen(QUIET, 1.5))
    painter.setBrush(QColor("#ffffff"))
    for point in (left, right):
        painter.drawEllipse(point, 5.0, 5.0)
    painter.drawLine(start_point - QPointF(6, 0), start_point + QPointF(6, 0))
    painter.drawLine(start_point - QPointF(0, 6), start_point + QPointF(0, 6))


def _at(anchor: Anchor) -> tuple[float, float]:
    return anchor.x, anchor.y


def tag(painter: QPainter, centre: QPointF, text: str) -> None:
    """A word on light ground."""
    picture = _tag_picture(text, painter.font().toString(), painter.device().devicePixelRatioF())
    size = picture.deviceIndependentSize()
    painter.drawImage(QPointF(round(centre.x() - size.width() / 2), round(centre.y() - size.height() / 2)), picture)


def tag_size(text: str, font: QFont) -> QSizeF:
    """Logical pixels of a tag."""
    return _tag_picture(text, font.toString(), 1.0).deviceIndependentSize()


@functools.lru_cache(maxsize=64)
def _tag_picture(text: str, font: str, ratio: float) -> QImage:
    """Kept: the same few words are in every frame."""
    given = QFont()
    given.fromString(font)
    metrics = QFontMetricsF(given)
    box = QRectF(0, 0, math.ceil(metrics.horizontalAdvance(text)) + 8, math.ceil(metrics.height()))
    image = QImage(
        math.ceil(box.width() * ratio),
        math.ceil(box.height() * ratio),
        QImage.Format.Format_ARGB32_Premultiplied,
    )
    image.setDevicePixelRatio(ratio)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setFont(given)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(255, 255, 255, 205))
    painter.drawRoundedRect(box, 3, 3)
    painter.setPen(on_wall(OnWall.TEXT))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
    painter.end()
    return image


INVITATION = N_("Drop an SVG file or a picture on the wall,\nor choose “Add › Artwork”.")


def invitation_box(painter: QPainter, frame: QRectF) -> QRectF:
    """Where an empty wall says how artwork comes there."""
    middle = Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignVCenter
    return painter.boundingRect(frame, middle, tr(INVITATION)).adjusted(-16, -10, 16, 10)


def paint_invitation(painter: QPainter, frame: QRectF) -> None:
    """Says on an empty wall how artwork comes there."""
    box = invitation_box(painter, frame)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(255, 255, 255, 220))
    painter.drawRoundedRect(box, 6, 6)
    painter.setPen(on_wall(OnWall.TEXT))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, tr(INVITATION))
