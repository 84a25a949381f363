"""The person's settings outside projects: recent projects, language, colours, unit of the rulers."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Literal

from PySide6.QtCore import QSettings

from wallwright.document.language import LANGUAGES
from wallwright.document.language_setting import LANGUAGE, settings_file
from wallwright.document.origin import OriginKind

MOST_RECENT = 8


def settings() -> QSettings:
    """Returns the person's settings."""
    return QSettings(str(settings_file()), QSettings.Format.IniFormat)


def recent() -> list[Path]:
    """Returns recent projects that still exist, newest first."""
    value = settings().value("recent", [])
    names = value if isinstance(value, list) else [value]
    return [Path(n) for n in names if isinstance(n, str) and n and os.path.exists(n)]


def remember(path: Path) -> None:
    """Adds a project to the front of the recent ones."""
    path = Path(os.path.realpath(path))
    names = [str(path), *(str(p) for p in recent() if p != path)]
    settings().setValue("recent", names[:MOST_RECENT])


FolderKind = Literal["artwork", "photo", "friction photo", "machine", "project", "report"]
"""Purpose of a file dialog; each remembers its folder."""


def last_folder(kind: FolderKind, otherwise: str = "") -> str:
    """Returns the folder of the last file of a kind if it exists, else another one or the home folder."""
    value = settings().value(f"folders/{kind}", "")
    there = value if isinstance(value, str) and value and os.path.isdir(value) else ""
    return there or otherwise or str(Path.home())


def keep_folder(kind: FolderKind, file: Path) -> None:
    """Remembers the folder of a chosen file of a kind."""
    settings().setValue(f"folders/{kind}", str(file.parent))


INCHES = "inches on rulers"


def inches_on_rulers() -> bool:
    return settings().value(INCHES, "no") == "yes"


def choose_inches_on_rulers(inches: bool) -> None:
    settings().setValue(INCHES, "yes" if inches else "no")


ORIGIN = "origin of positions"


def chosen_origin() -> OriginKind:
    """Returns the kind of origin that positions are measured from."""
    return "wall" if settings().value(ORIGIN, "anchor") == "wall" else "anchor"


def choose_origin(kind: OriginKind) -> None:
    settings().setValue(ORIGIN, kind)


ColourScheme = Literal["system", "light", "dark"]
COLOURS = "colours"


def chosen_colours() -> ColourScheme:
    """Colour scheme of windows."""
    value = settings().value(COLOURS, "system")
    return "light" if value == "light" else "dark" if value == "dark" else "system"


def choose_colours(scheme: ColourScheme) -> None:
    settings().setValue(COLOURS, scheme)


def chosen_language() -> str:
    """Returns the code of the chosen language, or "" for the system's."""
    code = str(settings().value(LANGUAGE, "") or "")
    return code if code in LANGUAGES else ""


def choose_language(code: str) -> None:
    settings().setValue(LANGUAGE, code)
