"""Cautions that a person has closed for a project.

They are stored in the person's settings by the project's path, not in the project: another recipient of the file has not
read them, and closing a note is no unsaved change. Until a project has a file, its model remembers them.
"""

from __future__ import annotations

import os

from wallwright.window.model.project_model import ProjectModel
from wallwright.window.model.settings import settings

KEY = "closed cautions"
MOST = 200
"""Largest number of remembered pairs of project and occasion, newest first."""


def is_dismissed(project: ProjectModel, occasion: str) -> bool:
    """Whether the cautions of an occasion, by its name, were closed for the project."""
    return occasion in project.closed_cautions or _entry(project, occasion) in _entries()


def dismiss(project: ProjectModel, occasion: str) -> None:
    """Does not show the cautions of an occasion again for the project."""
    project.closed_cautions.add(occasion)
    entry = _entry(project, occasion)
    if entry:
        settings().setValue(KEY, [entry, *(e for e in _entries() if e != entry)][:MOST])


def _entry(project: ProjectModel, occasion: str) -> str:
    return f"{occasion} {os.path.realpath(project.path)}" if project.path is not None else ""


def _entries() -> list[str]:
    value = settings().value(KEY, [])
    return [e for e in (value if isinstance(value, list) else [value]) if isinstance(e, str) and e]
