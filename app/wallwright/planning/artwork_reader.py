"""Reads artwork in another process, for whoever must not wait: the window.

One process reads what is asked, one request after the other; a thread talks to it. Cancelling ends the process, for
nothing else ends the reading of a file on a network drive that does not answer. A failure that nobody expected comes
back as a sentence, its traceback in the log; a process that dies costs its request only.
"""

from __future__ import annotations

import dataclasses
import logging
import multiprocessing
import pickle
import queue
import threading
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

from wallwright.document.errors import UserError
from wallwright.document.language import Language, current_language, set_language, tr
from wallwright.document.whole_file import read_whole_file

STOP = "stop"
PROGRESS_EVERY = 0.05
"""s between two progress messages."""
MOST_MEMORY = 1 << 30
"""Bytes of its own that the reading process may take, where the system can limit them. What is read is judged before
that; this is for what was not thought of."""
COARSE = 5.0
"""Flatness, mm: only whether an artwork can be read, and how large it is; the planner reads it finely."""


@dataclass(frozen=True)
class ArtworkSource:
    """Something to be read: what a file or the clipboard holds."""

    name: str
    data: bytes | None = None
    """None: what is in the file."""
    path: Path | None = None
    media: str = ""
    """Its kind; "": to be seen from the content."""

    @staticmethod
    def file(path: Path) -> ArtworkSource:
        return ArtworkSource(path.name, path=path)


@dataclass(frozen=True)
class ReadArtwork:
    """One artwork that can be read."""

    name: str
    media: str
    data: bytes
    natural: tuple[float, float]
    """Its size, mm."""


@dataclass(frozen=True)
class ReadingProgress:
    """How far a request is."""

    id: int
    name: str
    done: float
    """0 to 1, of this artwork."""


@dataclass(frozen=True)
class ReadingResult:
    """The answer to a request: what could be read, and sentences about the rest."""

    id: int
    artworks: tuple[ReadArtwork, ...] = ()
    trouble: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Request:
    id: int
    sources: tuple[ArtworkSource, ...]
    language: Language


@dataclass(frozen=True)
class _Failure:
    """For the log: what nobody expected."""

    name: str
    details: str


class ArtworkReader:
    """The reading process and what was asked of it. All methods are for one thread and return at once."""

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

    def sources_of(self, request: int) -> tuple[ArtworkSource, ...]:
        """What a request without an answer asked for."""
        return self._pending[request].sources

    def submit(self, sources: tuple[ArtworkSource, ...]) -> int:
        """Asks for artwork to be read; the number of the request."""
        self._last_id += 1
        request = _Request(self._last_id, sources, current_language())
        self._pending[request.id] = request
        if self._process is None:
            self._start()
        self._outbox.put(request)
        return request.id

    def cancel(self) -> None:
        """Gives up all requests; no answer to them will come."""
        if self._pending:
            self._pending.clear()
            self._end()

    def poll(self) -> list[ReadingProgress | ReadingResult]:
        """What has come since the last call, oldest first."""
        found: list[ReadingProgress | ReadingResult] = []
        while True:
            try:
                generation, message = self._inbox.get_nowait()
            except queue.Empty:
                return found
            if generation != self._generation:
                continue
            if message is None:
                found += self._after_crash()
            elif message.id in self._pending:
                if isinstance(message, ReadingResult):
                    del self._pending[message.id]
                found.append(message)

    def close(self) -> None:
        """Ends the process. It is not waited for longer than a moment, whatever it hangs in."""
        self._pending.clear()
        self._end()
        deadline = time.monotonic() + 1.0
        for thread in self._ending:
            thread.join(max(0.0, deadline - time.monotonic()))

    def _start(self) -> None:
        self._generation += 1
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        self._process = context.Process(target=work, args=(theirs,), name="wallwright-reader", daemon=True)
        self._process.start()
        theirs.close()
        self._connection = ours
        self._outbox: queue.SimpleQueue[_Request | str] = queue.SimpleQueue()
        talk = (ours, self._outbox, self._inbox, self._generation, self._notify)
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

    def _after_crash(self) -> list[ReadingResult]:
        """The process is gone: the request it worked on failed, those after it are asked again."""
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
        text = tr("Reading {0} ended in a fault of the program, or it takes more memory than there is. Your project is "
                  "untouched. Simplify the file in the program it comes from.", names)  # fmt: skip
        return [ReadingResult(failed.id, trouble=(text,))]


