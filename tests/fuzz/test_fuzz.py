"""A quick pass of the fuzzing over each reader, and the fuzzing itself."""

import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.fuzz.fuzz import Hang, fuzz, input_of, tried
from tests.fuzz.mutation import TEXT
from tests.fuzz.readers import READERS, Fuzzed
from wallwright.document.errors import BadFile

COUNTS = {
    "svg": 25,
    "pictures": 20,
    "project": 40,
    "clip": 60,
    "made": 60,
    "tables": 40,
    "rs274": 25,
    "settings": 10,
    "fonts": 6,
    "pages": 100,
}
"""Inputs in about half a second each; read-back needs a planned job first and is left to the command."""


@pytest.mark.parametrize("name", COUNTS)
def test_changed_inputs_give_results_or_sentences(name, own_state):
    found = []
    assert fuzz(READERS[name], seed=7, count=COUNTS[name], found=found.append) == COUNTS[name]
    assert [(f.seed, f.kind, f.details) for f in found] == []


def test_what_is_tried_follows_from_the_seed():
    corpus = list(READERS["tables"].corpus())
    first, again = (input_of(READERS["tables"], corpus, "3:14") for _ in range(2))
    assert first == again != input_of(READERS["tables"], corpus, "3:15")


def _broken(data: bytes) -> None:
    if b"x" in data:
        raise BadFile("a sentence")
    if b"y" in data:
        raise KeyError("y")
    if b"z" in data:
        started = time.process_time()
        while time.process_time() - started < 5:
            pass
    if b"w" in data:
        bytearray(200_000_000)


def test_faults_hangs_and_memory_are_found_and_sentences_are_not(monkeypatch):
    monkeypatch.setattr("tests.fuzz.fuzz.HANG_S", 0.2)
    monkeypatch.setattr("tests.fuzz.fuzz.MOST_MEMORY_MB", 100)
    reader = Fuzzed(lambda: [b"a"], _broken, TEXT)
    assert tried(reader, b"a") is None and tried(reader, b"x") is None
    assert tried(reader, b"y").kind == "KeyError in _broken"
    if sys.platform.startswith("linux"):
        assert tried(reader, b"z").kind.startswith(Hang.__name__)
        assert tried(reader, b"w").kind == "memory"


def test_the_command_names_its_readers():
    project = Path(__file__).resolve().parents[2]
    done = subprocess.run([sys.executable, "-m", "tests.fuzz", "wrong"], cwd=project, capture_output=True, text=True)
    assert done.returncode == 2 and "there are svg, pictures" in done.stderr
