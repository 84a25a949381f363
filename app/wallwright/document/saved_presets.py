"""Saved walls, machines and pens, kept by name for other projects."""

from __future__ import annotations

from pathlib import Path
from typing import TypeVar

import msgspec

from wallwright.document.atomic_write import os_reason, write_atomic
from wallwright.document.calibration import Survey
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.language import tr
from wallwright.document.log import state_folder
from wallwright.document.machine import Machine
from wallwright.document.migrations import rename_in_hanging
from wallwright.document.wall import Hanging, Wall
from wallwright.document.whole_file import read_whole_file

VERSION = 2
"""Version of the file. Version 1 had other names for some fields (migrations.py); the first files had no version."""

replace = msgspec.structs.replace
Preset = TypeVar("Preset", "SavedWall", Machine, Pen)


class SavedWall(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A wall with its keep-outs, and the anchors on it."""

    name: str
    wall: Wall
    hanging: Hanging


class _FileVersion(msgspec.Struct):
    """The version in a file, read first; other fields are ignored."""

    version: int = VERSION


class SavedPresets(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """All saved walls, machines and pens, sorted by name."""

    version: int = VERSION
    walls: tuple[SavedWall, ...] = ()
    machines: tuple[Machine, ...] = ()
    pens: tuple[Pen, ...] = ()

    def with_wall(self, name: str, document: Document) -> SavedPresets:
        """Saves the wall of a document, without what was learnt about the belts, which only holds until they are reset."""
        name = _valid_name(name)
        hanging = replace(
            document.hangings[0],
            left_offset=0.0,
            right_offset=0.0,
            survey=Survey(),
            calibration=None,
            remainder=None,
        )
        kept = [t for t in self.walls if t.name != name]
        return replace(self, walls=_sorted([*kept, SavedWall(name, document.wall, hanging)]))

    def with_machine(self, name: str, document: Document) -> SavedPresets:
        name = _valid_name(name)
        kept = [m for m in self.machines if m.name != name]
        return replace(self, machines=_sorted([*kept, replace(document.machine, name=name)]))

    def with_pen(self, pen: Pen) -> SavedPresets:
        """Saves a pen under its name."""
        kept = [p for p in self.pens if p.name != _valid_name(pen.name)]
        return replace(self, pens=_sorted([*kept, pen]))


def _valid_name(name: str) -> str:
    if not name.strip():
        raise BadValue(tr("A saved wall, machine or pen needs a name"))
    return name.strip()


def _sorted(presets: list[Preset]) -> tuple[Preset, ...]:
    return tuple(sorted(presets, key=lambda t: t.name.casefold()))


def with_saved_wall(document: Document, saved: SavedWall) -> Document:
    """Returns the same artwork and machine on a saved wall."""
    return replace(document, wall=saved.wall, hangings=(saved.hanging, *document.hangings[1:]))


def presets_file() -> Path:
    return state_folder() / "templates.json"


def read_presets() -> SavedPresets:
    """Returns the saved presets, empty if there is no file yet. Raises BadFile with a sentence."""
    file = presets_file()
    if not file.exists():
        return SavedPresets()
    data = read_whole_file(file)
    try:
        version = msgspec.json.decode(data, type=_FileVersion).version
        if version > VERSION:
            raise BadFile(
                tr(
                    "The saved walls and machines in {0} are from a newer Wallwright (file version {1}; this one reads up "
                    "to {2}). Update the program to use them.",
                    file,
                    version,
                    VERSION,
                )
            )
        content = msgspec.json.decode(data)
        for wall in content.get("walls", ()):
            rename_in_hanging(wall.get("hanging"))
        return msgspec.convert({**content, "version": VERSION}, SavedPresets)
    except (
        msgspec.DecodeError,
        msgspec.ValidationError,
        UnicodeDecodeError,
        RecursionError,
        AttributeError,
        TypeError,
    ) as error:
        raise BadFile(
            tr(
                "The saved walls and machines in {0} cannot be read ({1}). Move that file elsewhere.",
                file,
                error,
            )
        ) from error


def write_presets(presets: SavedPresets) -> None:
    """Raises BadFile when the state folder cannot be written."""
    file = presets_file()
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadFile(tr("{0} could not be created ({1}).", file.parent, os_reason(error))) from error
    write_atomic(file, msgspec.json.format(msgspec.json.encode(presets), indent=1))
