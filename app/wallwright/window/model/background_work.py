"""Work beside the window in a thread of its own that touches nothing of Qt: a failure of any kind becomes a sentence."""

from __future__ import annotations

import logging
import threading

from PySide6.QtCore import QObject, QTimer, Signal

from wallwright.document.errors import BadValue, UserError
from wallwright.document.language import tr

LOOK_EVERY_MS = 25


class BackgroundWork(QObject):
    """Runs work() once. When `finished` is emitted, in the GUI's thread, `trouble` says what went wrong, or is empty."""

    finished = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.trouble = ""
        # A daemon: what hangs, in a file on a drive that does not answer, never keeps the program from ending.
        self._thread = threading.Thread(target=self._run, name=f"work-{type(self).__name__}", daemon=True)
        self._look = QTimer(self, interval=LOOK_EVERY_MS)
        self._look.timeout.connect(self._look_whether_done)

    def work(self) -> None:
        """Stores what it finds in its own fields. It runs in the other thread and may raise anything."""
        raise NotImplementedError

    def start(self) -> None:
        self._thread.start()
        self._look.start()

    def abandon(self) -> None:
        """Nobody is interested in the result any more; it is not waited for."""
        self._look.stop()

    def _look_whether_done(self) -> None:
        if not self._thread.is_alive():
            self._look.stop()
            self.finished.emit()

    def _run(self) -> None:
        try:
            self.work()
        except BadValue as trouble:
            self.trouble = f"{trouble}."
        except UserError as trouble:
            self.trouble = str(trouble)
        except Exception as error:
            logging.getLogger("wallwright").exception("%s failed", type(self).__name__)
            self.trouble = tr(
                "Program error ({0}). Details are in the log file. Your project is unchanged.", type(error).__name__
            )
