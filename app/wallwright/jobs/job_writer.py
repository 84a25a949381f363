"""Writes a job's files to a stage, and reads each back and compares it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import msgspec

from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.jobs.file_formats import formats_of, run_files
from wallwright.jobs.file_names import DRAWING_NAME, JOB_NAMES, PART_NAME, REPORT, SHEET
from wallwright.jobs.file_set import FileSet, digest_of_file
from wallwright.jobs.job import Job, continued_file_name
from wallwright.jobs.read_back import VerifiedFile
from wallwright.jobs.report import FORM, report

StageProgress = Callable[[str, float], None]


def job_names(job: Job) -> tuple[str, ...]:
    """Returns every file name that this job, whole or continued, can have, except drawings."""
    return JOB_NAMES if job.before is None else tuple(continued_file_name(n, job.first + 1) for n in JOB_NAMES)


def earlier_drawings(folder: Path, report_name: str = REPORT) -> tuple[str, ...]:
    """Returns the names of drawings and parts of programs of an earlier job in a folder, from its report."""
    try:
        content = msgspec.json.decode((folder / report_name).read_bytes())
        names = [str(name) for name in content["sha256"]] if content["form"] == FORM else []
    except (OSError, msgspec.DecodeError, UnicodeDecodeError, TypeError, KeyError):
        return ()
    return tuple(name for name in names if DRAWING_NAME.fullmatch(name) or PART_NAME.fullmatch(name))


def refuse_foreign_drawings(folder: Path, job: Job) -> None:
    """Raises BadValue when a drawing of this job would replace a file that no earlier job wrote."""
    own = {file.name for file in job.drawing.files} if job.drawing is not None else set()
    there = sorted(name for name in own - set(earlier_drawings(folder, job.file(REPORT))) if (folder / name).exists())
    if there:
        raise BadValue(
            tr(
                "{0} exists already and is of no earlier export into this folder. Choose another folder, or move the file",
                folder / there[0],
            )
        )


def write_job(
    files: FileSet,
    folder: str,
    job: Job,
    progress: StageProgress = lambda stage, done: None,
    others: tuple[str, ...] = (),
) -> tuple[str, ...]:
    """Writes a job's files to a folder of a set's stage; returns their paths in the set.

    folder: name of the folder, "" for the stage itself. others: files of the job already in that folder, also listed in the
    report. Raises OSError, or Mismatch when a file does not read back as planned.
    """
    stage = files.stage / folder
    stage.mkdir(exist_ok=True)
    verified: dict[str, Any] = {}
    read_back: dict[str, VerifiedFile] = {}
    forms = formats_of(job)
    for number, form in enumerate(forms):

        def part(done: float, number: int = number) -> None:
            progress("write", (number + done / 2) / (len(forms) + 1))

        def again(done: float, number: int = number) -> None:
            progress("write", (number + (1 + done) / 2) / (len(forms) + 1))

        name = form.file
        _write(stage / name, form.write(job, part))
        found = form.verify(stage / name, job, again)
        verified[name], read_back[name] = found.for_report, found
    from wallwright.jobs.sheet.pdf import hanging_sheet  # Qt: only when a sheet is made

    sheet, last = job.file(SHEET), job.file(REPORT)
    _write(stage / sheet, [hanging_sheet(job, run_files(job, list(verified)))])
    verified[sheet] = {"bytes": (stage / sheet).stat().st_size}
    digests = {name: digest_of_file(stage / name) for name in (*verified, *others)}
    write_report(stage / last, {**report(job, verified, read_back), "sha256": digests})
    progress("write", 1.0)
    return tuple(str(Path(folder, name).as_posix()) for name in (*verified, last, *others))


def write_report(path: Path, content: dict[str, Any]) -> None:
    """Writes a report as JSON. Raises OSError."""
    _write(path, [msgspec.json.format(msgspec.json.encode(content), indent=1)])


def _write(path: Path, pieces: Iterable[bytes]) -> None:
    with open(path, "wb") as file:
        for piece in pieces:
            file.write(piece)
        file.flush()
        os.fsync(file.fileno())
