"""mypy, strict, over the layers that are free of errors: whoever breaks a type is told by the test run."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
CLEAN = ("document", "artwork", "strokes", "statics", "motion", "jobs", "planning", "commands")
"""Layers of wallwright without errors. A layer that becomes clean is added here; with all of them the list goes."""
CACHE = ROOT / ".mypy_cache"
"""Kept between runs, and shared with mypy started by hand: only what changed is checked again."""


@pytest.mark.timeout(600)  # without a cache it takes a minute of a free core
def test_clean_layers_have_no_type_errors() -> None:
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
    assert run.returncode in (0, 1), run.stderr or run.stdout
    own = re.compile(rf"app/wallwright/({'|'.join(CLEAN)})/")
    errors = [line for line in run.stdout.splitlines() if own.match(line)]
    assert not errors, "\n".join(errors)


def test_nothing_is_silenced_without_a_reason() -> None:
    """An ignore names the one error it is for and says why."""
    bare = []
    for layer in CLEAN:
        for file in sorted((ROOT / "app" / "wallwright" / layer).rglob("*.py")):
            for number, line in enumerate(file.read_text("utf-8").splitlines(), start=1):
                if "type: ignore" in line and not re.search(r"# type: ignore\[[a-z-]+\]  # \w", line):
                    bare.append(f"{file.relative_to(ROOT)}:{number}: {line.strip()}")
    assert not bare, "\n".join(bare)
