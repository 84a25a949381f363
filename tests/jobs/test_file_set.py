"""Files of a job go into their folder as a set: killed at any step, the folder never holds files of two jobs."""

import contextlib
import errno
import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.support.jobs import SQUARE, document_of, planned_job
from wallwright.document.errors import BadFile
from wallwright.jobs import file_set as sets
from wallwright.jobs.job_folder import folder_problems
from wallwright.jobs.job_writer import job_names, write_job

NAMES = ("belts.ngc", "motion.jsonl", "hanging-2/belts.ngc", "wall-report.json")
OWN = (*NAMES, "plane.ngc", "hanging-1/belts.ngc")
"""Files that an export replaces or removes."""


def export(folder: Path, content: str, names=NAMES) -> None:
    with sets.file_set(folder) as files:
        for name in names:
            (files.stage / name).parent.mkdir(exist_ok=True)
            (files.stage / name).write_text(content)
        files.publish(names, OWN)


def contents(folder: Path) -> dict[str, str]:
    """Files of the job that stand in the folder."""
    return {name: (folder / name).read_text() for name in OWN if (folder / name).exists()}


def old_job(folder: Path) -> dict[str, str]:
    """A folder with a job of other files and something of the person's own."""
    (folder / "hanging-1").mkdir(parents=True)
    for name in ("belts.ngc", "plane.ngc", "hanging-1/belts.ngc", "wall-report.json"):
        (folder / name).write_text("old")
    (folder / "photo.jpg").write_text("mine")
    (folder / "hanging-1" / "notes.txt").write_text("mine")
    return contents(folder)


NEW = dict.fromkeys(NAMES, "new")

