"""Starts the processes that plan and read beside the window.

Both are started in the same way; tests replace it by a faster one.
"""

from __future__ import annotations

import logging
import multiprocessing
import pickle
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

UNREADABLE = "unreadable"
"""Queue entry for an answer from another version of the program."""

CONTEXT = multiprocessing.get_context("spawn")
"""A new interpreter on every platform: a fork of the window would copy its threads and its connection to the screen."""


def start_worker(name: str, main: Callable[[Connection], None]) -> tuple[BaseProcess, Connection]:
    """Returns a process that runs main with one end of a pipe, and the other end. It ends with the program."""
    ours, theirs = CONTEXT.Pipe()
    process = CONTEXT.Process(target=main, args=(theirs,), name=name, daemon=True)
    process.start()
    theirs.close()
    return process, ours


class UnreadableAnswerError(Exception):
    """An answer from another version of the program, which was updated while this window was open."""


def unpacked(received: bytes) -> Any:
    """Returns what a process sent. Raises UnreadableAnswerError."""
    try:
        return pickle.loads(received)
    except Exception as error:  # unpickling may raise anything
        logging.getLogger("wallwright").exception("an answer could not be read")
        raise UnreadableAnswerError from error
