"""How well each line style of pictures keeps the tone of photographs, with one black pen, and what it costs.

    python3 packaging/bootstrap.py bench styles [--photos chelsea.png astronaut.png coffee.png] [--styles spiral ...]
        [--widths 1 2] [--side 600] [--pictures FOLDER] [--photo-folder FOLDER] [--resume]
    python3 packaging/bootstrap.py bench styles --dots 1400000

Every stroke is painted at its true width by Qt. Tone error: root mean square of the difference between the share of the
wall under ink and the share that the picture wants, both blurred by 8 mm. SSIM: Wang, Bovik, Sheikh, Simoncelli, "Image
quality assessment: from error visibility to structural similarity", IEEE Transactions on Image Processing 13, 2004, on
the same two blurred by 2 mm. Minutes: lines at the pen's speed, travels to the nearest next stroke, and lifts; corners are
left out. --dots N measures time and memory of stippling alone, with about so many taps and without its limit of dots; aim for
1.4 million: 15 s, 500 MB. --resume keeps what this version has measured. Photographs are those inside scikit-image's wheel (`pip install scikit-image`), or in --photo-folder.
"""

from __future__ import annotations

import argparse
import importlib
import io
import json
import os
import resource
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np
from PIL import Image
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QImage, QPainter, QPen, QPolygonF
from scipy.ndimage import gaussian_filter

from tests.benchmarks.bench_colours import photo_folder
from tests.benchmarks.bench_drawings import version
from tests.benchmarks.common import RESULTS, save, table
from tests.support.ink import inked
from wallwright.artwork.raster.pen_layers import Tones, layers
from wallwright.artwork.raster.raster import Raster
from wallwright.document.document import Document, Pen, Settings
from wallwright.document.ordering import Ordering
from wallwright.document.picture import STYLES, EdgeLines, PictureSettings, Regions, Stipple
from wallwright.strokes.fills.quickest import USUAL_PACE, drawing_seconds
from wallwright.strokes.order import order_strokes, travel_lengths, travel_time
from wallwright.strokes.pictures.picture_strokes import picture_lines
from wallwright.strokes.pictures.stipple import stipple
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tour.search_budget import SearchBudget

PHOTOS = ("astronaut.png", "chelsea.png", "coffee.png")
FINE = 6.0
"""Pixels a pen width in which strokes are painted."""
AT_ONCE = 200
"""Legs of a line painted at once: Qt takes long for many."""
FAR, NEAR = 8.0, 2.0
"""mm: standard deviations of what the eye blurs, for tone and for structure."""
GOAL = 0.03
"""Of the tone error."""


def ink_shares(strokes: Strokes, pen_width: float, tones: Tones) -> np.ndarray:
    """(rows, columns) share of each cell of the tones under ink."""
    rows, columns = tones.tone.shape
    fine = max(1, round(FINE * tones.cell / pen_width))
    ink = inked(list(strokes), pen_width, tones.size, fine * pen_width / tones.cell)
    shares: np.ndarray = ink.reshape(rows, fine, columns, fine).mean(axis=(1, 3))
    return shares


def ssim(a: np.ndarray, b: np.ndarray, sigma: float) -> float:
    """Mean structural similarity of two planes of range 1; sigma: of its window, in cells."""
    mean_a, mean_b = gaussian_filter(a, sigma), gaussian_filter(b, sigma)
    of_a = gaussian_filter(a * a, sigma) - mean_a**2
    of_b = gaussian_filter(b * b, sigma) - mean_b**2
    both = gaussian_filter(a * b, sigma) - mean_a * mean_b
    c1, c2 = 0.01**2, 0.03**2
    likeness = (2 * mean_a * mean_b + c1) * (2 * both + c2) / ((mean_a**2 + mean_b**2 + c1) * (of_a + of_b + c2))
    return float(likeness.mean())


def minutes(strokes: Strokes) -> float:
    """Without corners. Travels as after a quick search."""
    machine = Document().machine
    limits, start = machine.limits, np.zeros(2)
    ordered = order_strokes(
        strokes, start, limits.travel_speed, limits.acceleration, Ordering(effort="quick"), budget=SearchBudget(1)
    )
    travels = travel_time(travel_lengths(ordered, start), limits.travel_speed, limits.acceleration)
    lift = machine.lift.raise_time + machine.lift.lower_time
    return float(strokes.lengths().sum() / limits.draw_speed + travels.sum() + lift * len(strokes)) / 60


def measure(
    name: str, pixels: np.ndarray, style: str, width: float, side: float, folder: Path | None
) -> dict[str, Any]:
    """One line of the table. pixels: (rows, columns, 3) uint8."""
    raster = Raster(pixels, pixels.shape[1::-1])
    scale = side / max(raster.natural)
    size = raster.natural[0] * scale, raster.natural[1] * scale
    pen = Pen("k", "Black", "#000000", width)
    picture = PictureSettings(STYLES[style]())
    ((_, tones),) = layers(raster, picture, (pen,), *size)
    begun = time.perf_counter()
    drawn = picture_lines(raster, picture, (pen,), size, Settings())
    seconds = time.perf_counter() - begun
    ink = ink_shares(drawn.strokes, width, tones)
    far, near = (
        [gaussian_filter(plane, blur / tones.cell, mode="reflect") for plane in (tones.tone, ink)]
        for blur in (FAR, NEAR)
    )
    if folder is not None:
        save_picture(folder / f"{Path(name).stem}_{style}_{width:g}.png", drawn.strokes, width, size)
    return {
        "picture": Path(name).stem,
        "style": style,
        "pen mm": width,
        "tone rms": float(np.sqrt(np.mean((far[0] - far[1]) ** 2))),
        "bias": float(np.mean(far[1] - far[0])),
        "SSIM": ssim(*near, NEAR / tones.cell),
        "minutes": round(minutes(drawn.strokes)),
        "lifts": len(drawn.strokes),
        "in curves": _slower(drawn.strokes),
        "ink m2": float(tones.tone.sum()) * tones.cell**2 / 1e6,
        "m of line": round(float(drawn.strokes.lengths().sum()) / 1000),
        "s": seconds,
    }


