"""Fifty machines of unknown page, formula, steps, belt zero and physics, and five outside every formula: accuracy after the
proof drawing and twenty tape readings of half a millimetre.

    python tests/benchmarks/bench_hidden_machines.py [--count 50] [--outside 5] [--first 0]
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support.hidden_machines import Outcome, after_proof, calibrated, hidden_machine
from wallwright.document.errors import BadValue

OUTSIDE = 1000
"""First seed of the machines outside the model."""
DOES_NOT_FIT = 1.5
"""Factor on uncertainties from which the program reports an effect outside the model."""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=50)
    parser.add_argument("--outside", type=int, default=5)
    parser.add_argument("--first", type=int, default=0)
    args = parser.parse_args()
    seeds = range(args.first, args.first + args.count)
    inside = [o for seed in seeds if (o := _run(seed, False)) is not None]
    seeds = range(OUTSIDE + args.first, OUTSIDE + args.first + args.outside)
    outside = [o for seed in seeds if (o := _run(seed, True)) is not None]
    _print("inside the model", inside)
    _print("outside the model", outside)
    true = sum(np.median(o.errors) < 1.0 for o in outside)
    admitted = sum(o.fit.spread > DOES_NOT_FIT or np.median(o.errors) <= np.median(o.stated) for o in outside)
    print(
        f"outside: {true} of {len(outside)} below 1 mm; of {admitted} the program says how far off they are, or does not fit"
    )


def _run(seed: int, outside: bool) -> Outcome | None:
    """Returns the outcome; None if the program finds no room on the page for the calibration figure."""
    hidden = hidden_machine(seed, outside)
    try:
        outcome = calibrated(hidden, after_proof(hidden), side=5)
    except BadValue as refusal:
        print(f"{seed:5d} {hidden.machine.kind:8s} refused: {refusal}", flush=True)
        return None
    pixel = f" 1/{hidden.machine.per_inch:g} inch" if hidden.machine.unit == "px" else ""
    print(
        f"{seed:5d} {hidden.machine.kind:8s} {hidden.machine.unit + pixel:14s} after the proof {np.median(outcome.before):5.1f} mm, "
        f"calibrated {np.median(outcome.errors):5.2f}, at most {outcome.errors.max():5.2f}, "
        f"stated {np.median(outcome.stated):5.2f}, true in {(outcome.errors <= outcome.stated).mean():4.0%}; "
        f"{outcome.fit.variant.title}, {outcome.fit.remainder} monomials, spread {outcome.fit.spread:.2f}",
        flush=True,
    )
    return outcome


def _print(title: str, outcomes: list[Outcome]) -> None:
    if not outcomes:
        return
    medians = np.array([np.median(o.errors) for o in outcomes])
    covered = np.array([(o.errors <= o.stated).mean() for o in outcomes])
    print(
        f"{title}: {len(outcomes)} machines, median error {np.median(medians):.2f} mm (worst machine {medians.max():.2f}); "
        f"{(medians < 1.0).mean():.0%} below 1 mm; stated uncertainty holds at {covered.mean():.0%} of places"
    )


if __name__ == "__main__":
    main()