DYING = """
import os, signal, sys
from pathlib import Path
import filelock  # once, not in each child
from wallwright.jobs import file_set as sets
NAMES, OWN = sys.argv[2].split(), sys.argv[3].split()
steps, last = 0, 0
def dying(name):
    real = getattr(os, name)
    def call(*args, **kwargs):
        global steps
        steps += 1
        if steps == last:
            os.kill(os.getpid(), signal.SIGKILL)
        return real(*args, **kwargs)
    setattr(os, name, call)
os.fsync = lambda descriptor: None  # a killed process loses nothing that it has written
for name in ("replace", "rename", "fsync", "mkdir", "rmdir", "unlink", "open", "chmod"):
    dying(name)
folder = Path(sys.argv[1])
for k in range(1, 200):
    steps, last = 0, 0
    child = os.fork()
    if child == 0:
        last = k
        with sets.file_set(folder / str(k)) as files:
            for name in NAMES:
                (files.stage / name).parent.mkdir(exist_ok=True)
                (files.stage / name).write_text("new")
            files.publish(NAMES, OWN)
        os._exit(0)
    ended = os.waitpid(child, 0)[1]
    print(k, ended, flush=True)
    if ended == 0:
        break
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no fork")
def test_a_kill_at_any_step_leaves_files_of_one_job(tmp_path, monkeypatch):
    """SIGKILL before each call that changes the disk, the last step being none; then somebody looks at the folder."""
    monkeypatch.setattr(os, "fsync", lambda descriptor: None)
    old = {}
    for k in range(1, 200):
        old[k] = old_job(tmp_path / str(k))
    script = tmp_path / "dying.py"
    script.write_text(DYING)
    run = [sys.executable, str(script), str(tmp_path), " ".join(NAMES), " ".join(OWN)]
    out = subprocess.run(
        run,
        stdout=subprocess.PIPE,
        text=True,
        check=True,
        cwd=os.getcwd(),
        env={**os.environ, "PYTHONPATH": os.pathsep.join((os.getcwd(), os.path.join(os.getcwd(), "app")))},
    ).stdout
    ended = [int(line.split()[1]) for line in out.splitlines()]
    assert ended[-1] == 0 and set(ended[:-1]) == {9} and 30 < len(ended) < 200
    seen = set()
    for k in range(1, len(ended) + 1):
        folder = tmp_path / str(k)
        now = contents(folder)
        assert len(set(now.values())) <= 1, f"two jobs mixed after step {k}"
        whole = now in (old[k], NEW)
        assert whole or sets.is_unfinished(folder), f"part of a job, and nothing says so, after step {k}"
        assert (folder / "photo.jpg").read_text() == "mine"
        counts = sets.is_unfinished(folder) or now == NEW
        assert sets.finish_alone(folder) == sets.is_unfinished(folder) or counts
        assert contents(folder) == (NEW if counts else old[k])
        left = {p.name for p in folder.iterdir()} - {name.partition("/")[0] for name in OWN}
        assert left == {"photo.jpg"} and (folder / "hanging-1" / "notes.txt").exists()
        seen.add((len(now), counts))
    assert {(4, False), (4, True), (0, True), (1, True), (3, True)} <= seen, "the steps between were not met"


def dying_at(step: int, real):
    """A function that ends the process at its call of that number, from 1."""
    count = [0]

    def call(*args):
        count[0] += 1
        if count[0] == step:
            os._exit(9)
        return real(*args)

    return call


@pytest.mark.skipif(sys.platform == "win32", reason="no fork")
def test_completing_may_be_interrupted_as_well(tmp_path):
    for k in range(1, 60):
        folder = tmp_path / str(k)
        old_job(folder)
        with sets.file_set(folder) as files:
            for name in NAMES:
                (files.stage / name).parent.mkdir(exist_ok=True)
                (files.stage / name).write_text("new")
            (files.stage / sets.MANIFEST).write_bytes(
                sets.msgspec.json.encode(sets.Manifest(NAMES, tuple(contents(folder))))
            )
            os.rename(files.stage, folder / sets.PENDING)
        child = os.fork()
        if child == 0:
            os.replace = dying_at(k, os.replace)
            sets.finish(folder)
            os._exit(0)
        ended = os.waitpid(child, 0)[1]
        assert len(set(contents(folder).values())) <= 1
        sets.finish(folder)
        assert contents(folder) == NEW and not sets.is_unfinished(folder)
        if ended == 0:
            return
    pytest.fail("it never came to its end")


@pytest.mark.parametrize("step", range(1, 9))
def test_a_failure_while_files_move_puts_the_old_job_back(tmp_path, monkeypatch, step):
    """As when another program holds a file open (Windows) or the disk fails."""
    old, real, count = old_job(tmp_path), os.replace, [0]

    def failing(*args):
        count[0] += 1
        if count[0] == step:
            raise PermissionError(errno.EACCES, "Permission denied")
        real(*args)

    monkeypatch.setattr(os, "replace", failing)
    with pytest.raises(BadFile, match="permission denied"):
        export(tmp_path, "new")
    assert contents(tmp_path) == old and {p.name for p in tmp_path.glob("*ex*")} == set()
    assert not list(tmp_path.glob(".*"))


def test_ctrl_c_once_it_counts_completes_it(tmp_path, monkeypatch):
    old_job(tmp_path)
    real, count = os.replace, [0]

    def stopped(*args):
        count[0] += 1
        if count[0] == 6:
            raise KeyboardInterrupt
        real(*args)

    monkeypatch.setattr(os, "replace", stopped)
    export(tmp_path, "new")
    assert contents(tmp_path) == NEW


def test_a_fault_of_the_program_is_not_blamed_on_the_folder(tmp_path):
    with pytest.raises(ValueError, match="odd"), sets.file_set(tmp_path / "job"):
        raise ValueError("odd")
    assert not (tmp_path / "job").exists()


def test_what_stands_in_the_way_is_not_moved(tmp_path):
    (tmp_path / "belts.ngc").mkdir()
    (tmp_path / "belts.ngc" / "mine").write_text("mine")
    with pytest.raises(BadFile, match=r"belts\.ngc"):
        export(tmp_path, "new")
    assert (tmp_path / "belts.ngc" / "mine").exists() and [p.name for p in tmp_path.iterdir()] == ["belts.ngc"]


def test_two_exports_into_one_folder_do_not_mix(tmp_path):
    with sets.file_set(tmp_path), pytest.raises(BadFile, match="Another export"):
        export(tmp_path, "second")
    export(tmp_path, "third")
    assert set(contents(tmp_path).values()) == {"third"}


def test_a_failed_export_leaves_no_new_folder(tmp_path):
    with pytest.raises(BadFile), sets.file_set(tmp_path / "a" / "b"):
        raise OSError(errno.ENOSPC, "No space left on device")
    assert not (tmp_path / "a").exists()


@pytest.mark.parametrize("manifest", [b"{", b'{"new": ["../x"], "old": []}', b'{"new": [], "old": ["/etc/x"]}'])
def test_a_damaged_manifest_touches_nothing(tmp_path, manifest):
    (tmp_path / sets.PENDING).mkdir()
    (tmp_path / sets.PENDING / sets.MANIFEST).write_bytes(manifest)
    with pytest.raises(BadFile, match="damaged"):
        export(tmp_path, "new")
    assert [p.name for p in tmp_path.iterdir()] == [sets.PENDING]


@pytest.mark.slow
@pytest.mark.timeout(600)
@pytest.mark.skipif(sys.platform == "win32", reason="no fork")
def test_kills_at_random_while_one_real_job_replaces_another(tmp_path):
    """What each file says of itself: the digests in the report that stands beside it."""
    jobs = [planned_job(document_of(SQUARE, width=width)) for width in (600.0, 900.0)]

    def write(job) -> None:
        with sets.file_set(tmp_path) as files:
            files.publish(write_job(files, "", job), job_names(job))

    start = time.monotonic()
    write(jobs[0])
    took, rng, met = time.monotonic() - start, random.Random(7), set()
    for number in range(40):
        child = os.fork()
        if child == 0:
            write(jobs[number % 2])
            os._exit(0)
        time.sleep(rng.uniform(0.3, 1.1) * took)
        with contextlib.suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        met.add(sets.is_unfinished(tmp_path))
        assert folder_problems(tmp_path)[1] == ()
        found = json.loads((tmp_path / "report.json").read_text())["fingerprint"]
        assert found in [job.fingerprint for job in jobs]
    assert False in met
