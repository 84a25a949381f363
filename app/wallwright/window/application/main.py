"""Start of the desktop application."""

from __future__ import annotations

import gc
import logging
import os
import sys
import threading
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QEvent, QObject, QTimer, QtMsgType, Signal, qInstallMessageHandler
from PySide6.QtGui import QFileOpenEvent, QIcon, QPixmap
from PySide6.QtWidgets import QApplication

from wallwright.document.language import tr
from wallwright.document.log import log_file
from wallwright.document.project import SUFFIX
from wallwright.document.resources import resource
from wallwright.window.application.language_choice import apply_language
from wallwright.window.application.memory import give_back_large_blocks
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.application.windows import Windows, blank_models
from wallwright.window.model.items import PlacementItem
from wallwright.window.model.recovery import recoverable
from wallwright.window.shell.colour_scheme import apply_chosen_colours

WRONG_USE = 2
"""Exit code without a screen."""


def start(paths: Sequence[str] = (), demo: bool = False, picture: str = "") -> int:
    """Opens the window and returns its exit code when it is closed. picture: a PNG file to render the window to once the job
    is planned, instead of showing it."""
    give_back_large_blocks()
    application = QApplication.instance() or _application()
    application.setApplicationName("Wallwright")
    application.setOrganizationName("Wallwright")
    apply_language(application)
    if isinstance(application, QApplication):
        application.setDesktopFileName("wallwright")  # Wayland's source of the icon
        apply_chosen_colours(application)
        application.setWindowIcon(program_icon())
    windows, models = Windows(log_file()), blank_models()
    if isinstance(application, DesktopApplication):
        application.file_wanted.connect(windows.open_wanted)
    if demo or paths:
        models.planning.start_worker()  # starts while the window is being built
    window = windows.make(models)
    reporter = FaultReporter(windows)
    sys.excepthook = reporter.report
    threading.excepthook = lambda fault: reporter.report(fault.exc_type, fault.exc_value, fault.exc_traceback)
    if demo:
        window.files.demo()
    projects = [path for path in map(Path, paths) if path.suffix.lower() == SUFFIX]
    for path in map(Path, paths):
        if path in projects[1:]:
            windows.another(path)
        else:
            window.files.open_path(path)
    if not (demo or paths):
        window.parts.start.show()
    elif recoverable():
        window.models.messages.say(tr("There is unsaved work from last time. Choose “File › Start page”."))
    window.show()
    QTimer.singleShot(0, _collect)
    if picture:
        _paint_when_planned(window, Path(picture))
    elif window.models.planning.plan_is_stale and not window.parts.start.is_shown:
        window.models.planning.plan_now()
    return application.exec()


def _application() -> QApplication:
    """Returns the application. Without a screen Qt would abort(); exits with a sentence and WRONG_USE instead."""
    reasons: list[str] = []

    def report(kind: QtMsgType, _context: object, text: str) -> None:
        logging.getLogger("wallwright").info("Qt: %s", text)
        reasons.append(text.strip().splitlines()[0])
        if kind is not QtMsgType.QtFatalMsg:
            return
        sentence = tr(
            "The window cannot be opened: no usable screen was found ({0}). Start it in a desktop "
            "session, or use the other commands, which need no screen.",
            reasons[0],
        )
        print(f"wallwright window: {sentence}", file=sys.stderr, flush=True)
        logging.shutdown()
        os._exit(WRONG_USE)

    before = qInstallMessageHandler(report)
    try:
        return DesktopApplication(sys.argv[:1])
    finally:
        qInstallMessageHandler(before)


def _collect() -> None:
    """Enables the garbage collector, excluding the objects created at start-up."""
    gc.freeze()
    gc.enable()


def _paint_when_planned(window: ProjectWindow, file: Path) -> None:
    models, timer = window.models, QTimer(window, interval=200)

    def look() -> None:
        document = models.project.document
        if (
            models.imports.is_busy
            or not models.planning.plan_is_final
            or models.planning.is_planning
            or not window.canvas.ink.is_complete
        ):
            return
        timer.stop()
        if document.placements:
            models.selection.select(PlacementItem(document.placements[0].id))
        x, y = document.hangings[0].start_point
        window.canvas.show_machine((x + 250.0, y + 450.0))
        QApplication.processEvents()
        if not window.grab().save(str(file)):
            print(tr("{0} could not be written. Choose another folder.", file), file=sys.stderr)
        models.project.saved = models.project.document
        window.close()

    timer.timeout.connect(look)
    timer.start()


class DesktopApplication(QApplication):
    """The application; on macOS it also receives files opened from the desktop."""

    file_wanted = Signal(str)

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QFileOpenEvent):
            self.file_wanted.emit(event.file())
            return True
        return super().event(event)


def program_icon() -> QIcon:
    """Returns the icon of windows and the task bar."""
    picture = QPixmap()
    picture.loadFromData(resource("icons", "wallwright.png").read_bytes())
    return QIcon(picture)


class FaultReporter(QObject):
    """Reports unexpected failures: details go to the log file, the person gets one sentence, the document stays."""

    _failed = Signal(str)
    """Carries a failure from any thread to the GUI thread."""

    def __init__(self, windows: Windows) -> None:
        super().__init__()
        self._windows = windows
        self._failed.connect(self._say)

    def report(self, kind: type[BaseException], error: BaseException | None, trace: TracebackType | None) -> None:
        """Reports a failure; callable from any thread."""
        details = (kind, error, trace) if error is not None else None
        logging.getLogger("wallwright").error("unexpected failure: %s", kind.__name__, exc_info=details)
        self._failed.emit(kind.__name__)

    def _say(self, kind: str) -> None:
        if (window := self._windows.active) is None:
            return
        window.models.messages.say(
            tr(
                "Program error ({0}). Details are in the log file. Your project is unchanged; to be safe, save "
                "it under a new name.",
                kind,
            )
        )
