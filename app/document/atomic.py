"""Writing files so that no half file ever stands where a whole one is expected."""

from __future__ import annotations

import contextlib
import glob
import os
import tempfile
import time
from pathlib import Path

from app.document.errors import BadFile
from app.document.language import tr

HALF = ".part"
"""Ending of a file while it is written."""
LIVING_S = 60.0
"""A half file this old is nobody's work any more."""


def write_atomic(path: Path, data: bytes) -> None:
    """Writes the whole file or leaves what stood there before. Raises BadFile with a sentence."""
    path = Path(path)
    temporary = None
    drop_halves(path)
    try:
        with tempfile.NamedTemporaryFile(
            dir=path.parent, prefix=f".{path.name}.", suffix=HALF, delete=False
        ) as file:
            temporary = file.name
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, _usual_mode(path))
        os.replace(temporary, path)
        temporary = None
    except OSError as error:
        raise BadFile(
            tr(
                "{0} could not be written ({1}). What was there before is unchanged; choose another "
                "folder or free some space.",
                path,
                why(error),
            )
        ) from error
    finally:
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)


def drop_halves(path: Path) -> None:
    """Removes what a process killed in the middle of writing this file left beside it."""
    with contextlib.suppress(OSError):  # tidying only: where it fails, the writing itself will say why
        for half in path.parent.glob(f".{glob.escape(path.name)}.*{HALF}"):
            if time.time() - half.stat().st_mtime > LIVING_S:
                half.unlink()


def _usual_mode(path: Path) -> int:
    """The mode of the file being replaced, else what a plainly created file would get."""
    try:
        return path.stat().st_mode & 0o777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def why(error: OSError) -> str:
    """The system's own words for a failure, without its number."""
    return (error.strerror or str(error)).lower()
