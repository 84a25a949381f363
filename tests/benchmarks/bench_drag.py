"""What a pen that rubs does to hatch and shapes, before and after the correction: exported belts, run by a simulated
controller, on a body in MuJoCo whose pen has Coulomb friction.

Before: the drag is not entered. After: it is entered exactly, and a fifth too large and too small. At each place all of
it is counted as drawn, swing and controller included. Shapes are drawn under the middle between the anchors: a drag that is
wrong by dD moves the pen by its compliance times dD, whatever the belts do, and a line ends that much too early or late. That
is 0.3 mm there for 0.04 N, and 0.5 mm at 650, 1250 mm.

    python tests/benchmarks/bench_drag.py [--light] [--swing MM] [--landing MM] [--places N] [--only hatch|shapes]
"""

from __future__ import annotations

import argparse
import itertools
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.common import save, table
from tests.support.drag_trials import SHAPES, deviations, document_with, drawn_by_controller, hatch_path, spacings

PLACES = ((1000.0, 900.0), (650.0, 1250.0), (1350.0, 700.0), (650.0, 700.0), (1350.0, 1250.0))
ANGLES = tuple(np.radians((0.0, 45.0, 90.0, 135.0)))
DRAGS = (0.1, 0.2, 0.4)
ENTERED = {"before": 0.0, "exact": 1.0, "20 % more": 1.2, "20 % less": 0.8}
"""Drag entered over the true one."""


def known_to(share: float, drag: float) -> float:
    """N: the uncertainty that is entered with a share of the true drag."""
    return abs(share - 1) * drag if share else 0.0


def hatches(places, angles, drags, entered, limits) -> list[dict]:
    rows = []
    for drag, (name, share) in itertools.product(drags, entered.items()):
        found, seconds = [], 0.0
        for centre, angle in itertools.product(places, angles):
            ink = drawn_by_controller(
                document_with(hatch_path(angle), centre, share * drag, known_to(share, drag), **limits), drag
            )
            found.append(spacings(ink, angle).ravel())
            seconds += ink.seconds
        every = np.concatenate(found)
        rows.append(
            {
                "hatch of 5 mm": f"{drag:g} N, {name}",
                "min": float(every.min()),
                "max": float(every.max()),
                "rms off": float(np.sqrt(((every - 5) ** 2).mean())),
                "s": seconds,
            }
        )
        print(rows[-1], flush=True)
    return rows


def shapes(places, drag, entered, limits) -> list[dict]:
    rows = []
    for (shape, path), (name, share) in itertools.product(SHAPES.items(), entered.items()):
        worst, square, seconds = 0.0, [], 0.0
        for centre in places:
            ink = drawn_by_controller(document_with(path, centre, share * drag, known_to(share, drag), **limits), drag)
            most, rms = deviations(ink)
            worst, seconds = max(worst, most), seconds + ink.seconds
            square.append(rms**2)
        row = {"shape": f"{shape}, {name}", "worst": worst, "rms": float(np.sqrt(np.mean(square))), "s": seconds}
        rows.append(row)
        print(row, flush=True)
    return rows


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--light", action="store_true", help="one place, two angles, one drag")
    parser.add_argument("--swing", type=float, default=0.1, help="mm that the plan lets the pen swing")
    parser.add_argument(
        "--landing", type=float, default=0.1, help="mm that the body may swing while the pen is lowered"
    )
    parser.add_argument("--drag", type=float, action="append", help="N, instead of all")
    parser.add_argument("--entered", action="append", choices=tuple(ENTERED))
    parser.add_argument("--only", choices=("hatch", "shapes"))
    parser.add_argument("--places", type=int, default=len(PLACES), help="how many of the five places")
    options = parser.parse_args()
    limits = {"swing": options.swing, "landing_swing": options.landing}
    places, angles, drags = (PLACES[1:2], ANGLES[:2], DRAGS[1:2]) if options.light else (PLACES, ANGLES, DRAGS)
    places, drags = places[: options.places], options.drag or drags
    entered = {name: ENTERED[name] for name in options.entered or ENTERED}
    record = {}
    if options.only != "shapes":
        record["hatch"] = hatches(places, angles, drags, entered, limits)
        table("Hatch of 5 mm: spacing", record["hatch"])
    if options.only != "hatch":
        record["shapes"] = shapes(places[:1] if not options.light else places, 0.2, entered, limits)
        table("Shapes of 60 mm at 0.2 N", record["shapes"])
    if not options.light:
        save("drag", swing=options.swing, landing=options.landing, places=len(places), **record)


if __name__ == "__main__":
    main()
