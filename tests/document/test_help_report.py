"""The report to ask for help with, the log and the list of components: nothing personal, nothing missing."""

import io
import json
import logging
import re
import tomllib
import zipfile
from pathlib import Path

import pytest

from wallwright.document.components import components, normal_name
from wallwright.document.document import Document
from wallwright.document.help_report import help_report
from wallwright.document.log import keep_log, log_file
from wallwright.document.private_text import without_personal_paths
from wallwright.document.project import decode_project

PROJECT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    "text, secret",
    [
        ("cannot open /home/anna/Wedding plans/cake 2.svg: no such file", "anna"),
        ("cannot open /home/anna/Wedding plans/cake 2.svg: no such file", "Wedding"),
        ("saved /media/anna/STICK/secret.wallwright", "secret"),
        ("C:\\Users\\Anna Berg\\Desktop\\secret.svg was read", "Anna"),
        ("C:\\\\Users\\\\Anna\\\\secret.svg", "secret"),
        ("/Users/anna/Library/x.png", "anna"),
        (f"read {Path.home()}/Diary/today.svg", "Diary"),
        ("“/run/media/anna/disk/a.svg” is damaged", "anna"),
    ],
)
def test_texts_lose_what_is_personal(text, secret):
    assert secret not in without_personal_paths(text)


def test_texts_keep_what_helps():
    import wallwright.document.log as module

    assert without_personal_paths(f'File "{module.__file__}", line 3') == 'File "<wallwright>/document/log.py", line 3'
    assert without_personal_paths("belt speed 180 mm/s and 3/4 of 10 %") == "belt speed 180 mm/s and 3/4 of 10 %"
    assert without_personal_paths("bad: /home/anna/a.svg, line 3") == "bad: ~/….svg, line 3"


def test_the_log_has_no_personal_paths():
    keep_log()
    log = logging.getLogger("wallwright")
    try:
        raise FileNotFoundError(2, "No such file", "/home/anna/Diary/monday.svg")
    except FileNotFoundError:
        log.exception("reading %s failed", "/home/anna/Diary/monday.svg")
    text = log_file().read_text(encoding="utf-8")
    assert "reading ~/….svg failed" in text
    assert "test_help_report.py" in text or "Traceback" in text
    assert "Diary" not in text


def report(document):
    settings = {"language": "de", "recent": ["/home/anna/Diary/a.wallwright"], "photo folder": "/home/anna/Photos"}
    return zipfile.ZipFile(io.BytesIO(help_report(settings, {"Qt": "6"}, document)))


def test_a_report_has_log_versions_and_settings():
    keep_log()
    logging.getLogger("wallwright").error("something odd")
    archive = report(None)
    assert "something odd" in archive.read("log/wallwright.log").decode()
    assert json.loads(archive.read("settings.json")) == {"language": "de"}
    versions = json.loads(archive.read("versions.json"))
    assert versions["Qt"] == "6"
    assert {"Wallwright", "Python", "numpy", "System"} <= set(versions)
    everything = b"".join(archive.read(name) for name in archive.namelist())
    assert b"anna" not in everything
    assert "project.wallwright" not in archive.namelist()


def test_the_project_comes_only_when_agreed():
    document = Document()
    archive = report(document)
    assert decode_project(archive.read("project.wallwright"), "report") == document
    assert "The project is in it" in archive.read("contents.txt").decode()


def test_every_required_library_is_a_component_with_its_licence():
    listed = tomllib.loads((PROJECT / "pyproject.toml").read_text())["project"]["dependencies"]
    required = {normal_name(re.match(r"[\w.-]+", line).group()) for line in listed}
    found = {normal_name(one.name): one for one in components()}
    assert required <= set(found)
    assert "python" in found
    assert {name for name, one in found.items() if not one.licence or len(one.text) < 100} == set()
