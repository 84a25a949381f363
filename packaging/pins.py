"""Writes the pins with hashes, for packages and for installations that verify every file.

    python packaging/pins.py      needs uv (pip install uv) and the network

pins.txt has one version of each library. It gives pins-run.txt (to run the program) and pins-test.txt (to run its tests
too), with the hashes of every file of those versions, for all systems and Python 3.11 or newer:

    pip install --require-hashes -r packaging/pins-run.txt
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

PACKAGING = Path(__file__).resolve().parent
PROJECT = PACKAGING.parent
FILES = {"pins-run.txt": [], "pins-test.txt": ["--extra", "test"]}
HEAD = "# Written by packaging/pins.py from pins.txt: versions with the hashes of their files.\n"


def main() -> int:
    for name, options in FILES.items():
        done = subprocess.run(
            [
                *(sys.executable, "-m", "uv", "pip", "compile", "--quiet", "--universal", "--python-version", "3.11"),
                *("--generate-hashes", "--no-annotate", "--no-header", "-c", str(PACKAGING / "pins.txt"), *options),
                str(PROJECT / "pyproject.toml"),
            ],
            capture_output=True,
            text=True,
        )
        if done.returncode:
            sys.exit(f"{done.stderr}{name} could not be written.")
        (PACKAGING / name).write_text(HEAD + done.stdout, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
