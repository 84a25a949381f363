"""The canvas: the wall to scale, seen and edited directly."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, QPointF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QCursor,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from wallwright.document.arrays import Floats
from wallwright.document.continuation import StrokePlace
from wallwright.document.language import tr
from wallwright.window.canvas.artwork_drop import ArtworkDropTarget
from wallwright.window.canvas.highlight import Highlight
from wallwright.window.canvas.ink_display import InkDisplay
from wallwright.window.canvas.interaction import Content, Tool
from wallwright.window.canvas.machine_layer import HangingMachine
from wallwright.window.canvas.nudge import nudge
from wallwright.window.canvas.painting import CanvasFrame, CanvasPainter
from wallwright.window.canvas.pointer import PointerHandler
from wallwright.window.canvas.view import View
from wallwright.window.canvas.zone_layer import LiveZone, ZoneChoice
from wallwright.window.ink import InkLayer
from wallwright.window.model.items import WALL, HangingItem, MachineItem, PlacementItem, parent_of
from wallwright.window.model.models import Models
from wallwright.window.model.screen_scale import pixels_per_mm
from wallwright.window.model.settings import choose_inches_on_rulers, inches_on_rulers

OWN_KEYS = (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Backspace)
"""Of the canvas while it drags or draws, whatever else they stand for."""
MARK_REACH = 6.0
"""Logical pixels from a marked stroke within which the pointer is on it."""
MAPPED = (HangingItem, MachineItem)
"""What decides the draw zone when it is edited."""


class Canvas(ArtworkDropTarget):
    """Shows the document of a window and edits it."""

    hovered = Signal(str)
    """Words for the status bar about the point under the pointer."""
    clicked = Signal(float, float, float, bool)
    """A click that dragged nothing: x, y and how far it reaches, mm; whether Alt was held."""
    text_wanted = Signal()
    """The text that is selected is to be typed over."""
    menu_wanted = Signal(QPoint, bool)
    """At a point of the widget; whether a key asked for it."""
    zone_choice_changed = Signal(str)
    """The name of a layer, OUTLINE of zone_layer, or "" for nothing."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.models = models
        self.view = View()
        self._zone_choice = ZoneChoice()
        self.machine_at: tuple[float, float] | None = None
        self._follow_pointer = True
        self._fit: View | None = None
        """The view that shows the whole wall, as last made."""
        self._is_seen = False
        """Whether it has been painted on screen."""
        self.inches = inches_on_rulers()
        self.zone = LiveZone(self.update, self)
        self.pointer = PointerHandler(self)
        self.tool: Tool | None = None
        self.pointed = Highlight(self.update, self)
        self.shown = InkDisplay(models, self)
        self._painting = CanvasPainter(models.messages.say, lambda: QTimer.singleShot(0, self, self.update))
        self._machine: HangingMachine | None = None
        self.on_mark: int | None = None
        """Hanging that draws the marked stroke which the pointer is on, and the machine is shown at."""
        self.ink.updated.connect(lambda _: self.update())
        self.setMouseTracking(True)
        self.setAcceptDrops(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Wall"))
        self.setWhatsThis(
            tr(
                "The wall, to scale.\nDrag: artwork, handles, anchors, starting point, handover lines.\n"
                "Shift+click: select more. Drag on the empty wall: select everything touched.\nDouble-click on "
                "ink: select its colour, then its group. On text: edit it. Escape: select the whole artwork.\n"
                "Drag out of a ruler: guide line.\nWheel: zoom. Middle button or space bar: pan.\nAlt+click on "
                "a stroke: show when it is drawn.\nRight button: menu."
            )
        )
        models.project.changed.connect(self._document_changed)
        models.selection.changed.connect(self._selection_changed)
        models.planning.preview_changed.connect(self._preview_changed)
        models.selection.hanging_changed.connect(self._preview_changed)
        models.planning.unseen_changed.connect(self.update)
        models.origin.changed.connect(self.update)
        models.project.file_changed.connect(self.stand_down)

    @property
    def ink(self) -> InkLayer:
        """The strokes as they are painted."""
        return self.shown.layer

    @property
    def pointer_at(self) -> QPointF:
        """Where the pointer was last seen on the widget, logical pixels."""
        return self.pointer.at

    @property
    def zone_edge(self) -> Floats | None:
        """(m, 2, 2) segments of the draw zone's edge as it is shown, mm; None when it is hidden."""
        picture = self.zone.picture
        return picture.edge if picture is not None and self._zone_choice.choice else None

    def sizeHint(self) -> QSize:
        return QSize(800, 600)

    def close_ink(self) -> None:
        """Ends the ink's worker threads."""
        self.ink.close()

    # What is shown.

    def fit(self) -> None:
        wall = self.models.project.document.wall
        self.look_at((wall.left, wall.top, wall.right, wall.floor))
        self._fit = self.view

    @property
    def is_fitted(self) -> bool:
        """Whether the whole wall is in view, which a change of the window's size preserves."""
        return self._fit is None or self.view is self._fit

    def point_out(self, box: tuple[float, float, float, float]) -> None:
        """Brings a box of the wall, mm, into view and frames it for a moment."""
        self.look_at(box)
        self.pointed.show(box)

    def toggle_inches(self) -> None:
        """Rulers in inches, or in mm again; kept for the next start."""
        self.inches = not self.inches
        choose_inches_on_rulers(self.inches)
        self.update()

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

    def zoom(self, factor: float, at: QPointF | None = None) -> None:
        """Larger or smaller; the wall stays where it is under `at`, a point of the widget, else in the middle."""
        self.view = self.view.zoomed(factor, at or QPointF(self.width() / 2, self.height() / 2))
        self.update()

    def pan(self, by: QPointF) -> None:
        """Moves what is shown by logical pixels."""
        self.view = self.view.moved(by.x(), by.y())
        self.update()

    def actual_size(self) -> None:
        """One mm on the wall is one mm on this screen."""
        wanted = pixels_per_mm(self.screen()) / self.devicePixelRatioF()
        self.zoom(wanted / self.view.scale)

    # The draw zone.

    def show_zone(self, choice: str) -> None:
        """Shows the draw zone with the map of a layer, as OUTLINE of zone_layer, or, "", not at all."""
        self._zone_choice.choose(choice)
        self.zone_choice_changed.emit(choice)
        self.update()

    def toggle_map(self) -> None:
        """The last map that was chosen, or none when there is one."""
        self.show_zone(self._zone_choice.toggled)

    @property
    def zone_map(self) -> str:
        """The layer whose map is seen; "": none."""
        return self._zone_choice.map_name

    def show_machine(self, at: tuple[float, float] | None) -> None:
        """The machine at a given place instead of the pointer; None: back to the pointer."""
        self._follow_pointer = at is None
        self.machine_at, self.on_mark = at, None
        super().update()

    def show_planned(self, until: tuple[int, float] | None) -> None:
        """The strokes of the plan in drawing order, up to one of them; None: all of the preview again."""
        self.shown.show_planned(until)
        self.update()

    def show_rest(self, place: StrokePlace | None) -> None:
        """The strokes of the plan, pale those before a place; None: all of the preview again."""
        self.shown.show_rest(place)
        self.update()

    def _document_changed(self) -> None:
        self.shown.follow(is_dragged=self.pointer.drag is not None)
        self.update()

    def _selection_changed(self) -> None:
        self.stand_down()
        self._zone_choice.edit(isinstance(self.models.selection.item, MAPPED))
        self.shown.mark_part()
        self.update()

    def _preview_changed(self) -> None:
        self.shown.show_preview()
        self.update()

    # Painting.

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Whoever sees the whole wall goes on seeing it."""
        if self._fit is not None and self.is_fitted:
            self.fit()
        super().resizeEvent(event)

    def update(self, *area: object) -> None:
        """Everything may look different."""
        self._painting.forget()
        super().update(*area)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._fit is None and self.width() > 50:
            self.fit()
        # When it first comes on screen the draw zone follows at once: computing it would hold up the whole window.
        if is_first := not self._is_seen and self.isVisible():
            self._is_seen = True
            QTimer.singleShot(0, self, self.update)
        painter = QPainter(self)
        self._painting.paint(painter, self._frame(has_zone=not is_first))
        painter.end()

    def _frame(self, has_zone: bool) -> CanvasFrame:
        """What is shown now."""
        models, shows_all = self.models, self.tool is None or self.tool.content is Content.ALL
        zone = None
        if has_zone and self._zone_choice.choice and shows_all:
            zone = self.zone.of(models.project.document, self.pointer.drag is not None, models.selection.hanging)
        return CanvasFrame(
            models,
            self.view,
            self.rect(),
            self.devicePixelRatioF(),
            self.palette(),
            self.inches,
            zone,
            self.zone_map,
            self.shown,
            self.pointer.drag,
            self.tool,
            self.pointer.at,
            self.machine_shown(),
            self.on_mark,
            self.pointed,
        )

    def machine_shown(self) -> HangingMachine | None:
        """The machine, when it is seen."""
        if self.machine_at is None or self.tool is not None:
            return None
        document, machine = self.models.project.document, self._machine
        number = self.on_mark if self.on_mark is not None else self.models.selection.hanging
        hanging = document.hangings[number if number < len(document.hangings) else self.models.selection.hanging]
        if machine is None or not machine.is_of(document, hanging, self.machine_at):
            self._machine = HangingMachine(document, hanging, self.machine_at)
        return self._machine

    # Mouse.

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.pointer.press(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.pointer.move(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self.pointer.release(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.pointer.double_click(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        if not self._is_busy:
            by_key = event.reason() == QContextMenuEvent.Reason.Keyboard
            self.menu_wanted.emit(self.rect().center() if by_key else event.pos(), by_key)

    def use_tool(self, tool: Tool | None) -> None:
        """The pointer uses a tool; None: it selects and drags again."""
        self._take_up(tool)
        self.setFocus()

    def end_tool(self) -> None:
        """The pointer selects and drags again."""
        self.use_tool(None)

    def stand_down(self) -> None:
        """The person has gone on to something else: a tool is given up, without taking the keys."""
        if self.tool is not None:
            self._take_up(None)

    def _take_up(self, tool: Tool | None) -> None:
        last, self.tool = self.tool, tool
        if last is not None:
            last.ended()
        is_drawing = tool is not None and tool.content is not Content.INK
        self.setCursor(Qt.CursorShape.CrossCursor if is_drawing else Qt.CursorShape.ArrowCursor)
        self.update()

    def wheelEvent(self, event: QWheelEvent) -> None:
        self.pointer.wheel(event)

    def click(self, at: QPointF, reach: float, with_alt: bool) -> None:
        """A press and a release that dragged nothing; at, reach: logical pixels of the widget."""
        self.clicked.emit(*self.view.to_wall(at), reach / self.view.scale, with_alt)

    def edit_text(self, placement: str) -> None:
        """Selects a text, which is to be typed over."""
        self.models.selection.select(PlacementItem(placement))
        self.text_wanted.emit()

    def finish_drag(self) -> None:
        """What was dragged rests where it is."""
        self.zone.refine_soon()
        self.update()

    def hover(self, at: QPointF) -> None:
        """The machine follows the pointer, and so does the text about its place; on a marked stroke it hangs there."""
        if self._follow_pointer:
            x, y = self.view.to_wall(at)
            free = self.tool is None and self.pointer.drag is None
            mark = self.shown.mark_at(x, y, MARK_REACH / self.view.scale) if free else None
            self.machine_at, self.on_mark = (mark[:2], mark[2]) if mark is not None else ((x, y), None)
            super().update()
        text = self.pointer.position_text()
        if self.on_mark is not None and (machine := self.machine_shown()) is not None:
            text += "   " + machine.limit_text(None).partition("\n")[0]
        self.hovered.emit(text)

    def wall_under_pointer(self) -> tuple[float, float] | None:
        """The point of the wall, mm, under the pointer; None when that is elsewhere."""
        at = self.mapFromGlobal(QCursor.pos())
        return self.view.to_wall(QPointF(at)) if self.underMouse() and self.rect().contains(at) else None

    def leaveEvent(self, event: QEvent) -> None:
        if self._follow_pointer:
            self.machine_at, self.on_mark = None, None
            super().update()
        self.hovered.emit("")

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QNativeGestureEvent) and self.pointer.gesture(event):
            return True
        is_override = event.type() == QEvent.Type.ShortcutOverride and self._is_busy
        if is_override and isinstance(event, QKeyEvent) and event.key() in OWN_KEYS:
            event.accept()  # while dragging or drawing, Escape gives that up; else it belongs to the window
            return True
        return super().event(event)

    # Keys.

    @property
    def _is_busy(self) -> bool:
        return self.tool is not None or self.pointer.drag is not None

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space:
            if not event.isAutoRepeat():
                self.pointer.hold_space(True)
        elif self.tool is not None and self.tool.key(event):
            self.update()
        elif event.key() == Qt.Key.Key_Escape and self.pointer.drag is not None:
            self.pointer.abandon()
        elif event.key() == Qt.Key.Key_Escape and self.models.selection.items != (WALL,):
            self.models.selection.select(parent_of(self.models.selection.item))
        elif not nudge(self.models, event):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self.pointer.hold_space(False)
        super().keyReleaseEvent(event)
