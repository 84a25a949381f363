"""A project file that others write while it is open here: noticed, asked about, both versions kept."""

import os
import sys
import time

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMessageBox

from tests.support.opening import open_and_wait, wait_for_files
from wallwright.document import edits
from wallwright.document.errors import BadFile
from wallwright.document.locks import free, try_lock
from wallwright.document.project import read_project, write_project
from wallwright.planning.demo import demo_document
from wallwright.window.application.file_watch import _folder, is_open_elsewhere
from wallwright.window.application.language_choice import wanted_language
from wallwright.window.application.windows import Windows
from wallwright.window.model import recovery
from wallwright.window.model.models import Models
from wallwright.window.model.settings import chosen_language, recent, settings

THEIRS = edits.set_field(demo_document(), "hangings.0.name", "Theirs")


@pytest.fixture
def opened(qtbot, tmp_path):
    """A window on a project, changed here and saved by somebody else; its windows and path."""
    path = tmp_path / "wall.wallwright"
    write_project(path, demo_document())
    windows = Windows()
    window = windows.make()
    open_and_wait(qtbot, window, path)
    window.models.project.set_field("Mass", "machine.body.mass", 0.9)
    write_project(path, THEIRS)
    yield windows, window, path
    for one in list(windows.open):
        one.models.project.saved = one.models.project.document
        one.close()


def answer(button: str) -> list[str]:
    """Presses a button of the next message box; returns its texts once it was there."""
    texts: list[str] = []

    def press() -> None:
        box = QApplication.activeModalWidget()
        assert isinstance(box, QMessageBox)
        texts.extend([box.text(), box.informativeText()])
        next(b for b in box.buttons() if b.text().replace("&", "") == button).click()

    QTimer.singleShot(50, press)
    return texts


def test_save_over_keeps_the_other_version_beside(opened):
    _, window, path = opened
    texts = answer("Overwrite")
    assert window.files.save() and "changed by another program or window" in texts[0]
    assert read_project(path) == window.models.project.document and not window.models.project.is_dirty
    (kept,) = path.parent.glob("wall-before-*.wallwright")
    assert read_project(kept) == THEIRS and kept.name in texts[1]
    assert window.files.save(), "what was saved here is known"


def test_a_copy_leaves_the_other_version_alone(opened):
    _, window, path = opened
    answer("Save as a copy")
    assert window.files.save()
    assert read_project(path) == THEIRS
    assert window.models.project.path.name == "wall (2).wallwright" and not window.models.project.is_dirty
    assert read_project(window.models.project.path) == window.models.project.document


def test_theirs_opens_beside_and_saving_asks_again(qtbot, opened):
    windows, window, path = opened
    answer("Open the other version too")
    assert not window.files.save() and window.models.project.is_dirty
    other = windows.open[-1]
    wait_for_files(qtbot, other)
    assert other is not window and other.models.project.document == THEIRS and other.models.project.path == path
    answer("Cancel")
    assert not window.files.save()
    assert read_project(path) == THEIRS


def test_written_again_without_a_change_is_not_asked_about(opened):
    _, window, path = opened
    write_project(path, demo_document())
    assert window.files.save() and read_project(path) == window.models.project.document


def test_a_change_on_disk_is_noticed_while_open(qtbot, opened):
    _, window, path = opened
    qtbot.waitUntil(lambda: "changed by another program" in window.bar.sentence.text(), timeout=5000)
    window.bar.say("")
    path.unlink()
    qtbot.waitUntil(lambda: "moved or deleted" in window.bar.sentence.text(), timeout=5000)
    assert window.files.save() and path.exists()


def test_own_saving_is_not_noticed(qtbot, tmp_path):
    models = Models.of(demo_document())
    path = tmp_path / "wall.wallwright"
    windows = Windows()
    window = windows.make(models)
    window.files._save_to(path)
    messages = []
    window.files.file_watch.noticed.connect(messages.append)
    window.files.file_watch.look()
    models.project.set_field("Mass", "machine.body.mass", 0.9)
    assert window.files.save()
    window.files.file_watch.look()
    qtbot.wait(600)
    assert messages == []
    window.close()


def test_two_windows_of_two_processes_notice_each_other(qtbot, tmp_path):
    """The lock of the other is what another process would hold: locks of one process keep each other out just so."""
    path = tmp_path / "wall.wallwright"
    write_project(path, demo_document())
    windows = Windows()
    window = windows.make()
    messages = []
    window.files.file_watch.noticed.connect(messages.append)
    open_and_wait(qtbot, window, path)
    window.files.file_watch.look()
    assert messages == [] and not is_open_elsewhere(path, window.files.file_watch)
    lock = try_lock(_folder(path) / "other.lock")
    qtbot.waitUntil(lambda: any("open in another Wallwright" in text for text in messages), timeout=5000)
    assert is_open_elsewhere(path, window.files.file_watch)
    free(lock)
    assert not is_open_elsewhere(path, window.files.file_watch)
    (_folder(path) / "crashed.lock").write_text("")  # of a process that was killed
    window.files.file_watch.look()
    assert not is_open_elsewhere(path, window.files.file_watch)
    window.close()
    assert not _folder(path).exists()


