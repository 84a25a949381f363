"""Starting the window."""

from __future__ import annotations

import logging
import sys
from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMessageBox

from app.document.document import Document
from app.document.log import log_file
from app.window.recovery import left_behind
from app.window.session import Session
from app.window.window import MainWindow


def start(paths: Sequence[str] = (), demo: bool = False, picture: str = "") -> int:
    """Opens the window and returns its exit code when it is closed. picture: a PNG file to paint the window into, once the
    job is planned, instead of showing it to a person."""
    application = QApplication.instance() or QApplication(sys.argv[:1])
    application.setApplicationName("Wallwright")
    application.setOrganizationName("Wallwright")
    window = MainWindow(Session(Document()), log_file())
    sys.excepthook = _reporter(window)
    if not picture:
        offer_recovery(window)
    if demo:
        window.files.demo()
    for path in paths:
        window.files.open_path(Path(path))
    window.show()
    if picture:
        _paint_when_planned(window, Path(picture))
    elif window.session.plan_is_stale:
        window.session.plan_now()
    return application.exec()


def offer_recovery(window: MainWindow) -> None:
    """Asks about work that a crash left behind; the newest is opened, or all is forgotten."""
    left = left_behind()
    if not left:
        return
    Button = QMessageBox.StandardButton
    answer = QMessageBox.question(
        window, window.tr("Unsaved work"),
        window.tr("Wallwright ended unexpectedly last time. Open the work that was not saved?"),
        Button.Open | Button.Discard, Button.Open,
    )  # fmt: skip
    if answer == Button.Open:
        window.session.load(left[0].document, left[0].path)
        window.session.saved = None
        window.session.document_changed.emit()
    for one in left:
        one.forget()


def _paint_when_planned(window: MainWindow, file: Path) -> None:
    session, timer = window.session, QTimer(window, interval=200)
    document = session.document

    def look() -> None:
        if session.reading or session.plan_is_stale or session.planning or not window.canvas.ink.is_complete:
            return
        timer.stop()
        if document.placements:
            session.select(f"placement:{document.placements[0].id}")
        x, y = document.hangings[0].datum
        window.canvas.show_machine((x + 250.0, y + 450.0))
        QApplication.processEvents()
        if not window.grab().save(str(file)):
            print(f"{file} could not be written; choose another folder.", file=sys.stderr)
        session.saved = session.document
        window.close()

    timer.timeout.connect(look)
    timer.start()


def _reporter(window: MainWindow):
    """Unexpected failures: the details go to the log file, the person gets one calm sentence, the document stays."""

    def report(kind, error, trace) -> None:
        logging.getLogger("wallwright").error("unexpected failure", exc_info=(kind, error, trace))
        window.say(
            window.tr("A fault in the program ({0}); its details are in the log file. Your project is untouched; "
                      "save it under a new name to be safe.").format(kind.__name__)
        )  # fmt: skip

    return report
