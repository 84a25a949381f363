"""Files read beside the window: every failure is a sentence, reading can be cancelled, closing never waits."""

import logging
import os
import threading
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.support import planning_work, reading_work
from wallwright.document.document import Document
from wallwright.planning import artwork_reader
from wallwright.planning.artwork_reader import ArtworkReader, ReadingProgress, ReadingResult
from wallwright.planning.file_reading import ArtworkSource
from wallwright.window.application.main import FaultReporter
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.background_work import BackgroundWork
from wallwright.window.model.models import Models

GOOD = b'<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="40mm"><path d="M0 0h50v20"/></svg>'


@pytest.fixture(autouse=True)
def the_program_stays(monkeypatch):
    """Whoever edits it while tests run would have each crash laid to that."""
    monkeypatch.setattr("wallwright.planning.artwork_reader.is_program_changed", lambda: False)


@pytest.fixture
def models(qtbot):
    models = Models.of(Document())
    yield models
    models.close()


@pytest.fixture
def messages(models):
    """What the window would say."""
    sentences = []
    models.messages.new_message.connect(sentences.append)
    return sentences


@pytest.fixture
def reader():
    reader = ArtworkReader()
    yield reader
    reader.close()


def answers(qtbot, reader, count=1):
    """The next results of a reader, progress left out."""
    found = []

    def look():
        found.extend(m for m in reader.poll() if isinstance(m, ReadingResult))
        return len(found) >= count

    qtbot.waitUntil(look, timeout=30_000)
    return found


def test_a_file_is_read_and_placed_and_what_is_wrong_is_reported(qtbot, models, messages, tmp_path):
    (tmp_path / "good.svg").write_bytes(GOOD)
    (tmp_path / "cut.svg").write_bytes(GOOD[:60])
    os.mkfifo(tmp_path / "pipe.svg")
    (tmp_path / "folder.svg").mkdir()
    (tmp_path / "selector.svg").write_bytes(
        GOOD.replace(b"<path", b"<style>" + b"g " * 1000 + b"{fill:red}</style><path")
    )
    names = ("good.svg", "cut.svg", "pipe.svg", "folder.svg", "missing.svg", "selector.svg")
    threads = []
    models.messages.new_message.connect(lambda _: threads.append(threading.current_thread()))
    models.imports.add_files([tmp_path / n for n in names])
    assert models.imports.is_busy
    qtbot.waitUntil(lambda: not models.imports.is_busy, timeout=30_000)
    placed = [a.name for a in models.project.document.artworks]
    assert placed == ["good.svg", "selector.svg"]
    (sentence,) = messages
    assert all(name in sentence for name in names[1:5])
    assert "is a device or a pipe" in sentence and "is a folder" in sentence
    assert threads == [threading.main_thread()]


def test_an_answer_of_another_version_is_a_sentence(qtbot, reader, monkeypatch):
    monkeypatch.setattr(artwork_reader, "work", planning_work.answers_in_another_version)
    reader.submit((ArtworkSource("good.svg", GOOD),))
    (answer,) = answers(qtbot, reader)
    assert "program was changed" in answer.trouble[0]


def test_devices_are_refused(qtbot, models, messages):
    if not os.path.exists("/dev/zero"):
        pytest.skip("no such device here")
    models.imports.add_files([Path("/dev/zero")])
    qtbot.waitUntil(lambda: not models.imports.is_busy, timeout=30_000)
    assert "zero is a device or a pipe" in messages[0]


def test_reading_that_hangs_is_cancelled_and_the_next_file_is_read(qtbot, models, messages, monkeypatch, tmp_path):
    (tmp_path / "good.svg").write_bytes(GOOD)
    monkeypatch.setattr(artwork_reader, "work", reading_work.never)
    models.imports.add_files([tmp_path / "good.svg"])
    process = models.imports._reader._process
    monkeypatch.undo()
    models.cancel()
    assert not models.imports.is_busy
    qtbot.waitUntil(lambda: not _is_alive(process))
    models.imports.add_files([tmp_path / "good.svg"])
    qtbot.waitUntil(lambda: not models.imports.is_busy, timeout=30_000)
    assert len(models.project.document.placements) == 1 and messages == []


def _is_alive(process) -> bool:
    try:
        return process.is_alive()
    except ValueError:  # closed, once it has ended
        return False


