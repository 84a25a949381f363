"""Projects and photos are read beside the window: nothing that a file is keeps the window from answering."""

import os
import zipfile

import pytest
from PIL import Image
from PySide6.QtWidgets import QMessageBox

from tests.support import reading_work
from tests.support.opening import open_and_wait, wait_for_files
from wallwright.artwork import usage
from wallwright.document import edits, reading_limits
from wallwright.document.document import Document
from wallwright.document.project import write_project
from wallwright.planning import artwork_reader
from wallwright.planning.demo import demo_document
from wallwright.planning.file_reading import PhotoSource, read_source
from wallwright.window.application.windows import Windows

posix = pytest.mark.skipif(os.name == "nt", reason="pipes and devices of POSIX")
SVG = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="40mm"><text y="20">twenty letters here</text></svg>'
)


def messages(window) -> str:
    return window.bar.sentence.text()


@posix
@pytest.mark.parametrize("kind", ["pipe", "device", "folder", "missing", "giant", "cut"])
def test_what_is_no_project_is_reported_and_the_document_stays(qtbot, window, tmp_path, kind):
    path = tmp_path / "wall.wallwright"
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "device":
        path.symlink_to("/dev/zero")
    elif kind == "folder":
        path.mkdir()
    elif kind == "giant":
        with open(path, "wb") as file:
            file.truncate(1 << 30)
    elif kind == "cut":
        write_project(path, demo_document())
        path.write_bytes(path.read_bytes()[:-40])
    before = window.models.project.document
    open_and_wait(qtbot, window, path)
    assert (
        "wall.wallwright" in messages(window)
        and window.models.project.document is before
        and window.models.project.path is None
    )
    if kind == "giant":
        assert "1,024 MB" in messages(window)


def test_opening_continues_beside_the_window_and_can_be_cancelled(qtbot, window, tmp_path, monkeypatch):
    monkeypatch.setattr(artwork_reader, "work", reading_work.never)
    path = tmp_path / "wall.wallwright"
    write_project(path, Document())
    window.files.open_path(path)
    assert (
        window.models.imports.is_busy
        and window.progress.stop.isVisible()
        and "wall.wallwright" in window.progress.stage.text()
    )
    assert window.models.project.set_field("Mass", "machine.body.mass", 0.9)
    window.parts.actions["cancel"].trigger()
    assert not window.models.imports.is_busy and window.models.project.document.machine.body.mass == 0.9


def test_a_window_made_for_a_project_shows_the_start_page_when_it_cannot_be_opened(qtbot, tmp_path):
    windows = Windows()
    window = windows.another(tmp_path / "missing.wallwright")
    wait_for_files(qtbot, window)
    assert window.parts.start.is_shown and "missing.wallwright" in messages(window)
    window.close()


def test_what_was_edited_while_a_project_was_read_is_not_lost(qtbot, window, tmp_path, monkeypatch):
    path = tmp_path / "wall.wallwright"
    write_project(path, Document())
    asked = []
    monkeypatch.setattr(QMessageBox, "question", lambda *a, **k: asked.append(a) or QMessageBox.StandardButton.Cancel)
    window.files.open_path(path)
    window.models.project.set_field("Mass", "machine.body.mass", 0.9)
    wait_for_files(qtbot, window)
    assert (
        len(asked) == 1
        and window.models.project.document.machine.body.mass == 0.9
        and window.models.project.path is None
    )


def test_artworks_that_share_a_file_share_it_once_opened(qtbot, window, tmp_path):
    document, _ = edits.add_artwork(Document(), "a.svg", "image/svg+xml", SVG, (80.0, 40.0))
    twin = edits.replace(document.artworks[0], id="twin", name="b.svg")
    document = edits.replace(document, artworks=(*document.artworks, twin))
    write_project(tmp_path / "wall.wallwright", document)
    open_and_wait(qtbot, window, tmp_path / "wall.wallwright")
    one, other = window.models.project.document.artworks
    assert window.models.project.document == document and one.data is other.data and not window.models.project.is_dirty


# Photos.


@posix
def test_a_photo_that_never_comes_is_reported(qtbot, window, tmp_path):
    os.mkfifo(tmp_path / "wall.jpg")
    window.models.imports.add_photo(tmp_path / "wall.jpg")
    wait_for_files(qtbot, window)
    assert "wall.jpg is a device or a pipe" in messages(window) and window.models.project.document.photo is None


