"""Answers of the guided start: wall, openings, machine and pens, remembered for the next project."""

from __future__ import annotations

import logging
from pathlib import Path

import msgspec

from wallwright.document.atomic_write import os_reason, write_atomic
from wallwright.document.document import Document, Pen
from wallwright.document.edits_keep_outs import usual_kind
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.log import state_folder
from wallwright.document.machine import Machine
from wallwright.document.new_wall import NewWall, usual_machine
from wallwright.document.saved_presets import SavedWall, with_saved_wall
from wallwright.document.wall import KeepOut
from wallwright.document.whole_file import read_whole_file

replace = msgspec.structs.replace


class Opening(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A door or window, as measured on the wall, mm."""

    name: str
    left: float
    """Distance from the wall's left edge, mm."""
    bottom: float
    """Height above the floor, mm."""
    width: float
    height: float


def usual_opening(is_door: bool, wall: NewWall) -> Opening:
    """Returns a door or window of usual size at the right end of a wall, limited to the wall."""
    width, height, bottom = (900.0, 2000.0, 0.0) if is_door else (1000.0, 1000.0, 900.0)
    width, bottom = min(width, wall.width / 3), min(bottom, wall.height / 3)
    height = min(height, wall.height - bottom)
    return Opening(tr("Door") if is_door else tr("Window"), wall.width - width, bottom, width, height)


class StartAnswers(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Answers for an empty project. Unanswered questions have defaults."""

    wall: NewWall = NewWall()
    openings: tuple[Opening, ...] = ()
    saved_wall: SavedWall | None = None
    """Used instead of the wall and the openings."""
    machine: Machine | None = None
    """None: the default machine."""
    pens: tuple[Pen, ...] = ()
    """Empty: a black marker."""

    def document(self) -> Document:
        """Returns an empty project. Raises BadValue when the anchors are not on the wall."""
        machine = self.machine or usual_machine()
        if self.saved_wall is not None:
            document = with_saved_wall(NewWall().document(machine), self.saved_wall)
        else:
            document = self.wall.document(machine)
            wall = document.wall
            keep_outs = tuple(_keep_out(opening, wall.left, wall.floor) for opening in self.openings)
            document = replace(document, wall=replace(wall, keep_outs=keep_outs))
        return replace(document, pens=self.pens) if self.pens else document


def _keep_out(opening: Opening, left: float, floor: float) -> KeepOut:
    x, y = left + opening.left, floor - opening.bottom
    right, top = x + opening.width, y - opening.height
    return KeepOut(opening.name, ((x, top), (right, top), (right, y), (x, y)), usual_kind(opening.name))


def answers_file() -> Path:
    return state_folder() / "start.json"


def read_answers() -> StartAnswers:
    """Returns the last answers, or the defaults if there are none or they cannot be read (logged)."""
    file = answers_file()
    if not file.exists():
        return StartAnswers()
    try:
        return msgspec.json.decode(read_whole_file(file), type=StartAnswers)
    except (BadFile, OSError, msgspec.DecodeError, msgspec.ValidationError, UnicodeDecodeError, RecursionError):
        logging.getLogger("wallwright").exception("the answers of the last start cannot be read")
        return StartAnswers()


def write_answers(answers: StartAnswers) -> None:
    """Raises BadFile when the state folder cannot be written."""
    file = answers_file()
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadFile(tr("{0} could not be created ({1}).", file.parent, os_reason(error))) from error
    write_atomic(file, msgspec.json.format(msgspec.json.encode(answers), indent=1))
