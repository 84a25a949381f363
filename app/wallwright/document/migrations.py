"""Migration of project files and saved walls of earlier versions, before validation.

Each step turns the plain content of "document" into that of the next version. Unexpected content is left as it is, and
reported by the validation that follows.
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
"""Version of the files that this program writes."""

OLD_DEFAULT_RATING = 50.0
"""Rating of a fixing, N, that version 1 assumed when none was given."""


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
"""Field names of version 2, mapped to the present ones. Options still take the old names."""
EARLIER_VALUES: Mapping[str, Mapping[str, str]] = {
    "outside": {"override": "draw-anyway"},
    "effort": {"good": "balanced"},
}
"""Choices of version 2, mapped to the present ones, by field."""


def _entries(value: Any) -> Iterator[dict[str, Any]]:
    """Yields the objects in a list; nothing if it is not a list."""
    yield from (entry for entry in (value if isinstance(value, list) else []) if isinstance(entry, dict))


def _rename(value: Any, type_: type) -> None:
    """Renames the fields of an object of a type to their present names."""
    if isinstance(value, dict):
        for old, new in EARLIER_FIELDS[type_].items():
            if old in value and new not in value:
                value[new] = value.pop(old)


def _replace_value(value: Any, field: str) -> None:
    if isinstance(value, dict) and isinstance(found := value.get(field), str):
        value[field] = EARLIER_VALUES[field].get(found, found)


def rename_in_hanging(hanging: Any) -> None:
    """Renames the fields of a hanging and its anchors to their present names."""
    _rename(hanging, Hanging)
    if isinstance(hanging, dict):
        for side in ("left", "right"):
            _rename(hanging.get(side), Anchor)


def _forget_assumed_ratings(content: dict[str, Any]) -> None:
    """Removes ratings that the program had assumed."""
    for hanging in _entries(content.get("hangings")):
        for anchor in (hanging.get("left"), hanging.get("right")):
            if isinstance(anchor, dict) and anchor.get("holds") == OLD_DEFAULT_RATING:
                anchor["holds"] = 0.0


def _name_kinds(content: dict[str, Any]) -> None:
    """Sets the kind of each keep-out from its name."""
    wall = content.get("wall")
    for keep_out in _entries(wall.get("keep_outs") if isinstance(wall, dict) else None):
        if isinstance(name := keep_out.get("name"), str):
            keep_out.setdefault("kind", usual_kind(name))


def _from_1(content: dict[str, Any]) -> dict[str, Any]:
    _forget_assumed_ratings(content)
    _name_kinds(content)
    return content


def _from_2(content: dict[str, Any]) -> dict[str, Any]:
    """Renames fields and choices to the names in the window. Sets the gap between colours to 0: areas of two colours used to
    touch."""
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
"""By version: the function that turns its "document" into that of the next version."""
