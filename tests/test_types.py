"""mypy, strict, over the whole program: whoever breaks a type learns it from the test run."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
CACHE = ROOT / ".mypy_cache"
"""Kept between runs, and shared with mypy started by hand: only what changed is checked again."""


@pytest.mark.timeout(600)  # a minute and a half without a cache, on a slow machine
def test_there_are_no_type_errors() -> None:
    run = subprocess.run(
        [
            sys.executable,
            "-m",
            "mypy",
            "--cache-dir",
            str(CACHE),
            "--no-error-summary",
            "--hide-error-context",
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=580,
        check=False,
    )
    assert run.returncode == 0, run.stderr or run.stdout


def test_nothing_is_silenced_without_a_reason() -> None:
    """An ignore names the one error it is for and says why."""
    bare = []
    for file in sorted((ROOT / "app").rglob("*.py")):
        for number, line in enumerate(file.read_text("utf-8").splitlines(), start=1):
            if "type: ignore" in line and not re.search(r"# type: ignore\[[a-z-]+\]  # \w", line):
                bare.append(f"{file.relative_to(ROOT)}:{number}: {line.strip()}")
    assert not bare, "\n".join(bare)
