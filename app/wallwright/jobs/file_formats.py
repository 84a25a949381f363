"""The text forms a job is written in: one line a form."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from wallwright.jobs.corrected_svg import corrected_svg
from wallwright.jobs.drawing_files import verify_drawing, write_drawing
from wallwright.jobs.drawing_set import DrawingFile, DrawingSet
from wallwright.jobs.file_names import BELTS, PLANE, SVG, TABLE
from wallwright.jobs.job import Job
from wallwright.jobs.motion_table import motion_table
from wallwright.jobs.read_back import VerifiedFile, verify_code, verify_svg, verify_table
from wallwright.jobs.rs274 import code

Progress = Callable[[float], None]


@dataclass(frozen=True)
class FileFormat:
    """One file of a job."""

    file: str
    title: str
    write: Callable[[Job, Progress], Iterator[bytes]]
    """The file's pieces; a large job's text is never whole in memory."""
    verify: Callable[[Path, Job, Progress], VerifiedFile]
    """Compares the written file with the job. Raises read_back.Mismatch."""
    in_plane: bool = False
    """Written in the controller's plane: only when the job has a path there."""


FILE_FORMATS = (
    FileFormat(
        BELTS,
        "RS-274 in belt lengths",
        lambda job, progress: code(job, job.belts, progress),
        lambda path, job, progress: verify_code(path, job, job.belts, progress),
    ),
    FileFormat(
        PLANE,
        "RS-274 in corrected coordinates",
        lambda job, progress: code(job, job.code_in_plane, progress),
        lambda path, job, progress: verify_code(path, job, job.code_in_plane, progress),
        True,
    ),
    FileFormat(
        SVG,
        "corrected SVG",
        corrected_svg,
        lambda path, job, progress: verify_svg(path, job.in_plane, progress),
        True,
    ),
    FileFormat(TABLE, "motion table", motion_table, verify_table),
)


def formats_of(job: Job) -> tuple[FileFormat, ...]:
    """The files that are written of a job, under the names that they get. A machine that takes drawings gets drawings, and
    other files only when they are wanted."""
    page = job.document.machine.controller.page
    drawings = () if job.drawing is None else tuple(_drawing(job.drawing, file) for file in job.drawing.files)
    if job.drawing is not None and not page.other_files:
        return drawings
    others = (form for form in FILE_FORMATS if job.plane is not None or not form.in_plane)
    return (*drawings, *(replace(form, file=job.file(form.file)) for form in others))


def _drawing(drawing: DrawingSet, file: DrawingFile) -> FileFormat:
    return FileFormat(
        file.name,
        "SVG drawing",
        lambda job, progress: write_drawing(drawing, file, job.ignored, progress),
        lambda path, job, progress: verify_drawing(path, drawing, file),
        True,
    )
