"""Autosave: after a kill at any moment, what was on screen for two seconds is offered again."""

import os
import random
import signal
import subprocess
import sys
import time

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton

from app.document import edits
from app.planning.demo import demo_document
from app.window import recovery
from app.window.session import Session
from app.window.window import MainWindow

# Edits the mass every 50 ms and says so, in a window of its own.
SCRIPT = """
import sys, time
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from app.document import edits
from app.planning.demo import demo_document
from app.window.session import Session
from app.window.window import MainWindow
if __name__ == "__main__":
    application = QApplication([])
    window = MainWindow(Session(demo_document()))
    window.show()
    count = [0]
    def edit():
        count[0] += 1
        window.session.set_field("Mass", "machine.body.mass", 0.5 + count[0] / 1000)
        print(count[0], time.time(), flush=True)
    timer = QTimer(interval=50)
    timer.timeout.connect(edit)
    timer.start()
    application.exec()
"""


def killed_after(seconds: float, folder, script) -> list[tuple[int, float]]:
    """Runs the editing script, kills it, returns (edit, time) of its edits."""
    environment = {**os.environ, "WALLWRIGHT_STATE": str(folder), "PYTHONPATH": os.getcwd()}
    process = subprocess.Popen(
        [sys.executable, str(script)], stdout=subprocess.PIPE, text=True, env=environment
    )
    first = process.stdout.readline().split()
    time.sleep(seconds)
    process.send_signal(signal.SIGKILL)
    rest = process.communicate()[0].splitlines()
    return [
        (int(a), float(b)) for a, b in [first, *(line.split() for line in rest if len(line.split()) == 2)]
    ]


def check_kills(seconds: list[float], tmp_path, monkeypatch) -> None:
    script = tmp_path / "editing.py"
    script.write_text(SCRIPT)
    for number, wait in enumerate(seconds):
        folder = tmp_path / f"state{number}"
        edits_made = killed_after(wait, folder, script)
        ended = edits_made[-1][1]
        monkeypatch.setenv("WALLWRIGHT_STATE", str(folder))
        left = recovery.left_behind()
        old = [n for n, when in edits_made if when < ended - 2.0]
        if old:
            assert left, f"nothing kept after {wait} s"
            mass = left[0].document.machine.body.mass
            assert round(1000 * (mass - 0.5)) >= old[-1]
        for file in (folder / "recovery").glob("*.wallwright") if (folder / "recovery").exists() else ():
            assert file in [one.file for one in left]  # no half file


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL")
def test_a_kill_loses_at_most_two_seconds(tmp_path, monkeypatch):
    check_kills([2.6, 3.3], tmp_path, monkeypatch)


@pytest.mark.slow
@pytest.mark.timeout(300)
def test_twenty_kills_at_random_moments(tmp_path, monkeypatch):
    rng = random.Random(5)
    check_kills([rng.uniform(0.2, 6) for _ in range(20)], tmp_path, monkeypatch)


@pytest.fixture
def window(qtbot):
    window = MainWindow(Session(demo_document()))
    window.session.saved = window.session.document
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.session, "saved", w.session.document))
    return window


def test_closing_in_order_leaves_nothing(qtbot, window):
    window.session.set_field("Mass", "machine.body.mass", 0.9)
    qtbot.waitUntil(lambda: window.autosave.file.exists(), timeout=5000)
    window.session.saved = window.session.document
    window.close()
    assert not list(recovery.folder().iterdir())


def test_undoing_to_the_saved_state_forgets(qtbot, window):
    window.session.set_field("Mass", "machine.body.mass", 0.9)
    qtbot.waitUntil(lambda: window.autosave.file.exists(), timeout=5000)
    window.session.undo()
    qtbot.waitUntil(lambda: not window.autosave.file.exists(), timeout=5000)


def test_what_was_left_is_offered_and_counts_as_unsaved(qtbot, window):
    from app.document.project import write_project

    changed = edits.set_field(demo_document(), "hangings.0.name", "Rescued")
    recovery.folder().mkdir(parents=True)
    write_project(recovery.folder() / "999999999-1.wallwright", changed)
    (recovery.folder() / "999999998.wallwright").write_bytes(b"half")
    window.show_start()
    button = next(b for b in window.start_page.findChildren(QPushButton) if b.text() == "Open")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert window.session.document == changed and window.session.dirty and not window.at_start
    assert not list(recovery.folder().glob("99999999*"))
    assert recovery.read_project(window.autosave.file) == changed  # never away
    window.show_start()
    assert not [
        b for b in window.start_page.findChildren(QPushButton) if b.text() == "Open" and b.isVisible()
    ]
