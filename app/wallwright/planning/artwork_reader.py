"""Reads artwork, projects and photos in another process, so that the window never waits.

One process handles one request after the other; a thread communicates with it. Cancelling ends the process, because nothing
else stops reading a file on an unresponsive network drive. An unexpected failure comes back as a sentence, with its
traceback in the log; a process that dies loses only its current request.
"""

from __future__ import annotations

import logging
import pickle
import queue
import threading
import time
import traceback
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

import msgspec

from wallwright.document.errors import UserError
from wallwright.document.language import Language, current_language, set_language, tr
from wallwright.document.reading_limits import TooCostly
from wallwright.planning.file_reading import Found, ProjectSource, Source, read_source
from wallwright.planning.program_change import is_program_changed, program_changed_sentence
from wallwright.planning.worker_process import UNREADABLE, UnreadableAnswerError, start_worker, unpacked

STOP = "stop"
PROGRESS_EVERY = 0.05
"""Time between two progress messages, s."""


class ReadingProgress(msgspec.Struct, frozen=True):
    """Progress of a request."""

    id: int
    name: str
    done: float
    """0 to 1, of this artwork."""


class CostlySource(msgspec.Struct, frozen=True):
    """A source that is read only if the user accepts the cost."""

    source: Source
    question: str
    """Question that states the cost."""


class ReadingResult(msgspec.Struct, frozen=True):
    """The answer to a request: what could be read, and sentences about everything else."""

    id: int
    found: tuple[Found, ...] = ()
    trouble: tuple[str, ...] = ()
    costly: tuple[CostlySource, ...] = ()


class _Request(msgspec.Struct, frozen=True):
    id: int
    sources: tuple[Source, ...]
    language: Language


class _Item(msgspec.Struct, frozen=True):
    """Something that could be read; its files follow as raw bytes."""

    found: Found
    files: int


class _Failure(msgspec.Struct, frozen=True):
    """An unexpected failure, for the log."""

    name: str
    details: str


class ArtworkReader:
    """The reading process and its pending requests. All methods are for one thread and return at once."""

    def __init__(self, notify: Callable[[], None] | None = None) -> None:
        """notify is called, from another thread, whenever poll() has something new."""
        self._notify = notify or (lambda: None)
        self._inbox: queue.SimpleQueue[Any] = queue.SimpleQueue()
        self._pending: dict[int, _Request] = {}
        self._last_id = 0
        self._generation = 0
        self._process: BaseProcess | None = None
        self._ending: list[threading.Thread] = []

    @property
    def pending(self) -> tuple[int, ...]:
        """Requests without an answer yet, oldest first."""
        return tuple(self._pending)

    def sources_of(self, request: int) -> tuple[Source, ...]:
        """Returns the sources of a pending request."""
        return self._pending[request].sources

    def submit(self, sources: tuple[Source, ...]) -> int:
        """Requests files to be read; returns the number of the request."""
        self._last_id += 1
        request = _Request(self._last_id, sources, current_language())
        self._pending[request.id] = request
        if self._process is None:
            self._start()
        self._outbox.put(request)
        return request.id

    def cancel(self) -> None:
        """Cancels all requests; no answer to them will come."""
        if self._pending:
            self._pending.clear()
            self._end()

    def poll(self) -> list[ReadingProgress | ReadingResult]:
        """Returns what has arrived since the last call, oldest first."""
        found: list[ReadingProgress | ReadingResult] = []
        while True:
            try:
                generation, message = self._inbox.get_nowait()
            except queue.Empty:
                return found
            if generation != self._generation:
                continue
            if message is None or message is UNREADABLE:
                found += self._after_crash(is_changed=message is UNREADABLE or is_program_changed())
            elif message.id in self._pending:
                if isinstance(message, ReadingResult):
                    del self._pending[message.id]
                found.append(message)

    def close(self) -> None:
        """Ends the process. Never waits longer than a moment, whatever it is blocked by."""
        self._pending.clear()
        self._end()
        deadline = time.monotonic() + 1.0
        for thread in self._ending:
            thread.join(max(0.0, deadline - time.monotonic()))

    def _start(self) -> None:
        self._generation += 1
        self._process, self._connection = start_worker("wallwright-reader", work)
        self._outbox: queue.SimpleQueue[_Request | str] = queue.SimpleQueue()
        talk = (self._connection, self._outbox, self._inbox, self._generation, self._notify)
        self._thread = threading.Thread(target=_talk, args=talk, name="reader-talk", daemon=True)
        self._thread.start()

    def _end(self) -> None:
        if self._process is None:
            return
        self._generation += 1
        self._outbox.put(STOP)
        self._process.kill()
        ending = threading.Thread(
            target=_end, args=(self._process, self._thread, self._connection), name="reader-end", daemon=True
        )
        ending.start()
        self._ending = [t for t in self._ending if t.is_alive()] + [ending]
        self._process = None

    def _after_crash(self, is_changed: bool) -> list[ReadingResult]:
        """Handle a dead process: its current request failed, later ones are submitted again. is_changed: the program's
        files were changed."""
        self._end()
        if not self._pending:
            return []
        failed, *waiting = self._pending.values()
        del self._pending[failed.id]
        if waiting:
            self._start()
            for request in waiting:
                self._outbox.put(request)
        names = ", ".join(s.name for s in failed.sources)
        text = tr(
            "Reading {0} failed because of a program error, or because it needs too much memory. Your "
            "project is unchanged. Simplify the file in the program it was made with.",
            names,
        )
        return [ReadingResult(failed.id, trouble=(program_changed_sentence() if is_changed else text,))]


