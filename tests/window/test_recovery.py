"""Autosave: after a kill at any moment, what was on screen for a moment is offered again; 1.5 s: slow disks, busy cores."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton

from wallwright.document import edits
from wallwright.document.project import read_project
from wallwright.planning.demo import demo_document
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model import recovery
from wallwright.window.model.models import Models

# Edits the mass every 50 ms and says so, in a window of its own; now and then it saves, or its planner is killed.
SCRIPT = """
import random, sys, time
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from wallwright.planning.demo import demo_document
from wallwright.window.model.models import Models
from wallwright.window.application.window_assembly import ProjectWindow
if __name__ == "__main__":
    chance = random.Random(int(sys.argv[1]))
    application = QApplication([])
    window = ProjectWindow(Models.of(demo_document()))
    window.show()
    window.models.planning.start_worker()
    count = [0]
    def edit():
        count[0] += 1
        window.models.project.set_field("Mass", "machine.body.mass", 0.5 + count[0] / 1000)
        planner = window.models.planning._planner
        print(count[0], time.time(), planner._process.pid, flush=True)
        if chance.random() < 0.04:
            planner.kill_worker()
        if chance.random() < 0.04:
            window.files._save_to(Path(sys.argv[2]))
    timer = QTimer(interval=50)
    timer.timeout.connect(edit)
    timer.start()
    application.exec()
"""


def killed_after(seconds: float, seed: int, folder: Path, script: Path) -> list[tuple[int, float, int]]:
    """Runs the editing script, kills it, returns (edit, time, process of the planner) of its edits."""
    environment = {
        **os.environ,
        "WALLWRIGHT_STATE": str(folder),
        "PYTHONPATH": os.path.join(os.getcwd(), "app"),
    }
    command = [sys.executable, str(script), str(seed), str(folder / "mine.wallwright")]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment)
    first = process.stdout.readline().split()
    time.sleep(seconds)
    process.send_signal(signal.SIGKILL)
    rest = [line.split() for line in process.communicate()[0].splitlines()]
    whole = [words for words in (first, *rest) if len(words) == 3]  # the last line may be cut
    return [(int(a), float(b), int(c)) for a, b, c in whole]


def runs(process: int) -> bool:
    """Whether a process does anything still; one that nobody waited for does not."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


def check_kills(seconds: list[float], tmp_path, monkeypatch) -> None:
    script = tmp_path / "editing.py"
    script.write_text(SCRIPT)
    for number, wait in enumerate(seconds):
        folder = tmp_path / f"state{number}"
        folder.mkdir()
        edits_made = killed_after(wait, number, folder, script)
        monkeypatch.setenv("WALLWRIGHT_STATE", str(folder))
        assert len(list((folder / "recovery").glob("*.lock"))) <= 1
        left, saved = recovery.recoverable(), folder / "mine.wallwright"
        kept = [one.document for one in left] + ([read_project(saved)] if saved.exists() else [])
        newest = max((round(1000 * (document.machine.body.mass - 0.5)) for document in kept), default=0)
        on_screen = [edit for edit, when, _ in edits_made if when < edits_made[-1][1] - 1.5]
        assert newest >= max(on_screen, default=0), f"killed after {wait} s"
        if recovery.folder().exists():
            names = {f.stem for f in recovery.folder().iterdir()}
            assert names == {one.file.stem for one in left}  # no half file
        deadline = time.monotonic() + 60
        while any(runs(process) for process in {p for _, _, p in edits_made}):
            assert time.monotonic() < deadline, "a planner outlived its window"
            time.sleep(0.05)


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL")
def test_a_kill_loses_next_to_nothing(tmp_path, monkeypatch):
    check_kills([2.6, 3.3], tmp_path, monkeypatch)


@pytest.mark.slow
@pytest.mark.timeout(300)
def test_twenty_kills_at_random_moments(tmp_path, monkeypatch):
    rng = random.Random(5)
    check_kills([rng.uniform(0.2, 6) for _ in range(20)], tmp_path, monkeypatch)


@pytest.fixture
def window(qtbot):
    window = ProjectWindow(Models.of(demo_document()))
    window.models.project.saved = window.models.project.document
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    return window


def test_closing_in_order_leaves_nothing(qtbot, window):
    window.models.project.set_field("Mass", "machine.body.mass", 0.9)
    qtbot.waitUntil(lambda: window.files.autosave.file.exists(), timeout=5000)
    window.models.project.saved = window.models.project.document
    window.close()
    assert not list(recovery.folder().iterdir())


def test_undoing_to_the_saved_state_forgets(qtbot, window):
    window.models.project.set_field("Mass", "machine.body.mass", 0.9)
    qtbot.waitUntil(lambda: window.files.autosave.file.exists(), timeout=5000)
    window.models.project.undo()
    qtbot.waitUntil(lambda: not window.files.autosave.file.exists(), timeout=5000)


def test_what_was_left_is_offered_and_counts_as_unsaved(qtbot, window):
    from wallwright.document.project import write_project

    changed = edits.set_field(demo_document(), "hangings.0.name", "Rescued")
    recovery.folder().mkdir(parents=True)
    write_project(recovery.folder() / "999999999-1.wallwright", changed)
    (recovery.folder() / "999999998.wallwright").write_bytes(b"half")
    window.parts.start.show()
    button = next(b for b in window.parts.start.page.findChildren(QPushButton) if b.text() == "Open")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert (
        window.models.project.document == changed and window.models.project.is_dirty and not window.parts.start.is_shown
    )
    assert window.files.autosave.file.stem == "999999999-1"  # never away, and gone on with
    assert read_project(window.files.autosave.file) == changed
    assert (recovery.folder() / recovery.UNREADABLE / "999999998.wallwright").read_bytes() == b"half"
    assert recovery.recoverable() == [], "a second window must not be offered it"
    window.parts.start.show()
    assert not [b for b in window.parts.start.page.findChildren(QPushButton) if b.text() == "Open" and b.isVisible()]
