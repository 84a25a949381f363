"""Files of every version so far open. `samples/` has files as the program of each time wrote them: the demo project, and saved
walls and machines ("Boat-house", "Two motors"), and machines as files ("Küche 2")."""

import io
import json
import re
import shutil
import zipfile
from pathlib import Path

import pytest

from wallwright.document.errors import BadFile
from wallwright.document.machine_file import VERSION as MACHINE_VERSION
from wallwright.document.machine_file import decode_machine, encode_machine, read_machine
from wallwright.document.project import VERSION, decode_project, encode_project, read_project
from wallwright.document.saved_presets import VERSION as PRESETS_VERSION
from wallwright.document.saved_presets import presets_file, read_presets, write_presets

SAMPLES = Path(__file__).parent / "samples"


def description(file):
    return json.loads(zipfile.ZipFile(file).read("document.json"))


def test_there_is_a_sample_of_every_version():
    assert {description(f)["version"] for f in SAMPLES.glob("project-*.wallwright")} == set(range(1, VERSION + 1))


@pytest.mark.parametrize("file", sorted(SAMPLES.glob("project-*.wallwright")), ids=lambda f: f.stem)
def test_projects_of_every_version_open_with_all_that_was_in_them(file):
    before = description(file)["document"]
    document = read_project(file)
    assert [a.data for a in document.artworks] == [zipfile.ZipFile(file).read(a["file"]) for a in before["artworks"]]
    assert [p.name for p in document.pens] == [p["name"] for p in before["pens"]]
    assert document.wall.width == before["wall"]["width"]
    assert len(document.wall.keep_outs) == len(before["wall"]["keep_outs"]) > 0
    assert document.hangings[0].right.x == before["hangings"][0]["right"]["x"]
    assert document.machine.body.mass == before["machine"]["body"]["mass"]
    # A file from before gaps between colours is drawn as it was then, without one.
    assert document.settings.gap == before["settings"].get("gap", 0.0)
    assert decode_project(encode_project(document), "again") == document


@pytest.mark.parametrize("file", sorted(SAMPLES.glob("saved-*.json")), ids=lambda f: f.stem)
def test_saved_walls_and_machines_of_every_time_open(file):
    presets_file().parent.mkdir(parents=True, exist_ok=True)
    shutil.copy(file, presets_file())
    presets = read_presets()
    assert [wall.name for wall in presets.walls] == ["Boat-house"]
    assert [machine.name for machine in presets.machines] == ["Two motors"]
    write_presets(presets)
    assert read_presets() == presets


def test_there_is_a_sample_of_every_version_of_machine_files():
    assert {f.name for f in SAMPLES.glob("machine-*.json")} == {
        f"machine-{n}.json" for n in range(1, MACHINE_VERSION + 1)
    }


@pytest.mark.parametrize("file", sorted(SAMPLES.glob("machine-*.json")), ids=lambda f: f.stem)
def test_machine_files_of_every_version_open(file):
    before = json.loads(file.read_text(encoding="utf-8"))["machine"]
    machine = read_machine(file)
    assert (machine.name, machine.body.mass) == ("Küche 2", before["body"]["mass"])
    assert machine.controller.code.left_axis == "A"
    assert machine.calibration.numbers[0].value == 2.003
    assert decode_machine(encode_machine(machine), "again") == machine


def test_newer_files_say_so():
    parts = zipfile.ZipFile(SAMPLES / f"project-{VERSION}.wallwright")
    head = json.loads(parts.read("document.json")) | {"version": VERSION + 1}
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("document.json", json.dumps(head))
    with pytest.raises(BadFile, match=re.escape(f"newer Wallwright (file version {VERSION + 1}")):
        decode_project(buffer.getvalue(), "mine.wallwright")
    presets_file().parent.mkdir(parents=True, exist_ok=True)
    presets_file().write_text(json.dumps({"version": PRESETS_VERSION + 1, "walls": [], "pens": []}))
    with pytest.raises(BadFile, match="newer Wallwright"):
        read_presets()
