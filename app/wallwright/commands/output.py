"""Output streams whose failures do not affect a command.

A closed pipe, a full disk or a character that the terminal lacks does not stop the command, and its exit code is the usual
one. Only when output could not be stored completely is the code LOST.
"""

from __future__ import annotations

import contextlib
import errno
import io
import os
import sys
from collections.abc import Callable, Iterator
from typing import TextIO, cast

LOST = 3
"""Exit code: the work was done, but not all output could be written."""


class Output(io.TextIOBase):
    """A text stream that records its first failure and discards all later output."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self.failure: OSError | None = None
        with contextlib.suppress(AttributeError, ValueError, OSError):
            # for ASCII terminals and undecodable file names
            cast("io.TextIOWrapper", stream).reconfigure(errors="backslashreplace")

    def write(self, text: str) -> int:
        self._try(lambda: self._stream.write(text))
        return len(text)

    def flush(self) -> None:
        self._try(self._stream.flush)

    def _try(self, action: Callable[[], object]) -> None:
        if self.failure is not None:
            return
        try:
            action()
        except OSError as failure:
            self.failure = failure
            self._discard_rest()
        except ValueError as closed:  # a standard stream closed before the start
            self.failure = OSError(errno.EPIPE, str(closed))

    def _discard_rest(self) -> None:
        """Discards the buffer; otherwise the interpreter would fail on it at exit, with another code."""
        with contextlib.suppress(OSError, ValueError, AttributeError):
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, self._stream.fileno())
            os.close(nowhere)
            self._stream.flush()

    @property
    def is_lost(self) -> bool:
        """Whether output was lost, other than by a reader that closed the pipe."""
        return self.failure is not None and self.failure.errno not in (errno.EPIPE, errno.EINVAL)

    def isatty(self) -> bool:
        try:
            return self._stream.isatty()
        except ValueError:  # closed
            return False

    def fileno(self) -> int:
        return self._stream.fileno()

    @property
    def encoding(self) -> str:  # type: ignore[override]  # typeshed has a plain attribute, io a property
        return self._stream.encoding


@contextlib.contextmanager
def safe_output() -> Iterator[tuple[Output, Output]]:
    """Replaces standard output and error by Outputs, which it yields."""
    out, error = (Output(stream or io.StringIO()) for stream in (sys.stdout, sys.stderr))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(error):
        try:
            yield out, error
        finally:
            out.flush()
            error.flush()
