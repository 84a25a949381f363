"""Safe writing of files by commands: losses are refused with a list, and dated copies are kept."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

from wallwright.commands.differences import report_changes
from wallwright.commands.options import read_file
from wallwright.document.backups import replace_project
from wallwright.document.document import Document
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.file_state import open_project, saving_alone
from wallwright.document.language import plural, tr
from wallwright.document.project import SUFFIX, read_project
from wallwright.document.wall import Hanging

PNG = b"\x89PNG\r\n\x1a\n"
"""Signature of PNG files (PNG specification, 5.2)."""


def save_changed(path: Path, before: Document, after: Document, may_discard: bool, out: TextIO | None = None) -> None:
    """Saves a changed project, keeps a dated copy of the old file, and lists the changes.

    Raises BadValue, and writes nothing, when that would discard measured or drawn data without permission; BadFile when the
    file no longer holds `before`.
    """
    lost = losses(before, after)
    if lost and not may_discard:
        raise BadValue(
            tr(
                "{0} was not changed: this would discard {1}. Add --replace to discard it; a dated copy of the "
                "project is kept",
                path,
                "; ".join(lost),
            )
        )
    with saving_alone(path):
        if path.exists() and read_project(path) != before:
            raise BadFile(
                tr(
                    "{0} was not changed: another program has saved it since it was read. Run the command again",
                    path,
                )
            )
        copy = replace_project(path, after)
    report_changes(path, copy, before, after, out or sys.stdout)


def save_new(path: Path, document: Document, replace: bool, out: TextIO | None = None) -> None:
    """Saves a new project. Raises UserError, and writes nothing, if a file exists and is no project or replace is False."""
    before = claim_project(path, replace)
    copy = replace_project(path, document)
    if before is not None:
        report_changes(path, copy, before, document, out or sys.stdout)


def claim_project(path: Path, replace: bool) -> Document | None:
    """Returns the project that a new one would replace; None if there is no file. Writes nothing. Raises UserError like
    save_new."""
    check_project_path(path)
    if not path.exists():
        return None
    try:
        before = read_project(path)
    except BadFile as error:
        reason = str(error).rstrip(".")
        raise BadFile(
            tr(
                "{0} was not replaced: it is not a project that can be read ({1}). Choose another name",
                path,
                reason,
            )
        ) from error
    if not replace:
        raise BadValue(
            tr(
                "{0} exists already, with {1}. Choose another name, or add --replace to replace it; a dated copy is kept",
                path,
                contents(before),
            )
        )
    return before


def check_project_path(path: Path) -> None:
    """Raises BadValue for a name without the suffix of project files, which the window would not open; BadFile when the
    folder does not exist."""
    if path.suffix.lower() != SUFFIX:
        raise BadValue(
            tr(
                "{0}: the name of a project file ends with {1}, for example {2}",
                path,
                SUFFIX,
                f"{path.stem}{SUFFIX}",
            )
        )
    has_folder(path)


def load_project(path: Path) -> Document:
    """Like read_project, with a suggestion when the file is no project. Raises BadFile."""
    named = path.with_name(path.name + SUFFIX)
    if not path.exists() and named.exists():
        raise BadFile(tr("{0} cannot be opened: no such file; did you mean {1}?", path, named))
    if path.is_file() and (start := read_file(path)[:2]) and start != b"PK":  # projects are zip files
        raise BadFile(
            tr(
                "{0} is not a project file. To put artwork into one, use: wallwright compose NAME{1} --artwork {0}",
                path,
                SUFFIX,
            )
        )
    return open_project(path)[0]


def check_hanging(document: Document, number: int) -> None:
    """Raises BadValue for a --hanging that does not exist in the project."""
    count = len(document.hangings)
    if not 1 <= number <= count:
        raise BadValue(
            tr("--hanging {0}: the project has hangings 1 to {1}", number, count)
            if count > 1
            else tr("--hanging {0}: the project has one hanging only", number)
        )


def has_folder(path: Path) -> None:
    """Raises BadFile when the folder of an output file does not exist, before time is spent on its content."""
    if not path.absolute().parent.is_dir():
        raise BadFile(tr("{0} cannot be written: there is no folder {1}", path, path.parent))


def claim_output(path: Path, begins: bytes, what: str, inputs: tuple[Path, ...] = ()) -> None:
    """Checks that an output file replaces nothing but an earlier one of its kind.

    begins: first bytes of such a file; what: its kind, in the person's language. Raises BadValue for a file of another
    kind, and for an input of the command.
    """
    if path.suffix.lower() == SUFFIX:
        raise BadValue(tr("{0}: {1} is for projects; choose another name", path, SUFFIX))
    has_folder(path)
    if not path.is_file():
        return
    if any(other.exists() and path.samefile(other) for other in inputs):
        raise BadValue(tr("{0} is the file to read; choose another name", path))
    with path.open("rb") as file:
        start = file.read(len(begins))
    if start and start != begins:
        raise BadValue(tr("{0} exists already and is not {1}; choose another name", path, what))


def contents(document: Document) -> str:
    """Returns a text such as "2 artworks, 3 hangings, 5 register marks"."""
    hangings = document.hangings
    parts = [artworks(len(document.placements)), plural("{0} hanging", "{0} hangings", len(hangings))]
    if marks := sum(len(h.register.marks) for h in hangings):
        parts.append(register_marks(marks))
    if lines := sum(h.handover is not None for h in hangings):
        parts.append(plural("{0} handover line", "{0} handover lines", lines))
    if readings := sum(len(h.survey.read) for h in hangings):
        parts.append(calibration_readings(readings))
    return ", ".join(parts)


def artworks(count: int) -> str:
    return plural("{0} artwork", "{0} artworks", count)


def register_marks(count: int) -> str:
    return plural("{0} register mark", "{0} register marks", count)


def calibration_readings(count: int) -> str:
    return plural("{0} calibration reading", "{0} calibration readings", count)


def losses(before: Document, after: Document) -> list[str]:
    """Returns descriptions of measured or drawn data that would be lost."""
    kept = {h.name: h for h in after.hangings}
    lost = []
    for hanging in before.hangings:
        now = kept.get(hanging.name)
        gone = list(_lost_of(hanging, now))
        if now is None:
            lost.append(tr("{0} with {1}", hanging.name, ", ".join(gone)) if gone else hanging.name)
        else:
            lost += [tr("{0} of {1}", part, hanging.name) for part in gone]
    if before.stopped is not None and after.stopped is None:
        lost.append(tr("the place where the job stopped"))
    placed = {p.id for p in after.placements}
    names = [before.artwork(p.artwork).name for p in before.placements if p.id not in placed]
    lost += [tr("artwork {0}", name) for name in names]
    return lost


def _lost_of(hanging: Hanging, now: Hanging | None) -> Iterator[str]:
    if hanging.register.marks and (now is None or now.register.marks != hanging.register.marks):
        yield register_marks(len(hanging.register.marks))
    if hanging.register.sightings and (now is None or not now.register.sightings):
        yield tr("the correction by register marks")
    if hanging.handover is not None and (now is None or now.handover is None):
        yield tr("the handover line")
    read = hanging.survey.read
    if read and (now is None or (len(now.survey.read) < len(read) and now.survey.marks != hanging.survey.marks)):
        yield calibration_readings(len(read))
    if hanging.calibration is not None and (now is None or now.calibration is None):
        yield tr("the calibration result")
