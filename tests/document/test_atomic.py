"""Saving keeps what stood there: links, permissions, protected files; and locks go with their process (POSIX.1-2017, rename,
fcntl; from memory)."""

import logging
import os
import stat
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from wallwright.document.atomic_write import write_atomic
from wallwright.document.document import Document
from wallwright.document.errors import BadFile
from wallwright.document.file_state import open_project
from wallwright.document.locks import free, is_locked, try_lock
from wallwright.document.log import keep_log, state_folder
from wallwright.document.project import encode_project, write_project

posix = pytest.mark.skipif(sys.platform == "win32", reason="POSIX links and modes")


@posix
def test_a_link_stays_one_and_its_file_is_written(tmp_path):
    real, link, second = tmp_path / "disk" / "real", tmp_path / "link", tmp_path / "second"
    real.parent.mkdir()
    real.write_bytes(b"old")
    real.chmod(0o640)
    link.symlink_to(real)
    second.symlink_to("link")  # relative, and to a link
    write_atomic(second, b"new")
    assert second.is_symlink() and link.is_symlink() and real.read_bytes() == b"new"
    assert stat.S_IMODE(real.stat().st_mode) == 0o640
    assert sorted(p.name for p in tmp_path.iterdir()) == ["disk", "link", "second"]
    assert [p.name for p in real.parent.iterdir()] == ["real"]


@posix
def test_a_link_to_nothing_and_links_in_a_circle(tmp_path):
    (tmp_path / "link").symlink_to(tmp_path / "new")
    write_atomic(tmp_path / "link", b"new")
    assert (tmp_path / "link").is_symlink() and (tmp_path / "new").read_bytes() == b"new"
    (tmp_path / "a").symlink_to("b")
    (tmp_path / "b").symlink_to("a")
    with pytest.raises(BadFile, match="could not be written"):
        write_atomic(tmp_path / "a", b"x")
    assert (tmp_path / "a").is_symlink()


@posix
def test_a_protected_file_is_not_replaced(tmp_path):
    path = tmp_path / "a.wallwright"
    path.write_bytes(b"mine")
    path.chmod(0o444)
    with pytest.raises(BadFile, match="write-protected"):
        write_project(path, Document())
    assert path.read_bytes() == b"mine" and [p.name for p in tmp_path.iterdir()] == ["a.wallwright"]


@posix
@pytest.mark.skipif(os.geteuid() != 0 if hasattr(os, "geteuid") else True, reason="only root can give files away")
def test_the_owner_stays(tmp_path):
    path = tmp_path / "a"
    path.write_bytes(b"old")
    os.chown(path, 1234, 1235)
    write_atomic(path, b"new")
    assert (path.stat().st_uid, path.stat().st_gid) == (1234, 1235)


@pytest.mark.parametrize("name", ["two\nlines", "wei\udcdf", "tab\t(1) *?[a]", "x" * 300, "zero\0"])
def test_odd_names_are_written_or_refused_with_a_sentence(tmp_path, name):
    path = tmp_path / f"{name}.wallwright"
    try:
        write_project(path, Document())
    except BadFile as refused:
        assert "could not be written" in str(refused)
        with pytest.raises(BadFile, match="cannot be read"):
            open_project(path)
    else:
        assert open_project(path)[0] == Document()


def test_a_text_that_is_none_is_refused_before_anything_is_written(tmp_path):
    from wallwright.document import edits

    document = edits.set_field(Document(), "hangings.0.name", "wei\udcdf")
    path = tmp_path / "a.wallwright"
    path.write_bytes(b"old")
    with pytest.raises(BadFile, match="character"):
        write_project(path, document)
    assert path.read_bytes() == b"old"


def test_recovery_files_are_the_same_project():
    from wallwright.document.project import decode_project
    from wallwright.planning.demo import demo_document

    document = demo_document()
    assert decode_project(encode_project(document, packed=False), "x") == document


@posix
@pytest.mark.parametrize("mode", [0o555, 0o000])
def test_a_folder_that_may_not_be_written_or_entered(tmp_path, mode):
    """Run as somebody else when root runs the tests: root may do everything."""
    import filelock  # noqa: F401  # somebody else may not be able to read the library

    from wallwright.jobs.file_set import file_set

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "closed"
        folder.mkdir()
        (folder / "a.wallwright").write_bytes(b"mine")
        os.chmod(name, 0o755)
        folder.chmod(mode)
        is_root = os.geteuid() == 0
        try:
            if is_root:
                os.seteuid(65534)
            with pytest.raises(BadFile, match="could not be written"):
                write_atomic(folder / "a.wallwright", b"new")
            with pytest.raises(BadFile, match="cannot be used"), file_set(folder):
                pass
            with pytest.raises(BadFile, match="cannot be used"), file_set(folder / "job"):
                pass
        finally:
            if is_root:
                os.seteuid(0)
            folder.chmod(0o755)
        assert (folder / "a.wallwright").read_bytes() == b"mine"
        assert [p.name for p in folder.iterdir()] == ["a.wallwright"]


@posix
def test_a_deleted_working_folder_is_a_sentence(tmp_path, monkeypatch):
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()
    with pytest.raises(BadFile, match="could not be written"):
        write_atomic(Path("a.wallwright"), b"x")
    with pytest.raises(BadFile, match="cannot be read"):
        open_project(Path("a.wallwright"))
    write_atomic(tmp_path / "a", b"x")


@posix
def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "a.wallwright")
    for path in (tmp_path / "a.wallwright", Path("/dev/zero")):
        with pytest.raises(BadFile, match="device or a pipe"):
            open_project(path)


def test_names_of_files_become_texts():
    from wallwright.document import edits

    svg = b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"/>'
    document, _ = edits.add_artwork(Document(), os.fsdecode(b"wei\xdf\n.svg"), "image/svg+xml", svg, (9, 9))
    assert document.artworks[0].name == "wei\ufffd .svg"
    encode_project(document)


def test_a_lock_goes_with_its_process(tmp_path):
    """Killed, not ended in order; its number may belong to anybody then."""
    file = tmp_path / "a.lock"
    code = (
        "import sys; from pathlib import Path; from wallwright.document.locks import try_lock; "
        "lock = try_lock(Path(sys.argv[1])); print('held', flush=True); sys.stdin.read()"
    )
    holder = subprocess.Popen(
        [sys.executable, "-c", code, str(file)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert holder.stdout.readline() == "held\n"
    assert is_locked(file) and try_lock(file) is None
    holder.kill()
    holder.communicate()
    lock = try_lock(file)
    assert lock is not None and is_locked(file)
    free(lock)
    assert not is_locked(file) and not file.exists()


def test_a_state_folder_that_cannot_be_made(tmp_path, monkeypatch):
    log = logging.getLogger("wallwright")
    handlers = list(log.handlers)
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("WALLWRIGHT_STATE", str(tmp_path / "file" / "state"))
    for handler in handlers:
        log.removeHandler(handler)
    keep_log()
    log.info("goes nowhere")
    with pytest.raises(OSError):
        try_lock(state_folder() / "x.lock")
    write_project(tmp_path / "a.wallwright", Document())
    for handler in list(log.handlers):
        log.removeHandler(handler)
