"""Transactional export: a job's files enter a folder all together or not at all, even if the process is killed.

    stage     .wallwright-stage-*    a hidden folder in the target: files are written, read back and compared there
    pending   unfinished-export      the stage under its final name: this rename commits the export
    old       unfinished-export/old  files of an earlier job, moved out of the target before the first new one goes in

A process that ends before the rename leaves the old job unchanged and a stage, which is removed later. After the rename
all new files are on the disk; `finish` completes the export: it moves all old files out, then all new ones in. So the
target holds files of the old job, or of the new one, or none; never of both. Its other files are not touched.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

import msgspec

from wallwright.document.atomic_write import note_finished, os_reason, sync_folder
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.locks import free, lock_name, try_lock
from wallwright.document.whole_file import read_whole_file
from wallwright.jobs.read_back import Mismatch

STAGE = ".wallwright-stage-"
PENDING = "unfinished-export"
OLD = "old"
MANIFEST = "files.json"


class Manifest(msgspec.Struct, frozen=True):
    """File list of a pending export; paths are relative to its folder, with "/"."""

    new: tuple[str, ...]
    old: tuple[str, ...]
    """Files of an earlier job."""


class FileSet:
    """New files for a folder: write them to `stage`, then publish."""

    def __init__(self, folder: Path, stage: Path) -> None:
        self.folder, self.stage = folder, stage

    def publish(self, new: Sequence[str], old: Sequence[str]) -> None:
        """Replaces the old files by the staged ones. Raises OSError; the folder is then unchanged."""
        here = [name for name in old if _is_file(self.folder / name)]
        for name in new:
            if (self.folder / name).is_dir() and not (self.folder / name).is_symlink():
                raise IsADirectoryError(21, tr("there is a folder with the name {0}", name))
        for folder in {(self.stage / name).parent for name in new}:
            sync_folder(folder)
        write_synced(self.stage / MANIFEST, msgspec.json.encode(Manifest(tuple(new), tuple(here))))
        sync_folder(self.stage)
        try:
            os.rename(self.stage, self.folder / PENDING)
            sync_folder(self.folder)
            _move_in(self.folder)
        except KeyboardInterrupt:
            if self.stage.exists():
                raise
            if is_unfinished(self.folder):  # committed already: completing it is faster than rolling it back
                _move_in(self.folder)
        except OSError:
            if is_unfinished(self.folder):
                _take_back(self.folder)
            raise
        note_finished(*(self.folder / name for name in new))


@contextlib.contextmanager
def file_set(folder: Path) -> Iterator[FileSet]:
    """Yields a set of files for a folder, which is created if missing. Raises BadFile with a sentence."""
    folder = Path(folder)
    with contextlib.ExitStack() as ending:
        ending.callback(_remove_empty, _missing(folder))
        try:
            folder.mkdir(parents=True, exist_ok=True)
            ending.enter_context(_alone(folder))
            finish(folder)
            if is_unfinished(folder.parent):  # an export of the whole wall, which includes this folder
                finish_alone(folder.parent)
            stage = Path(tempfile.mkdtemp(prefix=STAGE, dir=folder))
            ending.callback(shutil.rmtree, stage, ignore_errors=True)
            os.chmod(stage, 0o777 & ~_mask())
        except (OSError, ValueError) as error:  # ValueError: a null byte in the name
            raise BadFile(
                tr("The folder {0} cannot be used ({1}). Choose another one.", folder, os_reason(error))
            ) from error
        try:
            yield FileSet(folder, stage)
        except OSError as error:
            raise BadFile(
                tr(
                    "The job could not be written to {0} ({1}). Free some disk space or choose another folder.",
                    folder,
                    os_reason(error),
                )
            ) from error
        except Mismatch as error:
            raise BadFile(
                tr(
                    "The job written to {0} differs from the plan when read back ({1}). Nothing was kept. "
                    "Export again; if this happens twice, use another disk.",
                    folder,
                    error,
                )
            ) from error


def _remove_empty(made: list[Path]) -> None:
    """Removes folders created for a failed export."""
    for folder in made:
        with contextlib.suppress(OSError):
            folder.rmdir()


def _missing(folder: Path) -> list[Path]:
    """Returns the folder and its parents that do not exist yet, innermost first."""
    missing = []
    with contextlib.suppress(OSError, ValueError):
        for one in (folder, *folder.parents):
            if one.exists():
                break
            missing.append(one)
    return missing


@contextlib.contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """Locks a folder against another export. Raises BadFile while one is writing."""
    lock = None
    try:
        lock = try_lock(lock_name(folder).with_suffix(".export"))
        if lock is None:
            raise BadFile(tr("Another export is writing to {0}. Try again when it has finished.", folder))
    except OSError:  # an unwritable state folder must not prevent an export
        lock = None
    try:
        yield
    finally:
        if lock is not None:
            free(lock)


def write_synced(path: Path, data: bytes) -> None:
    """Writes a file and waits until it is on the disk."""
    with open(path, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def is_unfinished(folder: Path) -> bool:
    """Whether an export into a folder was interrupted after its commit; False if the folder cannot be read."""
    try:
        return _is_file(Path(folder) / PENDING / MANIFEST)
    except (OSError, ValueError):
        return False


def finish(folder: Path) -> bool:
    """Completes an interrupted export into a folder; returns whether there was one. Removes uncommitted stages.

    Raises OSError when the folder cannot be written.
    """
    folder = Path(folder)
    for stage in folder.glob(f"{STAGE}*"):
        if not stage.is_symlink():
            shutil.rmtree(stage, ignore_errors=True)
    if not is_unfinished(folder):
        return False
    _move_in(folder)
    return True


def finish_alone(folder: Path) -> bool:
    """Calls finish, unless an export is writing there. Raises BadFile."""
    try:
        with _alone(folder):
            return finish(folder)
    except OSError as error:
        raise BadFile(
            tr(
                "An interrupted export to {0} cannot be completed ({1}). Export the job again.",
                folder,
                os_reason(error),
            )
        ) from error


def _manifest(pending: Path) -> Manifest:
    try:
        manifest = msgspec.json.decode(read_whole_file(pending / MANIFEST), type=Manifest)
    except (BadFile, msgspec.DecodeError, msgspec.ValidationError) as error:
        raise OSError(22, tr("{0} is damaged. Delete {1}", MANIFEST, pending)) from error
    for name in (*manifest.new, *manifest.old):  # the manifest is untrusted: nothing outside the folder is touched
        if os.path.isabs(name) or ".." in name.split("/"):
            raise OSError(22, tr("{0} is damaged. Delete {1}", MANIFEST, pending))
    return manifest


def _move_in(folder: Path) -> None:
    """Completes a pending export from any intermediate state."""
    pending = folder / PENDING
    manifest = _manifest(pending)
    for name in manifest.old:
        is_new_already = name in manifest.new and not _is_file(pending / name)
        if _is_file(folder / name) and not is_new_already:
            (pending / OLD / name).parent.mkdir(parents=True, exist_ok=True)
            os.replace(folder / name, pending / OLD / name)
    _sync_all(folder, manifest)
    for name in manifest.new:
        if _is_file(pending / name):
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            os.replace(pending / name, folder / name)
    _sync_all(folder, manifest)
    for name in manifest.old:  # folders of removed hangings
        if "/" in name:
            with contextlib.suppress(OSError):
                (folder / name).parent.rmdir()
    _discard(pending)


def _take_back(folder: Path) -> None:
    """Rolls back: restores the old files when the new ones cannot all be moved in."""
    pending = folder / PENDING
    manifest = _manifest(pending)
    for name in manifest.new:
        if not _is_file(pending / name) and _is_file(folder / name):
            (pending / name).parent.mkdir(parents=True, exist_ok=True)
            os.replace(folder / name, pending / name)
    for name in manifest.old:
        if _is_file(pending / OLD / name):
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            os.replace(pending / OLD / name, folder / name)
    _discard(pending)


def _discard(pending: Path) -> None:
    """Removes a completed pending export, renaming it to a stage first so that it no longer counts as committed."""
    gone = pending.with_name(f"{STAGE}{os.urandom(6).hex()}")
    os.rename(pending, gone)
    shutil.rmtree(gone, ignore_errors=True)


def _sync_all(folder: Path, manifest: Manifest) -> None:
    for one in {(folder / name).parent for name in (*manifest.new, *manifest.old)} | {folder}:
        if one.is_dir():
            sync_folder(one)


def _is_file(path: Path) -> bool:
    return path.is_symlink() or path.is_file()


def _mask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def digest_of_file(path: Path) -> str:
    """SHA-256 of a file. Raises OSError."""
    with open(path, "rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
