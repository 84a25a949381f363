"""The canvas as it is painted: what stays from frame to frame, and what follows the pointer over it."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import msgspec
from PySide6.QtCore import QPointF, QRect, QRectF
from PySide6.QtGui import QFontMetricsF, QPainter, QPalette

from wallwright.document.document import Document
from wallwright.document.placing import bounding_box
from wallwright.window.canvas import wall_layer
from wallwright.window.canvas.artwork_layer import frame_shown, paint_artworks
from wallwright.window.canvas.dimensions import Dimension, DimensionSpace, dimensions_of, paint_dimensions
from wallwright.window.canvas.drag_overlay import paint_interaction, paint_readout
from wallwright.window.canvas.guide_lines import paint_guide_lines
from wallwright.window.canvas.hanging_labels import (
    ANCHOR_REACH,
    HangingLabels,
    hanging_points,
    joining_points,
    paint_labels,
)
from wallwright.window.canvas.hangings_layer import (
    OtherZonesLayer,
    hanging_legend,
    paint_handover_lines,
    paint_register_marks,
)
from wallwright.window.canvas.highlight import Highlight
from wallwright.window.canvas.ink_display import InkDisplay
from wallwright.window.canvas.interaction import Content, Drag, Tool
from wallwright.window.canvas.keep_out_layer import paint_keep_outs
from wallwright.window.canvas.legend import Legend
from wallwright.window.canvas.limit_styles import paint_letters
from wallwright.window.canvas.machine_layer import HangingMachine
from wallwright.window.canvas.photo_layer import PhotoLayer
from wallwright.window.canvas.pixmap_cache import FrameCache, PixmapCache, Value
from wallwright.window.canvas.rulers import Rulers
from wallwright.window.canvas.unseen_layer import UnseenLayer, reading_tags
from wallwright.window.canvas.view import View
from wallwright.window.canvas.zone_layer import ZonePicture
from wallwright.window.model.items import HangingItem, KeepOutItem
from wallwright.window.model.models import Models

MARGIN = 8.0
"""Logical pixels between the edge of the wall's view and the tables in its corners."""


class CanvasFrame(msgspec.Struct, frozen=True):
    """What one painting of the canvas shows."""

    models: Models
    view: View
    area: QRect
    """Of the widget, logical pixels."""
    ratio: float
    """Device pixels for a logical one."""
    palette: QPalette
    has_inch_rulers: bool
    zone: ZonePicture | None
    """None: hidden."""
    zone_map: str
    """The layer whose map fills the zone; "": none."""
    ink: InkDisplay
    drag: Drag | None
    tool: Tool | None
    pointer_at: QPointF
    machine: HangingMachine | None
    """None: not shown."""
    marked_hanging: int | None
    """That draws the marked stroke which the pointer is on."""
    highlight: Highlight

    @property
    def document(self) -> Document:
        """The document that is shown."""
        return self.models.project.document

    @property
    def content(self) -> Content:
        """What is shown."""
        return self.tool.content if self.tool is not None else Content.ALL

    @property
    def wall_area(self) -> QRectF:
        """The widget without its rulers, logical pixels."""
        return QRectF(self.area).adjusted(wall_layer.RULER, wall_layer.RULER, 0, 0)

    @property
    def inner_area(self) -> QRectF:
        """Where tables stand in the corners, logical pixels."""
        return self.wall_area.adjusted(MARGIN, MARGIN, -MARGIN, -MARGIN)


class CanvasLayer(NamedTuple):
    """One row of the tables below, painted over those before it."""

    paint: Callable[[QPainter, CanvasFrame], None]
    least: Content = Content.ALL
    """It is painted when so much is shown, or more."""


