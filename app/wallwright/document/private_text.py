"""Takes what is personal out of texts that may leave this computer: the log, and a report to ask for help with."""

from __future__ import annotations

import re
import sys
import tempfile
from functools import cache
from pathlib import Path

HOME_LIKE = r"/(?:home|Users|media|mnt|Volumes|root|run/media/[^/\s\"']+)|[A-Za-z]:\\+Users"
PERSONAL = re.compile(rf"(?:~|<temporary>|{HOME_LIKE})(?:[\\/]+[^\\/\n\"'“”„<>|:*?]+)+")
"""A path below a person's folder, another disk or the temporary folder, up to what cannot be in a file's name. A name that
ends a sentence takes the rest of the sentence with it: too much is better than too little."""
SUFFIX = re.compile(r"\.[A-Za-z0-9]{1,12}(?=$|[\s,;)])")


def without_personal_paths(text: str) -> str:
    """The text with paths of the program and of Python shortened, and others replaced by `~/…` with the file's suffix."""
    for folder, mark in _known_folders():
        text = text.replace(folder, mark)
    return PERSONAL.sub(_shortened, text)


def _shortened(match: re.Match[str]) -> str:
    suffix = SUFFIX.search(match.group())
    return f"~/…{suffix.group()}{match.group()[suffix.end() :]}" if suffix else "~/…"


@cache
def _known_folders() -> list[tuple[str, str]]:
    """Folders that say nothing of the person once they have a name, the longest first."""
    package = Path(__file__).resolve().parents[1]
    folders = {
        str(package): "<wallwright>",
        str(Path(sys.prefix)): "<python>",
        str(Path(sys.base_prefix)): "<python>",
        str(Path(tempfile.gettempdir())): "<temporary>",
        str(Path.home()): "~",
    }
    return sorted(((f, mark) for f, mark in folders.items() if len(f) > 1), key=lambda one: -len(one[0]))
