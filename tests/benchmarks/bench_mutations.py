"""Share of mutated programs that the read-back detects: every word of head, foot and sampled lines dropped, doubled or
changed, lines dropped and doubled, files truncated.

An independent reader after NISTIR 6556 (tests/support/code_trace.py) decides whether a change matters, from the machine's
actions with a usual and an unusual initial modal state.

    python tests/benchmarks/bench_mutations.py [--body 6]
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.common import save, table
from tests.support.code_trace import AT_REST, LEFT_BEHIND, same, trace
from tests.support.jobs import document_of, planned_job
from tests.support.mutants import Mutant, mutants
from tests.support.ngc import NotRs274
from wallwright.document.controller import Controller, Lift
from wallwright.jobs.code_verification import replay
from wallwright.jobs.read_back import Mismatch
from wallwright.jobs.rs274 import Part, Program, part_code, program_of

ART = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<circle cx="50" cy="50" r="40" fill="none" stroke="#202020"/><path d="M10 95H90" stroke="#202020"/></svg>'
)
FORMER = (("with a Z lift", 118, 234), ("with a spindle", 100, 223))
"""Detections in a sample program by the earlier comparison of texts, which the replay replaced."""
MACHINES = {
    "belts, Z lift": {},
    "belts, spindle on and off": {"lift": Lift(kind="spindle", up=0, down=700)},
    "belts, spindle of two values": {"lift": Lift(kind="servo", up=200, down=700)},
    "x and y, arcs": {"controller": Controller(takes="plane", curves="arcs")},
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--body", type=int, default=6, help="sampled lines of each kind")
    args = parser.parse_args()
    counts: dict[tuple[str, str], Counter[str]] = {}
    missed: list[tuple[str, Mutant]] = []
    for name, machine in MACHINES.items():
        job = planned_job(document_of(ART, centre=(1000.0, 950.0), width=500.0, **machine))
        path = job.code_in_plane if "arcs" in name else job.belts
        program, part = program_of(job, path), Part(0, 0, len(path.down))
        text = b"".join(part_code(program, part, lambda done: None)).decode()
        rest, left = trace(text, AT_REST), trace(text, LEFT_BEHIND)
        for mutant in mutants(text, args.body):
            count = counts.setdefault((mutant.where, mutant.kind), Counter())
            count["tried"] += 1
            changes = not (_does(mutant.text, AT_REST, rest) and _does(mutant.text, LEFT_BEHIND, left))
            count["changing"] += changes
            caught = _is_caught(mutant.text, program, part)
            count["caught"] += changes and caught
            count["careful"] += caught and not changes
            if changes and not caught:
                missed.append((name, mutant))
    rows = [
        {
            "where": where,
            "change": kind,
            "tried": count["tried"],
            "change the motion": count["changing"],
            "caught": count["caught"],
            "refused without need": count["careful"],
        }
        for (where, kind), count in counts.items()
    ]
    total = sum(counts.values(), Counter())
    rows.append(
        {
            "where": "all",
            "change": "",
            "tried": total["tried"],
            "change the motion": total["changing"],
            "caught": total["caught"],
            "refused without need": total["careful"],
        }
    )
    table("Changed programs and the read-back", rows)
    for program, caught, changing in FORMER:
        print(f"the former comparison of texts, a sample program {program}: {caught} of {changing} caught")
    for name, mutant in missed:
        print(f"missed: {name}, line {mutant.line + 1}, {mutant.kind}: {mutant.change}")
    save("mutations", rows=rows)


def _does(text: str, begins: dict[str, object], whole: list[tuple[object, ...]]) -> bool:
    try:
        return same(whole, trace(text, begins))
    except NotRs274:
        return False


def _is_caught(text: str, program: Program, part: Part) -> bool:
    try:
        replay([text.encode()], program, part)
    except Mismatch:
        return True
    return False


if __name__ == "__main__":
    main()
