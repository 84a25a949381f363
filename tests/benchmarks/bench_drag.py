"""Effect of pen friction on hatch and shapes, before and after the correction, and swing of the body: simulated controllers
run exported files on a body in MuJoCo whose pen has Coulomb friction. Limits are the program's defaults.

Before: no drag is entered. After: it is entered exactly, and a fifth too large and too small; then also with the hatch as a
fill in one direction. Errors are those of the drawn ink, including swing and controller. Shapes are drawn below the middle
between the anchors: an error dD of the drag moves the pen by its compliance times dD, whatever the belts do, and a line ends
that much too early or late. That is 0.3 mm there for 0.04 N, and 0.5 mm at 650, 1250 mm.

Forms: belt lengths with feeds at all positions, angles and drags; timed tables at fewer; corrected coordinates at one.

    python tests/benchmarks/bench_drag.py [--light] [--form belts] [--only hatch|shapes|swing] [--places N] [--drag N]
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
from tests.support.drag_trials import (
    SHAPES,
    deviations,
    document_with,
    drawn_by_controller,
    hatch_path,
    landing_swings,
    one_way_document,
    spacings,
    timed,
)
from tests.support.jobs import planned_job

PLACES = ((1000.0, 900.0), (650.0, 1250.0), (1350.0, 700.0), (650.0, 700.0), (1350.0, 1250.0))
ANGLES = tuple(np.radians((0.0, 45.0, 90.0, 135.0)))
DRAGS = (0.1, 0.2, 0.4)
ENTERED = {"before": 0.0, "exact": 1.0, "20 % more": 1.2, "20 % less": 0.8}
"""Entered drag over true drag."""
ONE_WAY = {"20 % more, one way": 1.2, "20 % less, one way": 0.8}
"""The same for fill lines that are all drawn in one direction."""
FORMS = {"belts": (5, 4, DRAGS), "table": (2, 2, DRAGS), "coordinates": (1, 2, DRAGS[1:2])}
"""By form: number of positions, number of angles, and drags."""
LINES, LENGTH = 5, 50.0
"""Number of hatch lines, and their length, mm."""


def known_to(share: float, drag: float) -> float:
    """Returns the uncertainty, N, that is entered with a share of the true drag."""
    return abs(share - 1) * drag if share else 0.0


def drawing(path: str, centre: tuple[float, float], drag: float, share: float, form: str, limits: dict[str, float]):
    document = document_with(path, centre, share * drag, known_to(share, drag), **limits)
    return drawn_by_controller(timed(document) if form == "table" else document, drag, form=form)


def one_way_drawing(angle: float, centre: tuple[float, float], drag: float, share: float, form: str, limits):
    document = one_way_document(angle, centre, share * drag, known_to(share, drag), LINES, LENGTH, **limits)
    return drawn_by_controller(timed(document) if form == "table" else document, drag, form=form)


def hatches(form: str, places, angles, drags, limits) -> list[dict[str, Any]]:
    rows = []
    for drag, (name, share) in itertools.product(drags, (ENTERED | ONE_WAY).items()):
        found, seconds = [], 0.0
        for centre, angle in itertools.product(places, angles):
            if name in ONE_WAY:
                ink = one_way_drawing(angle, centre, drag, share, form, limits)
            else:
                ink = drawing(hatch_path(angle, lines=LINES, length=LENGTH), centre, drag, share, form, limits)
            found.append(spacings(ink, angle).ravel())
            seconds += ink.seconds
        every = np.concatenate(found)
        rows.append(
            {
                "hatch of 5 mm": f"{form}, {drag:g} N, {name}",
                "min": float(every.min()),
                "max": float(every.max()),
                "rms off": float(np.sqrt(((every - 5) ** 2).mean())),
                "s": seconds,
            }
        )
        print(rows[-1], flush=True)
    return rows


def shapes(form: str, place, drag, limits) -> list[dict[str, Any]]:
    rows = []
    for (shape, path), (name, share) in itertools.product(SHAPES.items(), ENTERED.items()):
        ink = drawing(path, place, drag, share, form, limits)
        worst, rms = deviations(ink)
        rows.append({"shape": f"{form}, {shape}, {name}", "worst": worst, "rms": rms, "s": ink.seconds})
        print(rows[-1], flush=True)
    return rows


def swings(place) -> list[dict[str, Any]]:
    """Measures the swing of a body without friction, while drawing and while the pen is lowered, without and with bounds.
    Its inertia and damping are those of the plan, and a fifth more and less."""
    rows = []
    for form, speed, share in itertools.product(("belts", "table"), (40.0, 80.0), (1.0, 1.2, 0.8)):
        found: dict[str, Any] = {"swing": f"{form}, {speed:g} mm/s, {share:g} of inertia and damping"}
        for name, bound in (("before", 1000.0), ("after", 0.3)):
            limits = {"draw_speed": speed, "swing": bound, "landing_swing": bound}
            document = document_with(SHAPES["square"] + SHAPES["lettering"], place, 0.0, **limits)
            document = timed(document) if form == "table" else document
            job = planned_job(document)
            ink = drawn_by_controller(document, 0.0, job, form, share, share)
            found |= {f"mm {name}": deviations(ink)[0], f"drawing s {name}": drawing_seconds(job)}
        rows.append(found)
        print(rows[-1], flush=True)
    return rows


def drawing_seconds(job) -> float:
    motion = job.motion
    took = motion.time[motion.runs[1:] - 1] - motion.time[motion.runs[:-1]]
    return float(took[motion.down].sum())


def landings(place) -> list[dict[str, Any]]:
    rows = []
    for speed, share in itertools.product((40.0, 80.0), (1.0, 1.2, 0.8)):
        found: dict[str, Any] = {"landing": f"travels at {speed:g} mm/s, {share:g} of inertia and damping"}
        for name, bound in (("before", 1000.0), ("after", 0.3)):
            document = document_with(hatch_path(np.pi / 4), place, 0.0, travel_speed=speed, landing_swing=bound)
            most, seconds = landing_swings(document, share)
            found |= {f"mm {name}": float(most.max()), f"s {name}": seconds}
        rows.append(found)
        print(rows[-1], flush=True)
    return rows


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--light", action="store_true", help="one place, two angles, one drag; nothing is saved")
    parser.add_argument(
        "--swing", type=float, help="mm that the plan lets a pen of known friction swing; else its default"
    )
    parser.add_argument("--drag", type=float, action="append", help="N, instead of all")
    parser.add_argument("--form", action="append", choices=tuple(FORMS), help="instead of all")
    parser.add_argument("--only", choices=("hatch", "shapes", "swing"))
    parser.add_argument("--places", type=int, default=len(PLACES), help="how many of the five places, at most")
    options = parser.parse_args()
    limits = {"friction_swing": options.swing} if options.swing else {}
    record: dict[str, Any] = {"hatch": [], "shapes": []}
    for form in options.form or FORMS:
        count, turns, drags = (1, 2, DRAGS[1:2]) if options.light else FORMS[form]
        places = PLACES[: min(count, options.places)]
        if options.only in (None, "shapes"):
            record["shapes"] += shapes(form, PLACES[0], 0.2, limits)
        if options.only in (None, "hatch"):
            record["hatch"] += hatches(form, places, ANGLES[:turns], options.drag or drags, limits)
    if options.only in (None, "swing"):
        record["swing"], record["landing"] = swings(PLACES[0]), landings(PLACES[0])
    titles = {
        "hatch": "Hatch of 5 mm: spacing",
        "shapes": "Shapes of 60 mm at 0.2 N",
        "swing": "Swing",
        "landing": "Landing",
    }
    for name, rows in record.items():
        if rows:
            table(titles[name], rows)
    if not options.light and options.only is None and not options.form:
        save("drag", **record)


if __name__ == "__main__":
    main()
