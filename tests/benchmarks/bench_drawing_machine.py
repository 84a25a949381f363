"""End-to-end benchmark, by command, of machines that take a drawing: a known one, and one of unknown page, formula and
physics. "What to type" is followed exactly; the result is shown beside the artwork.

    python tests/benchmarks/bench_drawing_machine.py [--into FOLDER]

Prints the largest errors, and writes a picture of each to the folder.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

import matplotlib as mpl
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
mpl.use("Agg")

import matplotlib.pyplot as plt

from tests.benchmarks.common import table
from tests.support.drawing_owner import Drawn, draw_known, draw_unknown


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--into", type=Path, help="folder for projects, files and pictures; default: a new one")
    args = parser.parse_args()
    folder = args.into or Path(tempfile.mkdtemp(prefix="wallwright-drawing-"))
    folder.mkdir(parents=True, exist_ok=True)
    for old in (*folder.glob("*.wallwright"), *folder.glob("readings.csv")):
        old.unlink()
    known = draw_known(folder)
    before, after = draw_unknown(folder)
    _paint(folder / "known.png", {"drawn": known})
    _paint(folder / "unknown.png", {"after the proof drawing": before, "after calibration": after})
    ways = {"known": known, "unknown, after the proof": before, "unknown, after calibration": after}
    table("Off the artwork, mm", [_row(name, drawn) for name, drawn in ways.items()])
    print(f"Pictures: {folder / 'known.png'}, {folder / 'unknown.png'}")


def _row(name: str, drawn: Drawn) -> dict[str, object]:
    return {
        "machine": name,
        "places": len(drawn.error),
        "median": float(np.median(drawn.error)),
        "largest": float(drawn.error.max()),
        "largest gap": drawn.missed,
    }


def _paint(path: Path, results: dict[str, Drawn]) -> None:
    """Paints the artwork, with each result beside it."""
    first = next(iter(results.values()))
    panels = {"artwork": first.wanted} | {
        f"{title}: at most {drawn.error.max():.2f} mm off": drawn.lines for title, drawn in results.items()
    }
    figure, axes = plt.subplots(1, len(panels), figsize=(6 * len(panels), 6.6), sharex=True, sharey=True)
    for axis, (title, lines) in zip(axes, panels.items(), strict=True):
        for colour, line in lines:
            axis.plot(*line.T, color=colour, linewidth=1.2)
        axis.set_title(title)
        axis.set_aspect("equal")
        axis.set_xlabel("mm right of the left anchor")
    axes[0].set_ylabel("mm below the left anchor")
    axes[0].invert_yaxis()
    figure.savefig(path, dpi=80, bbox_inches="tight")
    plt.close(figure)


if __name__ == "__main__":
    main()
