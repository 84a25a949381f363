"""A report for getting help: a zip file with the log, versions, settings and, with the person's consent, the project.

    contents.txt        description of the content
    versions.json       program, system, Python, libraries
    settings.json       the person's settings, without recent projects and folders
    log/…               the log files
    project.wallwright  only with consent

Nothing is sent: the person decides who gets the file.
"""

from __future__ import annotations

import json
import platform
import zipfile
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path

from wallwright import __version__
from wallwright.document.atomic_write import write_atomic
from wallwright.document.components import components
from wallwright.document.document import Document
from wallwright.document.language import tr
from wallwright.document.log import log_files
from wallwright.document.private_text import without_personal_paths
from wallwright.document.project import encode_project

PRIVATE_SETTINGS = ("recent", "folder", "path", "geometry", "state")
"""Substrings of the names of settings that hold paths, or bytes that only a window can read."""


def write_help_report(
    file: Path, settings: Mapping[str, object], versions: Mapping[str, str], document: Document | None
) -> None:
    """Writes the report. versions: those only the caller knows, such as the windowing system. document: the project, if the
    person agreed to add it. Raises BadFile when the file cannot be written."""
    write_atomic(file, help_report(settings, versions, document))


def help_report(settings: Mapping[str, object], versions: Mapping[str, str], document: Document | None) -> bytes:
    """Returns the bytes of the report. Arguments as in write_help_report."""
    known = {
        "Wallwright": __version__,
        "System": platform.platform(),
        "Processor": platform.machine(),
        **versions,
        **{one.name: one.version for one in components()[1:]},
    }
    kept = {
        name: without_personal_paths(str(value))
        for name, value in sorted(settings.items())
        if not any(part in name.casefold() for part in PRIVATE_SETTINGS)
    }
    parts: dict[str, bytes] = {
        "versions.json": _json(known),
        "settings.json": _json(kept),
        **{
            f"log/{log.name}": without_personal_paths(log.read_text(encoding="utf-8", errors="replace")).encode()
            for log in log_files()
        },
    }
    if document is not None:
        parts["project.wallwright"] = encode_project(document)
    lines = [
        tr("Report of Wallwright {0}. It was saved on this computer only; nothing was sent.", __version__),
        tr("It has no paths of your folders."),
        tr("The project is in it, with its artwork.") if document is not None else tr("The project is not in it."),
        "",
        *parts,
    ]
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("contents.txt", "\n".join(lines) + "\n")
        for name, data in parts.items():
            archive.writestr(name, data)
    return buffer.getvalue()


def _json(values: Mapping[str, object]) -> bytes:
    return json.dumps(values, indent=1, ensure_ascii=False).encode()