def test_saving_as_onto_a_project_that_is_open_elsewhere_is_asked_about(qtbot, tmp_path):
    path = tmp_path / "wall.wallwright"
    write_project(path, THEIRS)
    windows = Windows()
    window = windows.make(Models.of(demo_document()))
    lock = try_lock(_folder(path) / "other.lock")
    answer("Cancel")
    assert not window.files._save_to(path) and read_project(path) == THEIRS
    answer("Overwrite")
    assert window.files._save_to(path) and read_project(path) == demo_document()
    free(lock)
    window.close()


@pytest.mark.skipif(sys.platform == "win32", reason="links")
def test_a_link_is_the_same_project(opened, tmp_path):
    _, window, path = opened
    link = tmp_path / "link.wallwright"
    link.symlink_to(path)
    answer("Cancel")
    assert not window.files._save_to(link)
    assert link.is_symlink() and read_project(path) == THEIRS


def test_a_living_process_with_the_number_of_a_crashed_one_hides_nothing(qtbot):
    """Recovery files of earlier versions carried only that number."""
    recovery.folder().mkdir(parents=True)
    write_project(recovery.folder() / f"{os.getpid()}-1.wallwright", THEIRS)
    windows = Windows()
    window = windows.make(Models.of(demo_document()))
    window.models.project.set_field("Mass", "machine.body.mass", 0.9)
    qtbot.waitUntil(window.files.autosave.file.exists, timeout=5000)
    (left,) = recovery.recoverable()
    assert left.document == THEIRS
    first, second = windows.open[0], windows.make(Models.of(demo_document()))
    assert second.files.autosave.adopt(left) and not first.files.autosave.adopt(left), "two windows got the same work"
    left.forget()
    assert left.file.exists(), "forgotten while a window works on it"
    for one in list(windows.open):
        one.models.project.saved = one.models.project.document
        one.close()
    assert recovery.recoverable() == []


def test_recovered_work_knows_which_version_it_came_from(qtbot, opened, monkeypatch):
    _, window, path = opened
    qtbot.waitUntil(window.files.autosave.file.exists, timeout=5000)
    origin = recovery._origin(window.files.autosave.file)
    assert origin == (path, window.models.project.disk)


def test_an_edit_is_kept_aside_although_the_window_is_busy():
    """No event loop runs here: a window that paints for seconds keeps nothing from being written, the newest edit last."""
    models = Models.of(demo_document())
    autosave = recovery.Autosave(models.project, models.messages)
    for mass in (0.9, 0.91, 0.92):
        models.project.set_field("Mass", "machine.body.mass", mass)
    deadline = time.monotonic() + 60
    while not autosave.file.exists() or read_project(autosave.file) != models.project.document:
        assert time.monotonic() < deadline, "not written"
        time.sleep(0.01)
    models.project.undo()
    models.project.saved = models.project.document
    models.project.file_changed.emit()
    while autosave.file.exists():
        assert time.monotonic() < deadline, "saved, and still kept"
        time.sleep(0.01)
    autosave.close()
    models.close()


def test_a_full_disk_is_reported_once_and_tried_again(qtbot, monkeypatch):
    models, messages, full = Models.of(demo_document()), [], [True]
    autosave = recovery.Autosave(models.project, models.messages)
    models.messages.new_message.connect(messages.append)
    monkeypatch.setattr(recovery, "AGAIN_AFTER_S", 0.05)
    real = recovery.write_atomic

    def write(path, data):
        if full[0]:
            raise BadFile("no space left.")
        real(path, data)

    monkeypatch.setattr(recovery, "write_atomic", write)
    models.project.set_field("Mass", "machine.body.mass", 0.9)
    qtbot.waitUntil(lambda: bool(messages), timeout=5000)
    qtbot.wait(200)
    assert len(messages) == 1 and "no space left" in messages[0]
    full[0] = False
    qtbot.waitUntil(autosave.file.exists, timeout=5000)
    autosave.close()
    models.close()


@pytest.mark.parametrize(
    "content",
    [
        "[General]\nlanguage=tlh\n",
        "[General]\nlanguage=@Invalid()\nrecent=@Variant(\\0\\0)\n",
        "\0\xff[[[\n=",
        "[General]\nlanguage=de, en\nrecent=1, \\x0, " + "x" * 5000 + "\n",
        "[General]\nlanguage=@ByteArray(\\xff)\n",
    ],
)
def test_no_settings_file_stops_the_start(content):
    settings().sync()
    file = settings().fileName()
    os.makedirs(os.path.dirname(file), exist_ok=True)
    with open(file, "w", encoding="latin-1") as out:
        out.write(content)
    assert chosen_language() in ("", "en", "de")
    assert wanted_language().code in ("en", "de")
    assert isinstance(recent(), list)