def test_closing_ends_reading_that_hangs(reader, monkeypatch):
    monkeypatch.setattr(artwork_reader, "work", reading_work.never)
    reader.submit((ArtworkSource("a.svg", GOOD),))
    process = reader._process
    reader.close()
    assert reader.pending == () and not _is_alive(process)


def test_a_process_that_dies_costs_its_request_only(qtbot, reader, monkeypatch):
    monkeypatch.setattr(artwork_reader, "work", reading_work.dies)
    first = reader.submit((ArtworkSource("dies.svg", GOOD),))
    second = reader.submit((ArtworkSource("waits.svg", GOOD),))
    monkeypatch.undo()
    found = answers(qtbot, reader, 2)
    assert [r.id for r in found] == [first, second]
    assert "dies.svg" in found[0].trouble[0] and found[0].found == ()
    assert found[1].found[0].data == GOOD and found[1].trouble == ()


def test_a_fault_is_logged_and_reported_and_costs_its_file_only(qtbot, reader, monkeypatch, caplog):
    monkeypatch.setattr(artwork_reader, "work", reading_work.fails)
    with caplog.at_level(logging.ERROR, "wallwright"):
        reader.submit((ArtworkSource("bad", b""), ArtworkSource("good", b"")))
        monkeypatch.undo()
        (result,) = answers(qtbot, reader)
    assert "bad" in result.trouble[0] and "ZeroDivisionError" in result.trouble[0]
    assert [a.name for a in result.found] == ["good"]
    assert "Traceback" in caplog.text and "in fault" in caplog.text


def test_progress_is_shown_and_cancel_ends_it(qtbot, monkeypatch):
    window = ProjectWindow(Models.of(Document()))
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    monkeypatch.setattr(artwork_reader, "work", reading_work.never)
    window.show()
    window.models.cancel()
    window.models.imports.add([ArtworkSource("large.svg", GOOD)])
    monkeypatch.undo()
    assert "large.svg" in window.progress.stage.text() and window.progress.stop.isVisible()
    window.models.imports.receive()
    window.models.imports.progress.emit("large.svg", 0.5)
    assert window.progress.share.value() == 500
    window.parts.actions["cancel"].trigger()
    assert not window.models.imports.is_busy and not window.progress.stop.isVisible()


def test_progress_of_a_large_file_comes_before_its_end(qtbot, reader):
    many = GOOD.replace(b"<path", b"<g>" + b'<rect width="1" height="1"/>' * 8_000 + b"</g><path")
    reader.submit((ArtworkSource("many.svg", many),))
    found = []
    qtbot.waitUntil(lambda: found.extend(reader.poll()) or not reader.pending, timeout=60_000)
    shares = [m.done for m in found if isinstance(m, ReadingProgress)]
    assert len(shares) >= 2 and shares == sorted(shares)


class Failing(BackgroundWork):
    def work(self):
        [].pop()


def test_work_beside_the_window_that_fails_says_so(qtbot, caplog):
    work = Failing(None)
    with qtbot.waitSignal(work.finished):
        work.start()
    assert "IndexError" in work.trouble and "pop" in caplog.text


def test_a_fault_in_any_thread_is_reported_in_the_thread_of_the_windows(qtbot, caplog):
    sentences = []
    messages = SimpleNamespace(say=lambda text: sentences.append((text, threading.current_thread())))
    window = SimpleNamespace(models=SimpleNamespace(messages=messages))
    reporter = FaultReporter(SimpleNamespace(active=window))
    thread = threading.Thread(target=lambda: reporter.report(ValueError, ValueError("x"), None))
    thread.start()
    thread.join()
    assert sentences == []
    qtbot.waitUntil(lambda: bool(sentences))
    ((text, where),) = sentences
    assert "ValueError" in text and where is threading.main_thread()


def test_what_is_waited_for_is_read_whole_when_it_changes(qtbot, tmp_path):
    """A longer text after a shorter one, as when a file is read and then its artwork."""
    window = ProjectWindow(Models.of(Document()), tmp_path / "log")
    qtbot.addWidget(window)
    window.show()
    qtbot.waitExposed(window)
    label = window.progress.stage
    for name in ("a.svg", "a much longer name.svg"):
        window.models.imports.progress.emit(name, 0.5)
        qtbot.waitUntil(label.isVisible)
        qtbot.waitUntil(lambda: label.width() >= label.fontMetrics().horizontalAdvance(label.text()))
