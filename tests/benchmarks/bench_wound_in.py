"""Belts wound in to stops with 1 mm uncertainty, simulated by MuJoCo: errors of the pen over the wall, before and after a
calibration with readings of half a millimetre.

    python tests/benchmarks/bench_wound_in.py [--count 20]
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.common import save
from tests.support.wound_in import STOPS, TAPE, outcome


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=20)
    args = parser.parse_args()
    results = [outcome(seed) for seed in range(args.count)]
    before, after = (np.array([getattr(r, name) for r in results]) for name in ("before", "after"))
    print(f"stops ± {STOPS:g} mm each, readings ± {TAPE:g} mm, {len(results)} machines: pen off by (rms over the wall)")
    for title, off in (("before calibration", before), ("after", after)):
        print(f"{title:20s} median {np.median(off):.2f} mm, worst {off.max():.2f} mm")
    save("wound_in", before=before.tolist(), after=after.tolist())


if __name__ == "__main__":
    main()
