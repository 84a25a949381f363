"""Machines as files of their own, read by their published schema."""

from __future__ import annotations

import json

import jsonschema
import pytest

from tests.support.jobs import SQUARE, document_of
from wallwright.commands.main import main
from wallwright.document import edits
from wallwright.document.calibration import CalibratedNumber, MachineCalibration
from wallwright.document.code_settings import CodeSettings
from wallwright.document.controller import Controller
from wallwright.document.errors import BadFile
from wallwright.document.machine import Machine
from wallwright.document.machine_file import decode_machine, encode_machine, machine_schema, read_machine, write_machine
from wallwright.document.project import read_project, write_project
from wallwright.document.resources import resource

CALIBRATED = MachineCalibration("2026-05-01", 14, (CalibratedNumber("pitch", 2.003, 0.001),))
MACHINE = edits.replace(
    Machine(),
    name="Küche 2",
    controller=Controller(code=CodeSettings(left_axis="A", right_axis="B", unit="steps", header="home")),
    calibration=CALIBRATED,
)


def test_a_machine_comes_back_as_it_was_with_its_calibration(tmp_path):
    write_machine(tmp_path / "machine.json", MACHINE)
    assert read_machine(tmp_path / "machine.json") == MACHINE


def test_files_follow_the_published_schema():
    schema = json.loads(resource("schemas", "machine.schema.json").read_text())
    assert schema == json.loads(json.dumps(machine_schema())), (
        "python: wallwright.document.machine_file.machine_schema()"
    )
    check = jsonschema.Draft202012Validator(schema)
    check.validate(json.loads(encode_machine(MACHINE)))
    check.validate(json.loads(encode_machine(Machine())))
    assert not check.is_valid({"form": "wallwright machine", "version": 1, "machine": {"mass": 3}})


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "not JSON"),
        (b"[1]", "not a machine"),
        (b'{"form": "wallwright machine", "version": 9}', "newer"),
        (
            b'{"form": "wallwright machine", "version": 1, "machine": {"name": "a", "body": {"mass": -1}}}',
            "cannot be used",
        ),
        (
            b'{"form": "wallwright machine", "version": 1, "machine": {"controller": {"code": {"left_axis": "Y"}}}}',
            "letters",
        ),
        (b"\xff\xfe", "not JSON"),
    ],
)
def test_other_files_are_refused_with_a_sentence(data, what):
    with pytest.raises(BadFile, match=what):
        decode_machine(data, "x.json")


def test_a_project_is_composed_with_a_machine_from_a_file(tmp_path, capsys):
    file, project = tmp_path / "machine.json", tmp_path / "wall.wallwright"
    write_machine(file, MACHINE)
    saved = tmp_path / "again.json"
    args = ["compose", str(project), "--machine", str(file), "--set", "machine.controller.code.decimals=2"]
    assert main([*args, "--save-machine", str(saved)]) == 0
    machine = read_project(project).machine
    assert machine.controller.code.decimals == 2 and machine.calibration == CALIBRATED
    assert read_machine(saved) == machine
    assert main([*args, "--replace", "--save-machine", str(tmp_path / "machine.txt")]) != 0
    assert "ends with .json" in capsys.readouterr().err


def test_a_project_is_checked_and_exported_with_a_machine_from_a_file(tmp_path, capsys):
    """The files are for that machine, and the project keeps its own."""
    project, file, folder = tmp_path / "wall.wallwright", tmp_path / "machine.json", tmp_path / "out"
    write_project(project, document_of(SQUARE))
    before = project.read_bytes()
    write_machine(file, MACHINE)
    assert main(["check", str(project), "--machine", str(file)]) == 0
    assert main(["export", str(project), "--machine", str(file), "--folder", str(folder)]) == 0
    text = (folder / "belts.ngc").read_text()
    assert "(Machine: Kueche 2)" in text and "\nhome\n" in text and "\nG1 A" in text
    assert project.read_bytes() == before
    capsys.readouterr()
    file.write_text("{}")
    assert main(["check", str(project), "--machine", str(file)]) == 2
    assert "not a machine" in capsys.readouterr().err