def _end(process: BaseProcess, thread: threading.Thread, connection: Connection) -> None:
    process.join()
    thread.join()
    connection.close()
    process.close()


def _talk(
    connection: Connection,
    outbox: queue.SimpleQueue[Any],
    inbox: queue.SimpleQueue[Any],
    generation: int,
    notify: Callable[[], None],
) -> None:
    """Send one request after the other and receive the answers; files travel as raw bytes, not copied by pickle."""
    try:
        while (request := outbox.get()) != STOP:
            connection.send(request)
            items: list[Found] = []
            message = None
            while not isinstance(message, ReadingResult):
                message = unpacked(connection.recv_bytes())
                if isinstance(message, _Failure):
                    log = logging.getLogger("wallwright.reader")
                    log.error("reading %s failed\n%s", message.name, message.details)
                elif isinstance(message, _Item):
                    files = tuple(connection.recv_bytes() for _ in range(message.files))
                    items.append(message.found.with_files(files))
                else:
                    if isinstance(message, ReadingResult):
                        message = msgspec.structs.replace(message, found=tuple(items))
                    inbox.put((generation, message))
                    notify()
    except (EOFError, OSError, TypeError):  # TypeError: the handle was closed while waiting on it
        inbox.put((generation, None))
        notify()
    except UnreadableAnswerError:
        inbox.put((generation, UNREADABLE))
        notify()


def work(connection: Connection) -> None:
    """Main function of the reading process."""
    while True:
        try:
            request = connection.recv()
        except (EOFError, OSError):  # the window has ended: so does this process
            return
        set_language(request.language)
        _answer(connection, request)


def _answer(connection: Connection, request: _Request) -> None:
    trouble: list[str] = []
    costly: list[CostlySource] = []
    for source in request.sources:
        last = [0.0]

        def progress(done: float, source: Source = source, last: list[float] = last) -> None:
            now = time.monotonic()
            if now - last[0] >= PROGRESS_EVERY:
                last[0] = now
                _send(connection, ReadingProgress(request.id, source.name, done))

        progress(0.0)
        try:
            found = read_source(source, progress)
        except TooCostly as error:
            if error.can_be_agreed and not source.read_anyway and not isinstance(source, ProjectSource):
                costly.append(CostlySource(source, error.question))
            else:
                trouble.append(error.question)
        except UserError as sentence:
            trouble.append(str(sentence))
        except Exception as error:
            _send(connection, _Failure(source.name, traceback.format_exc()))
            trouble.append(
                tr(
                    "{0} cannot be read because of a program error ({1}). Details are in the log file. Your "
                    "project is unchanged.",
                    source.name,
                    type(error).__name__,
                )
            )
        else:
            files = found.files()
            _send(connection, _Item(found.with_files(()), len(files)))
            for data in files:
                connection.send_bytes(data)
    _send(connection, ReadingResult(request.id, trouble=tuple(trouble), costly=tuple(costly)))


def _send(connection: Connection, message: object) -> None:
    connection.send_bytes(pickle.dumps(message))
