"""The command behind `packaging/bootstrap.py fuzz`."""

from __future__ import annotations

import argparse
import faulthandler
import os
import sys
import warnings
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from tests.fuzz.fuzz import FuzzFinding, fuzz, input_of, tried
from tests.fuzz.readers import READERS, own_state

FOUND = Path(__file__).parent / "found"
"""Git-ignored."""
MOST_ADDRESS_SPACE = 6 << 30
"""Bytes: one input must not take the whole machine."""


def main() -> int:
    parser = argparse.ArgumentParser(prog="fuzz", description=__doc__)
    parser.add_argument("reader", nargs="*", help=f"one of {', '.join(READERS)}; by default each in turn")
    parser.add_argument("--minutes", type=float, default=1.0, help="for each reader")
    parser.add_argument("--seed", default="1", help="a number; or SEED:NUMBER, to try that input alone")
    args = parser.parse_args()
    for name in args.reader:
        if name not in READERS:
            parser.error(f"there is no reader '{name}'; there are {', '.join(READERS)}")
    faulthandler.enable()
    warnings.simplefilter("error")  # a person would read them on the terminal
    _limit_memory()
    state = own_state()
    findings = 0
    for name in args.reader or READERS:
        findings += _one(name, args.minutes, args.seed)
    state.cleanup()
    return 1 if findings else 0


def _one(name: str, minutes: float, seed: str) -> int:
    reader = READERS[name]
    if ":" in seed:
        finding = tried(reader, input_of(reader, list(reader.corpus()), seed), seed)
        if finding is not None:
            _keep(name, finding)
        return int(finding is not None)
    count = [0]

    def found(finding: FuzzFinding) -> None:
        count[0] += 1
        _keep(name, finding)

    number = fuzz(reader, int(seed), 60 * minutes, found=found)
    print(f"{name}: {number} inputs, {count[0]} kinds of finding", flush=True)
    return count[0]


def _keep(name: str, finding: FuzzFinding) -> None:
    FOUND.mkdir(exist_ok=True)
    file = FOUND / f"{name}-{finding.seed.replace(':', '-')}"
    file.write_bytes(finding.data)
    file.with_suffix(".txt").write_text(f"{finding.kind}\n\n{finding.details}")
    print(
        f"{name} {finding.seed}: {finding.kind}: {finding.details.strip().splitlines()[-1][:200]}; kept as {file}",
        flush=True,
    )


def _limit_memory() -> None:
    try:
        import resource  # not on Windows
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MOST_ADDRESS_SPACE, MOST_ADDRESS_SPACE))


if __name__ == "__main__":
    sys.exit(main())
