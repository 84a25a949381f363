"""Messages from the parts of a window to the person, shown by the shell. No widgets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import msgspec
from PySide6.QtCore import QObject, Signal

REMARK_MS = 8000
"""Time for which a remark stays in the status bar, ms."""


class Offer(msgspec.Struct, frozen=True):
    """A remedy offered as a button beside a sentence."""

    title: str
    help: str
    run: Callable[[], None]


class Messages(QObject):
    """Messages of one window."""

    new_message = Signal(str)
    """A sentence shown above the wall until it is closed or replaced."""
    new_file_message = Signal(str, tuple)
    """The same with the paths of files, which can be opened or handed on."""
    new_offer = Signal(str, object)
    """Emits a sentence with an Offer."""
    new_remark = Signal(str, int)
    """A sentence for the status bar and its duration, ms; 0: until the next one."""

    def say(self, sentence: str) -> None:
        """Shows a sentence, such as why something cannot be done."""
        self.new_message.emit(sentence)

    def say_with_offer(self, sentence: str, offer: Offer) -> None:
        """Shows a sentence with a button for a remedy."""
        self.new_offer.emit(sentence, offer)

    def say_files(self, sentence: str, files: Sequence[Path]) -> None:
        """Shows a sentence about files that were written."""
        self.new_file_message.emit(sentence, tuple(files))

    def remark(self, sentence: str, duration: int = REMARK_MS) -> None:
        """Shows a sentence in the status bar; "" clears it."""
        self.new_remark.emit(sentence, duration)
