"""Calibration with one gross error: found, missed, and good readings rejected, for every test figure.

Each case is a machine with hidden parameters, drawn from the prior, whose crosses are read with the stated scatter; one
reading has an error of a given size, up or down. The error is found if the fit rejects that reading or lists it among those
to be repeated. The last row of each figure has no error.

Register marks likewise: two hangings of such a machine, six or three marks read to half a millimetre, one of them wrong.

    python tests/benchmarks/bench_gross_readings.py [--cases N] [--light] [--only figures|marks]
"""

from __future__ import annotations

import argparse
import itertools
import sys
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.common import save, table
from tests.support import gross_marks
from tests.support.gross_readings import case_of
from wallwright.statics.calibration.figure_proposal import FIGURES

SCATTERS = {"as stated": None, "0.5 mm": 0.5}
"""Scatter of readings, mm: as stated by the figure, or half a millimetre for all, as in the tests of calibration."""


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", type=int, default=200)
    parser.add_argument("--figure", action="append", choices=tuple(FIGURES))
    parser.add_argument("--scatter", action="append", choices=tuple(SCATTERS))
    parser.add_argument("--light", action="store_true", help="20 cases a row, nothing saved")
    parser.add_argument("--only", choices=("figures", "marks"))
    options = parser.parse_args()
    cases = 20 if options.light else options.cases
    scatters = {name: SCATTERS[name] for name in options.scatter or SCATTERS}
    marks = [] if options.only == "figures" else read_marks(cases)
    rows = []
    for (name, scatter), figure in itertools.product(scatters.items(), options.figure or FIGURES):
        if options.only == "marks":
            break
        for error in (10.0, 5.0, 0.0):
            found = [case_of(figure, error, scatter, seed) for seed in range(cases)]
            rows.append(
                {
                    "figure": f"{figure}, {name}, {error:g} mm",
                    "readings": found[0].readings,
                    "found": sum(case.is_found for case in found) if error else 0,
                    "left out": sum(case.is_left_out for case in found) if error else 0,
                    "missed": sum(not case.is_found for case in found) if error else 0,
                    "good thrown out": sum(case.good_left_out for case in found),
                    "good to take again": sum(case.good_named for case in found),
                    "off, mm": float(np.median([case.off for case in found])),
                    "off at most": max(case.off for case in found),
                }
            )
            print(rows[-1], flush=True)
    for title, found in (("Calibration", rows), ("Register marks", marks)):
        if found:
            table(f"{title}, {cases} cases a row", found)
    if not options.light and options.only is None:
        save("gross_readings", cases=cases, rows=rows, marks=marks)


def read_marks(cases: int) -> list[dict[str, Any]]:
    """Returns rows for six and three marks."""
    rows = []
    for count, error in itertools.product((6, 3), (10.0, 5.0, 0.0)):
        found = [gross_marks.case_of(error, seed, count) for seed in range(cases)]
        rows.append(
            {
                "marks": f"{count} marks, {error:g} mm",
                "found": sum(case.is_found for case in found),
                "missed": sum(not case.is_found for case in found) if error else 0,
                "good to take again": sum(case.good_named for case in found),
                "off, mm": float(np.median([case.off for case in found])),
                "off at most": max(case.off for case in found),
            }
        )
        print(rows[-1], flush=True)
    return rows


if __name__ == "__main__":
    main()
