"""Table of the file formats of a job."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from wallwright.jobs.code_verification import verify_code
from wallwright.jobs.coordinates import ControllerPath
from wallwright.jobs.corrected_svg import corrected_svg
from wallwright.jobs.drawing_files import verify_drawing, write_drawing
from wallwright.jobs.drawing_set import DrawingFile, DrawingSet
from wallwright.jobs.file_names import BELTS, BINARY, CSV, PLANE, SVG, TABLE, file_for
from wallwright.jobs.firmware_tables import binary_table, csv_table, verify_binary, verify_csv
from wallwright.jobs.job import Job
from wallwright.jobs.motion_table import motion_table
from wallwright.jobs.program_parts import parts
from wallwright.jobs.read_back import VerifiedFile, verify_svg, verify_table
from wallwright.jobs.rs274 import Part, Program, part_code, program_of

Progress = Callable[[float], None]


@dataclass(frozen=True)
class FileFormat:
    """One file of a job."""

    file: str
    title: str
    write: Callable[[Job, Progress], Iterator[bytes]]
    """Yields the file in pieces; a large job's text is never whole in memory."""
    verify: Callable[[Path, Job, Progress], VerifiedFile]
    """Compares the written file with the job. Raises read_back.Mismatch."""
    in_plane: bool = False
    """Written in the controller's plane: only when the job has a path there."""
    path_of: Callable[[Job], ControllerPath] | None = None
    """Path of a program, which may be split into several files."""
    table: str = ""
    """Table setting that requests this file."""


_PartOfProgram = tuple[Program, Part]


def _belts(job: Job) -> ControllerPath:
    return job.belts


def _plane(job: Job) -> ControllerPath:
    return job.code_in_plane


def _code_format(
    file: str, title: str, path_of: Callable[[Job], ControllerPath], in_plane: bool, known: _PartOfProgram | None = None
) -> FileFormat:
    """Returns the format of RS-274 along a path of the job. known: program and part in the file; None: the whole program."""

    def program_and_part(job: Job) -> _PartOfProgram:
        if known is not None:
            return known
        program = program_of(job, path_of(job))
        return program, Part(0, 0, len(program.path.down))

    def write(job: Job, progress: Progress) -> Iterator[bytes]:
        return part_code(*program_and_part(job), progress)

    def verify(path: Path, job: Job, progress: Progress) -> VerifiedFile:
        return verify_code(path, *program_and_part(job), progress)

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
"""Tables, written where the controller's settings request them."""


def formats_of(job: Job) -> tuple[FileFormat, ...]:
    """Returns the files of a job, with their final names. A machine that takes drawings gets drawings, and other files only
    on request."""
    page = job.document.machine.controller.page
    drawings = () if job.drawing is None else tuple(_drawing(job.drawing, file) for file in job.drawing.files)
    if job.drawing is not None and not page.other_files:
        return drawings
    table = job.document.machine.controller.table.form
    tables = [form for form in TABLE_FORMATS if table in (form.table, "both")]
    others = (form for form in FILE_FORMATS if job.plane is not None or not form.in_plane)
    return (*drawings, *(part for form in (*others, *tables) for part in _parts(form, job)))


def files_for_others(job: Job) -> list[str]:
    """Returns the names of a job's files for other controllers than its own; programs that are split count once."""
    table = job.document.machine.controller.table.form
    tables = [form for form in TABLE_FORMATS if table in (form.table, "both")]
    own = file_for(job.document.machine.controller)
    return [
        job.file(form.file)
        for form in (*FILE_FORMATS, *tables)
        if form.file != own and (job.plane is not None or not form.in_plane)
    ]


def run_files(job: Job, names: Sequence[str]) -> list[str]:
    """Returns those of a job's files that its controller runs, in order; none for a machine that takes drawings. names: all
    files of the job."""
    if job.drawing is not None:
        return []
    wanted = job.file(file_for(job.document.machine.controller))
    stem, _, kind = wanted.rpartition(".")
    return [
        name for name in names if name == wanted or (name.startswith(f"{stem}-part-") and name.endswith(f".{kind}"))
    ]


def _parts(form: FileFormat, job: Job) -> list[FileFormat]:
    """Returns the files of a format: one, or several when the controller needs programs split."""
    if form.path_of is None:
        return [replace(form, file=job.file(form.file))]
    program, (stem, _, kind) = program_of(job, form.path_of(job)), job.file(form.file).rpartition(".")
    split = parts(program)
    names = [f"{stem}-part-{part.number}.{kind}" if len(split) > 1 else f"{stem}.{kind}" for part in split]
    return [
        _code_format(name, form.title, form.path_of, form.in_plane, (program, part))
        for name, part in zip(names, split, strict=True)
    ]


def _drawing(drawing: DrawingSet, file: DrawingFile) -> FileFormat:
    return FileFormat(
        file.name,
        "SVG drawing",
        lambda job, progress: write_drawing(drawing, file, job.ignored, progress),
        lambda path, job, progress: verify_drawing(path, drawing, file),
        True,
    )
