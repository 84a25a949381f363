"""Checks a folder's files against its report, to find out whether they are one complete job."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec

from wallwright.document.atomic_write import os_reason
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.whole_file import read_whole_file
from wallwright.jobs.file_names import REPORT
from wallwright.jobs.file_set import digest_of_file, finish_alone
from wallwright.jobs.hanging_position import hanging_folders


def folder_problems(folder: Path, fingerprints: dict[str, str] | None = None) -> tuple[bool, tuple[str, ...]]:
    """Returns whether an interrupted export was completed, and the problems of the job, or of a wall's jobs, in a folder: a
    sentence each, none when complete.

    fingerprints: of the strokes planned now, by folder ("" for the folder itself); a different one means that the files
    are from an older plan. Raises BadFile when there is no job.
    """
    folder = Path(folder)
    completed = finish_alone(folder)
    places = [place for place in (folder, *hanging_folders(folder)) if (place / REPORT).is_file()]
    if not places:
        raise BadFile(tr("There is no job in {0}: {1} is missing. Export the job to this folder.", folder, REPORT))
    problems = [problem for place in places for problem in _of_one(place)]
    for name, fingerprint in (fingerprints or {}).items():
        place = folder / name
        if not (place / REPORT).is_file():
            problems.append(tr("{0} has no job. Export again.", place))
        elif _report(place / REPORT).get("fingerprint") != fingerprint:
            problems.append(
                tr("The job in {0} was exported from an earlier version of the project. Export again.", place)
            )
    return completed, tuple(problems)


def project_in(folder: Path) -> str | None:
    """Returns the name of the project whose job is in a folder or in its hangings' folders; "" when the report does not say,
    None when there is no job."""
    if not folder.is_dir():
        return None
    for place in (folder, *hanging_folders(folder)):
        if (place / REPORT).is_file():
            try:
                return str(_report(place / REPORT).get("project", ""))
            except BadFile:
                return ""
    return None


def _report(path: Path) -> dict[str, Any]:
    try:
        content = msgspec.json.decode(read_whole_file(path))
    except msgspec.DecodeError as error:
        raise BadFile(tr("{0} cannot be read ({1}). Export the job again.", path, error)) from error
    if not isinstance(content, dict):
        raise BadFile(tr("{0} is not a report of a job. Export the job again.", path))
    return content


def _of_one(folder: Path) -> list[str]:
    problems = []
    digests = _report(folder / REPORT).get("sha256")
    if not isinstance(digests, dict):
        return [tr("The report in {0} does not list its files. Export the job again.", folder)]
    for name, digest in digests.items():
        path = folder / Path(name).name
        try:
            if path.exists() and not path.is_file():
                raise BadFile(tr("{0} is a device or a pipe, not a file. Choose a file.", path))
            if digest_of_file(path) != digest:
                problems.append(tr("{0} is not the exported file. Export the job again.", path))
        except FileNotFoundError:
            problems.append(tr("{0} is missing. Export the job again.", path))
        except BadFile as trouble:  # a pipe, or an unrelated file
            problems.append(str(trouble))
        except OSError as error:
            problems.append(tr("{0} cannot be read ({1}).", path, os_reason(error)))
    return problems
