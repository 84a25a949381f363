"""What is printed never changes what a command does or what its exit code means."""

import errno
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from wallwright.commands.main import DONE, NOT_DONE, main
from wallwright.commands.options import as_text, print_json
from wallwright.commands.output import LOST
from wallwright.document import edits
from wallwright.document.atomic_write import write_atomic
from wallwright.document.document import Document
from wallwright.document.errors import BadFile
from wallwright.document.file_state import ChangedMeanwhile, open_project, save_project
from wallwright.document.project import read_project, write_project
from wallwright.jobs.job_folder import folder_problems


class Failing(io.StringIO):
    """A stream on a disk or pipe that takes nothing."""

    def __init__(self, code: int) -> None:
        super().__init__()
        self.code = code

    def write(self, text: str) -> int:
        raise OSError(self.code, os.strerror(self.code))


def command(monkeypatch, run, name: str = "demo") -> None:
    """Makes one of the commands do something else."""
    monkeypatch.setattr(f"wallwright.commands.{name}.run", run)


@pytest.mark.parametrize(("failure", "code"), [(errno.EPIPE, DONE), (errno.ENOSPC, LOST), (errno.EIO, LOST)])
def test_a_job_is_written_whatever_becomes_of_the_output(tmp_path, monkeypatch, capsys, failure, code):
    def run(args):
        print("before")
        write_atomic(tmp_path / "job", b"whole")
        print("after")
        return DONE

    command(monkeypatch, run)
    monkeypatch.setattr(sys, "stdout", Failing(failure))
    assert main(["demo"]) == code
    assert (tmp_path / "job").read_bytes() == b"whole"
    output = capsys.readouterr().err
    assert (str(tmp_path / "job") in output) == (code == LOST), "what was written is named"


def test_lost_output_does_not_hide_a_bad_job(monkeypatch):
    command(monkeypatch, lambda args: print("x") or NOT_DONE)
    monkeypatch.setattr(sys, "stdout", Failing(errno.ENOSPC))
    assert main(["demo"]) == NOT_DONE


@pytest.mark.parametrize("end", [KeyboardInterrupt(), RuntimeError("odd"), BadFile("Not readable.")])
def test_an_early_end_names_what_was_written_before(tmp_path, monkeypatch, capsys, end):
    def run(args):
        write_atomic(tmp_path / "one", b"1")
        raise end

    command(monkeypatch, run)
    assert main(["demo"]) == NOT_DONE
    output = capsys.readouterr().err
    assert f"Written before that: {tmp_path / 'one'}" in output and "othing was changed" not in output
    command(monkeypatch, lambda args: (_ for _ in ()).throw(KeyboardInterrupt()))
    assert main(["demo"]) == NOT_DONE and "Nothing was changed" in capsys.readouterr().err


def test_an_ascii_terminal_shows_every_text(monkeypatch):
    stream = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    command(monkeypatch, lambda args: print("± 2 mm · Grüße \udcff") or DONE)
    monkeypatch.setattr(sys, "stdout", stream)
    assert main(["demo"]) == DONE
    stream.flush()
    assert b"2 mm" in stream.buffer.getvalue()


def test_json_is_the_same_on_every_terminal(capsys):
    """RFC 8259: escaped or not, it is the same text."""
    value = {"a": "± 2 mm", "b": "\U0001f600", "c": as_text(os.fsdecode(b"b\xff.ngc"))}
    print_json(value)
    out = capsys.readouterr().out
    assert out.isascii() and json.loads(out) == value


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full")
def test_the_interpreter_does_not_fail_on_the_rest_at_its_end():
    """Else the exit code is 120 (Python, sys.exit), and a traceback comes after everything."""
    run = [sys.executable, "-m", "wallwright", "pose", "--help"]
    with open("/dev/full", "w") as full:
        ended = subprocess.run(run, stdout=full, stderr=subprocess.PIPE, text=True)
    assert ended.returncode == LOST and "no space left" in ended.stderr and "Traceback" not in ended.stderr


def test_a_project_saved_meanwhile_is_not_saved_over(tmp_path):
    path = tmp_path / "a.wallwright"
    write_project(path, Document())
    ours, disk = open_project(path)
    theirs = edits.set_field(Document(), "machine.body.mass", 0.9)
    write_project(path, theirs)
    with pytest.raises(ChangedMeanwhile, match="changed by another"):
        save_project(path, ours, disk)
    assert read_project(path) == theirs
    write_project(path, ours)  # the same content written again is no change
    again = save_project(path, ours, disk)
    assert save_project(path, theirs, again).digest != again.digest and read_project(path) == theirs


def test_a_command_says_so_when_the_project_changed_while_it_ran(tmp_path, monkeypatch, capsys):
    from wallwright.commands import calibrate

    path, test = tmp_path / "a.wallwright", tmp_path / "test.wallwright"
    write_project(path, Document())
    theirs = edits.set_field(Document(), "machine.body.mass", 0.9)
    real = calibrate.proposal_for

    def slow(*args):
        write_project(path, theirs)
        return real(*args)

    monkeypatch.setattr(calibrate, "proposal_for", slow)
    code = main(["calibrate", str(path), "--figure", "square", "--test", str(test)])
    assert code == NOT_DONE and "another program has saved it" in capsys.readouterr().err
    assert read_project(path) == theirs and not test.exists()


def test_a_folder_says_whether_its_files_are_one_job(tmp_path):
    import hashlib

    (tmp_path / "belts.ngc").write_text("G1")
    digest = hashlib.sha256(b"G1").hexdigest()
    (tmp_path / "report.json").write_text(json.dumps({"sha256": {"belts.ngc": digest}, "fingerprint": "f"}))
    assert folder_problems(tmp_path, {"": "f"}) == (False, ())
    assert "an earlier version of the project" in folder_problems(tmp_path, {"": "g"})[1][0]
    assert "has no job" in folder_problems(tmp_path, {"hanging-2": "g"})[1][0]
    (tmp_path / "belts.ngc").write_text("G2")
    assert "is not the exported file" in folder_problems(tmp_path)[1][0]
    (tmp_path / "belts.ngc").unlink()
    assert "is missing" in folder_problems(tmp_path)[1][0]
    for report in ("{", "[]"):
        (tmp_path / "report.json").write_text(report)
        with pytest.raises(BadFile, match="Export the job again"):
            folder_problems(tmp_path)
    (tmp_path / "report.json").unlink()
    with pytest.raises(BadFile, match="no job"):
        folder_problems(tmp_path)
