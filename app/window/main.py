"""Starting the window."""

from __future__ import annotations

import logging
import sys
from collections.abc import Sequence
from pathlib import Path

from PySide6.QtWidgets import QApplication

from app.document.document import Document
from app.document.log import log_file
from app.window.session import Session
from app.window.window import MainWindow


def start(paths: Sequence[str] = (), demo: bool = False) -> int:
    """Opens the window and returns its exit code when it is closed."""
    application = QApplication.instance() or QApplication(sys.argv[:1])
    application.setApplicationName("Wallwright")
    application.setOrganizationName("Wallwright")
    window = MainWindow(Session(Document()), log_file())
    sys.excepthook = _reporter(window)
    if demo:
        window.files.demo()
    for path in paths:
        window.files.open_path(Path(path))
    window.show()
    if not demo and not paths:
        window.session.plan_now()
    return application.exec()


def _reporter(window: MainWindow):
    """Unexpected failures: the details go to the log file, the person gets one calm sentence, the document stays."""

    def report(kind, error, trace) -> None:
        logging.getLogger("wallwright").error("unexpected failure", exc_info=(kind, error, trace))
        window.say(
            window.tr("A fault in the program ({0}); its details are in the log file. Your project is untouched; "
                      "save it under a new name to be safe.").format(kind.__name__)
        )  # fmt: skip

    return report