class CanvasPainter:
    """Paints one canvas, and caches pictures of what stays."""

    def __init__(self, report: Callable[[str], None], again: Callable[[], None]) -> None:
        """report: called with a sentence when the photo cannot be shown; again: when the next frame is another one."""
        self._again = again
        self._other_zones, self._photo = OtherZonesLayer(), PhotoLayer(report)
        self._ground, self._rulers, self._legend = PixmapCache(), Rulers(), Legend()
        self._unseen, self._labels = UnseenLayer(), HangingLabels()
        self._legend_of: tuple[Value, ...] = ()
        """What the legend's corner was chosen for."""
        self._scene = FrameCache()
        """All that does not follow the pointer: the machine follows it over a copy."""
        self._scene_layers = (
            CanvasLayer(self._paint_ground, least=Content.WALL),
            CanvasLayer(self._paint_other_zones),
            CanvasLayer(self._paint_unseen, least=Content.INK),
            CanvasLayer(self._paint_ink, least=Content.INK),
            CanvasLayer(_paint_limit_letters),
            CanvasLayer(_paint_guide_lines),
            CanvasLayer(_paint_artworks),
            CanvasLayer(_paint_handover_lines),
            CanvasLayer(_paint_register_marks),
            CanvasLayer(self._paint_anchors),
            CanvasLayer(_paint_dimensions),
            CanvasLayer(self._paint_rulers, least=Content.WALL),
        )
        self._pointer_layers = (
            CanvasLayer(_paint_machine),
            CanvasLayer(self._paint_legend),
            CanvasLayer(self._paint_machine_numbers),
            CanvasLayer(_paint_invitation),
            CanvasLayer(_paint_interaction, least=Content.WALL),
            CanvasLayer(_paint_tool, least=Content.WALL),
            CanvasLayer(_paint_highlight, least=Content.WALL),
        )

    def forget(self) -> None:
        """Everything may look different."""
        self._scene.forget()

    def paint(self, painter: QPainter, frame: CanvasFrame) -> None:
        """Paints a frame; painter: in logical pixels of the widget."""
        of = (frame.view, frame.palette.cacheKey(), frame.document, frame.models.origin.kind)
        self._scene.paint(
            painter, frame.area.size(), of, lambda painter: _paint_layers(painter, frame, self._scene_layers)
        )
        _paint_layers(painter, frame, self._pointer_layers)

    def _paint_ground(self, painter: QPainter, frame: CanvasFrame) -> None:
        """Wall, photo, draw zone and keep-outs: what stays while the wall is only moved about."""
        document, palette, content = frame.document, frame.palette, frame.content
        item = frame.models.selection.item
        selected = item if isinstance(item, KeepOutItem) else None

        def ground(painter: QPainter, view: View, area: QRectF) -> None:
            painter.fillRect(area, palette.color(QPalette.ColorRole.Dark))
            wall_layer.paint_wall(painter, view, document, palette)
            self._photo.paint(painter, view, document, alone=content is Content.WALL)
            if frame.zone is not None:
                frame.zone.paint(painter, view, frame.zone_map)
            if content is Content.ALL:
                paint_keep_outs(painter, view, document, selected)

        handles = selected.number if selected is not None else -1
        of = (
            document.wall,
            document.photo,
            frame.zone,
            frame.zone_map,
            content,
            handles,
            palette.cacheKey(),
            painter.font().toString(),
        )
        self._ground.paint(painter, frame.view, QRectF(frame.area), of, ground)

    def _paint_other_zones(self, painter: QPainter, frame: CanvasFrame) -> None:
        if frame.zone is not None and len(frame.document.hangings) > 1:
            self._other_zones.paint(painter, frame.view, frame.models, stay=frame.drag is not None)

    def _paint_unseen(self, painter: QPainter, frame: CanvasFrame) -> None:
        self._unseen.paint(painter, frame.view, frame.models, frame.ink.layer.shows_all)

    def _paint_ink(self, painter: QPainter, frame: CanvasFrame) -> None:
        view, target, layer = frame.view, frame.area, frame.ink.layer
        seen = QRectF(view.left, view.top, target.width() / view.scale, target.height() / view.scale)
        layer.paint(painter, seen, view.scale, target, frame.ratio)
        if layer.shows_all and not self._unseen.is_empty and not frame.models.planning.unseen:
            self._again()  # the picture under it has served

    def _paint_anchors(self, painter: QPainter, frame: CanvasFrame) -> None:
        selection, taken = frame.models.selection, _words(painter, frame)
        labels = self._labels.placed(frame.view, frame.models, painter.font(), taken)
        is_selected = selection.item == HangingItem(selection.hanging)
        taken += [label.box for label in labels]
        wall_layer.paint_anchors(painter, frame.view, frame.document, is_selected, selection.hanging, taken)
        paint_labels(painter, labels)

    def _paint_rulers(self, painter: QPainter, frame: CanvasFrame) -> None:
        width, height = frame.area.width(), frame.area.height()
        origin = frame.models.origin.present
        self._rulers.paint(painter, frame.view, width, height, frame.palette, frame.has_inch_rulers, origin)

    def _paint_legend(self, painter: QPainter, frame: CanvasFrame) -> None:
        zone_map = frame.zone.map_of(frame.zone_map) if frame.zone is not None and frame.zone_map else None
        clipped = frame.document.settings.outside == "clip"
        is_dragging = frame.drag is not None  # meanwhile it stays where it is
        self._legend_of = (
            self._legend_of
            if is_dragging
            else (frame.view, frame.area.size(), frame.document, frame.zone, frame.models.planning.preview)
        )
        self._legend.paint(
            painter,
            frame.inner_area,
            frame.palette,
            zone_map,
            frame.ink.limits,
            clipped,
            hanging_legend(frame.models),
            frame.ink.hidden_limits,
            lambda box: _hidden_by(box, frame),
            self._legend_of,
        )

    def _paint_machine_numbers(self, painter: QPainter, frame: CanvasFrame) -> None:
        if frame.machine is not None:
            area, origin = frame.inner_area, frame.models.origin.present
            frame.machine.paint_numbers(painter, area, frame.palette, origin, self._legend.box)


