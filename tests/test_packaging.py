"""The package as others install it: the wheel holds all modules and data, and runs away from the checkout."""

import importlib.metadata
import json
import os
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from setuptools import find_packages

import wallwright

PROJECT = Path(__file__).resolve().parents[1]

SMOKE = """
import json
from pathlib import Path
from PySide6.QtWidgets import QApplication
import wallwright
from wallwright.artwork.artwork_reader import read_artwork
from wallwright.document.language import Language, set_language, tr
from wallwright.document.resources import resource
from wallwright.planning.demo import ARTWORK, demo_document
set_language(Language("de", ","))
german = tr("Black marker")
set_language(Language())
application = QApplication([])
from wallwright.window.widgets.icons import icon
from wallwright.window.application.windows import Windows
window = Windows().make()
window.files.demo()
window.grab()
artwork = read_artwork(ARTWORK.read_bytes(), "image/svg+xml", ARTWORK.name, 0.05)
print(json.dumps({
    "package": str(Path(wallwright.__file__).parent), "german": german, "shapes": len(artwork.shapes),
    "schemas": sorted(f.name for f in resource("schemas").iterdir()), "icon": icon("open").isNull(),
    "title": window.windowTitle(),
}), flush=True)
import os; os._exit(0)
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    tree = folder / "tree"  # a copy: building leaves files beside the sources
    ignore = shutil.ignore_patterns("__pycache__", "*.egg-info")
    for name in ("app", "resources"):
        shutil.copytree(PROJECT / name, tree / name, ignore=ignore)
    (tree / "packaging").mkdir()
    for name in ("pyproject.toml", "README.md", "packaging/LICENSE"):
        shutil.copy(PROJECT / name, tree / name)
    command = [
        *(sys.executable, "-m", "pip", "wheel", "--no-deps", "--no-build-isolation", "--no-cache-dir"),
        *("--disable-pip-version-check", "--quiet", "--wheel-dir", str(folder), str(tree)),
    ]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    (file,) = folder.glob("*.whl")
    return file


def test_the_list_of_packages_is_complete():
    listed = tomllib.loads((PROJECT / "pyproject.toml").read_text())["tool"]["setuptools"]["packages"]
    folders = {p.parent.relative_to(PROJECT / "app") for p in (PROJECT / "app" / "wallwright").rglob("*.py")}
    assert set(listed) == {*(".".join(f.parts) for f in folders), "wallwright.resources"}
    assert set(find_packages(PROJECT / "app")) == set(listed) - {"wallwright.resources"}


def test_the_wheel_holds_every_module_and_data_file(wheel):
    names = set(zipfile.ZipFile(wheel).namelist())
    modules = {p.relative_to(PROJECT / "app").as_posix() for p in (PROJECT / "app" / "wallwright").rglob("*.py")}
    assert modules <= names
    data = {
        f"wallwright/{p.relative_to(PROJECT).as_posix()}"
        for pattern in (
            "demo/*",
            "examples/*",
            "guide/**/*",
            "icons/*",
            "languages/*.[mq][om]",
            "licences/*",
            "schemas/*",
        )
        for p in (PROJECT / "resources").glob(pattern)
        if p.is_file()
    }
    assert len(data) > 4
    assert data <= names
    assert not [n for n in names if n.startswith(("tests", "app/", "resources"))]


def test_the_wheel_runs_outside_the_checkout(wheel, tmp_path):
    zipfile.ZipFile(wheel).extractall(tmp_path / "site")
    environment = {
        **os.environ,
        "PYTHONPATH": str(tmp_path / "site"),
        "WALLWRIGHT_STATE": str(tmp_path / "state"),
        "QT_QPA_PLATFORM": "offscreen",
    }
    done = subprocess.run(
        [sys.executable, "-c", SMOKE],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        env=environment,
    )
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout.splitlines()[-1])
    assert found["package"] == str(tmp_path / "site" / "wallwright")
    assert found["german"] not in ("", "Black marker")
    assert found["shapes"] > 10
    assert not found["icon"]
    assert "wallwright" in found["title"].lower()
    assert found["schemas"] == sorted(p.name for p in (PROJECT / "resources" / "schemas").iterdir())


def test_one_place_holds_the_version():
    assert importlib.metadata.version("wallwright") == wallwright.__version__