def _slower(strokes: Strokes) -> float:
    """How many times as long as straight lines the pen takes for lines that turn."""
    lines = list(strokes)
    straight = float(strokes.lengths().sum()) / USUAL_PACE.draw_speed
    without_lifts = USUAL_PACE._replace(lift=0.0, travel_speed=1e9)
    ramps = len(lines) * (USUAL_PACE.draw_speed / USUAL_PACE.acceleration)
    gaps = np.hypot(*(strokes.points[strokes.offsets[1:-1]] - strokes.points[strokes.offsets[1:-1] - 1]).T)
    travels = float((2 * np.sqrt(gaps / USUAL_PACE.acceleration)).sum())
    return (drawing_seconds(lines, without_lifts) - ramps - travels) / straight


def save_picture(path: Path, strokes: Strokes, width: float, size: tuple[float, float]) -> None:
    """What is drawn, four pixels a mm."""
    path.parent.mkdir(parents=True, exist_ok=True)
    image = QImage(round(size[0] * 4), round(size[1] * 4), QImage.Format.Format_Grayscale8)
    image.fill(255)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(4, 4)
    cap, join = Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin
    painter.setPen(QPen(Qt.GlobalColor.black, width, Qt.PenStyle.SolidLine, cap, join))
    for stroke in strokes:
        for first in range(0, len(stroke) - 1, AT_ONCE):
            painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in stroke[first : first + AT_ONCE + 1].tolist()]))
    painter.end()
    image.save(str(path))


def measure_dots(count: int) -> None:
    """Prints seconds and memory of the stipple style for a wavy tone, in a process that does nothing else."""
    module = importlib.import_module(stipple.__module__)
    module.MOST_DOTS = 2 * count  # type: ignore[attr-defined]
    style, width = Stipple(dot=1.0), 1.0
    ink = module.ink_of(module.dot(style.dot * width, width), width)
    y, x = np.mgrid[:1400, :1400]
    tone = 0.45 + 0.4 * np.sin(x / 90) * np.cos(y / 70)
    stipple(Tones(tone[:50, :50], 1.0), width, style, lambda done: None, lambda text: None)  # compiled
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    tones = Tones(tone, float(np.sqrt(count * ink / tone.sum())))
    begun, worked = time.perf_counter(), time.process_time()
    dots = stipple(tones, width, style, lambda done: None, lambda text: None)
    seconds, work = time.perf_counter() - begun, time.process_time() - worked
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{len(dots):,} dots: {seconds:.1f} s ({work:.1f} s of work), peak {peak:.0f} MB, {before:.0f} MB before")


def main() -> None:
    tonal = [name for name, kind in STYLES.items() if kind not in (EdgeLines, Regions)]
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--photos", nargs="+", default=list(PHOTOS))
    options.add_argument("--photo-folder", type=Path)
    options.add_argument("--styles", nargs="+", default=tonal, choices=tonal)
    options.add_argument("--widths", nargs="+", type=float, default=[1.0, 2.0], help="of the pen, mm")
    options.add_argument("--side", type=float, default=600.0, help="longer side on the wall, mm")
    options.add_argument("--pictures", type=Path, help="folder for pictures of the wall")
    options.add_argument("--resume", action="store_true", help="keep what this version has measured already")
    options.add_argument("--name", default="styles", help="of the file with the results")
    options.add_argument("--dots", type=int, default=0, help="measure stippling with so many dots instead")
    given = options.parse_args()
    if given.dots:
        measure_dots(given.dots)
        return
    rows: list[dict[str, Any]] = []
    log, of_version = RESULTS / f"{given.name}.jsonl", version()
    RESULTS.mkdir(exist_ok=True)
    lines = [json.loads(line) for line in log.read_text().splitlines()] if given.resume and log.exists() else []
    known = {tuple(line["case"]): line["row"] for line in lines if line["version"] == of_version}
    for style in given.styles:
        for width in given.widths:
            for name in given.photos:
                case = (name, style, width, given.side)
                row = known.get(case)
                if row is None:
                    data = (photo_folder(given.photo_folder) / name).read_bytes()
                    pixels = np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))
                    row = measure(name, pixels, style, width, given.side, given.pictures)
                    with log.open("a", encoding="utf-8") as file:
                        file.write(json.dumps({"version": of_version, "case": case, "row": row}) + "\n")
                rows.append(row)
                print(row, flush=True)
    table("Styles", rows)
    means = [r for style in given.styles for width in given.widths for r in [_mean(rows, style, width)]]
    table(f"Mean of the photographs; goal for the tone {GOAL:g}", means)
    print(f"peak {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    save(given.name, rows=rows)


def _mean(rows: list[dict[str, Any]], style: str, width: float) -> dict[str, Any]:
    mine = [r for r in rows if (r["style"], r["pen mm"]) == (style, width)]
    keys = ("tone rms", "bias", "SSIM", "minutes", "lifts", "in curves", "ink m2", "m of line", "s")
    mean = {key: float(np.mean([r[key] for r in mine])) for key in keys}
    return {"style": style, "pen mm": width, **mean, "worst rms": max(r["tone rms"] for r in mine)}


if __name__ == "__main__":
    main()
