"""Removes personal paths from texts that may leave this computer: the log and the help report."""

from __future__ import annotations

import re
import sys
import tempfile
from functools import cache
from pathlib import Path

HOME_LIKE = r"/(?:home|Users|media|mnt|Volumes|root|run/media/[^/\s\"']+)|[A-Za-z]:\\+Users"
PERSONAL = re.compile(rf"(?:~|<temporary>|{HOME_LIKE})(?:[\\/]+[^\\/\n\"'“”„<>|:*?]+)+")
"""Matches a path below a person's folder, another disk or the temporary folder, up to a character that cannot be in a file
name. It may take the rest of a sentence with it: too much is better than too little."""
SUFFIX = re.compile(r"\.[A-Za-z0-9]{1,12}(?=$|[\s,;)])")


def without_personal_paths(text: str) -> str:
    """Returns the text with paths of the program and Python shortened, others replaced by `~/…` and the file's suffix."""
    for folder, mark in _known_folders():
        text = text.replace(folder, mark)
    return PERSONAL.sub(_shortened, text)


def _shortened(match: re.Match[str]) -> str:
    suffix = SUFFIX.search(match.group())
    return f"~/…{suffix.group()}{match.group()[suffix.end() :]}" if suffix else "~/…"


@cache
def _known_folders() -> list[tuple[str, str]]:
    """Returns (path, placeholder) of known folders, longest first."""
    package = Path(__file__).resolve().parents[1]
    folders = {
        str(package): "<wallwright>",
        str(Path(sys.prefix)): "<python>",
        str(Path(sys.base_prefix)): "<python>",
        str(Path(tempfile.gettempdir())): "<temporary>",
        str(Path.home()): "~",
    }
    return sorted(((f, mark) for f, mark in folders.items() if len(f) > 1), key=lambda one: -len(one[0]))
