"""The ink of a canvas: strokes in their pens' colours and true widths, at any zoom, without blocking."""

from __future__ import annotations

import weakref
from collections.abc import Sequence
from time import monotonic

import msgspec
import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QObject, QPointF, QRect, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QImage, QPainter, QTransform

from wallwright.strokes.strokes import Strokes
from wallwright.window.ink.frame import ViewFrame
from wallwright.window.ink.groups import StrokeGroup, same, split
from wallwright.window.ink.paint_workers import PaintWorkers
from wallwright.window.ink.reveal import Reveal
from wallwright.window.ink.sheet import InkSheet, PictureKey, TileRequest
from wallwright.window.ink.stroke_geometry import StrokeGeometry
from wallwright.window.ink.tile import ALL, InkStyle
from wallwright.window.ink.tile_cache import TileCache

_SETTLE_MS = 120
"""Time after which a scale counts as settled and gets its own tiles, ms."""
_GATHER_MS = 8
"""Longest time for which finished tiles are collected before they are shown, ms: half a frame."""
_TILE_BYTES = 192 * 2**20
"""Memory for finished tiles, bytes: a dozen full screens."""
_SMOOTH_PIXELS = 1_600_000
"""View size, pixels, above which scaled tiles are not smoothed during zooming, which saves a third of the frame."""


_OPAQUE = (0, 0, 0, 255)


class _Bell(QObject):
    """Signals a finished picture to the GUI thread."""

    rung = Signal()

    def ring(self) -> None:
        self.rung.emit()


class _Shown:
    """A group's sheet, the previous one until the new one is ready, and the marks below it."""

    def __init__(self, group: StrokeGroup, sheet: InkSheet) -> None:
        self.group = group
        self.sheet = sheet
        self.before: InkSheet | None = None
        self.marks: dict[str, InkSheet] = {}

    @property
    def sheets(self) -> list[InkSheet]:
        return [*self.marks.values(), *([self.before] if self.before else []), self.sheet]

    def close(self) -> None:
        for sheet in self.sheets:
            sheet.close()


