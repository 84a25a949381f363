"""Cautions in files that a machine runs: short, always in English, printable ASCII.

jobs/sheet/cautions.py has the full text for people.
"""

from __future__ import annotations

from wallwright.jobs.ignored_limits import IgnoredLimits

FILE_CAUTIONS = (
    "CAUTION: the body can fall. Keep people and animals away from below it, and use a safety line.",
    "CAUTION: do not leave it running alone. Keep its power switch within reach and hands off belts and pulleys.",
    "CAUTION: change pens only while it is paused and its motors hold. Never unplug a motor under power.",
)


def file_notes(ignored: IgnoredLimits) -> tuple[str, ...]:
    """Returns the notes at the head of a file: the mark of ignored limits, if any, then the cautions."""
    return (ignored.file_text, *FILE_CAUTIONS) if ignored else FILE_CAUTIONS


def xml_comment(ignored: IgnoredLimits) -> str:
    """Returns the notes as one XML comment, for SVG files. XML 1.0, 2.5: no two hyphens in a row."""
    return f"<!-- {' '.join(file_notes(ignored))} -->\n"
