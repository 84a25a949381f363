"""Background work in a separate thread that does not use Qt; any failure becomes a sentence."""

from __future__ import annotations

import logging
import threading

from PySide6.QtCore import QObject, QTimer, Signal

from wallwright.document.errors import BadValue, UserError
from wallwright.document.language import tr

LOOK_EVERY_MS = 25


class BackgroundWork(QObject):
    """Runs work() once, then emits `finished` in the GUI thread; `trouble` describes a failure, or is empty."""

    finished = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.trouble = ""
        # A daemon, so that work that hangs, as on an unresponsive drive, cannot block the program's exit.
        self._thread = threading.Thread(target=self._run, name=f"work-{type(self).__name__}", daemon=True)
        self._look = QTimer(self, interval=LOOK_EVERY_MS)
        self._look.timeout.connect(self._look_whether_done)

    def work(self) -> None:
        """Stores its results in its own attributes. Runs in the other thread and may raise any exception."""
        raise NotImplementedError

    def start(self) -> None:
        self._thread.start()
        self._look.start()

    def abandon(self) -> None:
        """Drops the result, without waiting for the thread."""
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
