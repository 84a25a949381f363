"""An exported job leaves the window: copied, dragged; and the desktop knows the project files."""

import configparser
import importlib.util
import os
import shutil
import subprocess
import time
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QDrag, QGuiApplication

from wallwright.document.atomic_write import remove_partial_files, write_atomic
from wallwright.document.locks import free, try_lock
from wallwright.document.project import SUFFIX
from wallwright.window.model import recovery
from wallwright.window.shell import message_bar
from wallwright.window.shell.message_bar import MessageBar

PACKAGING = Path(__file__).parents[2] / "packaging"


@pytest.fixture
def bar(qtbot, tmp_path):
    bar = MessageBar()
    qtbot.addWidget(bar)
    files = [tmp_path / "belts.nc", tmp_path / "sheet with space.pdf"]
    for file in files:
        file.write_text("x")
    bar.say("Exported.", files)
    bar.show()
    bar.held = files
    yield bar
    QGuiApplication.clipboard().clear()  # the offscreen platform crashes at its end when files are left on it


def test_the_files_are_copied(qtbot, bar):
    qtbot.keyClick(bar.files, Qt.Key.Key_Space)
    urls = QGuiApplication.clipboard().mimeData().urls()
    assert [Path(u.toLocalFile()) for u in urls] == bar.held
    assert bar.open_folder.isVisible()
    bar.say("Something else.")
    assert not bar.files.isVisible() and not bar.open_folder.isVisible()


def test_the_files_are_dragged(qtbot, bar, monkeypatch):
    dragged = []
    monkeypatch.setattr(QDrag, "exec", lambda drag, *a: dragged.append(drag.mimeData().urls()))
    qtbot.mousePress(bar.files, Qt.MouseButton.LeftButton, pos=QPoint(5, 5))
    qtbot.mouseMove(bar.files, QPoint(7, 5))
    assert dragged == []
    qtbot.mouseMove(bar.files, QPoint(60, 30))
    qtbot.mouseRelease(bar.files, Qt.MouseButton.LeftButton, pos=QPoint(60, 30))
    assert [[Path(u.toLocalFile()) for u in urls] for urls in dragged] == [bar.held]


def test_copying_answers_how_many_files_and_what_to_do(qtbot, bar):
    assert not bar.answer.isVisible()
    qtbot.mouseClick(bar.files, Qt.MouseButton.LeftButton)
    assert bar.answer.isVisible() and bar.answer.text().startswith("2 files are on the clipboard. Paste")
    bar.say("Something else.")
    assert not bar.answer.isVisible()


def test_of_several_hangings_the_folders_are_copied(qtbot, tmp_path):
    """Their files have the same names: pasted into one folder they would replace each other."""
    bar = MessageBar()
    qtbot.addWidget(bar)
    files = [tmp_path / f"hanging-{i}" / name for i in (1, 2) for name in ("belts.ngc", "hanging-sheet.pdf")]
    bar.say("Exported.", [*files, tmp_path / "wall-report.json"])
    qtbot.keyClick(bar.files, Qt.Key.Key_Space)
    urls = [Path(u.toLocalFile()) for u in QGuiApplication.clipboard().mimeData().urls()]
    QGuiApplication.clipboard().clear()
    assert urls == [tmp_path / "hanging-1", tmp_path / "hanging-2", tmp_path / "wall-report.json"]
    assert "folders of all hangings" in bar.answer.text()


@pytest.mark.parametrize("has_program", [True, False])
def test_opening_answers_too_and_says_where_it_is_when_no_program_opens_it(qtbot, bar, monkeypatch, has_program):
    """As where no desktop is installed: QDesktopServices says that it could not."""
    opened = []
    monkeypatch.setattr(
        message_bar.QDesktopServices, "openUrl", lambda url: opened.append(url.toLocalFile()) or has_program
    )
    for button, path in ((bar.open_sheet, bar.held[1]), (bar.open_folder, bar.held[1].parent)):
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        assert Path(opened.pop()) == path
        text = bar.answer.text()
        assert bar.answer.isVisible() and (path.name in text if has_program else str(path) in text)
        assert ("is being opened" in text) == has_program


@pytest.fixture
def desktop(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "share"))
    spec = importlib.util.spec_from_file_location("desktop_files", PACKAGING / "desktop.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_menu_entry_names_the_program_and_the_file_type(desktop, tmp_path):
    written = desktop.install(tmp_path / "with space" / "wallwright")
    entry = configparser.ConfigParser(interpolation=None)
    entry.optionxform = str
    entry.read(written[0], encoding="utf-8")
    fields = entry["Desktop Entry"]
    # Desktop Entry Specification 1.5: required keys, quoting of Exec, %F for several files.
    assert fields["Type"] == "Application" and fields["Name"]
    assert fields["Exec"] == f'"{tmp_path}/with space/wallwright" window %F'
    types = fields["MimeType"].split(";")
    root = ElementTree.parse(written[1]).getroot()
    name = "{http://www.freedesktop.org/standards/shared-mime-info}"
    (kind,) = root.findall(f"{name}mime-type")
    assert kind.get("type") in types
    assert [g.get("pattern") for g in kind.findall(f"{name}glob")] == [f"*{SUFFIX}"]
    assert ElementTree.parse(written[2]).getroot().tag.endswith("svg")
    if shutil.which("desktop-file-validate"):
        assert subprocess.run(["desktop-file-validate", written[0]]).returncode == 0
    if shutil.which("update-mime-database"):
        assert (tmp_path / "share" / "mime" / "globs2").read_text().count(f"*{SUFFIX}")
    desktop.remove()
    assert not any(file.exists() for file in written)


def test_half_files_of_the_dead_are_swept_and_those_of_the_living_stay(tmp_path):
    path = tmp_path / "mine.wallwright"
    old, new = tmp_path / ".mine.wallwright.abc.part", tmp_path / ".mine.wallwright.def.part"
    other = tmp_path / ".yours.wallwright.abc.part"
    for half in (old, new, other):
        half.write_bytes(b"half")
    os.utime(old, (time.time() - 3600,) * 2)
    write_atomic(path, b"whole")
    assert path.read_bytes() == b"whole" and not old.exists() and new.exists() and other.exists()
    remove_partial_files(tmp_path / "no such folder" / "x")


def test_half_recovery_files_of_the_dead_are_swept():
    recovery.folder().mkdir(parents=True)
    half = recovery.folder() / ".gone.wallwright.abc.part"
    living = recovery.folder() / ".here.wallwright.abc.part"
    half.write_bytes(b"")
    living.write_bytes(b"")
    lock = try_lock(recovery.folder() / "here.lock")
    assert recovery.recoverable() == []
    assert not half.exists() and living.exists()
    free(lock)
