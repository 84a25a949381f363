"""Registers Wallwright on a freedesktop.org desktop: its menu entry and file type.

File locations follow the Desktop Entry, Shared MIME-info and Icon Theme specifications. Standard library only.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

FILES = Path(__file__).resolve().parent / "desktop"
PLACES = {
    "wallwright.desktop": "applications/wallwright.desktop",
    "wallwright.xml": "mime/packages/wallwright.xml",
    "wallwright.svg": "icons/hicolor/scalable/apps/wallwright.svg",
}
REFRESH = (("update-mime-database", "mime"), ("update-desktop-database", "applications"))


def data_home() -> Path:
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")


def install(program: Path) -> list[Path]:
    """Copies the files for this user, with the program's path filled in; returns their paths."""
    written = []
    for name, place in PLACES.items():
        target = data_home() / place
        target.parent.mkdir(parents=True, exist_ok=True)
        text = (FILES / name).read_text(encoding="utf-8").replace("@PROGRAM@", _quoted(program))
        target.write_text(text, encoding="utf-8")
        written.append(target)
    _refresh()
    return written


def remove() -> None:
    for place in PLACES.values():
        (data_home() / place).unlink(missing_ok=True)
    _refresh()


def _quoted(program: Path) -> str:
    """Returns an argument of the Exec key, quoted, with special characters escaped."""
    text = "".join(f"\\{c}" if c in '"`$\\' else c for c in str(program))
    # Backslashes are escaped once for the key's string and once for the quoted argument; % begins a field code.
    return f'"{text}"'.replace("\\", "\\\\").replace("%", "%%")


def _refresh() -> None:
    """Makes the desktop reload the folders; without these programs it does so at the next login."""
    for program, folder in REFRESH:
        if shutil.which(program) and (data_home() / folder).is_dir():
            subprocess.run([program, str(data_home() / folder)], capture_output=True)
