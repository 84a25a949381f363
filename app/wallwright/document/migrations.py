"""Project files and saved walls of earlier versions, brought up to this one before they are validated.

Each step takes the plain content of "document" and gives that of the next version. What is not as expected is left as it
is: the validation that follows says what is wrong with it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from wallwright.document.document import GuideLine, Photo
from wallwright.document.edits_keep_outs import usual_kind
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.picture import PictureSettings
from wallwright.document.wall import Anchor, Hanging

VERSION = 3
"""Of the files that this program writes."""

OLD_DEFAULT_RATING = 50.0
"""N that version 1 assumed of every fixing without being given it."""


def refuse_newer(version: int, newest: int, name: str) -> None:
    """Raises BadFile for a file of a version above the newest one that is read; name is for the message."""
    if version > newest:
        raise BadFile(
            tr(
                "{0} was saved by a newer Wallwright (file version {1}; this one reads up to {2}). Update the "
                "program to open it.",
                name,
                version,
                newest,
            )
        )


EARLIER_FIELDS: Mapping[type, Mapping[str, str]] = {
    Hanging: {"datum": "start_point", "learnt": "calibration", "meets": "handover"},
    Anchor: {"holds": "rating"},
    PictureSettings: {"choke": "gap"},
    Photo: {"strength": "opacity"},
    GuideLine: {"plumb": "is_vertical"},
}
"""What fields were called in version 2: their old names to the present ones. Options still take the old names."""
EARLIER_VALUES: Mapping[str, Mapping[str, str]] = {
    "outside": {"override": "draw-anyway"},
    "effort": {"good": "balanced"},
}
"""The same for choices, by field."""


def _entries(value: Any) -> Iterator[dict[str, Any]]:
    """The objects in a list; nothing when it is no list."""
    yield from (entry for entry in (value if isinstance(value, list) else []) if isinstance(entry, dict))


def _rename(value: Any, type_: type) -> None:
    """Gives the fields of an object of a type their present names."""
    if isinstance(value, dict):
        for old, new in EARLIER_FIELDS[type_].items():
            if old in value and new not in value:
                value[new] = value.pop(old)


def _replace_value(value: Any, field: str) -> None:
    if isinstance(value, dict) and isinstance(found := value.get(field), str):
        value[field] = EARLIER_VALUES[field].get(found, found)


def rename_in_hanging(hanging: Any) -> None:
    """Gives the fields of a hanging and its anchors their present names."""
    _rename(hanging, Hanging)
    if isinstance(hanging, dict):
        for side in ("left", "right"):
            _rename(hanging.get(side), Anchor)


def _forget_assumed_ratings(content: dict[str, Any]) -> None:
    """A rating that only the program had assumed is not known."""
    for hanging in _entries(content.get("hangings")):
        for anchor in (hanging.get("left"), hanging.get("right")):
            if isinstance(anchor, dict) and anchor.get("holds") == OLD_DEFAULT_RATING:
                anchor["holds"] = 0.0


def _name_kinds(content: dict[str, Any]) -> None:
    """A keep-out has a kind, which follows from its name."""
    wall = content.get("wall")
    for keep_out in _entries(wall.get("keep_outs") if isinstance(wall, dict) else None):
        if isinstance(name := keep_out.get("name"), str):
            keep_out.setdefault("kind", usual_kind(name))


def _from_1(content: dict[str, Any]) -> dict[str, Any]:
    _forget_assumed_ratings(content)
    _name_kinds(content)
    return content


def _from_2(content: dict[str, Any]) -> dict[str, Any]:
    """Fields and choices have the names that a person reads in the window. Before there were gaps between colours, areas of
    two colours met."""
    for hanging in _entries(content.get("hangings")):
        rename_in_hanging(hanging)
    for placement in _entries(content.get("placements")):
        _rename(placement.get("picture"), PictureSettings)
    _rename(content.get("photo"), Photo)
    for line in _entries(content.get("guide_lines")):
        _rename(line, GuideLine)
    if isinstance(settings := content.get("settings"), dict):
        settings.setdefault("gap", 0.0)
        _replace_value(settings, "outside")
        _replace_value(settings.get("order"), "effort")
    return content


MIGRATIONS: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = {1: _from_1, 2: _from_2}
"""Version to a function that turns that version's "document" into the next version's."""
