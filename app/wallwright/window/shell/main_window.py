"""The main window: canvas in the middle, contents and checks left, properties right, time strip below."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import (
    QDockWidget,
    QLabel,
    QMainWindow,
    QProgressBar,
    QPushButton,
    QStackedWidget,
    QToolBar,
    QVBoxLayout,
    QWidget,
)  # fmt: skip

from wallwright.document.language import tr
from wallwright.jobs.file_names import SHEET, file_for
from wallwright.planning.stages import describe_stage
from wallwright.window.application.file_watch import FileWatch
from wallwright.window.application.files import FileCommands
from wallwright.window.application.recovery import Autosave
from wallwright.window.canvas.canvas import Canvas
from wallwright.window.features.continue_job.controller import ContinueController
from wallwright.window.features.generated_artwork import GeneratedArtworkCommands
from wallwright.window.features.read_anyway import ReadAnywayQuestion
from wallwright.window.features.screen_scale import screen_scale
from wallwright.window.model.session import Session
from wallwright.window.panels.checks_panel import ChecksPanel
from wallwright.window.panels.contents import Contents
from wallwright.window.panels.properties import PropertiesPanel
from wallwright.window.shell import context_menus
from wallwright.window.shell.actions import ACTIONS, why_not_exported
from wallwright.window.shell.edit_commands import EditCommands
from wallwright.window.shell.menus import make_actions, tip_of
from wallwright.window.shell.message_bar import MessageBar
from wallwright.window.timeline.time_strip import TimeStrip
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.focus_ring import FocusRing

if TYPE_CHECKING:
    from wallwright.document.register import RegisterMark
    from wallwright.window.application.windows import Windows
    from wallwright.window.features.calibration.wizard import CalibrationWizard
    from wallwright.window.features.start.start_page import StartPage

TOLD_MS = 10_000
"""How long the status bar shows what was done."""


SAID_MS = 8000
"""How long a remark stays in the status bar."""


class MainWindow(QMainWindow):
    """One window on one document."""

    def __init__(
        self, session: Session, log_file: Path | None = None, windows: Windows | None = None
    ) -> None:
        """windows: those of this process, when there can be more than this one."""
        super().__init__()
        self.session, self.log_file, self.windows = session, log_file, windows
        self.replaced = False
        """Whether another window goes on with the document, so that closing this one asks nothing."""
        session.setParent(self)
        self.files = FileCommands(self)
        self.editing, self.adding = EditCommands(self), GeneratedArtworkCommands(self)
        self.autosave = Autosave(session)
        self.file_watch = FileWatch(session)
        self.file_watch.noticed.connect(self.say)
        self._calibration: CalibrationWizard | None = None
        self.canvas = Canvas(session)
        FocusRing(self.canvas)
        self.strip = TimeStrip(session)
        self.read_anyway = ReadAnywayQuestion(self)
        self.going_on = ContinueController(self)
        self.start_page: StartPage | None = None
        self.bar = MessageBar()
        self._pages = QStackedWidget()
        self.setCentralWidget(self._middle())
        self.setDockOptions(QMainWindow.DockOption.AnimatedDocks)
        contents = Contents(session)
        upper = self._dock(tr("Contents"), contents, Qt.DockWidgetArea.LeftDockWidgetArea)
        self.checks = ChecksPanel(session)
        lower = self._dock(tr("Checks"), self.checks, Qt.DockWidgetArea.LeftDockWidgetArea)
        inspector = PropertiesPanel(session)
        self._dock(tr("Properties"), inspector, Qt.DockWidgetArea.RightDockWidgetArea)
        self.actions_by_id = make_actions(self)
        self._status()
        self.checks.show_place.connect(self.canvas.point_out)
        inspector.show_place.connect(self.canvas.point_out)
        for panel in (self.checks, inspector):
            panel.remedy.connect(self.editing.mend)
        self.strip.moved.connect(self._moment)
        self.canvas.clicked.connect(self._clicked)
        self.canvas.words_wanted.connect(inspector.edit_words)
        self.canvas.menu_wanted.connect(lambda at, by_key: context_menus.show_on_wall(self, at, by_key))
        contents.menu_wanted.connect(lambda at: context_menus.show_in_contents(self, at))
        self.strip.menu_wanted.connect(self.going_on.menu)
        self.canvas.hovered.connect(self._position.setText)
        session.trouble.connect(self.say)
        session.document_changed.connect(self.show_wall)
        session.document_changed.connect(self.bar.settle)
        session.progress_changed.connect(self._progress)
        session.imports.progress.connect(self._reading_progress)
        session.exported.connect(self._exported)
        session.search_ended.connect(self._search_ended)
        for signal in (
            session.document_changed,
            session.selection_changed,
            session.plan_changed,
            session.file_changed,
            session.hanging_changed,
        ):
            signal.connect(self._refresh)
        self.resize(QSize(1360, 860))
        self.resizeDocks([upper, lower], [260, 440], Qt.Orientation.Vertical)
        self._refresh()

    # Parts.

    def _middle(self) -> QWidget:
        work, page = QWidget(), QWidget()
        self._pages.addWidget(work)
        for widget, parts in ((work, (self.canvas, self.strip)), (page, (self.bar, self._pages))):
            column = QVBoxLayout(widget)
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(0)
            for part in parts:
                column.addWidget(part, 1 if part in (self.canvas, self._pages) else 0)
        return page

    def _dock(self, title: str, widget: QWidget, area: Qt.DockWidgetArea) -> QDockWidget:
        dock = QDockWidget(title)
        dock.setObjectName(title)
        dock.setFeatures(QDockWidget.DockWidgetFeature.DockWidgetMovable)
        dock.setWidget(widget)
        self.addDockWidget(area, dock)
        return dock

    def _status(self) -> None:
        self._position = QLabel()
        self._stage = QLabel()
        self._done = QProgressBar()
        self._done.setRange(0, 1000)
        self._done.setMaximumWidth(160)
        self._done.setTextVisible(False)
        self._done.setAccessibleName(tr("Progress of planning"))
        self._read = self._planned = ("", 0.0)
        """What is being read and planned, in words, and the share done."""
        self._enough = QPushButton(tr("Good enough"))
        explain(
            self._enough, tr("End the search for a quicker order and go on with the best one found so far.")
        )
        self._enough.clicked.connect(self.session.good_enough)
        self._stop = QPushButton(tr("Cancel"))
        self._stop.clicked.connect(self.session.cancel)
        self.statusBar().addWidget(self._position)
        for widget in (self._stage, self._done, self._enough, self._stop):
            self.statusBar().addPermanentWidget(widget)
            widget.hide()
        for button in (self._enough, self._stop):
            # They go once pressed; else the keys would go to whatever field comes next, undo with them.
            button.clicked.connect(lambda: self.canvas.setFocus())

    # What changes.

    def _refresh(self) -> None:
        for declared in ACTIONS:
            self.actions_by_id[declared.id].setEnabled(declared.enabled(self))
        history = self.session.history
        for name, steps, title in (
            ("undo", history.past, tr("&Undo")),
            ("redo", history.future, tr("&Redo")),
        ):
            action, word = self.actions_by_id[name], title.replace("&", "")
            edit = f": {steps[-1][0]}" if steps else ""
            action.setText(title + edit.replace("&", "&&"))
            action.setIconText(word)  # the tool bar has no room for the name of the edit
            action.setToolTip(word + edit)
        export = self.actions_by_id["export"]
        export.setToolTip(why_not_exported(self.session) or tip_of(export))
        self.setWindowTitle("Wallwright" if self.at_start else f"{self.session.name}[*] – Wallwright")
        self.setWindowModified(self.session.dirty)

    def _progress(self, stage: str, done: float) -> None:
        self._planned = (describe_stage(stage, self.session.saving) if stage else "", done)
        self._show_progress()
        self._enough.setVisible(stage == "order")
        self._enough.setEnabled(self.session.searching)
        self.actions_by_id["good-enough"].setEnabled(self.session.searching)

    def _reading_progress(self, name: str, done: float) -> None:
        self._read = (tr("Reading {0}", name) if name else "", done)
        self._show_progress()

    def _show_progress(self) -> None:
        """What the person waits for: files that are read, else the plan."""
        words, done = self._read if self._read[0] else self._planned
        for widget in (self._stage, self._done, self._stop):
            widget.setVisible(bool(words))
        self._stage.setText(words)
        self._done.setValue(round(1000 * done))
        self.actions_by_id["cancel"].setEnabled(bool(words))

    def _moment(self, moment: tuple | None) -> None:
        if moment is None:
            self.canvas.show_planned(None)
            self.canvas.show_machine(None)
            return
        x, y, done, share = moment
        self.canvas.show_planned((done, share))
        self.canvas.show_machine((x, y))
        if not self.strip.player.playing:
            self.canvas.bring_into_view(x, y)

    def _clicked(self, x: float, y: float, reach: float, wanted: bool) -> None:
        """A click on a stroke shows its moment: while moments are shown, else only with the Alt key."""
        if wanted or self.strip.player.at_moment:
            self.strip.find((x, y), reach)

    def choose_layer(self, name: str) -> None:
        self.canvas.set_zone_shown(bool(name))
        if name:
            self.canvas.set_layer(name)

    def say(self, sentence: str, files: Sequence[Path] = ()) -> None:
        """Shows a sentence above the canvas; it stays until closed or replaced."""
        self.bar.say(sentence, files)

    # The start page.

    @property
    def at_start(self) -> bool:
        """Whether the start page is shown instead of the wall."""
        return self._pages.currentWidget() is self.start_page

    def show_start(self) -> None:
        """Shows the start page; opening or editing anything leaves it."""
        if self.start_page is None:
            from wallwright.window.features.start.start_page import StartPage

            self.start_page = StartPage()
            self.start_page.demo.connect(self.files.demo)
            self.start_page.open.connect(self.files.open)
            self.start_page.open_path.connect(self.files.open_recent)
            self.start_page.recover.connect(self.files.recover)
            self.start_page.form.made.connect(self.files.begin)
            self.start_page.form.refused.connect(self.say)
            self._pages.addWidget(self.start_page)
        else:
            self.start_page.fill()
        self._pages.setCurrentWidget(self.start_page)
        self._show_tools(False)
        self.start_page.demo_button.setFocus()

    def show_wall(self) -> None:
        """Leaves the start page."""
        if self.at_start:
            self._pages.setCurrentIndex(0)
            self._show_tools(True)
            self.canvas.setFocus()

    def _show_tools(self, shown: bool) -> None:
        for part in (*self.findChildren(QDockWidget), *self.findChildren(QToolBar)):
            part.setVisible(shown)
        self._refresh()

    # What actions do.

    def export(self) -> None:
        from wallwright.window.features.export.dialog import ExportDialog, proposed_folder

        session = self.session
        several = len(session.document.hangings) > 1
        in_hand = session.document.hangings[session.hanging].name if several else ""
        dialog = ExportDialog(
            proposed_folder(session.path),
            session.document.machine.controller,
            self,
            in_hand,
            number=session.hanging,
        )
        if dialog.exec():
            if several:
                self.editing.keep_meetings()
            session.export(str(dialog.place), every=dialog.every)

    def marks_in_hand(self) -> tuple[RegisterMark, ...]:
        """The register marks that the hanging in hand looks for."""
        preview, hanging = self.session.preview, self.session.hanging
        kept = self.session.document.hangings[hanging].register.marks
        return kept or (preview.marks.get(hanging, ()) if preview is not None else ())

    def line_up(self) -> None:
        """Asks what was seen at the register marks, and corrects the anchors of the hanging in hand."""
        from wallwright.window.features.register_marks.dialog import LineUpDialog

        dialog = LineUpDialog(self.session, self.marks_in_hand(), self)
        dialog.exec()
        dialog.deleteLater()

    def next_hanging(self) -> None:
        """Takes the next hanging in hand, and selects it."""
        self.session.select(f"hanging:{(self.session.hanging + 1) % len(self.session.document.hangings)}")

    def calibrate(self) -> None:
        """Opens the guided calibration beside the window, once."""
        from wallwright.window.features.calibration.wizard import CalibrationWizard

        if self._calibration is None:
            self._calibration = CalibrationWizard(self.session, self.session.hanging, self)
            self._calibration.finished.connect(self._calibration_ended)
        self._calibration.show()
        self._calibration.raise_()

    def true_size(self) -> None:
        """A mm on the wall as a mm on this screen; says how sure that is."""
        self.canvas.actual_size()
        if screen_scale.measured(self.screen()) is None:
            self.statusBar().showMessage(
                tr("As large as the screen says it is; View, Measure this screen makes sure."), SAID_MS
            )

    def measure_screen(self) -> None:
        from wallwright.window.features.screen_scale.measure_dialog import MeasureScreen

        dialog = MeasureScreen(self)
        if dialog.exec():
            self.canvas.actual_size()
        dialog.deleteLater()

    def advise_anchors(self) -> None:
        """Shows the trade-off between places for the anchors."""
        from wallwright.window.features.anchor_advice.dialog import AnchorAdviceDialog

        dialog = AnchorAdviceDialog(self.session, self)
        dialog.exec()
        dialog.deleteLater()

    def _calibration_ended(self) -> None:
        self._calibration.deleteLater()
        self._calibration = None

    def _search_ended(self) -> None:
        tries = self.session.document.settings.order.tries
        told = tr("The search for the order ends after {0:,} tries from now on. Undo, or choose how long it searches, to "
                  "let it go on.", tries)  # fmt: skip
        self.statusBar().showMessage(told, TOLD_MS)

    def _exported(self, files: tuple[str, ...]) -> None:
        folder = Path(files[-1]).parent
        if (
            len({Path(f).parent for f in files}) > 1
        ):  # a folder for each hanging, the report of them all beside
            hangings = sorted({Path(f).parent.name for f in files if Path(f).parent != folder})
            text = tr("The wall is in {0}: {1}, and {2}. Each file was read back and compared.", folder,
                      ", ".join(hangings), Path(files[-1]).name)  # fmt: skip
            self.say(text, tuple(map(Path, files)))
            return
        names = [Path(f).name for f in files]
        own, sheet = (
            next(
                (n for n in names if Path(n).suffix == Path(name).suffix and n.startswith(Path(name).stem)),
                "",
            )
            for name in (file_for(self.session.document.machine.controller), SHEET)
        )  # of the rest of a job they have longer names
        self.say(
            tr("The job is in {0}. Run {1} on your machine; {2} says how to hang it. Each of the {3} files was read back "
               "and compared.", folder, own, sheet, len(files)),
            tuple(map(Path, files)),
        )  # fmt: skip

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self.replaced and not self.files.may_leave():
            event.ignore()
            return
        self.editing.abandon()
        self.files.keep_picture()
        self.autosave.close()
        self.file_watch.close()
        self.session.close()
        self.canvas.close_ink()
        if self.windows is not None:
            self.windows.closed(self)
        event.accept()
