"""Machine files, for sharing a machine or using it in many projects from the commands.

    {"form": "wallwright machine", "version": 1, "machine": {...}}

Numbers are in the units of the document types (mm, rad, s, N, kg, A). The last calibration is included. Schema:
resources/schemas/machine.schema.json.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal

import msgspec

from wallwright.document.atomic_write import write_atomic
from wallwright.document.consistency import validate
from wallwright.document.document import Document
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.migrations import refuse_newer
from wallwright.document.validation_text import describe_invalid
from wallwright.document.whole_file import read_whole_file

FORM: Literal["wallwright machine"] = "wallwright machine"
VERSION: Literal[1] = 1
SUFFIX = ".json"


class MachineFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Content of a machine file."""

    form: Literal["wallwright machine"]
    version: Literal[1]
    machine: Machine


def encode_machine(machine: Machine) -> bytes:
    """Returns the bytes of a machine file."""
    return msgspec.json.format(msgspec.json.encode(MachineFile(FORM, VERSION, machine)), indent=1) + b"\n"


def write_machine(path: Path, machine: Machine) -> None:
    """Saves atomically. Raises BadFile."""
    write_atomic(Path(path), encode_machine(machine))


def read_machine(path: Path) -> Machine:
    """Reads the machine in a file. Raises BadFile with a sentence."""
    return decode_machine(read_whole_file(Path(path)), str(path))


def decode_machine(data: bytes, name: str) -> Machine:
    """Returns the machine in the bytes of a file; name is for messages. Raises BadFile."""
    try:
        content: Any = msgspec.json.decode(data)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise BadFile(tr("{0} is no machine file: it is not JSON ({1}).", name, error)) from error
    if not isinstance(content, dict) or content.get("form") != FORM:
        raise BadFile(tr("{0} is JSON, but not a machine saved by Wallwright.", name))
    version = content.get("version")
    if isinstance(version, int):
        refuse_newer(version, VERSION, name)
    try:
        machine = msgspec.convert(content, MachineFile).machine
        validate(msgspec.structs.replace(Document(), machine=machine))
    except (msgspec.ValidationError, BadValue) as error:
        raise BadFile(tr("{0} cannot be used: {1}.", name, describe_invalid(str(error)))) from error
    return machine


def machine_schema() -> dict[str, Any]:
    """Returns the JSON schema of machine files, generated from the document types."""
    found: dict[str, Any] = msgspec.json.schema(MachineFile)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Wallwright machine", **found}
