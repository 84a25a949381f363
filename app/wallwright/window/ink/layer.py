"""The ink of a canvas: strokes shown in their pens' colours and true widths, at any zoom, without waiting."""

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
"""A scale that rests this long gets tiles of its own."""
_GATHER_MS = 8
"""Finished tiles are shown together, half a frame at most after the first."""
_TILE_BYTES = 192 * 2**20
"""Memory for finished tiles: a dozen full screens."""
_SMOOTH_PIXELS = 1_600_000
"""Larger views show stretched tiles unsmoothed while being zoomed, which saves a third of the frame."""


_OPAQUE = (0, 0, 0, 255)


class _Bell(QObject):
    """Carries the news of a finished picture to the window's thread."""

    rung = Signal()

    def ring(self) -> None:
        self.rung.emit()


class _Shown:
    """A group's sheet, the one before it while the new one is not ready, and marks below it."""

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
    """Strokes on the wall, painted by workers, copied by `paint`. Belongs to the window's thread.

    Call close() when done with it: it ends the worker threads.
    """

    updated = Signal(QRectF)
    """A part of the wall, mm, would look different if painted again."""

    def __init__(self, parent: QObject | None = None, threads: int | None = None) -> None:
        """threads: that paint; by default one fewer than there are processors."""
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
        self._gather.timeout.connect(self._tell)
        bell = _Bell()  # not of this object: it has to live until the workers have ended
        bell.rung.connect(self._gather_soon, Qt.ConnectionType.QueuedConnection)
        self._workshop: PaintWorkers[PictureKey] = PaintWorkers(bell.ring, threads)
        self._end = weakref.finalize(self, self._workshop.close)

    def close(self) -> None:
        """Ends the workers. The layer may be painted afterwards, but shows only what was ready."""
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
        """Shows strokes in place of the earlier ones, which stay on screen until the new ones are painted.

        colours, widths_mm: by pen (Strokes.pen). groups: (k,) int, the group of each stroke, None: all in group 0. least_px,
        inks: by pen, see InkStyle; none: lines are as wide as their ink, and all inks differ.
        Groups that are equal to before are not painted again; moves and marks are forgotten. Raises ValueError for a pen
        without colour or width.
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
        self._ask()

    def move_group(self, group: int, transform: QTransform) -> None:
        """Shows a group moved, turned or scaled from wall to wall, at once; until the next set_strokes."""
        if (shown := self._shown.get(group)) is not None:
            for sheet in (shown.sheet, *shown.marks.values()):
                sheet.moved = _without_noise(transform)
            self._ask()

    def set_group_visible(self, group: int, visible: bool) -> None:
        """Hides or shows a group; until the next set_strokes."""
        if (shown := self._shown.get(group)) is not None:
            for sheet in shown.sheets:
                sheet.visible = visible
            self._ask()

    def set_mark(
        self,
        name: str,
        strokes: Strokes,
        groups: npt.NDArray[np.integer] | None,
        looks: Sequence[QColor | QImage],
        width_px: float = 7.0,
    ) -> None:
        """Puts a band of `width_px` device pixels under strokes, in place of the mark of that name; none: removes it.

        strokes.pen: which of the looks, a colour or a texture, each has; groups: (k,) int, the group each moves with,
        None: all with group 0. A translucent colour shows as one even band. Raises ValueError for colours and
        textures at once.
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
        self._ask()

    def mark_at(self, name: str, x: float, y: float, reach: float) -> tuple[float, float, int] | None:
        """The point of a mark that is nearest to a point, as the groups are shown, and the look it has there; None when
        none is within reach, mm, or when it is not known yet."""
        best, found = reach, None
        for shown in self._shown.values():
            sheet = shown.marks.get(name)
            if sheet is not None and sheet.visible and (near := sheet.nearest(x, y, best)) is not None:
                best, found = near[3], near[:3]
        return found

    def reveal(self, stroke: int, fraction: float) -> None:
        """Shows only the strokes before `stroke` and that fraction (0 to 1) of its length, as they are ordered."""
        self._reveal = Reveal.at(self._strokes, stroke, fraction)
        self._ask()

    @property
    def is_complete(self) -> bool:
        """Whether the last paint showed everything as it should be, and nothing is under way."""
        return self._complete and self._settled and self._workshop.idle

    @property
    def shows_all(self) -> bool:
        """Whether the last paint had a picture of every part that is seen."""
        return self._complete

    def paint(
        self,
        painter: QPainter,
        view_rect_wall: QRectF,
        scale_px_per_mm: float,
        target_rect: QRect,
        device_pixel_ratio: float = 1.0,
    ) -> None:
        """Paints the part view_rect_wall (mm) of the wall so that its top left corner is that of target_rect.

        painter: in logical pixels, neither scaled nor turned; scale_px_per_mm: logical pixels. Ink lies on whole
        device pixels: it is shown up to half a pixel from its place.
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
                # Also under what is not drawn yet: a mark says where something is.
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
        """Paints the sheet, or the one before it as long as tiles are missing."""
        complete = shown.sheet.wish(frame, wishes)
        if shown.before is not None and (complete or self._reveal is not None):
            shown.before.close()
            shown.before = None
        (shown.before or shown.sheet).paint(painter, frame)

    def _show(self, group: StrokeGroup, style: InkStyle, old: _Shown | None) -> _Shown:
        """The group's new sheet, with the old one's pictures where they are still good."""
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
        """Tells one change of scale, painted sharply at once, from zooming, where tiles of step scales serve."""
        if scale == self._scale:
            return
        now = monotonic()
        self._settled = now - self._scale_changed > _SETTLE_MS / 1000
        self._scale, self._scale_changed = scale, now
        self._settle.start()

    def _rest(self) -> None:
        if not self._settled:
            self._settled = True
            self._ask()

    def _ask(self) -> None:
        """Asks to be painted after a change."""
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

    def _tell(self) -> None:
        self._receive()
        changed, self._changed = self._changed, QRectF()
        if changed.intersects(self._view):
            self.updated.emit(changed)


def _channels(colour: QColor) -> tuple[int, int, int, int]:
    """Red, green, blue, alpha, 0 to 255."""
    return colour.red(), colour.green(), colour.blue(), colour.alpha()


def _without_noise(transform: QTransform) -> QTransform:
    """A transform that only shifts, where it does so but for rounding: then the tiles at hand serve as they are."""
    t = transform
    noise = max(abs(t.m11() - 1), abs(t.m12()), abs(t.m21()), abs(t.m22() - 1))
    return QTransform.fromTranslate(t.dx(), t.dy()) if noise < 1e-9 else QTransform(t)
