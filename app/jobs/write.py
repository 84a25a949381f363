"""Writing a job: all its files into a folder, each read back and compared, or none."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import msgspec

from app.document.atomic import why, write_atomic
from app.document.errors import BadFile
from app.document.language import tr
from app.jobs.forms import FORMS
from app.jobs.job import Job
from app.jobs.names import REPORT, SHEET
from app.jobs.read_back import Mismatch
from app.jobs.report import report

StageProgress = Callable[[str, float], None]


def write_job(
    folder: str | Path, job: Job, progress: StageProgress = lambda stage, done: None
) -> tuple[str, ...]:
    """Writes the job's files and returns their whole paths.

    They are written beside the folder first, read back, compared, and only then moved in, one by one, so that no file in
    the folder is ever half written. Raises BadFile with a sentence; what was in the folder before is then unchanged.
    """
    folder = Path(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        stage = Path(tempfile.mkdtemp(prefix=".writing-", dir=folder))
    except OSError as error:
        raise BadFile(
            tr("The folder {0} cannot be used ({1}). Choose another one.", folder, why(error))
        ) from error
    try:
        verified, lines = {}, {}
        forms = [form for form in FORMS if job.plane is not None or not form.in_plane]
        for number, form in enumerate(forms):

            def part(done: float, number=number) -> None:
                progress("write", (number + done / 2) / (len(forms) + 1))

            def again(done: float, number=number) -> None:
                progress("write", (number + (1 + done) / 2) / (len(forms) + 1))

            name = job.file(form.file)
            _write(stage / name, form.write(job, part))
            found = form.verify(stage / name, job, again)
            verified[name], lines[name] = found.told, found.stroke_lines
        from app.jobs.sheet.pdf import hanging_sheet  # Qt: only when a sheet is made

        sheet, told = job.file(SHEET), job.file(REPORT)
        _write(stage / sheet, [hanging_sheet(job)])
        verified[sheet] = {"bytes": (stage / sheet).stat().st_size}
        _write(
            stage / told, [msgspec.json.format(msgspec.json.encode(report(job, verified, lines)), indent=1)]
        )
        progress("write", 1.0)
        names = [*(job.file(form.file) for form in forms), sheet, told]
        for form in FORMS:  # a file of an earlier job must not pass for one of this
            if form not in forms:
                (folder / job.file(form.file)).unlink(missing_ok=True)
        for name in names:
            os.replace(stage / name, folder / name)
        return tuple(str(folder / name) for name in names)
    except OSError as error:
        raise BadFile(
            tr(
                "The job could not be written into {0} ({1}). Free some space or choose another folder.",
                folder,
                why(error),
            )
        ) from error
    except Mismatch as error:
        raise BadFile(
            tr(
                "The job written into {0} did not read back as planned ({1}). Nothing was kept; export "
                "again, to another disk if it happens twice.",
                folder,
                error,
            )
        ) from error
    finally:
        shutil.rmtree(stage, ignore_errors=True)


def write_report(path: Path, told: dict[str, Any]) -> str:
    """Writes one report atomically, as JSON; returns its path. Raises BadFile."""
    write_atomic(path, msgspec.json.format(msgspec.json.encode(told), indent=1))
    return str(path)


def _write(path: Path, pieces: Iterable[bytes]) -> None:
    with open(path, "wb") as file:
        for piece in pieces:
            file.write(piece)
        file.flush()
        os.fsync(file.fileno())
