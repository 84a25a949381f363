"""The text forms a job is written in: one line a form."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from wallwright.jobs.code_verification import verify_code
from wallwright.jobs.coordinates import ControllerPath
from wallwright.jobs.corrected_svg import corrected_svg
from wallwright.jobs.drawing_files import verify_drawing, write_drawing
from wallwright.jobs.drawing_set import DrawingFile, DrawingSet
from wallwright.jobs.file_names import BELTS, PLANE, SVG, TABLE, file_for
from wallwright.jobs.firmware_tables import BINARY, CSV, binary_table, csv_table, verify_binary, verify_csv
from wallwright.jobs.job import Job
from wallwright.jobs.motion_table import motion_table
from wallwright.jobs.program_parts import parts
from wallwright.jobs.read_back import VerifiedFile, verify_svg, verify_table
from wallwright.jobs.rs274 import Part, part_code, program_of

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
    path_of: Callable[[Job], ControllerPath] | None = None
    """The path that a program follows, which may become several files."""
    table: str = ""
    """The form of table that asks for it."""


def _belts(job: Job) -> ControllerPath:
    return job.belts


def _plane(job: Job) -> ControllerPath:
    return job.code_in_plane


def _code_format(
    file: str, title: str, path_of: Callable[[Job], ControllerPath], in_plane: bool, part: Part | None = None
) -> FileFormat:
    """RS-274 along one of a job's paths: the whole of it, or a part."""

    def write(job: Job, progress: Progress) -> Iterator[bytes]:
        program = program_of(job, path_of(job))
        return part_code(program, part or Part(0, 0, len(program.path.down)), progress)

    def verify(path: Path, job: Job, progress: Progress) -> VerifiedFile:
        return verify_code(path, job, path_of(job), progress, part)

    return FileFormat(file, title, write, verify, in_plane, path_of)


FILE_FORMATS = (
    _code_format(BELTS, "RS-274 in belt lengths", _belts, False),
    _code_format(PLANE, "RS-274 in corrected coordinates", _plane, True),
    FileFormat(
        SVG,
        "corrected SVG",
        corrected_svg,
        lambda path, job, progress: verify_svg(path, job.in_plane, progress),
        True,
    ),
    FileFormat(TABLE, "motion table", motion_table, verify_table),
)


TABLE_FORMATS = (
    FileFormat(CSV, "motion as CSV", csv_table, verify_csv, table="csv"),
    FileFormat(BINARY, "motion in binary form", binary_table, verify_binary, table="binary"),
)
"""Written where the controller's settings want them."""


def formats_of(job: Job) -> tuple[FileFormat, ...]:
    """The files that are written of a job, under the names that they get. A machine that takes drawings gets drawings, and
    other files only when they are wanted."""
    page = job.document.machine.controller.page
    drawings = () if job.drawing is None else tuple(_drawing(job.drawing, file) for file in job.drawing.files)
    if job.drawing is not None and not page.other_files:
        return drawings
    table = job.document.machine.controller.table.form
    tables = [form for form in TABLE_FORMATS if table in (form.table, "both")]
    others = (form for form in FILE_FORMATS if job.plane is not None or not form.in_plane)
    return (*drawings, *(part for form in (*others, *tables) for part in _parts(form, job)))


def run_files(job: Job) -> list[str]:
    """Names of the files that the job's controller runs, in order; none of a machine that takes drawings."""
    if job.drawing is not None:
        return []
    wanted = job.file(file_for(job.document.machine.controller))
    stem, _, kind = wanted.rpartition(".")
    names = [form.file for form in formats_of(job)]
    return [
        name for name in names if name == wanted or (name.startswith(f"{stem}-part-") and name.endswith(f".{kind}"))
    ]


def _parts(form: FileFormat, job: Job) -> list[FileFormat]:
    """The files that a form becomes: one, or several when the controller wants programs split."""
    split = parts(program_of(job, form.path_of(job))) if form.path_of is not None else []
    if form.path_of is None or len(split) < 2:
        return [replace(form, file=job.file(form.file))]
    stem, _, kind = job.file(form.file).rpartition(".")
    return [
        _code_format(f"{stem}-part-{part.number}.{kind}", form.title, form.path_of, form.in_plane, part)
        for part in split
    ]


def _drawing(drawing: DrawingSet, file: DrawingFile) -> FileFormat:
    return FileFormat(
        file.name,
        "SVG drawing",
        lambda job, progress: write_drawing(drawing, file, job.ignored, progress),
        lambda path, job, progress: verify_drawing(path, drawing, file),
        True,
    )
