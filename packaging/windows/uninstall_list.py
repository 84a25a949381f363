"""Writes the list for the Windows uninstaller: the installed files, and the folders that are empty without them.

    python packaging/windows/uninstall_list.py FOLDER LIST     FOLDER: what packaging/folder.py made; LIST: a file for NSIS

The user may install into a folder with other files, so the uninstaller must not delete folders recursively.
"""

from __future__ import annotations

import sys
from pathlib import Path


def uninstall_lines(folder: Path) -> list[str]:
    """Returns NSIS instructions: each file, then each folder, innermost first. RMDir leaves a folder that is not empty."""
    paths = [p.relative_to(folder) for p in folder.rglob("*")]
    files = sorted(p for p in paths if not (folder / p).is_dir())
    folders = sorted((p for p in paths if (folder / p).is_dir()), key=lambda p: (-len(p.parts), p))
    return [*(f"Delete {_place(p)}" for p in files), *(f"RMDir {_place(p)}" for p in folders)]


def _place(path: Path) -> str:
    """Returns a path quoted for NSIS, whose variables begin with a dollar sign."""
    return '"$INSTDIR\\{}"'.format("\\".join(path.parts).replace("$", "$$"))


def main(arguments: list[str]) -> int:
    if len(arguments) != 2 or not Path(arguments[0]).is_dir():
        print(__doc__.strip())
        return 2
    lines = uninstall_lines(Path(arguments[0]))
    Path(arguments[1]).write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
