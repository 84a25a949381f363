"""The canvas as it is painted: what stays from frame to frame, and what follows the pointer over it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRect, QRectF
from PySide6.QtGui import QPainter, QPalette

from wallwright.document.document import Document
from wallwright.window.canvas import wall_layer
from wallwright.window.canvas.artwork_layer import frame_shown, paint_artworks
from wallwright.window.canvas.drag_overlay import paint_drag, paint_readout
from wallwright.window.canvas.guide_lines import paint_guide_lines
from wallwright.window.canvas.hangings_layer import (
    OtherZonesLayer,
    hangings_told,
    paint_handover_lines,
    paint_register_marks,
)
from wallwright.window.canvas.keep_out_layer import paint_keep_outs
from wallwright.window.canvas.legend import Legend
from wallwright.window.canvas.limit_styles import paint_letters
from wallwright.window.canvas.photo_layer import PhotoLayer
from wallwright.window.canvas.pixmap_cache import FrameCache, PixmapCache
from wallwright.window.canvas.rulers import Rulers
from wallwright.window.canvas.view import View

if TYPE_CHECKING:
    from wallwright.window.canvas.canvas import Canvas


class CanvasPainter:
    """Paints one canvas, and keeps pictures of what stays."""

    def __init__(self, canvas: Canvas) -> None:
        self._canvas = canvas
        self._others = OtherZonesLayer()
        self._photo = PhotoLayer(canvas.session.trouble.emit)
        self._ground, self._rulers, self._legend = PixmapCache(), Rulers(), Legend()
        self._scene = FrameCache()
        """All that does not follow the pointer: the machine follows it over a copy."""

    def forget(self) -> None:
        """Everything may look different."""
        self._scene.forget()

    def paint(self, painter: QPainter) -> None:
        canvas, document, palette = self._canvas, self._canvas.session.document, self._canvas.palette()
        self._scene.paint(painter, canvas.size(), (canvas.view, palette.cacheKey(), document),
                          lambda painter: self._paint_still(painter, palette))  # fmt: skip
        bare = canvas.tool is not None and canvas.tool.bare
        frame = QRectF(canvas.rect()).adjusted(wall_layer.RULER, wall_layer.RULER, 0, 0)
        inner = frame.adjusted(8, 8, -8, -8)
        machine = canvas.machine_shown() if not bare else None
        if machine is not None:
            painter.setClipRect(frame)
            machine.paint(painter, canvas.view)
            painter.setClipping(False)
        if not bare:
            zone = canvas.zone.layer if canvas.show_zone else None
            clipped = document.settings.outside == "clip"
            told = hangings_told(canvas.session)
            self._legend.paint(
                painter, inner.bottomRight(), palette, zone, canvas.shown.limits, clipped, told
            )
        if machine is not None:
            machine.paint_numbers(painter, inner, palette)
        if not document.placements and not bare:
            wall_layer.paint_invitation(painter, inner)
        busy = canvas.tool or canvas.pointer.drag
        if busy is not None:
            paint_drag(painter, canvas.view, busy, canvas.pointer.at, palette)
        elif machine is not None and canvas.on_mark is not None:
            zone = canvas.zone.layer if canvas.on_mark == canvas.session.hanging else None
            paint_readout(painter, machine.told(zone), canvas.pointer.at, palette)
        if canvas.tool is not None:
            canvas.tool.paint(painter)
            wall_layer.tag(painter, QPointF(canvas.width() / 2, wall_layer.RULER + 18), canvas.tool.words)
        canvas.pointed.paint(painter, canvas.view)

    def _paint_still(self, painter: QPainter, palette: QPalette) -> None:
        canvas = self._canvas
        document, selection = canvas.session.document, canvas.session.selection
        bare = canvas.tool is not None and canvas.tool.bare
        zone = None
        if canvas.show_zone and not bare:
            zone = canvas.zone.of(document, canvas.pointer.drag is not None, canvas.session.hanging)

        def ground(painter: QPainter, view: View, area: QRectF) -> None:
            painter.fillRect(area, palette.color(QPalette.ColorRole.Dark))
            wall_layer.paint_wall(painter, view, document, palette)
            self._photo.paint(painter, view, document, alone=bare)
            if zone is not None:
                zone.paint(painter, view)
            if not bare:
                paint_keep_outs(painter, view, document, selection)

        of = (document.wall, document.photo, zone, bare, selection.startswith("keepout") and selection,
              palette.cacheKey(), painter.font().toString())  # fmt: skip
        self._ground.paint(painter, canvas.view, QRectF(canvas.rect()), of, ground)
        if not bare:
            self._paint_work(painter, document)
        self._rulers.paint(painter, canvas.view, canvas.width(), canvas.height(), palette, canvas.inches)

    def _paint_work(self, painter: QPainter, document: Document) -> None:
        """The strokes, and what is taken hold of to move them."""
        canvas = self._canvas
        if canvas.show_zone and len(document.hangings) > 1:
            self._others.paint(painter, canvas.view, canvas.session, stay=canvas.pointer.drag is not None)
        rect = QRectF(
            canvas.view.left,
            canvas.view.top,
            canvas.width() / canvas.view.scale,
            canvas.height() / canvas.view.scale,
        )
        target = QRect(0, 0, canvas.width(), canvas.height())
        canvas.ink.paint(painter, rect, canvas.view.scale, target, canvas.devicePixelRatioF())
        paint_letters(painter, canvas.view, canvas.shown.letters(), QRectF(canvas.rect()))
        paint_guide_lines(painter, canvas.view, document, canvas.session.selection)
        paint_artworks(painter, canvas.view, canvas.session, frame_shown(canvas.session))
        paint_handover_lines(painter, canvas.view, canvas.session)
        paint_register_marks(painter, canvas.view, canvas.session)
        wall_layer.paint_anchors(
            painter, canvas.view, document, canvas.session.selection, canvas.session.hanging
        )
