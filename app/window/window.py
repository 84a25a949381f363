"""The main window: canvas in the middle, contents and checks left, properties right, time strip below."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, QUrl
from PySide6.QtGui import QAction, QCloseEvent, QDesktopServices, QKeySequence
from PySide6.QtWidgets import (
    QComboBox,
    QDockWidget,
    QFrame,
    QHBoxLayout,
    QLabel,
    QMainWindow,
    QMessageBox,
    QProgressBar,
    QPushButton,
    QToolBar,
    QToolButton,
    QVBoxLayout,
    QWidget,
)  # fmt: skip

from app.document import edits
from app.document.errors import BadValue
from app.document.wall import KeepOut
from app.statics.layer_names import LAYER_TITLES
from app.window import remedies
from app.window.actions import ACTIONS, MENUS, translated
from app.window.canvas.canvas import Canvas
from app.window.files import Files
from app.window.mending import Mending
from app.window.panels.checks_panel import ChecksPanel
from app.window.panels.contents import Contents
from app.window.panels.inspector import Inspector
from app.window.panels.time_strip import TimeStrip
from app.window.recovery import Autosave
from app.window.session import Session

if TYPE_CHECKING:
    from app.window.calibration.wizard import CalibrationWizard


class MainWindow(QMainWindow):
    """One window on one document."""

    def __init__(self, session: Session, log_file: Path | None = None) -> None:
        super().__init__()
        self.session, self._log_file = session, log_file
        session.setParent(self)
        self.files = Files(self)
        self.autosave = Autosave(session)
        self._mending: Mending | None = None
        self._calibration: CalibrationWizard | None = None
        self.canvas = Canvas(session)
        self.strip = TimeStrip(session)
        self.setCentralWidget(self._middle())
        self.setDockOptions(QMainWindow.DockOption.AnimatedDocks)
        upper = self._dock(self.tr("Contents"), Contents(session), Qt.DockWidgetArea.LeftDockWidgetArea, 230)
        titles = {
            "move-in": self.tr("Move in"), "shrink": self.tr("Shrink to fit"), "clip": self.tr("Clip"),
            "override": self.tr("Override"), "advise-anchors": self.tr("Better anchors"),
            "calibrate": self.tr("Calibrate …"),
        }  # fmt: skip
        self.checks = ChecksPanel(session, titles)
        lower = self._dock(self.tr("Checks"), self.checks, Qt.DockWidgetArea.LeftDockWidgetArea, 230)
        self._dock(self.tr("Properties"), Inspector(session), Qt.DockWidgetArea.RightDockWidgetArea, 300)
        self.actions_by_id: dict[str, QAction] = {}
        self._make_actions()
        self._status()
        self.checks.show_place.connect(self.canvas.look_at)
        self.checks.remedy.connect(self.mend)
        self.strip.moved.connect(self._moment)
        self.canvas.hovered.connect(self._position.setText)
        session.trouble.connect(self.say)
        session.progress_changed.connect(self._progress)
        session.exported.connect(self._exported)
        for signal in (
            session.document_changed,
            session.selection_changed,
            session.plan_changed,
            session.file_changed,
        ):
            signal.connect(self._refresh)
        self.resize(QSize(1360, 860))
        self.resizeDocks([upper, lower], [260, 440], Qt.Orientation.Vertical)
        self._refresh()

    # Parts.

    def _middle(self) -> QWidget:
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self._bar = QFrame()
        self._bar.setAutoFillBackground(True)
        self._bar.setFrameShape(QFrame.Shape.StyledPanel)
        line = QHBoxLayout(self._bar)
        line.setContentsMargins(10, 4, 6, 4)
        self._sentence = QLabel()
        self._sentence.setWordWrap(True)
        self._sentence.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        close = QToolButton()
        close.setText("✕")
        close.setAutoRaise(True)
        close.setAccessibleName(self.tr("Close this message"))
        close.clicked.connect(self._bar.hide)
        self._open_folder = QPushButton(self.tr("Open the folder"))
        self._open_folder.clicked.connect(
            lambda: QDesktopServices.openUrl(QUrl.fromLocalFile(str(self._folder_to_open)))
        )
        line.addWidget(self._sentence, 1)
        line.addWidget(self._open_folder)
        line.addWidget(close)
        self._bar.hide()
        column.addWidget(self._bar)
        column.addWidget(self.canvas, 1)
        column.addWidget(self.strip)
        return page

    def _dock(self, title: str, widget: QWidget, area: Qt.DockWidgetArea, width: int) -> QDockWidget:
        dock = QDockWidget(title)
        dock.setObjectName(title)
        dock.setFeatures(QDockWidget.DockWidgetFeature.DockWidgetMovable)
        dock.setWidget(widget)
        widget.setMinimumWidth(width)
        self.addDockWidget(area, dock)
        return dock

    def _make_actions(self) -> None:
        bar = QToolBar(self.tr("Tools"))
        bar.setObjectName("tools")
        bar.setMovable(False)
        bar.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        menus = {name: self.menuBar().addMenu(translated(name)) for name in MENUS}
        for declared in ACTIONS:
            title, help = translated(declared.title), translated(declared.help)
            action = QAction(title, self)
            if declared.icon is not None:
                action.setIcon(self.style().standardIcon(declared.icon))
            if declared.shortcut is not None:
                action.setShortcut(QKeySequence(declared.shortcut))
            keys = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
            action.setToolTip(f"{help} {keys}".strip())
            action.setStatusTip(help)
            action.setWhatsThis(help)
            action.triggered.connect(lambda _=False, d=declared: d.run(self))
            self.actions_by_id[declared.id] = action
            menus[declared.menu].addAction(action)
            if declared.in_tool_bar:
                bar.addAction(action)
            if declared.id == "open":
                self._recent_menu = menus["File"].addMenu(self.tr("Open &recent"))
                self._recent_menu.aboutToShow.connect(self._fill_recent)
        bar.addSeparator()
        zone = QComboBox()
        zone.setAccessibleName(self.tr("Draw zone shows"))
        zone.setToolTip(self.tr("What the colours of the draw zone show"))
        zone.addItem(self.tr("No draw zone"), "")
        for name, title in LAYER_TITLES.items():
            zone.addItem(title, name)
        zone.setCurrentIndex(1)
        zone.activated.connect(lambda: self._choose_layer(zone.currentData()))
        bar.addWidget(QLabel(self.tr("Draw zone:") + " "))
        bar.addWidget(zone)
        self.addToolBar(bar)

    def _status(self) -> None:
        self._position = QLabel()
        self._stage = QLabel()
        self._done = QProgressBar()
        self._done.setRange(0, 1000)
        self._done.setMaximumWidth(160)
        self._done.setTextVisible(False)
        self._done.setAccessibleName(self.tr("Progress of planning"))
        self._stop = QPushButton(self.tr("Cancel"))
        self._stop.clicked.connect(self.session.cancel)
        self.statusBar().addWidget(self._position)
        for widget in (self._stage, self._done, self._stop):
            self.statusBar().addPermanentWidget(widget)
            widget.hide()

    # What changes.

    def _refresh(self) -> None:
        for declared in ACTIONS:
            self.actions_by_id[declared.id].setEnabled(declared.enabled(self))
        history = self.session.history
        for name, steps, word in (
            ("undo", history.past, self.tr("Undo")),
            ("redo", history.future, self.tr("Redo")),
        ):
            title = f"{word}: {steps[-1][0]}" if steps else word
            self.actions_by_id[name].setText(word)
            self.actions_by_id[name].setToolTip(title)
        self.setWindowTitle(f"{self.session.name}[*] – Wallwright")
        self.setWindowModified(self.session.dirty)

    def _progress(self, stage: str, done: float) -> None:
        titles = {
            "read": self.tr("Reading artwork"), "strokes": self.tr("Making strokes"), "zone": self.tr("Checking the zone"),
            "order": self.tr("Ordering strokes"), "motion": self.tr("Timing the motion"), "write": self.tr("Writing files"),
        }  # fmt: skip
        busy = bool(stage)
        for widget in (self._stage, self._done, self._stop):
            widget.setVisible(busy)
        self._stage.setText(titles.get(stage, stage))
        self._done.setValue(round(1000 * done))
        self.actions_by_id["cancel"].setEnabled(busy)

    def _moment(self, moment: tuple | None) -> None:
        if moment is None:
            self.canvas.show_planned(None)
            self.canvas.show_machine(None)
            return
        x, y, done, share = moment
        self.canvas.show_planned((done, share))
        self.canvas.show_machine((x, y))

    def _choose_layer(self, name: str) -> None:
        self.canvas.set_zone_shown(bool(name))
        if name:
            self.canvas.set_layer(name)

    def say(self, sentence: str, folder: Path | None = None) -> None:
        """Shows a sentence above the canvas; it stays until closed or replaced."""
        self._sentence.setText(sentence)
        self._folder_to_open = folder
        self._open_folder.setVisible(folder is not None)
        self._bar.show()

    # What actions do.

    def mend(self, remedy: str) -> None:
        """Carries out a remedy of a check; what takes long is computed beside the window."""
        if remedy == "calibrate":
            self.calibrate()
            return
        long = {
            "move-in": (self.tr("Move in"), remedies.moved_in),
            "shrink": (self.tr("Shrink to fit"), remedies.shrunk),
            "advise-anchors": (self.tr("Better anchors"), remedies.anchors_advised),
        }
        if remedy not in long:
            self.session.set_field(
                self.tr("Outside the zone: {0}").format(remedy), "settings.outside", remedy
            )
        elif self._mending is None:
            title, function = long[remedy]
            self._mending = Mending(title, function, self.session.document, self)
            self._mending.finished.connect(self._mended)
            self.statusBar().showMessage(self.tr("{0} …").format(title))
            self._mending.start()

    def _mended(self) -> None:
        mending, self._mending = self._mending, None
        self.statusBar().clearMessage()
        if mending.trouble:
            self.say(mending.trouble)
        elif (
            mending.before is self.session.document
        ):  # else the person has gone on, and it answers an old question
            self.session.edit(mending.title, mending.after)
            self.canvas.fit()
        mending.deleteLater()

    def duplicate(self) -> None:
        if self.session.placement_id:
            document, placed = edits.duplicate_placement(self.session.document, self.session.placement_id)
            if self.session.edit(self.tr("Duplicate"), document):
                self.session.select(f"placement:{placed.id}")

    def remove(self) -> None:
        kind, _, name = self.session.selection.partition(":")
        try:
            if kind == "placement":
                self.session.edit(self.tr("Remove"), edits.remove_placement(self.session.document, name))
            elif kind == "keepout":
                self.session.edit(
                    self.tr("Remove a keep-out"), edits.remove_keep_out(self.session.document, int(name))
                )
            elif kind == "pen":
                self.session.edit(self.tr("Remove a pen"), edits.remove_pen(self.session.document, name))
        except BadValue as trouble:
            self.say(f"{trouble}.")

    def add_pen(self) -> None:
        document, pen = edits.add_pen(self.session.document, self.tr("New pen"), "#2f7d4f", 2.0)
        if self.session.edit(self.tr("Add a pen"), document):
            self.session.select(f"pen:{pen.id}")

    def pens_for_colours(self) -> None:
        """A pen for each colour of the artwork that no pen has."""
        from app.artwork.colour import name_of

        document = self.session.document
        have = {p.colour for p in document.pens}
        width = document.pens[0].width
        for report in self.session.preview.reports if self.session.preview else ():
            for use in report.colours:
                if use.colour not in have and use.colour != "#ffffff":
                    have.add(use.colour)
                    document, _ = edits.add_pen(document, name_of(use.colour), use.colour, width)
        self.session.edit(self.tr("Pens for the colours"), document)

    def add_keep_out(self) -> None:
        wall = self.session.document.wall
        x, y = wall.left + wall.width / 2, wall.top + 0.8 * wall.height
        outline = ((x - 200, y - 200), (x + 200, y - 200), (x + 200, y + 200), (x - 200, y + 200))
        keep_outs = (*wall.keep_outs, KeepOut(self.tr("Keep-out"), outline))
        self.session.set_field(self.tr("Add a keep-out"), "wall.keep_outs", keep_outs)
        self.session.select(f"keepout:{len(keep_outs) - 1}")

    def export(self) -> None:
        from app.window.export_dialog import ExportDialog, proposed_folder

        dialog = ExportDialog(proposed_folder(self.session.path), self)
        if dialog.exec():
            self.session.export(str(dialog.folder))

    def calibrate(self) -> None:
        """Opens the guided calibration beside the window, once."""
        from app.window.calibration.wizard import CalibrationWizard

        if self._calibration is None:
            self._calibration = CalibrationWizard(self.session, self._hanging_shown(), self)
            self._calibration.finished.connect(self._calibration_ended)
        self._calibration.show()
        self._calibration.raise_()

    def advise_anchors(self) -> None:
        """Shows the trade-off between places for the anchors."""
        from app.window.advice.dialog import AdviceDialog

        dialog = AdviceDialog(self.session, self)
        dialog.exec()
        dialog.deleteLater()

    def _hanging_shown(self) -> int:
        kind, _, number = self.session.selection.partition(":")
        return int(number) if kind == "hanging" else 0

    def _calibration_ended(self) -> None:
        self._calibration.deleteLater()
        self._calibration = None

    def _exported(self, files: tuple[str, ...]) -> None:
        folder = Path(files[0]).parent
        names = ", ".join(Path(f).name for f in files)
        self.say(
            self.tr("The job is in {0}: {1}. Each file was read back and compared.").format(folder, names),
            folder,
        )

    def show_shortcuts(self) -> None:
        rows = "".join(
            f"<tr><td>{translated(d.title).replace('&', '')}&nbsp;&nbsp;</td>"
            f"<td><b>{self.actions_by_id[d.id].shortcut().toString(QKeySequence.SequenceFormat.NativeText)}</b>&nbsp;&nbsp;"
            f"</td><td>{translated(d.help)}</td></tr>"
            for d in ACTIONS
        )
        QMessageBox.information(self, self.tr("Shortcuts"), f"<table>{rows}</table>")

    def show_cautions(self) -> None:
        from app.jobs.sheet.cautions import CAUTIONS

        items = "".join(f"<li>{caution}</li>" for caution in CAUTIONS)
        QMessageBox.information(self, self.tr("Cautions"), f"<ul>{items}</ul>")

    def show_about(self) -> None:
        from app import __version__

        text = self.tr("Wallwright {0}").format(__version__)
        if self._log_file is not None:
            text += "<br>" + self.tr("Log file: {0}").format(self._log_file)
        QMessageBox.about(self, self.tr("About Wallwright"), text)

    def _fill_recent(self) -> None:
        self._recent_menu.clear()
        for path in self.files.recent():
            self._recent_menu.addAction(
                path.name, lambda p=path: self.files.may_leave() and self.files.open_path(p)
            )
        if self._recent_menu.isEmpty():
            self._recent_menu.addAction(self.tr("None yet")).setEnabled(False)

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self.files.may_leave():
            event.ignore()
            return
        if self._mending is not None:
            self._mending.wait()
        self.autosave.close()
        self.session.close()
        self.canvas.close_ink()
        event.accept()