def _hidden_by(box: QRectF, frame: CanvasFrame) -> tuple[float, ...]:
    """What lies under a box of the widget: how many anchors and starting points, how many register marks and grips, pixels
    of artwork and mm² of the draw zone."""
    around = box.adjusted(-ANCHOR_REACH, -ANCHOR_REACH, ANCHOR_REACH, ANCHOR_REACH)
    points = hanging_points(frame.view, frame.document), joining_points(frame.view, frame.models)
    hanging, joining = (sum(map(around.contains, some)) for some in points)
    shown = [p for p in frame.document.placements if p.visible]
    frames = [frame.view.rect_to_screen(*bounding_box([p])) for p in shown]
    artwork = sum(part.width() * part.height() for part in (box & other for other in frames) if not part.isEmpty())
    (left, top), (right, bottom) = frame.view.to_wall(box.topLeft()), frame.view.to_wall(box.bottomRight())
    zone = frame.zone.area_in(left, top, right, bottom) if frame.zone is not None else 0.0
    return hanging, joining, artwork, zone


def _paint_layers(painter: QPainter, frame: CanvasFrame, layers: tuple[CanvasLayer, ...]) -> None:
    for layer in layers:
        if frame.content >= layer.least:
            layer.paint(painter, frame)


def _paint_limit_letters(painter: QPainter, frame: CanvasFrame) -> None:
    paint_letters(painter, frame.view, frame.ink.letters(), QRectF(frame.area))


def _paint_guide_lines(painter: QPainter, frame: CanvasFrame) -> None:
    paint_guide_lines(painter, frame.view, frame.document, frame.models.selection.item)


def _paint_artworks(painter: QPainter, frame: CanvasFrame) -> None:
    paint_artworks(painter, frame.view, frame.models, frame_shown(frame.models))


def _paint_handover_lines(painter: QPainter, frame: CanvasFrame) -> None:
    paint_handover_lines(painter, frame.view, frame.models)


def _paint_register_marks(painter: QPainter, frame: CanvasFrame) -> None:
    paint_register_marks(painter, frame.view, frame.models)


def _words(painter: QPainter, frame: CanvasFrame) -> list[QRectF]:
    """Where words stand that are not those of hangings, logical pixels."""
    words = [(one.at, one.text) for one in _dimensions(painter, frame) if one.is_painted]
    words += reading_tags(frame.view, frame.models)
    taken = [wall_layer.tag_box(at, wall_layer.tag_size(text, painter.font())) for at, text in words]
    return [*taken, wall_layer.invitation_box(painter, frame.inner_area)] if _is_inviting(frame) else taken


def _dimensions(painter: QPainter, frame: CanvasFrame) -> list[Dimension]:
    space = DimensionSpace(frame.view, frame.wall_area, QFontMetricsF(painter.font()).height())
    return dimensions_of(frame.models, space)


def _paint_dimensions(painter: QPainter, frame: CanvasFrame) -> None:
    paint_dimensions(painter, _dimensions(painter, frame))


def _paint_machine(painter: QPainter, frame: CanvasFrame) -> None:
    if frame.machine is not None:
        painter.setClipRect(frame.wall_area)
        frame.machine.paint(painter, frame.view)
        painter.setClipping(False)


def _is_inviting(frame: CanvasFrame) -> bool:
    return not frame.document.placements and not frame.models.imports.is_busy  # what is being read comes at once


def _paint_invitation(painter: QPainter, frame: CanvasFrame) -> None:
    if _is_inviting(frame):
        wall_layer.paint_invitation(painter, frame.inner_area)


def _paint_interaction(painter: QPainter, frame: CanvasFrame) -> None:
    """What is dragged, or which limits the stroke under the pointer breaks."""
    interaction = frame.tool or frame.drag
    if interaction is not None:
        paint_interaction(painter, frame.view, interaction, frame.pointer_at, frame.palette)
    elif frame.machine is not None and frame.marked_hanging is not None and frame.content is Content.ALL:
        zone = frame.zone if frame.marked_hanging == frame.models.selection.hanging else None
        paint_readout(painter, frame.machine.limit_text(zone), frame.pointer_at, frame.palette)


def _paint_tool(painter: QPainter, frame: CanvasFrame) -> None:
    if frame.tool is not None:
        frame.tool.paint(painter)
    if frame.tool is not None and frame.tool.words:
        top = QPointF(frame.area.width() / 2, wall_layer.RULER + 18)
        wall_layer.tag(painter, top, frame.tool.words)


def _paint_highlight(painter: QPainter, frame: CanvasFrame) -> None:
    frame.highlight.paint(painter, frame.view)