def _end(process: BaseProcess, thread: threading.Thread, connection: Connection) -> None:
    process.join()
    thread.join()
    connection.close()
    process.close()


def _talk(
    connection: Connection, outbox: queue.SimpleQueue[Any], inbox: queue.SimpleQueue[Any], generation: int,
    notify: Callable[[], None],
) -> None:  # fmt: skip
    """Sends one request after the other and receives what comes back; files travel as they are, not copied by pickle."""
    try:
        while (request := outbox.get()) != STOP:
            connection.send(request)
            artworks: list[ReadArtwork] = []
            message = None
            while not isinstance(message, ReadingResult):
                message = pickle.loads(connection.recv_bytes())
                if isinstance(message, _Failure):
                    log = logging.getLogger("wallwright.reader")
                    log.error("reading %s failed\n%s", message.name, message.details)
                elif isinstance(message, ReadArtwork):
                    artworks.append(dataclasses.replace(message, data=connection.recv_bytes()))
                else:
                    if isinstance(message, ReadingResult):
                        message = dataclasses.replace(message, artworks=tuple(artworks))
                    inbox.put((generation, message))
                    notify()
    except (EOFError, OSError, TypeError):  # TypeError: the handle was closed while waiting on it
        inbox.put((generation, None))
        notify()


def work(connection: Connection) -> None:
    """Main function of the reading process."""
    _limit_memory()
    while True:
        try:
            request = connection.recv()
        except (EOFError, OSError):  # the window is gone: so are we
            return
        set_language(request.language)
        _answer(connection, request)


def _answer(connection: Connection, request: _Request) -> None:
    trouble: list[str] = []
    for source in request.sources:
        last = [0.0]

        def progress(done: float, source: ArtworkSource = source, last: list[float] = last) -> None:
            now = time.monotonic()
            if now - last[0] >= PROGRESS_EVERY:
                last[0] = now
                _send(connection, ReadingProgress(request.id, source.name, done))

        progress(0.0)
        try:
            artwork = read_source(source, progress)
        except UserError as sentence:
            trouble.append(str(sentence))
        except MemoryError:
            trouble.append(too_much_memory(source.name))
        except Exception as error:
            _send(connection, _Failure(source.name, traceback.format_exc()))
            trouble.append(
                tr("{0} cannot be read: a fault in the program ({1}); its details are in the log file. Your project is "
                   "untouched.", source.name, type(error).__name__)
            )  # fmt: skip
        else:
            _send(connection, dataclasses.replace(artwork, data=b""))
            connection.send_bytes(artwork.data)
    _send(connection, ReadingResult(request.id, trouble=tuple(trouble)))


def _send(connection: Connection, message: object) -> None:
    connection.send_bytes(pickle.dumps(message))


def read_source(source: ArtworkSource, progress: Callable[[float], None]) -> ReadArtwork:
    """Reads one artwork, with the pictures it links to. Raises BadFile with a sentence."""
    from wallwright.artwork.artwork_reader import read_artwork
    from wallwright.artwork.media import SVG, media_of
    from wallwright.artwork.svg.embed_links import embed_pictures

    data = source.data if source.data is not None else read_whole_file(_path_of(source), source.name)
    media = source.media or media_of(data, source.name)
    if media == SVG and source.path is not None:
        data = embed_pictures(data, source.name, source.path.parent)
    drawing = read_artwork(data, media, source.name, COARSE, progress)
    return ReadArtwork(source.name, media, data, (drawing.width, drawing.height))


def _path_of(source: ArtworkSource) -> Path:
    assert source.path is not None, "a source has a file or its data"
    return source.path


def too_much_memory(name: str) -> str:
    """The sentence for a file that takes more memory than it may."""
    return tr("{0} takes more memory to read than it may have ({1:,} MB). Simplify it in the program it comes from.",
              name, MOST_MEMORY >> 20)  # fmt: skip


def _limit_memory() -> None:
    try:
        import resource  # not on Windows
    except ImportError:
        return
    limit = getattr(resource, "RLIMIT_DATA", None)
    if limit is not None:
        _, hard = resource.getrlimit(limit)
        resource.setrlimit(limit, (MOST_MEMORY if hard < 0 else min(MOST_MEMORY, hard), hard))
