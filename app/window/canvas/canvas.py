"""The canvas: the wall to scale, seen and edited directly."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QDragEnterEvent,
    QDropEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPalette,
    QPen,
    QPolygonF,
    QTransform,
    QWheelEvent,
)  # fmt: skip
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.document import edits
from app.document.language import tr
from app.document.placing import placement_corners
from app.strokes.strokes import Strokes
from app.window.canvas import wall_layer
from app.window.canvas.drag import Drag, begin_drag, cursor_at
from app.window.canvas.handles import handles_of
from app.window.canvas.ink_move import ink_move
from app.window.canvas.machine_layer import HangingMachine
from app.window.canvas.view import View
from app.window.canvas.zone_layer import ZoneLayer
from app.window.ink import InkLayer
from app.window.session import Session

OUTSIDE = QColor(200, 84, 27, 150)
TURN_HANDLE = 26.0
"""Pixels of the turn handle above the top side."""
CLICK = 6.0
"""Pixels within which a press and its release are a click, and a stroke is under the pointer."""
COARSE, FINE = 1500, 9000
"""Grid points of the zone while an anchor is dragged, and after."""


class Canvas(QWidget):
    """Shows the session's document; edits go to the session."""

    hovered = Signal(str)
    """Words for the status bar about the point under the pointer."""
    clicked = Signal(float, float, float, bool)
    """A click that dragged nothing: x, y and how far it reaches, mm; whether Alt was held."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.view = View()
        self.layer_name = "lowest tension"
        self.show_zone = True
        self.machine_at: tuple[float, float] | None = None
        self._follow_pointer = True
        self._shows_plan = False
        self._fitted = False
        self._zone: ZoneLayer | None = None
        self._zone_of: tuple | None = None
        self._zone_points = 0
        self._drag: Drag | None = None
        self._panning: QPointF | None = None
        self._pressed = QPointF()
        self._space = False
        self.ink = InkLayer(self)
        self.ink.updated.connect(lambda _: self.update())
        self._finer = QTimer(self, singleShot=True, interval=120)
        self._finer.timeout.connect(self._refine_zone)
        self.setMouseTracking(True)
        self.setAcceptDrops(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Wall"))
        self.setWhatsThis(
            tr("The wall to scale. Drag artwork, its handles, the anchors or the starting place. The wheel zooms, the "
               "middle button or the space bar pans. A click with Alt on a stroke shows when it is drawn.")
        )  # fmt: skip
        session.document_changed.connect(self._document_changed)
        session.selection_changed.connect(self.update)
        session.preview_changed.connect(self._preview_changed)

    def sizeHint(self) -> QSize:
        return QSize(800, 600)

    def close_ink(self) -> None:
        """Ends the ink's worker threads."""
        self.ink.close()

    # What is shown.

    def fit(self) -> None:
        wall = self.session.document.wall
        self.look_at((wall.left, wall.top, wall.right, wall.floor))

    def look_at(self, box: tuple[float, float, float, float]) -> None:
        """Brings a box of the wall, mm, into view."""
        if box[2] - box[0] < 100 or box[3] - box[1] < 100:
            box = (box[0] - 150, box[1] - 150, box[2] + 150, box[3] + 150)
        self.view = View.fitting(box, self.width(), self.height())
        self.update()

    def bring_into_view(self, x: float, y: float) -> None:
        """Moves the view, no further than needed, until a point of the wall is in it with some room around."""
        at, room = self.view.to_screen(x, y), 60
        dx = min(max(at.x(), room), self.width() - room) - at.x()
        dy = min(max(at.y(), room), self.height() - room) - at.y()
        if dx or dy:
            self.view = self.view.moved(dx, dy)
            self.update()

    def zoom(self, factor: float) -> None:
        self.view = self.view.zoomed(factor, QPointF(self.width() / 2, self.height() / 2))
        self.update()

    def actual_size(self) -> None:
        """One mm on the wall is one mm on this screen."""
        wanted = self.logicalDpiX() / 25.4
        screen = self.screen()
        if screen is not None and screen.physicalDotsPerInch() > 20:
            wanted = screen.physicalDotsPerInch() / 25.4 / self.devicePixelRatioF()
        self.zoom(wanted / self.view.scale)

    def set_layer(self, name: str) -> None:
        self.layer_name, self._zone = name, None
        self.update()

    def set_zone_shown(self, shown: bool) -> None:
        self.show_zone = shown
        self.update()

    def show_machine(self, at: tuple[float, float] | None) -> None:
        """The machine at a given place instead of the pointer; None: back to the pointer."""
        self._follow_pointer = at is None
        self.machine_at = at
        self.update()

    def show_planned(self, until: tuple[int, float] | None) -> None:
        """The strokes of the plan in drawing order, up to one of them; None: all of the preview again."""
        plan = self.session.plan
        if until is None or plan is None:
            if self._shows_plan:
                self._shows_plan = False
                self._preview_changed()
            return
        if not self._shows_plan:
            self._shows_plan = True
            self._set_ink(plan.strokes)
        self.ink.reveal(*until)
        self.update()

    def _document_changed(self) -> None:
        self._move_ink()
        self.update()

    def _set_ink(self, strokes: Strokes, groups: np.ndarray | None = None) -> None:
        pens = self.session.preview_document.pens
        self.ink.set_strokes(strokes, [QColor(p.colour) for p in pens], [p.width for p in pens], groups)

    def _preview_changed(self) -> None:
        self._shows_plan = False
        preview = self.session.preview
        if preview is None:
            self.ink.set_strokes(Strokes.empty(), [], [])
            self.update()
            return
        owner, strokes = preview.placement_of_source, preview.strokes
        self._set_ink(strokes, owner[strokes.source] if len(strokes) else None)
        outside = preview.outside != 0
        self.ink.set_mark("outside", outside if outside.any() else None, OUTSIDE)
        self._move_ink()
        self.update()

    def _move_ink(self) -> None:
        """Shows ink of an older preview where its artwork now is."""
        shown, now = self.session.preview_document, self.session.document
        if shown is None:
            return
        present = {p.id: p for p in now.placements}
        for group, old in enumerate(shown.placements):
            new = present.get(old.id)
            self.ink.set_group_visible(group, new is not None and new.visible)
            if new is not None:
                self.ink.move_group(group, ink_move(old, new))

    # The zone.

    def _zone_now(self) -> ZoneLayer | None:
        document = self.session.document
        wanted = (document.wall, document.machine, document.hangings[0])
        if self._zone is None or self._zone_of != wanted:
            self._make_zone(COARSE if self._drag is not None else FINE)
        return self._zone

    def _make_zone(self, points: int) -> None:
        from app.statics.zone import zone_of

        document = self.session.document
        zone = zone_of(document.wall, document.machine, document.hangings[0], points=points)
        self._zone = ZoneLayer(document, zone, self.layer_name, exact_edge=points >= FINE)
        self._zone_of = (document.wall, document.machine, document.hangings[0])
        self._zone_points = points

    def _refine_zone(self) -> None:
        if self._zone_points < FINE and self._drag is None:
            self._make_zone(FINE)
            self.update()

    # Painting.

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._fitted and self.width() > 50:
            self._fitted = True
            self.fit()
        painter = QPainter(self)
        document, palette = self.session.document, self.palette()
        painter.fillRect(self.rect(), palette.color(QPalette.ColorRole.Dark))
        wall_layer.paint_wall(painter, self.view, document, palette)
        if self.show_zone:
            self._zone_now().paint(painter, self.view, palette)
        wall_layer.paint_keep_outs(painter, self.view, document)
        rect = QRectF(
            self.view.left, self.view.top, self.width() / self.view.scale, self.height() / self.view.scale
        )
        target = QRect(0, 0, self.width(), self.height())
        self.ink.paint(painter, rect, self.view.scale, target, self.devicePixelRatioF())
        self._paint_placements(painter)
        wall_layer.paint_anchors(painter, self.view, document, self.session.selection)
        machine = None
        if self.machine_at is not None:
            machine = HangingMachine(document, document.hangings[0], self.machine_at)
            machine.paint(painter, self.view)
        wall_layer.paint_rulers(painter, self.view, self.width(), self.height(), palette)
        inner = QRectF(self.rect()).adjusted(wall_layer.RULER + 8, wall_layer.RULER + 8, -8, -8)
        if self.show_zone:
            self._zone.paint_legend(painter, inner.bottomRight(), palette)
        if machine is not None:
            machine.paint_numbers(painter, inner, palette)
        if not document.placements:
            self._paint_invitation(painter, inner)
        painter.end()

    def _paint_invitation(self, painter: QPainter, frame: QRectF) -> None:
        text = tr("Drop an SVG file on the wall,\nor choose Add artwork.")
        size = painter.boundingRect(
            frame, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignVCenter, text
        )
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(255, 255, 255, 220))
        painter.drawRoundedRect(size.adjusted(-16, -10, 16, 10), 6, 6)
        painter.setPen(QColor("#33312d"))
        painter.drawText(size, Qt.AlignmentFlag.AlignCenter, text)

    def _paint_placements(self, painter: QPainter) -> None:
        document = self.session.document
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for placement in document.placements:
            if not placement.visible:
                continue
            corners = QPolygonF([self.view.to_screen(*c) for c in placement_corners(placement).tolist()])
            chosen = placement.id == self.session.placement_id
            pen = QPen(QColor("#1f6fb4") if chosen else QColor(90, 90, 90, 150), 1.5 if chosen else 1.0)
            if not chosen:
                pen.setStyle(Qt.PenStyle.DashLine)
            painter.setPen(pen)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawPolygon(corners)
            if chosen and not placement.locked:
                self._paint_handles(painter, placement)
        painter.restore()

    def _paint_handles(self, painter: QPainter, placement) -> None:
        painter.setPen(QPen(QColor("#1f6fb4"), 1.5))
        painter.setBrush(QColor("#ffffff"))
        for name, at in self.handle_points(placement).items():
            if name == "turn":
                top = self.view.to_screen(*next((h.x, h.y) for h in handles_of(placement) if h.name == "top"))
                painter.drawLine(top, at)
                painter.drawEllipse(at, 5.5, 5.5)
            else:
                painter.drawRect(QRectF(at.x() - 4.5, at.y() - 4.5, 9, 9))

    def handle_points(self, placement) -> dict[str, QPointF]:
        """Where the handles of a placement are on the widget."""
        points = {h.name: self.view.to_screen(h.x, h.y) for h in handles_of(placement)}
        up = QTransform().rotateRadians(placement.turn).map(QPointF(0, -TURN_HANDLE))
        points["turn"] = points["turn"] + up
        return points

    # Mouse.

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.MiddleButton or (
            event.button() == Qt.MouseButton.LeftButton and self._space
        ):
            self._panning = event.position()
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
        elif event.button() == Qt.MouseButton.LeftButton:
            self._pressed = event.position()
            self._drag = begin_drag(self, event.position())
            self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._panning is not None:
            move = event.position() - self._panning
            self._panning = event.position()
            self.view = self.view.moved(move.x(), move.y())
            self.update()
            return
        if self._drag is not None:
            free = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            self._drag.move(self.view.to_wall(event.position()), free)
        else:
            self.setCursor(
                Qt.CursorShape.OpenHandCursor if self._space else cursor_at(self, event.position())
            )
        self._hover(event.position())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        still = (event.position() - self._pressed).manhattanLength() < CLICK
        if event.button() == Qt.MouseButton.LeftButton and still and self._panning is None:
            alt = bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
            self.clicked.emit(*self.view.to_wall(event.position()), CLICK / self.view.scale, alt)
        if self._panning is not None:
            self._panning = None
            self.unsetCursor()
        elif self._drag is not None:
            self._drag = None
            self.session.history.close_step()
            self._finer.start()

    def _hover(self, at: QPointF) -> None:
        if self._follow_pointer:
            self.machine_at = self.view.to_wall(at)
            self.update()
        x, y = self.view.to_wall(at)
        self.hovered.emit(tr("{0:.0f} mm right, {1:.0f} mm down", x, y))

    def leaveEvent(self, event) -> None:
        if self._follow_pointer:
            self.machine_at = None
            self.update()
        self.hovered.emit("")

    def wheelEvent(self, event: QWheelEvent) -> None:
        pixels = event.pixelDelta()
        if not pixels.isNull() and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.view = self.view.moved(pixels.x(), pixels.y())
        else:
            self.view = self.view.zoomed(1.2 ** (event.angleDelta().y() / 120), event.position())
        self.update()

    # Keys.

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = True
            self.setCursor(Qt.CursorShape.OpenHandCursor)
            return
        steps = {
            Qt.Key.Key_Left: (-1, 0),
            Qt.Key.Key_Right: (1, 0),
            Qt.Key.Key_Up: (0, -1),
            Qt.Key.Key_Down: (0, 1),
        }
        if event.key() in steps and self.session.placement_id:
            size = 10.0 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1.0
            dx, dy = steps[event.key()]
            placement = self.session.document.placement(self.session.placement_id)
            moved = edits.set_placement(
                self.session.document, placement.id, x=placement.x + size * dx, y=placement.y + size * dy
            )
            self.session.edit(tr("Nudge"), moved, merge=f"nudge {placement.id}")
            return
        super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = False
            self.unsetCursor()
        super().keyReleaseEvent(event)

    # Dropping files.

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
        self.session.add_files(paths, self.view.to_wall(event.position()))
        event.acceptProposedAction()