class InkLayer(QObject):
    """Strokes on the wall, rendered by workers and copied by `paint`. For use in the GUI thread.

    Call close() to end the worker threads.
    """

    updated = Signal(QRectF)
    """A part of the wall, mm, needs to be painted again."""

    def __init__(self, parent: QObject | None = None, threads: int | None = None) -> None:
        """threads: number of worker threads; by default one less than the number of processors."""
        super().__init__(parent)
        self._strokes = Strokes.empty()
        self._style = InkStyle((), ())
        self._shown: dict[int, _Shown] = {}
        self._store = TileCache(_TILE_BYTES)
        self._reveal: Reveal | None = None
        self._scale = 0.0
        self._settled = True
        self._scale_changed = -1e9
        self._view = QRectF()
        self._complete = True
        self._changed = QRectF()
        self._settle = QTimer(self, singleShot=True, interval=_SETTLE_MS, timerType=Qt.TimerType.PreciseTimer)
        self._settle.timeout.connect(self._rest)
        self._gather = QTimer(self, singleShot=True, interval=_GATHER_MS, timerType=Qt.TimerType.PreciseTimer)
        self._gather.timeout.connect(self._emit_changed)
        bell = _Bell()  # not a child of this object: it must live until the workers have ended
        bell.rung.connect(self._gather_soon, Qt.ConnectionType.QueuedConnection)
        self._workshop: PaintWorkers[PictureKey] = PaintWorkers(bell.ring, threads)
        self._end = weakref.finalize(self, self._workshop.close)

    def close(self) -> None:
        """Ends the workers. The layer can still be painted afterwards, from finished tiles only."""
        self._settle.stop()
        self._gather.stop()
        self._end()

    def set_strokes(
        self,
        strokes: Strokes,
        colours: Sequence[QColor],
        widths_mm: Sequence[float],
        groups: npt.NDArray[np.integer] | None = None,
        least_px: Sequence[float] = (),
        inks: Sequence[int] = (),
    ) -> None:
        """Replaces the strokes; the earlier ones stay on screen until the new ones are rendered.

        colours, widths_mm: by pen (Strokes.pen). groups: (k,) int, the group of each stroke, None: all in group 0. least_px,
        inks: by pen, see InkStyle; empty: lines are as wide as their ink, and all inks differ.
        Unchanged groups are not rendered again; moves and marks are reset. Raises ValueError for a pen without colour or
        width.
        """
        widths = tuple(float(w) for w in widths_mm)
        style = InkStyle(tuple(map(_channels, colours)), widths, least_px=tuple(least_px), inks=tuple(inks))
        if len(strokes) and int(strokes.pen.max()) >= min(len(style.colours), len(style.widths)):
            raise ValueError("a colour and a width for every pen of the strokes are needed")
        old, self._shown = self._shown, {}
        for group in split(strokes, groups):
            self._shown[group.id] = self._show(group, style, old.pop(group.id, None))
        for shown in old.values():
            shown.close()
        self._strokes, self._style, self._reveal = strokes, style, None
        self._request_repaint()

    def move_group(self, group: int, transform: QTransform) -> None:
        """Transforms a group on the wall immediately, until the next set_strokes."""
        if (shown := self._shown.get(group)) is not None:
            for sheet in (shown.sheet, *shown.marks.values()):
                sheet.moved = _without_noise(transform)
            self._request_repaint()

    def set_group_visible(self, group: int, visible: bool) -> None:
        """Hides or shows a group until the next set_strokes."""
        if (shown := self._shown.get(group)) is not None:
            for sheet in shown.sheets:
                sheet.visible = visible
            self._request_repaint()

    def set_mark(
        self,
        name: str,
        strokes: Strokes,
        groups: npt.NDArray[np.integer] | None,
        looks: Sequence[QColor | QImage],
        width_px: float = 7.0,
    ) -> None:
        """Puts a band of `width_px` device pixels under strokes, replacing the mark of that name; no strokes: removes it.

        strokes.pen: index into looks, which are colours or textures; groups: (k,) int, the group each moves with, None: all
        with group 0. A translucent colour gives an even band. Raises ValueError for a mix of colours and textures.
        """
        for shown in self._shown.values():
            if (old := shown.marks.pop(name, None)) is not None:
                old.close()
        textures = tuple(look for look in looks if isinstance(look, QImage))
        colours = tuple(_channels(look) for look in looks if isinstance(look, QColor))
        if textures and colours:
            raise ValueError("either textures or colours")
        style = InkStyle(colours or (_OPAQUE,) * len(textures), (float(width_px),) * len(looks), True, textures)
        for part in split(strokes, groups):
            if (marked := self._shown.get(part.id)) is not None:
                sheet = InkSheet(StrokeGeometry(part.strokes), style, self._store)
                sheet.moved, sheet.visible = marked.sheet.moved, marked.sheet.visible
                marked.marks[name] = sheet
        self._request_repaint()

    def mark_at(self, name: str, x: float, y: float, reach: float) -> tuple[float, float, int] | None:
        """Returns the nearest point of a mark to (x, y), as the groups are shown, and the index of its look; None if none is
        within reach, mm, or it is not known yet."""
        best, found = reach, None
        for shown in self._shown.values():
            sheet = shown.marks.get(name)
            if sheet is not None and sheet.visible and (near := sheet.nearest(x, y, best)) is not None:
                best, found = near[3], near[:3]
        return found

    def reveal(self, stroke: int, fraction: float) -> None:
        """Shows only the strokes before `stroke`, in drawing order, and a fraction (0 to 1) of its length."""
        self._reveal = Reveal.at(self._strokes, stroke, fraction)
        self._request_repaint()

    @property
    def is_complete(self) -> bool:
        """Whether the last paint was final, with no work pending."""
        return self._complete and self._settled and self._workshop.idle

    @property
    def shows_all(self) -> bool:
        """Whether the last paint had a picture of every visible part."""
        return self._complete

    def paint(
        self,
        painter: QPainter,
        view_rect_wall: QRectF,
        scale_px_per_mm: float,
        target_rect: QRect,
        device_pixel_ratio: float = 1.0,
    ) -> None:
        """Paints the part view_rect_wall (mm) of the wall with its top left corner at that of target_rect.

        painter: in logical pixels, neither scaled nor rotated; scale_px_per_mm: logical pixels. Ink is aligned to whole
        device pixels, up to half a pixel from its exact position.
        """
        self._receive()
        scale = scale_px_per_mm * device_pixel_ratio
        self._watch_scale(scale)
        self._view = QRectF(view_rect_wall)
        self._store.frame += 1
        corner = QPointF(target_rect.topLeft()) * device_pixel_ratio
        origin = QPointF(
            round(corner.x() - view_rect_wall.left() * scale),
            round(corner.y() - view_rect_wall.top() * scale),
        )
        until = ALL if self._reveal is None else self._reveal.last
        frame = ViewFrame(QRectF(view_rect_wall), scale, origin, self._settled, until)
        painter.save()
        painter.setClipRect(target_rect, Qt.ClipOperation.IntersectClip)
        painter.scale(1.0 / device_pixel_ratio, 1.0 / device_pixel_ratio)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        size = target_rect.size() * device_pixel_ratio
        smooth = self._settled or size.width() * size.height() <= _SMOOTH_PIXELS
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, smooth)
        wishes: list[TileRequest] = []
        self._paint_sheets(painter, frame, wishes)
        painter.restore()
        self._complete = not any(wish.rank <= wish.rank.SEEN for wish in wishes)
        wishes.sort(key=lambda wish: wish[:2])
        self._workshop.want([(wish.key, wish.order) for wish in wishes])

    def _paint_sheets(self, painter: QPainter, frame: ViewFrame, wishes: list[TileRequest]) -> None:
        late, whole = frame.until, msgspec.structs.replace(frame, until=ALL)
        for shown in self._shown.values():
            for mark in shown.marks.values():
                # Also for strokes not yet revealed: a mark shows where something is.
                mark.wish(whole, wishes)
                mark.paint(painter, whole)
            if self._reveal is None:
                self._paint_group(painter, frame, shown, wishes)
            else:
                own = msgspec.structs.replace(frame, until=shown.group.own_moment(frame.until))
                self._paint_group(painter, own, shown, wishes)
                if shown.sheet.late < own.until:
                    late = min(late, shown.group.whole_moment(shown.sheet.late))
        if self._reveal is not None:
            self._reveal.paint_newest(painter, frame, self._strokes, self._style, late)

    def _paint_group(self, painter: QPainter, frame: ViewFrame, shown: _Shown, wishes: list[TileRequest]) -> None:
        """Paints the sheet, or the previous one while tiles are missing."""
        complete = shown.sheet.wish(frame, wishes)
        if shown.before is not None and (complete or self._reveal is not None):
            shown.before.close()
            shown.before = None
        (shown.before or shown.sheet).paint(painter, frame)

    def _show(self, group: StrokeGroup, style: InkStyle, old: _Shown | None) -> _Shown:
        """Returns the group's new sheet, reusing the old one's pictures where they are still valid."""
        if old is None:
            return _Shown(group, InkSheet(StrokeGeometry(group.strokes), style, self._store))
        for mark in old.marks.values():
            mark.close()
        alike = same(old.group.strokes, group.strokes)
        if alike and style == old.sheet.style:
            shown = _Shown(group, old.sheet)
            shown.before = old.before
            old.sheet.moved, old.sheet.visible = QTransform(), True
            return shown
        geometry = old.sheet.geometry if alike else StrokeGeometry(group.strokes)
        shown = _Shown(group, InkSheet(geometry, style, self._store))
        shown.before = old.before or old.sheet
        if shown.before is not old.sheet:
            old.sheet.close()
        return shown

    def _watch_scale(self, scale: float) -> None:
        """Distinguishes a single change of scale, rendered exactly at once, from zooming, which uses step scales."""
        if scale == self._scale:
            return
        now = monotonic()
        self._settled = now - self._scale_changed > _SETTLE_MS / 1000
        self._scale, self._scale_changed = scale, now
        self._settle.start()

    def _rest(self) -> None:
        if not self._settled:
            self._settled = True
            self._request_repaint()

    def _request_repaint(self) -> None:
        """Requests a repaint after a change."""
        self._complete = False
        self.updated.emit(self._view)

    def _receive(self) -> None:
        for key, picture in self._workshop.fetch():
            for shown in self._shown.values():
                for sheet in shown.sheets:
                    if sheet.owns(key):
                        self._changed = self._changed.united(sheet.receive(key, picture))

    def _gather_soon(self) -> None:
        if not self._gather.isActive() and self._end.alive:
            self._gather.start()

    def _emit_changed(self) -> None:
        self._receive()
        changed, self._changed = self._changed, QRectF()
        if changed.intersects(self._view):
            self.updated.emit(changed)


def _channels(colour: QColor) -> tuple[int, int, int, int]:
    """Returns red, green, blue, alpha, 0 to 255."""
    return colour.red(), colour.green(), colour.blue(), colour.alpha()


def _without_noise(transform: QTransform) -> QTransform:
    """Returns a pure translation if the transform is one up to rounding, so that existing tiles can be used unscaled."""
    t = transform
    noise = max(abs(t.m11() - 1), abs(t.m12()), abs(t.m21()), abs(t.m22() - 1))
    return QTransform.fromTranslate(t.dx(), t.dy()) if noise < 1e-9 else QTransform(t)
