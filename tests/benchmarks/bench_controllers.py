"""Prints the first and last lines for five different controllers; strict independent controllers read each file.

python tests/benchmarks/bench_controllers.py [--lines 20]
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.jobs.test_controllers import ART, CASES, PENS
from tests.support.jobs import document_of, planned_job
from wallwright.document import edits
from wallwright.document.machine import Belt
from wallwright.jobs.code_verification import replay
from wallwright.jobs.program_parts import parts
from wallwright.jobs.rs274 import part_code, program_of


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lines", type=int, default=20)
    args = parser.parse_args()
    for name, (lift, controller, strict) in CASES.items():
        document = document_of(
            ART, centre=(1000.0, 950.0), width=500.0, lift=lift, controller=controller, belt=Belt(left_stop=200.0)
        )
        job = planned_job(edits.replace(document, pens=PENS))
        path = job.code_in_plane if controller.takes == "plane" else job.belts
        program = program_of(job, path)
        if not strict.preset:
            start = np.round(path.values[0] * strict.per_mm, strict.decimals)
            strict = replace(strict, begins=tuple(start.tolist()))
        files = [(part, b"".join(part_code(program, part, lambda done: None))) for part in parts(program)]
        drawn = [strict.run(data) for _, data in files]
        for part, data in files:
            replay([data], program, part)
        strokes, pauses = sum(len(d.lines) for d in drawn), sum(d.pauses for d in drawn)
        print(f"\n== {name}: {len(files)} files, accepted; {strokes} strokes, {pauses} pauses")
        lines = files[0][1].decode().splitlines()
        last = files[-1][1].decode().splitlines()
        print("\n".join([*lines[: args.lines], "...", *last[-args.lines :]]))


if __name__ == "__main__":
    main()
