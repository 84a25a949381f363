"""The main window: canvas in the middle, contents and checks left, properties right, time strip below."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QByteArray, QPoint, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QPaintEvent
from PySide6.QtWidgets import QDockWidget, QMainWindow, QStackedWidget, QToolBar, QVBoxLayout, QWidget

from wallwright.document.language import tr
from wallwright.document.plan_input import same_plan_input
from wallwright.jobs.checks import Remedy
from wallwright.window.canvas.canvas import Canvas
from wallwright.window.canvas.dimension_field import DimensionField
from wallwright.window.features.anchor_advice.feature import AnchorAdviceFeature
from wallwright.window.features.calibration.feature import CalibrationFeature
from wallwright.window.features.continue_job.feature import ContinueFeature
from wallwright.window.features.controller.feature import ControllerFeature
from wallwright.window.features.export.feature import ExportFeature, why_not_exported
from wallwright.window.features.generated_artwork.feature import GeneratedArtworkFeature
from wallwright.window.features.pens.feature import PensFeature
from wallwright.window.features.photo.feature import PhotoFeature
from wallwright.window.features.proof.feature import ProofFeature
from wallwright.window.features.register_marks.feature import RegisterMarksFeature
from wallwright.window.features.screen_scale.feature import ScreenScaleFeature
from wallwright.window.features.shorter.feature import ShorterFeature
from wallwright.window.features.start.feature import StartFeature
from wallwright.window.model.host import FileActions, WindowHost
from wallwright.window.model.models import Models
from wallwright.window.panels.checks_panel import ChecksPanel
from wallwright.window.panels.contents import Contents
from wallwright.window.panels.properties import PropertiesPanel
from wallwright.window.shell.action_ids import ActionId
from wallwright.window.shell.actions import ACTIONS
from wallwright.window.shell.edit_commands import EditCommands
from wallwright.window.shell.ignored_limits_status import IgnoredLimitsStatus
from wallwright.window.shell.menus import add_menus, tip_of
from wallwright.window.shell.message_bar import MessageBar
from wallwright.window.shell.panel_heights import USUAL, PanelHeights
from wallwright.window.shell.progress_status import ProgressStatus
from wallwright.window.shell.project_view import ProjectView
from wallwright.window.shell.ready_status import ReadyStatus
from wallwright.window.shell.window_layout import VERSION, keep_layout, restore_layout
from wallwright.window.shell.window_parts import WindowParts
from wallwright.window.timeline.time_strip import TimeStrip
from wallwright.window.widgets.focus_ring import FocusRing
from wallwright.window.widgets.line_text import finish_typing
from wallwright.window.widgets.theme import CLOSE, NEAR, TIGHT, StyledLabel

SEARCH_MS = 10_000
"""Time for which the status bar shows that the search for the order was ended, ms."""
LEFT, RIGHT = Qt.DockWidgetArea.LeftDockWidgetArea, Qt.DockWidgetArea.RightDockWidgetArea


class MainWindow(QMainWindow):
    """A window on a document. Assembles the parts and updates them on changes."""

    closed = Signal()

    def __init__(
        self,
        models: Models,
        files: FileActions,
        log_file: Path | None = None,
        windows: WindowHost | None = None,
    ) -> None:
        """windows: the windows of this process, if there can be several."""
        super().__init__()
        self.models, self.files = models, files
        models.set_parent(self)
        self.is_replaced = False
        """Whether another window takes the document over, so that closing this one asks nothing."""
        self._is_painted = False
        self._exported = models.project.document
        """Document at the time when the message bar listed files."""
        self.canvas = Canvas(models)
        # It is opaque: nothing is painted below it, which is slow with a style sheet.
        self.canvas.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        FocusRing(self.canvas)
        DimensionField(self.canvas)
        self.strip = TimeStrip(models)
        self.contents = Contents(models)
        self.checks = ChecksPanel(models)
        self.properties = PropertiesPanel(models)
        self.bar = MessageBar()
        pages = QStackedWidget()
        self.setCentralWidget(self._middle(pages))
        self.setDockOptions(QMainWindow.DockOption.AnimatedDocks)
        upper = self._dock("contents", tr("Contents"), self.contents, LEFT)
        lower = self._dock("checks", tr("Checks"), self.checks, LEFT)
        self._dock("properties", tr("Properties"), self.properties, RIGHT)
        start = StartFeature(models, files, pages, self.canvas)
        editing = EditCommands(models, self.canvas, start, self)
        self.parts = WindowParts(
            self,
            models,
            self.canvas,
            self.strip,
            self.contents,
            self.checks,
            self.properties,
            files,
            windows,
            log_file,
            editing,
            start,
            ExportFeature(models, self),
            ContinueFeature(models, self.canvas, self.strip, self),
            ControllerFeature(models, self),
            CalibrationFeature(models, self),
            ProofFeature(models, self),
            RegisterMarksFeature(models, self),
            AnchorAdviceFeature(models, editing.more_hangings, self),
            PensFeature(models, self),
            PhotoFeature(models, self.canvas, start, self),
            ScreenScaleFeature(models.messages, self.canvas, self),
            GeneratedArtworkFeature(models, self.properties),
            ShorterFeature(models, self),
        )
        self.status = ReadyStatus(models)
        self.zone = add_menus(self, self.parts, self.status)
        self.view = ProjectView(models, self.canvas, self.zone)
        self.ignored_limits = IgnoredLimitsStatus(models, self.statusBar())
        self.progress = ProgressStatus(models, self.statusBar(), self.parts.actions, self.canvas)
        self._connect()
        self.resize(QSize(1360, 860))
        self.resizeDocks([upper, lower], list(USUAL), Qt.Orientation.Vertical)
        self._state = self.saveState(VERSION)
        """State of docks and tool bar while the wall is shown."""
        restore_layout(self)
        self.heights = PanelHeights(self, models, upper, self.checks)
        self._refresh()

    # Assembling.

    def _middle(self, pages: QStackedWidget) -> QWidget:
        work, page = QWidget(), QWidget()
        pages.addWidget(work)
        for widget, parts in ((work, (self.canvas, self.strip)), (page, (pages,))):
            column = QVBoxLayout(widget)
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(0)
            for part in parts:
                column.addWidget(part, 1 if part in (self.canvas, pages) else 0)
        self.bar.float_over(page)
        return page

    def _dock(self, name: str, title: str, widget: QWidget, area: Qt.DockWidgetArea) -> QDockWidget:
        """name: key in the saved layout, the same in every language."""
        dock = QDockWidget(title)
        dock.setObjectName(name)
        dock.setFeatures(QDockWidget.DockWidgetFeature.DockWidgetMovable)
        dock.setWidget(widget)
        dock.setTitleBarWidget(_dock_title(title))
        self.addDockWidget(area, dock)
        return dock

    def _connect(self) -> None:
        models, parts = self.models, self.parts
        for panel in (self.checks, self.properties):
            panel.show_place.connect(self.canvas.point_out)
        self.checks.remedy.connect(self.apply_remedy)
        self.status.clicked.connect(self._open_checks)
        self.properties.fill_zone_wanted.connect(parts.editing.fill_zone)
        self.strip.moved.connect(self._show_moment)
        self.strip.menu_wanted.connect(self._show_strip_menu)
        self.strip.shorter_wanted.connect(parts.shorter.open)
        parts.export.shorter_wanted.connect(parts.shorter.open)
        self.canvas.clicked.connect(self._show_clicked)
        self.canvas.text_wanted.connect(self.properties.edit_words)
        self.canvas.menu_wanted.connect(self._show_wall_menu)
        self.contents.menu_wanted.connect(self._show_contents_menu)
        self.contents.pen_moved.connect(parts.pens.move_to)
        self.properties.action_wanted.connect(lambda id: parts.actions[ActionId(id)].trigger())
        parts.start.changed.connect(self._show_page)
        models.messages.new_message.connect(self.bar.say)
        models.messages.new_offer.connect(self.bar.say_with_offer)
        models.messages.new_file_message.connect(self._say_files)
        models.messages.new_remark.connect(self.statusBar().showMessage)
        models.project.changed.connect(self._settle_message)
        models.project.loaded.connect(self._forget_last_project)
        models.planning.search_ended.connect(self._report_ended_search)
        for signal in (
            models.project.changed,
            models.project.file_changed,
            models.selection.changed,
            models.selection.hanging_changed,
            models.planning.plan_changed,
        ):
            signal.connect(self._refresh)

    # Changes.

    def paintEvent(self, event: QPaintEvent) -> None:
        """Starts the planning process once the window is on screen."""
        super().paintEvent(event)
        if not self._is_painted:
            self._is_painted = True
            QTimer.singleShot(0, self.models.planning, self.models.planning.start_worker)

    def _refresh(self) -> None:
        actions = self.parts.actions
        for declared in ACTIONS:
            actions[declared.id].setEnabled(declared.enabled(self.parts))
        history = self.models.project.history
        for name, steps, title in (
            (ActionId.UNDO, history.past, tr("&Undo")),
            (ActionId.REDO, history.future, tr("&Redo")),
        ):
            action, word = actions[name], title.replace("&", "")
            edit = f": {steps[-1][0]}" if steps else ""
            action.setText(title + edit.replace("&", "&&"))
            action.setIconText(word)  # the tool bar has no room for the name of the edit
            action.setToolTip(word + edit)
        export = actions[ActionId.EXPORT]
        export.setToolTip(why_not_exported(self.models.planning) or tip_of(export))
        title = f"{self.models.project.name}[*] – Wallwright"
        is_start = self.parts.start.is_shown
        self.setWindowTitle("Wallwright" if is_start else title)
        self.setWindowModified(self.models.project.is_dirty and not is_start)  # the start page's title cannot show it

    def _show_moment(self, moment: tuple[float, float, int, float] | None) -> None:
        """moment: as emitted by the time strip."""
        if moment is None:
            self.canvas.show_planned(None)
            self.canvas.show_machine(None)
            return
        x, y, done, share = moment
        self.canvas.show_planned((done, share))
        self.canvas.show_machine((x, y))
        if not self.strip.player.playing:
            self.canvas.bring_into_view(x, y)

    def _show_clicked(self, x: float, y: float, reach: float, is_wanted: bool) -> None:
        """Shows the moment of a clicked stroke, if moments are shown or Alt is pressed."""
        if is_wanted or self.strip.player.at_moment:
            self.strip.seek_point((x, y), reach)

    def _show_wall_menu(self, at: QPoint, by_key: bool) -> None:
        from wallwright.window.shell import context_menus  # imported on use, for a faster start

        context_menus.show_on_wall(self.parts, at, by_key)

    def _show_contents_menu(self, at: QPoint) -> None:
        from wallwright.window.shell import context_menus

        context_menus.show_in_contents(self.parts, at)

    def _show_strip_menu(self, at: QPoint) -> None:
        from wallwright.window.shell import context_menus

        context_menus.show_on_strip(self.parts, at)

    def _open_checks(self) -> None:
        """Brings the checks to the front and the worst one into view."""
        dock = self.checks.parentWidget()
        if isinstance(dock, QDockWidget):
            dock.show()
            dock.raise_()
        self.checks.visit()

    def apply_remedy(self, remedy: Remedy) -> None:
        """Applies a check's remedy."""
        from wallwright.window.shell.remedy_actions import apply_remedy

        apply_remedy(self.parts, remedy)

    def _show_page(self) -> None:
        """Hides docks and tool bar on the start page, and clears messages of the other page."""
        self.bar.hide()
        is_wall = not self.parts.start.is_shown
        if not is_wall:
            self._state = self.saveState(VERSION)
        for part in (*self.findChildren(QDockWidget), *self.findChildren(QToolBar)):
            part.setVisible(is_wall)
        self._refresh()

    def _say_files(self, sentence: str, files: Sequence[Path]) -> None:
        self._exported = self.models.project.document
        self.bar.say(sentence, files)

    def _settle_message(self) -> None:
        is_same_job = self.bar.isHidden() or same_plan_input(self._exported, self.models.project.document)
        self.bar.settle(is_same_job)

    def _forget_last_project(self) -> None:
        """Clears messages and marks of the previous project."""
        self.bar.hide()
        self.statusBar().clearMessage()
        self.canvas.pointed.forget()

    def _report_ended_search(self) -> None:
        tries = self.models.project.document.settings.order.tries
        text = tr(
            "The search for the order now ends after {0:,} changes. To search longer, undo or choose another search.",
            tries,
        )
        self.models.messages.remark(text, SEARCH_MS)

    # Closing.

    def closeEvent(self, event: QCloseEvent) -> None:
        finish_typing()
        if not self.is_replaced and not self.files.may_leave():
            event.ignore()
            return
        keep_layout(self, self._wall_state(), self.zone.currentData())
        self.view.keep()
        self.heights.keep()
        self.parts.editing.abandon()
        self.files.close()
        self.models.close()
        self.canvas.close_ink()
        self.closed.emit()
        event.accept()

    def _wall_state(self) -> QByteArray:
        return self._state if self.parts.start.is_shown else self.saveState(VERSION)


def _dock_title(text: str) -> QWidget:
    """Returns the title bar of a panel, by which it is moved."""
    label = StyledLabel(text, is_strong=True)
    label.setContentsMargins(NEAR, CLOSE, NEAR, TIGHT)
    return label