def test_a_photo_larger_than_is_shown_is_kept_smaller(tmp_path, monkeypatch):
    picture = Image.linear_gradient("L").resize((600, 400))
    exif = picture.getexif()
    exif[0x0112] = 6  # lies on its side (Exif 2.3, table 4)
    picture.save(tmp_path / "wall.jpg", exif=exif)
    whole = read_source(PhotoSource(tmp_path / "wall.jpg"), lambda done: None)
    assert whole.size == (400, 600) and whole.data == (tmp_path / "wall.jpg").read_bytes()
    monkeypatch.setattr("wallwright.planning.file_reading.MOST_PHOTO_PIXELS", 100_000)
    monkeypatch.setattr("wallwright.artwork.raster.raster_reader.LONGEST_SIDE", 150)
    small = read_source(PhotoSource(tmp_path / "wall.jpg"), lambda done: None)
    assert small.media == "image/jpeg" and max(small.size) <= 150 and len(small.data) < len(whole.data)
    assert small.size[0] / small.size[1] == pytest.approx(2 / 3, rel=0.02)


# What a person can agree to.


def answer(monkeypatch, button: str) -> list[str]:
    """Presses a button of every question; the texts of those that came."""
    texts: list[str] = []

    def press(box: QMessageBox) -> int:
        texts.append(box.text())
        monkeypatch.setattr(
            QMessageBox, "clickedButton", lambda own: next(b for b in own.buttons() if b.text() == button)
        )
        return 0

    monkeypatch.setattr(QMessageBox, "exec", press)
    return texts


@pytest.mark.parametrize("button", ["Cancel", "Read it anyway"])
def test_a_costly_artwork_is_read_when_the_person_agrees(qtbot, window, tmp_path, monkeypatch, button):
    monkeypatch.setattr(artwork_reader, "work", reading_work.with_few_letters)
    texts = answer(monkeypatch, button)
    (tmp_path / "long.svg").write_bytes(SVG)
    count = len(window.models.project.document.artworks)
    window.models.imports.add_files([tmp_path / "long.svg"])
    wait_for_files(qtbot, window)
    assert len(texts) == 1 and "more than 5 letters" in texts[0] and "about 1 GB of memory" in texts[0]
    added = window.models.project.document.artworks[count:]
    assert [a.read_anyway for a in added] == ([True] if button != "Cancel" else [])


def test_an_artwork_too_costly_to_plan_is_asked_about_once(window, monkeypatch):
    project, planning = window.models.project, window.models.planning
    artwork = project.document.artworks[0].id
    texts = answer(monkeypatch, "Cancel")
    planning.costly.emit("It takes 2 GB.", artwork)
    planning.costly.emit("It takes 2 GB.", artwork)
    assert texts == ["It takes 2 GB."] and not project.document.artworks[0].read_anyway
    window.read_anyway._asked.clear()
    answer(monkeypatch, "Read it anyway")
    planning.costly.emit("It takes 2 GB.", artwork)
    assert project.document.artworks[0].read_anyway
    project.undo()
    assert not project.document.artworks[0].read_anyway


def test_what_was_agreed_to_is_in_the_project(tmp_path):
    document, _ = edits.add_artwork(Document(), "a.svg", "image/svg+xml", SVG, (80.0, 40.0), read_anyway=True)
    write_project(tmp_path / "a.wallwright", document)
    with zipfile.ZipFile(tmp_path / "a.wallwright") as archive:
        assert b'"read_anyway": true' in archive.read("document.json")


def test_the_memory_that_a_computer_cannot_give_is_not_offered(monkeypatch):
    costly = reading_limits.TooCostly("It is large.", 12 << 30)
    monkeypatch.setattr(reading_limits, "usable_memory", lambda: 8 << 30)
    assert not costly.can_be_agreed and "more than this computer can give" in costly.question
    monkeypatch.setattr(reading_limits, "usable_memory", lambda: 16 << 30)
    assert costly.can_be_agreed and "about 12 GB" in costly.question
    with reading_limits.reading(True):
        further = reading_limits.TooCostly("It is larger still.", 12 << 30)
        assert not further.can_be_agreed and reading_limits.most(usage.MOST_LETTERS) == 16 * usage.MOST_LETTERS
    assert reading_limits.most(usage.MOST_LETTERS) == usage.MOST_LETTERS


@pytest.mark.skipif(not os.path.exists("/proc/self/status"), reason="limits of Linux")
def test_memory_is_limited_while_reading_and_free_again_afterwards(monkeypatch):
    monkeypatch.setattr(reading_limits, "UNASKED", 64 << 20)
    with pytest.raises(reading_limits.TooCostly, match="more memory to read"), reading_limits.reading(False):
        bytearray(256 << 20)
    assert len(bytearray(256 << 20)) == 256 << 20
